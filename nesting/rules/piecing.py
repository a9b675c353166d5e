"""Piecing: a piece divided along straight lines into parts that are sewn together again.

A join takes seam allowance from both parts: a strip of the allowance's width along the whole
join, square at its ends (common practice), so that the parts together cover the whole plus two
strips per join.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
import shapely
from shapely.ops import split

from ..geometry.rings import FloatArray, Point, as_points, counter_clockwise, rotated
from ..model.pattern import Notch, PatternPiece
from ..model.plan import PlanPiece
from ..tolerances import CONGRUENT, SAME_POINT
from .true_piece import TruePiece, cut_piece, grain_angle

Line = tuple[Point, Point]

LEAST_JOIN = 1.0
"""Millimetres; a line that runs a shorter way through the piece only grazes it."""

NOTCHED, NOTCHED_TWICE = 60.0, 600.0
"""Millimetres of join from which it has a notch, and from which two."""

_INTO = 0.1  # mm beside a join, to tell on which side of it a part lies
_WIDEST = 0.5  # mm to which the widest place of a part is found
_GRID = 1e-6  # mm; keeps what a union of touching shapes leaves free of slivers


class Part(NamedTuple):
    """One part of a divided piece, with its grain along +x.

    ``region`` is what it shows of the whole, ``cut`` the same with the allowances of its joins;
    ``joins`` are the join lines on its edge, each with its number among those of the whole.
    """

    region: shapely.Polygon
    cut: shapely.Polygon
    joins: tuple[tuple[int, shapely.LineString], ...]


def divide(whole: shapely.Polygon, lines: Sequence[Line], allowance: float) -> tuple[Part, ...]:
    """Return the parts of a region divided by straight lines, the largest first.

    Parameters
    ----------
    whole
        The region, mm.
    lines
        Each by two of its points; a line divides all that it crosses.
    allowance
        Added along every join to both parts, mm.
    """
    low, high = np.array(whole.bounds[:2]), np.array(whole.bounds[2:])
    reach = float(np.hypot(*(high - low))) + 1.0
    endless = [_endless(line, (low + high) / 2, reach) for line in lines]
    regions = [whole]
    for line in endless:
        regions = [part for region in regions for part in _polygons(split(region, line))]
    joins = [join for line in endless for join in _joins(whole, line)]
    parts = []
    for region in regions:
        own = tuple((k, join) for k, join in enumerate(joins, 1) if _borders(region, join))
        strips = [_strip(region, join, allowance) for _, join in own]
        cut = shapely.union_all([region, *strips], grid_size=_GRID)
        parts.append(Part(region, cut, own))
    return tuple(sorted(parts, key=lambda part: -part.region.area))


def count_joins(whole: shapely.Polygon, lines: Sequence[Line]) -> int:
    """Return how many seams the lines make in a region."""
    low, high = np.array(whole.bounds[:2]), np.array(whole.bounds[2:])
    reach = float(np.hypot(*(high - low))) + 1.0
    return sum(len(_joins(whole, _endless(line, (low + high) / 2, reach))) for line in lines)


def part_names(piece: str, count: int) -> tuple[str, ...]:
    """Return the names of a piece's parts, the main part first."""
    if count == 2:
        return f"{piece}, main part", f"{piece}, wedge"
    return (f"{piece}, main part", *(f"{piece}, wedge {k}" for k in range(1, count)))


def join_point(number: int) -> str:
    """Return the name of the point in the middle of a join, which both its parts have."""
    return f"join {number}"


def parts_of(piece: PlanPiece, lines: Sequence[Line]) -> tuple[Part, ...]:
    """Return the parts of a plan piece, its grain along +x, the main part first."""
    assert piece.piecing is not None  # noqa: S101 - the caller asks only for these
    turned = [_turned(line, -grain_angle(piece)) for line in lines]
    return divide(region_of(cut_piece(piece)), turned, piece.piecing.allowance)


def inside_points(piece: PlanPiece, parts: Sequence[Part]) -> tuple[Point, ...]:
    """Return a point well inside every part, in the coordinates of the pattern file."""
    angle = grain_angle(piece)
    found = []
    for part in parts:
        at = part.region.representative_point()
        x, y = rotated(np.array([[at.x, at.y]]), angle)[0]
        found.append((float(x), float(y)))
    return tuple(found)


def pieced(piece: PlanPiece, lines: Sequence[Line]) -> tuple[PlanPiece, ...]:
    """Return the parts of a plan piece as plan pieces of their own, the main part first.

    ``lines`` are in the coordinates of the pattern file. The parts are drawn with their grain
    along +x, at the cut line: allowances, halves and the direction of the top are worked in.
    Lines, marks and named points go to the part that shows them; each join is a sew line of both
    parts. Grain, copies and everything else asked of the piece hold for every part.
    """
    true = cut_piece(piece)
    parts = parts_of(piece, lines)
    names = part_names(piece.name, len(parts))
    return tuple(
        _plan_piece(piece, true, part, name) for part, name in zip(parts, names, strict=True)
    )


def region_of(true: TruePiece) -> shapely.Polygon:
    """Return what a cut piece covers."""
    return shapely.Polygon(true.outline, true.cutouts)


def join_notches(part: Part) -> tuple[Notch, ...]:
    """Return the notches of a part on its joins, where both parts of a join have them alike.

    Counted from the end of the join away from the top of the garment, there is one at a third of
    it, or two, at a quarter and in the middle; so a part turned end for end does not match.
    """
    found = []
    for _, join in part.joins:
        foot, head = sorted(
            (join.coords[0], join.coords[-1]), key=lambda at: (round(at[0], 3), at[1])
        )
        if join.length < NOTCHED:
            continue
        for share in (1 / 3,) if join.length < NOTCHED_TWICE else (1 / 4, 1 / 2):
            x, y = np.array(foot) + share * np.subtract(head, foot)
            dx, dy = np.array([foot[1] - head[1], head[0] - foot[0]]) / join.length
            if not part.region.contains(shapely.Point(x + dx * _INTO, y + dy * _INTO)):
                dx, dy = -dx, -dy
            angle = float(np.degrees(np.arctan2(dy, dx))) % 360.0
            found.append(Notch((float(x), float(y)), angle))
    return tuple(found)


def _turned(line: Line, degrees: float) -> Line:
    (x0, y0), (x1, y1) = rotated(np.array(line), degrees)
    return (float(x0), float(y0)), (float(x1), float(y1))


def _endless(line: Line, middle: FloatArray, reach: float) -> shapely.LineString:
    """Return a line long enough to cross everything within reach of a middle."""
    start, end = np.array(line[0]), np.array(line[1])
    along = (end - start) / np.hypot(*(end - start))
    foot = start + ((middle - start) @ along) * along
    return shapely.LineString([foot - reach * along, foot + reach * along])


def _polygons(shapes: shapely.GeometryCollection) -> list[shapely.Polygon]:
    return [part for part in shapely.get_parts(shapes) if part.geom_type == "Polygon"]


def _joins(whole: shapely.Polygon, line: shapely.LineString) -> list[shapely.LineString]:
    inside = shapely.intersection(whole, line)
    return [
        part
        for part in shapely.get_parts(inside)
        if part.geom_type == "LineString"
        and part.length > LEAST_JOIN
        and whole.exterior.distance(part.interpolate(0.5, normalized=True)) > CONGRUENT
    ]


def _borders(region: shapely.Polygon, join: shapely.LineString) -> bool:
    middle = join.interpolate(0.5, normalized=True)
    return bool(region.exterior.distance(middle) < CONGRUENT)


def _strip(region: shapely.Polygon, join: shapely.LineString, allowance: float) -> shapely.Polygon:
    """Return the allowance beyond a join: a strip on the side away from its part."""
    start, end = np.array(join.coords[0]), np.array(join.coords[-1])
    along = (end - start) / np.hypot(*(end - start))
    out = np.array([-along[1], along[0]])
    beside = (start + end) / 2 - LEAST_JOIN / 10 * out
    if not region.contains(shapely.Point(beside)):
        out = -out
    return shapely.Polygon([start, end, end + allowance * out, start + allowance * out])


def _plan_piece(piece: PlanPiece, true: TruePiece, part: Part, name: str) -> PlanPiece:
    region = part.region.buffer(CONGRUENT)

    def within(at: Point) -> bool:
        return bool(region.covers(shapely.Point(at)))

    pattern = PatternPiece(
        name=name,
        file=piece.pattern.file,
        outline=_ring(part.cut.exterior),
        cutouts=tuple(as_points(_ring(hole)[::-1]) for hole in part.cut.interiors),
        grain=_grain_within(part.region),
        sew_lines=(
            *_clipped(true.sew_lines, part.region),
            *(as_points(np.array(join.coords)) for _, join in part.joins),
        ),
        internal_lines=_clipped(true.internal_lines, part.region),
        stripe_lines=_clipped(true.stripe_lines, part.region),
        plaid_lines=_clipped(true.plaid_lines, part.region),
        notches=(
            *(notch for notch in true.notches if _shows(notch, region)),
            *join_notches(part),
        ),
        drill_holes=tuple(hole for hole in true.drill_holes if within(hole)),
        material=piece.pattern.material,
    )
    points = {key: at for key, at in true.points.items() if within(at)}
    for number, join in part.joins:
        middle_of = join.interpolate(0.5, normalized=True)
        points[join_point(number)] = (middle_of.x, middle_of.y)
    motif = piece.motif if piece.motif is not None and piece.motif.point in points else None
    return replace(
        piece,
        name=name,
        pattern=pattern,
        top="as drawn",
        allowance=0.0,
        edges=(),
        points=points,
        motif=motif,
        border=None,
        piecing=None,
    )


def _grain_within(region: shapely.Polygon) -> tuple[Point, Point]:
    """Return a grain line inside a part: through its widest place, three fifths of the way."""
    middle = shapely.maximum_inscribed_circle(region, tolerance=_WIDEST).coords[0]
    low, _, high, _ = region.bounds
    level = shapely.LineString([(low - 1.0, middle[1]), (high + 1.0, middle[1])])
    stretches = shapely.get_parts(shapely.intersection(region, level))
    inside = min(stretches, key=lambda part: part.distance(shapely.Point(middle)))
    x0, _, x1, _ = inside.bounds
    fifth = (x1 - x0) / 5
    return (x0 + fifth, middle[1]), (x1 - fifth, middle[1])


def _shows(notch: Notch, region: shapely.Polygon) -> bool:
    return bool(region.covers(shapely.Point(notch.at)))


def _ring(ring: shapely.LinearRing) -> FloatArray:
    return as_points(counter_clockwise(np.array(ring.coords[:-1])))


def _clipped(paths: Iterable[FloatArray], region: shapely.Polygon) -> tuple[FloatArray, ...]:
    """Return what a region holds of paths; a path along its edge counts."""
    inside = shapely.buffer(region, SAME_POINT, join_style="mitre")
    found = []
    for path in paths:
        clipped = shapely.line_merge(shapely.intersection(shapely.LineString(path), inside))
        found += [
            as_points(np.array(line.coords))
            for line in shapely.get_parts(clipped)
            if line.geom_type == "LineString" and line.length > CONGRUENT
        ]
    return tuple(found)
