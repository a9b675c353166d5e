"""Pieces made of parts: every part worked out afresh, and the whole rebuilt from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Point, Polygon, box

from ..model.layout import Joining, Layout, Placement
from ..model.pattern import Notch
from ..model.plan import Match, Plan, PlanPiece
from ..tolerances import CONGRUENT, ON_OUTLINE
from .congruence import farthest, ring_polygon
from .findings import Finding
from .recompute import CutPiece

LEAST_JOIN = 1.0  # mm: where parts touch for less, nothing is sewn
_HAIR = 1e-5  # mm: half the width below which what is left of a part is rounding


@dataclass(frozen=True, slots=True, eq=False)
class WholePiece:
    """A piece of the plan that is cut in parts: the parts, each with and without its joins."""

    piece: PlanPiece
    true: CutPiece
    names: tuple[str, ...]
    shown: tuple[Polygon, ...]
    cut: tuple[CutPiece, ...]


def with_parts(
    plan: Plan, layout: Layout, true: Mapping[str, CutPiece]
) -> tuple[Plan, dict[str, CutPiece], list[Finding]]:
    """Return the pieces to be found on the cloth, joined pieces replaced by their parts.

    Parameters
    ----------
    plan, layout
        ``layout.joinings`` tell what is divided, and where.
    true
        The plan's pieces as they have to be cut, by name, in their files' coordinates.

    Returns
    -------
    tuple
        The plan with parts in place of pieces, matched at their joins where the design has to
        run on; cut pieces by the name that placements bear; and all that is wrong with the
        joins: not asked for, too many, in the wrong place, or parts that do not make up the
        whole, on paper or as placed.
    """
    pieces = {piece.name: piece for piece in plan.pieces}
    found = dict(true)
    findings: list[Finding] = []
    matches = list(plan.matches)
    alike = {cloth.name for cloth in plan.cloths if cloth.sides == "alike"}
    for joining in layout.joinings:
        piece = pieces.get(joining.piece)
        if piece is None or piece.piecing is None:
            text = "it is cut in parts, which the plan does not allow"
            findings.append(Finding("join", text, piece=joining.piece))
            continue
        faults = list(_faults(piece, joining, true[piece.name]))
        findings += faults
        whole = None if faults else _divided(piece, joining, true[piece.name])
        if whole is None:
            if not faults:
                text = "its parts are not those that its join lines make"
                findings.append(Finding("join", text, piece=piece.name))
            continue
        del pieces[piece.name], found[piece.name]
        for name, cut in zip(whole.names, whole.cut, strict=True):
            pieces[name] = replace(piece, name=name)
            found[name] = cut
        findings += _rebuilt(whole, layout, turned_over=piece.cloth in alike)
        if piece.piecing.match:
            matches += _matches(whole)
    parted = replace(plan, pieces=tuple(pieces.values()), matches=tuple(matches))
    return parted, found, findings


def _matches(whole: WholePiece) -> Iterator[Match]:
    """Yield, for every join, that the design meets alike on both its sides."""
    own = {
        name: set(cut.points) - set(whole.piece.points)
        for name, cut in zip(whole.names, whole.cut, strict=True)
    }
    for join in sorted(set().union(*own.values())):
        yield Match(tuple((name, join) for name, points in own.items() if join in points), "both")


def _faults(piece: PlanPiece, joining: Joining, true: CutPiece) -> Iterator[Finding]:
    """Yield what is wrong with the join lines themselves."""
    piecing = piece.piecing
    assert piecing is not None  # noqa: S101 - asked before
    if len(joining.parts) != len(joining.inside) or len(set(joining.parts)) != len(joining.parts):
        yield Finding("join", "its parts are not named each once", piece=piece.name)
        return
    if abs(joining.allowance - piecing.allowance) > CONGRUENT:
        text = f"its joins have {joining.allowance:g} mm, the plan asks {piecing.allowance:g} mm"
        yield Finding("join", text, piece=piece.name)
    seams = _seams(true.region, joining)
    if len(seams) > piecing.most:
        text = f"it has {len(seams)} joins; the plan allows {piecing.most}"
        yield Finding("join", text, piece=piece.name)
    zones = _zones(piece)
    if zones is not None:
        allowed = zones.buffer(ON_OUTLINE)
        for seam in seams:
            if shapely.difference(seam, allowed).length > CONGRUENT:
                outside = shapely.segmentize(shapely.difference(seam, zones), 1.0)
                ends = shapely.points(shapely.get_coordinates(outside))
                off = float(shapely.distance(ends, zones).max())
                text = f"a join lies up to {off:.1f} mm outside where joins are allowed"
                yield Finding("join", text, piece=piece.name)
    if piecing.line is not None:
        line = LineString(piecing.line)
        for start, end in joining.lines:
            ends = [_off_line(line, Point(start)), _off_line(line, Point(end))]
            if max(ends) > CONGRUENT:
                text = f"its join lies {max(ends):.2f} mm off the line the plan gives"
                yield Finding("join", text, piece=piece.name)


def _off_line(line: LineString, point: Point) -> float:
    (x0, y0), (x1, y1) = line.coords
    cross = (x1 - x0) * (point.y - y0) - (y1 - y0) * (point.x - x0)
    return float(abs(cross) / line.length)


def _zones(piece: PlanPiece) -> shapely.Geometry | None:
    assert piece.piecing is not None  # noqa: S101 - asked before
    if not piece.piecing.zones:
        return None
    zones = [Polygon(ring) for ring in piece.piecing.zones]
    if piece.pattern.mirror is not None:
        (x0, y0), (x1, y1) = piece.pattern.mirror
        turn = float(np.degrees(np.arctan2(y1 - y0, x1 - x0)))
        for zone in tuple(zones):
            level = affinity.rotate(zone, -turn, origin=(x0, y0))
            other = affinity.scale(level, 1.0, -1.0, origin=(x0, y0))
            zones.append(affinity.rotate(other, turn, origin=(x0, y0)))
    return shapely.union_all(zones)


def _regions(region: Polygon, joining: Joining) -> list[Polygon]:
    """Return what the join lines leave of a region, by cutting with half planes."""
    x0, y0, x1, y1 = region.bounds
    reach = 4.0 * float(np.hypot(x1 - x0, y1 - y0)) + 1000.0
    pieces = [region]
    for start, end in joining.lines:
        turn = float(np.degrees(np.arctan2(end[1] - start[1], end[0] - start[0])))
        upper = box(start[0] - reach, start[1], start[0] + reach, start[1] + reach)
        upper = affinity.rotate(upper, turn, origin=start)
        pieces = [
            part
            for piece in pieces
            for side in (shapely.intersection(piece, upper), shapely.difference(piece, upper))
            for part in shapely.get_parts(side)
            if part.geom_type == "Polygon" and part.area > CONGRUENT
        ]
    return pieces


def _seams(region: Polygon, joining: Joining) -> list[LineString]:
    """Return where the join lines run through a region, not along its edge."""
    inner = region.buffer(-CONGRUENT)
    found = []
    for start, end in joining.lines:
        along = np.subtract(end, start) / np.hypot(*np.subtract(end, start))
        reach = 4.0 * max(abs(value) for value in (*region.bounds, *start)) + 1000.0
        line = LineString([np.array(start) - reach * along, np.array(start) + reach * along])
        crossings = shapely.get_parts(shapely.intersection(line, region))
        found += [c for c in crossings if c.length > LEAST_JOIN and c.intersects(inner)]
    return found


def _lines(shape: shapely.Geometry) -> MultiLineString:
    parts = [p for p in shapely.get_parts(shape) if p.geom_type == "LineString" and p.length > 0]
    return MultiLineString(parts)


def _divided(piece: PlanPiece, joining: Joining, true: CutPiece) -> WholePiece | None:
    """Return the parts in the order of their names; None where names and parts do not agree."""
    regions = _regions(true.region, joining)
    shown: list[Polygon] = []
    for at in joining.inside:
        here = [region for region in regions if region.contains(Point(at))]
        if len(here) != 1 or any(here[0] is other for other in shown):
            return None
        shown.append(here[0])
    if len(shown) != len(regions):
        return None
    seams = _seams(true.region, joining)
    cut = tuple(_cut_part(true, region, seams, joining.allowance) for region in shown)
    return WholePiece(piece, true, joining.parts, tuple(shown), cut)


def _cut_part(
    true: CutPiece, region: Polygon, seams: Sequence[LineString], allowance: float
) -> CutPiece:
    """Return one part with its allowances and marks."""
    near = region.buffer(CONGRUENT)
    own = [seam for seam in seams if near.covers(seam.interpolate(0.5, normalized=True))]
    cut = region
    for seam in own:
        for side in (1.0, -1.0):
            hair = seam.buffer(side * CONGRUENT, single_sided=True)
            if shapely.intersection(hair, region).area < 0.5 * hair.area:
                strip = seam.buffer(side * allowance, single_sided=True)
                cut = shapely.union(cut, strip, grid_size=1e-6)

    def lines(drawn: MultiLineString) -> MultiLineString:
        return _lines(shapely.intersection(drawn, region.buffer(1e-6, join_style="mitre")))

    return replace(
        true,
        region=cut,
        grain_drawn=False,
        sew=MultiLineString([*shapely.get_parts(lines(true.sew)), *own]),
        internal=lines(true.internal),
        stripe=lines(true.stripe),
        plaid=lines(true.plaid),
        notches=(
            *(n for n in true.notches if near.covers(Point(n.at))),
            *(notch for seam in own for notch in _seam_notches(seam, region, true.grain_angle)),
        ),
        drills=tuple(at for at in true.drills if near.covers(Point(at))),
        points={
            **{key: at for key, at in true.points.items() if near.covers(Point(at))},
            **{
                f"join {number}": _middle(seam)
                for number, seam in enumerate(seams, 1)
                if seam in own
            },
        },
    )


def _seam_notches(seam: LineString, region: Polygon, grain: float) -> Iterator[Notch]:
    """Yield the notches that a part must have on one of its joins, square into it.

    From the end away from the top: at 1/3; on joins of 60 cm and more at 1/4 and 1/2; none on
    joins under 6 cm.
    """
    if seam.length < 60.0:
        return
    level = affinity.rotate(seam, -grain, origin=(0.0, 0.0))
    (x0, y0), (x1, y1) = level.coords[0], level.coords[-1]
    upward = (round(x0, 3), y0) < (round(x1, 3), y1)
    for share in (0.25, 0.5) if seam.length >= 600.0 else (1.0 / 3.0,):
        at = seam.interpolate(share if upward else 1.0 - share, normalized=True)
        beside = [
            affinity.rotate(Point(at.x + 0.1, at.y), turn, origin=at)
            for turn in (grain + _slope(level) + 90.0, grain + _slope(level) - 90.0)
        ]
        inner = next((point for point in beside if region.contains(point)), beside[0])
        angle = float(np.degrees(np.arctan2(inner.y - at.y, inner.x - at.x))) % 360.0
        yield Notch((at.x, at.y), angle)


def _slope(line: LineString) -> float:
    (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
    return float(np.degrees(np.arctan2(y1 - y0, x1 - x0)))


def _middle(seam: LineString) -> tuple[float, float]:
    middle = seam.interpolate(0.5, normalized=True)
    return middle.x, middle.y


def _rebuilt(whole: WholePiece, layout: Layout, *, turned_over: bool) -> Iterator[Finding]:
    """Yield where the parts as placed, their allowances taken off, do not make the whole.

    ``turned_over`` where the cloth is alike on both sides: each part is then sewn either way up.
    """
    placed: dict[int, dict[str, Placement]] = {}
    for lay in layout.lays:
        for placement in lay.placements:
            if placement.piece in whole.names:
                placed.setdefault(placement.copy, {})[placement.piece] = placement
    for copy, parts in sorted(placed.items()):
        if set(parts) != set(whole.names):
            continue  # a missing part is a wrong count, and said there
        yield from _grain_outside(parts)
        if not turned_over and len({part.mirrored for part in parts.values()}) > 1:
            text = "its parts are not all of one hand"
            yield Finding("join", text, piece=whole.piece.name, copy=copy)
            continue
        back = [
            _put_back(parts[name], cut, shown)
            for name, cut, shown in zip(whole.names, whole.cut, whole.shown, strict=True)
        ]
        # Parts a rounding error apart are joined; any gap that counts stays open.
        hair = CONGRUENT / 2
        again = shapely.union_all([part.buffer(hair, join_style="mitre") for part in back])
        again = again.buffer(-hair, join_style="mitre")
        if again.geom_type != "Polygon":
            text = "its parts do not join to one piece"
        else:
            off = farthest(again.exterior, whole.true.region.exterior)
            if off <= CONGRUENT:
                continue
            text = f"its parts joined again are {off:.3f} mm off the whole"
        yield Finding("join", text, piece=whole.piece.name, copy=copy)


def _grain_outside(parts: Mapping[str, Placement]) -> Iterator[Finding]:
    """Yield where the grain line of a part, free to lie anywhere on it, runs out of it."""
    for name, part in parts.items():
        inside = ring_polygon(part.outline, part.cutouts).buffer(CONGRUENT)
        if not inside.covers(LineString(part.grain)):
            text = "its grain line runs out of the part"
            yield Finding("marks", text, piece=name, copy=part.copy)


def _put_back(placement: Placement, cut: CutPiece, shown: Polygon) -> shapely.Geometry:
    """Return a placed part in the file's coordinates, without the allowances of its joins."""
    lying = cut.lying(mirrored=placement.mirrored, turned=placement.turned)
    there = ring_polygon(placement.outline, placement.cutouts)
    dx = there.centroid.x - lying.region.centroid.x
    dy = there.centroid.y - lying.region.centroid.y
    back = affinity.rotate(
        affinity.translate(there, -dx, -dy), -placement.turned, origin=(0.0, 0.0)
    )
    if placement.mirrored:
        back = affinity.scale(back, 1.0, -1.0, origin=(0.0, 0.0))
    back = affinity.rotate(back, cut.grain_angle, origin=(0.0, 0.0))
    strips = shapely.difference(cut.region, shown)
    left = shapely.difference(back, strips.buffer(1e-6))
    # Rounding leaves hairs along the ends of the strips; nothing that can be cut is as fine.
    opened = left.buffer(-_HAIR, join_style="mitre")
    return opened.buffer(_HAIR, join_style="mitre")
