"""How much of a trim to buy: counted, or measured on the pattern along the stitching line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.ops import linemerge, substring

from ..model.costing import Trim
from ..model.plan import EdgeAllowance, Plan, PlanPiece
from ..tolerances import JOIN_ENDS
from ..units import round_up_to_step

_Path = npt.NDArray[np.float64]
_Point = tuple[float, float]

_SHARP = math.radians(25)  # a lesser turn is part of a curve
_BESIDE = 5.0  # mm; an end so near a corner is that corner
_ACUTE = 2.0  # times as far as the sew line itself may the corner of it be
_FAR = 80.0  # mm; a sew line farther from the cut line than this belongs to another edge


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length measured along one edge or line of one copy, and where; millimetres."""

    source: str
    length: float


@dataclass(frozen=True, slots=True)
class TrimNeed:
    """What a trim comes to.

    ``measured`` is what it is sewn to, ``need`` what that takes with fullness, turned-in ends
    and joins, ``buy`` that rounded up to the step, all in millimetres and 0 for what is counted;
    ``pieces`` counts what is bought by number. ``remarks`` say what had to be assumed.
    """

    measured: float
    need: float
    buy: float
    pieces: int = 0
    remarks: tuple[str, ...] = ()


def trim_need(plan: Plan, trim: Trim) -> TrimNeed:
    """Return what to buy of a trim of a plan.

    The need is, for each strip, (measured - less) x fullness + 2 x turn_back, and joins x overlap
    once; an exact multiple of the step is not rounded up.
    """
    if not trim.measured:
        return TrimNeed(0.0, 0.0, 0.0, pieces=trim.count or 0)
    stretches, remarks = measured_stretches(plan, trim)
    lengths = [stretch.length for stretch in stretches]
    strips = lengths if trim.strips == "each" else [math.fsum(lengths)]
    worn = (max(0.0, strip - trim.less) * trim.fullness + 2 * trim.turn_back for strip in strips)
    need = math.fsum(worn) + trim.joins * trim.overlap
    buy = max(need, round_up_to_step(need, trim.step))
    return TrimNeed(math.fsum(lengths), need, buy, remarks=remarks)


def measured_stretches(plan: Plan, trim: Trim) -> tuple[list[Stretch], tuple[str, ...]]:
    """Return every stretch a trim is sewn to, copy by copy, and what had to be assumed.

    A half counts both its sides. Where an allowance is added the drawn outline is the stitching
    line; else the drawn sew line is measured, and only where there is none the cut line.
    """
    pieces = {piece.name: piece for piece in plan.pieces}
    found: list[Stretch] = []
    remarks: dict[str, None] = {}
    for name, edge_name in trim.edges:
        piece = pieces[name]
        edge = next(edge for edge in piece.edges if edge.name == edge_name)
        length, stitched = edge_length(piece, edge)
        sides = 1 if piece.pattern.mirror is None else 2
        found += [Stretch(f"{name}:{edge_name}", length)] * (sides * piece.copies)
        if not stitched:
            remarks[f"{name}: no sew line is drawn along {edge_name}, so the cut line counts"] = (
                None
            )
    for name, number in trim.lines:
        piece = pieces[name]
        lines = piece.pattern.internal_lines
        for line in lines if number is None else (lines[number - 1],):
            found += [Stretch(name, part) for part in _line_lengths(line, piece)] * piece.copies
    given = [Stretch("as given", length) for length in trim.lengths]
    return found + given * (trim.count or 1), tuple(remarks)


def edge_length(piece: PlanPiece, edge: EdgeAllowance) -> tuple[float, bool]:
    """Return the length of a named edge of the drawn piece, and whether on a stitching line."""
    outline = piece.pattern.outline
    if piece.allowance > 0 or any(one.allowance > 0 for one in piece.edges):
        return _along_ring(outline, edge.start, edge.end), True
    sewn = _along_sew_lines(piece.pattern.sew_lines, edge, outline)
    return (_along_ring(outline, edge.start, edge.end), False) if sewn is None else (sewn, True)


def _along_ring(ring: _Path, start: _Point, end: _Point) -> float:
    """Return the length of a ring counter-clockwise from the point nearest start to end's."""
    line = shapely.LinearRing(ring)
    if not line.is_ccw:
        line = line.reverse()
    first, last = (line.project(shapely.Point(at)) for at in (start, end))
    return float((last - first) % line.length) or float(line.length)


def _along_sew_lines(
    paths: tuple[_Path, ...], edge: EdgeAllowance, outline: _Path
) -> float | None:
    """Return the length of the sew line beside an edge; None where none is near both its ends."""
    drawn = [shapely.LineString(path) for path in paths if len(path) > 1]
    if not drawn:
        return None
    joined = linemerge(drawn) if len(drawn) > 1 else drawn[0]
    lines = list(getattr(joined, "geoms", [joined]))
    start, end = shapely.Point(edge.start), shapely.Point(edge.end)
    line = min(lines, key=lambda one: max(one.distance(start), one.distance(end)))
    if max(line.distance(start), line.distance(end)) > _FAR:
        return None
    first, last = (_beside(at, line, outline) for at in (edge.start, edge.end))
    if _closed(line):
        return _along_ring(np.asarray(line.coords)[:-1], first, last)
    ends = (line.project(shapely.Point(at)) for at in (first, last))
    return float(substring(line, *ends).length)


def _beside(at: _Point, line: shapely.LineString, outline: _Path) -> _Point:
    """Return the point of a sew line beside a point of the cut line.

    A corner of the one belongs to the corner of the other: where an acute corner is cut off, or
    allowances differ, the nearest point lies a good way beside it.
    """
    foot = line.interpolate(line.project(shapely.Point(at)))
    near = _corners(outline)
    if not len(near) or np.hypot(*(near - at).T).min() > _BESIDE:
        return foot.x, foot.y
    points = np.asarray(line.coords)
    corners = _corners(points[:-1]) if _closed(line) else points[[0, -1]]
    away = np.hypot(*(corners - at).T)
    reach = min(_FAR, _ACUTE * foot.distance(shapely.Point(at)))
    if not len(away) or away.min() > reach:
        return foot.x, foot.y
    x, y = corners[away.argmin()]
    return float(x), float(y)


def _closed(line: shapely.LineString) -> bool:
    ends = shapely.get_point(line, 0), shapely.get_point(line, -1)
    return bool(shapely.distance(*ends) <= JOIN_ENDS)


def _corners(ring: _Path) -> _Path:
    """Return the points at which a ring turns sharply."""
    before, after = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    sharp: _Path = ring[np.abs(turn) > _SHARP]
    return sharp


def _line_lengths(line: _Path, piece: PlanPiece) -> list[float]:
    """Return the lengths of the strips along one internal line of one copy.

    On a half, a line that ends on the fold goes on beyond it, one along the fold is single, and
    any other is there twice.
    """
    length = float(np.hypot(*np.diff(line, axis=0).T).sum())
    mirror = piece.pattern.mirror
    if mirror is None:
        return [length]
    (ax, ay), (bx, by) = mirror
    normal = np.array([ay - by, bx - ax]) / math.hypot(bx - ax, by - ay)
    off = np.abs((line - np.array([ax, ay])) @ normal)
    if off.max() <= JOIN_ENDS:
        return [length]
    if min(off[0], off[-1]) <= JOIN_ENDS:
        return [2 * length]
    return [length, length]
