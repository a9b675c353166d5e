"""The edge on which a half is drawn: found on the outline, made straight, or refused."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray, Point, as_points


class FoldEdge(NamedTuple):
    """A half and its fold.

    ``mirror`` are both ends of the fold, which are points of ``outline``; no point of the
    outline lies beyond the straight line through them. ``repairs`` says what was moved.
    """

    outline: FloatArray
    mirror: tuple[Point, Point]
    repairs: tuple[str, ...] = ()


def fold_edge(
    outline: FloatArray, drawn: tuple[Point, Point], *, file: str, item: str
) -> FoldEdge:
    """Find the edge of an outline that a drawn fold line means.

    The fold runs from end to end of the edges along which the drawn line lies, so a mark shorter
    than the edge means all of it.

    Parameters
    ----------
    outline
        Clean ring, shape (n, 2), millimetres.
    drawn
        Both ends of the fold line as drawn.

    Raises
    ------
    InputError
        If the line has no length, lies along no edge, or the piece lies on both sides of it.
    """
    start, length = np.array(drawn[0]), float(np.hypot(*np.subtract(drawn[1], drawn[0])))
    if not length > tolerances.ON_OUTLINE:
        raise InputError(
            f"the fold line is {length:.3g} mm long",
            remedy="draw it along the edge that lies on the fold",
            file=file,
            item=item,
        )
    direction = np.subtract(drawn[1], drawn[0]) / length
    on_fold = _edges_along(outline, start, direction, length)
    if not on_fold.any():
        raise InputError(
            f"the fold line from ({drawn[0][0]:.2f}, {drawn[0][1]:.2f}) to "
            f"({drawn[1][0]:.2f}, {drawn[1][1]:.2f}) mm lies along no edge of the outline "
            f"within {tolerances.ON_OUTLINE:g} mm",
            remedy="draw it on the straight edge that lies on the fold, or delete it if the "
            "piece is drawn whole",
            file=file,
            item=item,
        )
    corners = np.flatnonzero(on_fold | np.roll(on_fold, 1))
    along = (outline[corners] - start) @ direction
    first = outline[corners[int(np.argmin(along))]]
    second = outline[corners[int(np.argmax(along))]]
    return _straightened(outline, corners, first, second, file=file, item=item)


def _edges_along(
    outline: FloatArray, start: FloatArray, direction: FloatArray, length: float
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return, per edge (from each point to the next), whether the drawn line lies along it."""
    across = np.array([-direction[1], direction[0]])
    u0, v0 = (outline - start) @ direction, (outline - start) @ across
    u1, v1 = np.roll(u0, -1), np.roll(v0, -1)
    span = np.where(np.abs(u1 - u0) > tolerances.SAME_POINT, u1 - u0, np.nan)
    near, far = np.clip(u0, 0.0, length), np.clip(u1, 0.0, length)
    # How far the edge stands off the line at both ends of the stretch they share.
    off = np.maximum(
        np.abs(v0 + (near - u0) / span * (v1 - v0)), np.abs(v0 + (far - u0) / span * (v1 - v0))
    )
    # A stretch no longer than the tolerance may be an edge that only crosses the line.
    shared = np.abs(far - near) > 2.0 * tolerances.ON_OUTLINE
    found: np.ndarray[tuple[int], np.dtype[np.bool_]] = shared & (off <= tolerances.ON_OUTLINE)
    return found


def _straightened(
    outline: FloatArray,
    corners: np.ndarray[tuple[int], np.dtype[np.intp]],
    first: FloatArray,
    second: FloatArray,
    *,
    file: str,
    item: str,
) -> FoldEdge:
    direction = (second - first) / np.hypot(*(second - first))
    across = np.array([-direction[1], direction[0]])
    off = (outline - first) @ across
    if abs(off.min()) > abs(off.max()):
        across, off = -across, -off
    # Now the piece lies on the side where ``off`` is positive.
    beyond = off < 0.0
    worst = float(-off.min())
    if worst > tolerances.ON_OUTLINE:
        x, y = outline[int(np.argmin(off))]
        raise InputError(
            f"the piece lies on both sides of its fold line, {worst:.2f} mm beyond it at "
            f"({x:.2f}, {y:.2f}) mm",
            remedy="draw only the half, with the fold line as its edge",
            file=file,
            item=item,
        )
    moved = beyond.copy()
    moved[corners] = True
    straight = outline - np.outer(np.where(moved, off, 0.0), across)
    most = float(np.abs(off[moved]).max())
    repairs: tuple[str, ...] = ()
    if most > tolerances.JOIN_ENDS:
        repairs = (f"the fold edge was made straight; it was out by {most:.2f} mm",)
    ends = ((float(first[0]), float(first[1])), (float(second[0]), float(second[1])))
    return FoldEdge(as_points(straight), ends, repairs)
