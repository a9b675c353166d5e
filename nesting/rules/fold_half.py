"""A piece drawn as a half, as it is cut on a fold: the half alone, its fold edge uncut."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import shapely

from ..geometry.rings import FloatArray, Point, as_points, bounds, counter_clockwise, rotated
from ..model.plan import PlanPiece
from ..tolerances import CONGRUENT, JOIN_ENDS
from .orientation import Way
from .true_piece import TruePiece, grain_angle

_SNAP = 1e-6  # mm; float noise of the clipping


@dataclass(frozen=True, slots=True, eq=False)
class HalfPiece:
    """The drawn half of a piece as it is to be cut, its grain along +x.

    ``inward`` is the unit vector, along x or y, from the fold edge into the half. No allowance
    runs along the fold edge.
    """

    piece: TruePiece
    inward: Point

    def laid(self, way: Way) -> tuple[TruePiece, Point]:
        """Return the half lying one way, its box at the origin, and the vector into it then."""
        x, y = self.inward
        turned = rotated(np.array([[x, -y if way.mirrored else y]]), way.turned)[0]
        return self.piece.laid(way), (float(turned[0]), float(turned[1]))


def half_piece(piece: PlanPiece, whole: TruePiece) -> HalfPiece | None:
    """Return the half of a piece that may lie on a fold; None where there is none.

    Parameters
    ----------
    piece
        As planned.
    whole
        The same as it is to be cut whole, its grain along +x.

    Returns
    -------
    HalfPiece or None
        None where the pattern is drawn whole, or its mirror line runs neither along the grain
        nor square to it.
    """
    if piece.pattern.mirror is None:
        return None
    angle = grain_angle(piece)
    ends = rotated(np.array(piece.pattern.mirror), -angle)
    drawn = rotated(piece.pattern.outline, -angle)
    run = np.abs(ends[1] - ends[0])
    if min(run) > CONGRUENT:
        return None
    across = int(run[1] > run[0])  # 1 where the mirror line runs across the grain
    axis = 0 if across else 1  # the coordinate that is constant along it
    at = float(ends[:, axis].mean())
    side = 1.0 if float((drawn[:, axis] - at).sum()) > 0 else -1.0
    inward = (side, 0.0) if across else (0.0, side)
    return HalfPiece(_clipped(whole, axis, at, side), inward)


def _clipped(whole: TruePiece, axis: int, at: float, side: float) -> TruePiece:
    """Return what lies on one side of a line along an axis; marks on the line are kept."""
    box = list(bounds(whole.outline))
    box = [box[0] - 1.0, box[1] - 1.0, box[2] + 1.0, box[3] + 1.0]
    box[axis if side > 0 else axis + 2] = at
    window = shapely.box(*box)

    def snapped(points: FloatArray) -> FloatArray:
        moved = np.array(points)
        moved[np.abs(moved[:, axis] - at) <= _SNAP, axis] = at
        return moved

    def kept(point: Point) -> bool:
        return (point[axis] - at) * side >= -JOIN_ENDS

    def paths(lines: Iterable[FloatArray]) -> tuple[FloatArray, ...]:
        return tuple(
            as_points(snapped(np.array(part.coords)))
            for line in lines
            for part in _lines_within(line, window)
        )

    region = shapely.intersection(shapely.Polygon(whole.outline, whole.cutouts), window)
    half = max(shapely.get_parts(region), key=lambda part: float(part.area))
    return replace(
        whole,
        outline=as_points(counter_clockwise(snapped(np.array(half.exterior.coords[:-1])))),
        cutouts=tuple(
            as_points(counter_clockwise(np.array(ring.coords[:-1]))[::-1])
            for ring in half.interiors
        ),
        sew_lines=paths(whole.sew_lines),
        internal_lines=paths(whole.internal_lines),
        stripe_lines=paths(whole.stripe_lines),
        plaid_lines=paths(whole.plaid_lines),
        notches=tuple(notch for notch in whole.notches if kept(notch.at)),
        drill_holes=tuple(hole for hole in whole.drill_holes if kept(hole)),
    )


def _lines_within(line: FloatArray, window: shapely.Polygon) -> list[shapely.LineString]:
    """Return the parts of a path inside a window, joined where they meet."""
    cut = shapely.line_merge(shapely.intersection(shapely.LineString(line), window))
    return [part for part in shapely.get_parts(cut) if part.geom_type == "LineString"]
