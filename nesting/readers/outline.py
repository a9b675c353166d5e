"""Cleaning and judging of outlines: what every pattern reader does before a piece is a piece."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
import shapely

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray, as_points, bounds, signed_area

_FAR: Final = 200  # points on one straight line that are dropped in a row
_MOST_ROUNDS: Final = 1000  # hairs on hairs that are cut off; more is a scribble


class CleanRing(NamedTuple):
    """A ring fit to be cut, and what was mended to make it so.

    ``ring`` has shape (n, 2), millimetres, n >= 3, no repeated or needless points, the first
    point not repeated at the end. ``repairs`` are plain sentences without a full stop.
    """

    ring: FloatArray
    repairs: tuple[str, ...] = ()


def clean_outline(points: FloatArray, *, file: str, item: str) -> CleanRing:
    """Return the outline of a piece as a simple ring running counter-clockwise.

    Repeated points, points in the middle of a straight edge and hairs of no width are dropped;
    nothing else moves.

    Parameters
    ----------
    points
        Shape (n, 2), millimetres, y up, either way round; the last point may repeat the first.
    file, item
        Named in the error.

    Raises
    ------
    InputError
        If a coordinate is not finite, or the outline is too small, too large, encloses nothing,
        or crosses or touches itself.
    """
    finite = _finite(points, file=file, item=item)
    check_size(finite, file=file, item=item, what="outline")
    cleaned = _clean(finite, file=file, item=item, what="outline")
    return cleaned._replace(ring=_frozen(_turned(cleaned.ring, positive=True)))


def clean_cutout(points: FloatArray, *, file: str, item: str) -> CleanRing:
    """Return a cutout as a simple ring running clockwise; it may be as small as it likes.

    Parameters and errors as for :func:`clean_outline`.
    """
    finite = _finite(points, file=file, item=item)
    cleaned = _clean(finite, file=file, item=item, what="cutout")
    return cleaned._replace(ring=_frozen(_turned(cleaned.ring, positive=False)))


def is_closed(points: FloatArray, within: float = tolerances.JOIN_ENDS) -> bool:
    """Return whether a path of at least four points ends where it starts."""
    return len(points) >= 4 and bool(np.hypot(*(points[-1] - points[0])) <= within)


def is_straight(points: FloatArray) -> bool:
    """Return whether the points lie along one straight line, and so can be no outline."""
    hull = shapely.MultiPoint(points).convex_hull
    size = float(np.hypot(*np.ptp(points, axis=0)))
    return bool(hull.area <= tolerances.JOIN_ENDS * size)


def check_size(points: FloatArray, *, file: str, item: str, what: str) -> None:
    """Refuse points that spread over less than 5 mm or more than 20 m.

    Raises
    ------
    InputError
        Naming the size found and the size allowed.
    """
    left, low, right, high = bounds(points)
    width, height = right - left, high - low
    size = f"the {what} measures {width:.6g} x {height:.6g} mm"
    if max(width, height) > tolerances.LARGEST_PIECE:
        raise InputError(
            f"{size}, over the {tolerances.LARGEST_PIECE / 1000:g} m allowed",
            remedy="the units of the file are probably wrong; correct them and export it again",
            file=file,
            item=item,
        )
    if max(width, height) < tolerances.SMALLEST_PIECE:
        raise InputError(
            f"{size}, under the {tolerances.SMALLEST_PIECE:g} mm allowed",
            remedy="delete it from the drawing, or correct the units of the file",
            file=file,
            item=item,
        )


def open_outline_error(points: FloatArray, *, file: str, item: str) -> InputError:
    """Return the error for an outline whose ends do not meet; ``points`` in millimetres."""
    (ax, ay), (bx, by) = points[0], points[-1]
    gap = float(np.hypot(bx - ax, by - ay))
    return InputError(
        f"the outline is open: its ends at ({ax:.2f}, {ay:.2f}) and ({bx:.2f}, {by:.2f}) mm "
        f"lie {gap:.2f} mm apart, over the {tolerances.JOIN_ENDS:g} mm allowed",
        remedy="join the two ends in the drawing",
        file=file,
        item=item,
    )


def _finite(points: FloatArray, *, file: str, item: str) -> FloatArray:
    array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    if not np.isfinite(array).all():
        index = int(np.argmin(np.isfinite(array).all(axis=1)))
        raise InputError(
            f"point {index + 1} of the outline is ({array[index, 0]}, {array[index, 1]}), "
            "not two finite numbers",
            remedy="draw that point again and export the file anew",
            file=file,
            item=item,
        )
    if len(array) < 3:
        raise _no_area(0.0, len(array), file=file, item=item, what="outline")
    return array


def _clean(points: FloatArray, *, file: str, item: str, what: str) -> CleanRing:
    ring = _without_repeats(points)
    ring, hairs = _without_hairs(ring)
    if len(ring) >= 3:
        ring = _without_needless(ring)
    if len(ring) < 3:
        raise _no_area(0.0, len(ring), file=file, item=item, what=what)
    # Before the area, which the two loops of a figure of eight may cancel.
    _refuse_crossing(ring, file=file, item=item, what=what)
    area = abs(signed_area(ring))
    around = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
    # Twice the area over the way round is the mean width: less than a joint is no piece at all.
    if 2.0 * area <= tolerances.JOIN_ENDS * around:
        raise _no_area(area, len(ring), file=file, item=item, what=what)
    repairs = tuple(
        f"a hair of no width at ({x:.2f}, {y:.2f}) mm was cut off the {what}" for x, y in hairs
    )
    return CleanRing(ring, repairs)


def _no_area(area: float, count: int, *, file: str, item: str, what: str) -> InputError:
    return InputError(
        f"the {what} encloses no area ({area:.3g} mm2, {count} points)",
        remedy="delete it from the drawing, or draw it as a closed shape",
        file=file,
        item=item,
    )


def _refuse_crossing(ring: FloatArray, *, file: str, item: str, what: str) -> None:
    polygon = shapely.Polygon(ring)
    if polygon.is_valid:
        return
    reason = shapely.is_valid_reason(polygon)
    kind, _, place = reason.partition("[")
    x, _, y = place.rstrip("]").partition(" ")
    verb = "touches" if kind.startswith("Ring") else "crosses"
    where = f" at ({float(x):.2f}, {float(y):.2f}) mm" if y else ""
    raise InputError(
        f"the {what} {verb} itself{where}",
        remedy="redraw it there so that it runs once round the piece",
        file=file,
        item=item,
    )


def _without_repeats(points: FloatArray) -> FloatArray:
    """Drop points that repeat the one before; the first counts as following the last."""
    keep = np.hypot(*(points - np.roll(points, 1, axis=0)).T) > tolerances.SAME_POINT
    kept: FloatArray = points[keep]
    return kept


def _without_hairs(ring: FloatArray) -> tuple[FloatArray, list[tuple[float, float]]]:
    """Cut off tips at which the outline turns back on itself, keeping where they were."""
    hairs: list[tuple[float, float]] = []
    for _ in range(_MOST_ROUNDS):
        if len(ring) < 3:
            break
        before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
        cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        dot = (before * after).sum(axis=1)
        longer = np.maximum(np.hypot(*before.T), np.hypot(*after.T))
        back = (dot < 0) & (np.abs(cross) <= tolerances.SAME_POINT * longer)
        if not back.any():
            break
        # All tips at once, but of two neighbours only the first.
        tips = np.flatnonzero(back & ~np.roll(back, 1))
        tips = tips if len(tips) else np.flatnonzero(back)[:1]
        hairs += [(float(x), float(y)) for x, y in ring[tips]]
        ring = _without_repeats(np.delete(ring, tips, axis=0))
    return ring, hairs


def _without_needless(ring: FloatArray) -> FloatArray:
    """Drop points that stand on the straight line between those kept.

    Starts from the point farthest from the middle, which is a corner of the convex hull and
    therefore needed, and goes on from corner to corner as far as a straight line reaches, though
    never past more than ``_FAR`` points, so that many thousands in a line take no time either.
    """
    start = int(np.argmax(np.hypot(*(ring - ring.mean(axis=0)).T)))
    closed = np.vstack([np.roll(ring, -start, axis=0), ring[start]])
    # Within one line no three neighbours stand out by more than twice the tolerance.
    corner = _off_line(closed[1:-1], closed[:-2], closed[2:]) > 2.0 * tolerances.SAME_POINT
    kept = [0]
    for index in range(1, len(ring)):
        last, after = kept[-1], closed[index + 1]
        passed = closed[last + 1 : index + 1]
        if (
            corner[index - 1]
            or len(passed) > _FAR
            or (_off_line(passed, closed[last], after).max() > tolerances.SAME_POINT)
        ):
            kept.append(index)
    # What a very long line kept of its points goes in a second turn.
    again = len(kept) < len(ring) and len(ring) > _FAR
    return _without_needless(closed[kept]) if again else closed[kept]


def _off_line(points: FloatArray, first: FloatArray, second: FloatArray) -> FloatArray:
    """Return how far points stand off the line through two others; all may be rows."""
    along, away = second - first, points - first
    cross = along[..., 0] * away[..., 1] - along[..., 1] * away[..., 0]
    length = np.hypot(along[..., 0], along[..., 1])
    off = np.hypot(away[..., 0], away[..., 1])
    np.divide(np.abs(cross), length, out=off, where=length > 0.0)
    return off


def _turned(ring: FloatArray, *, positive: bool) -> FloatArray:
    return ring if (signed_area(ring) > 0) == positive else ring[::-1]


def _frozen(ring: FloatArray) -> FloatArray:
    return as_points(np.ascontiguousarray(ring))
