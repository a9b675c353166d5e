"""Every cut piece worked out afresh from its pattern and the plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..model.pattern import Notch
from ..model.plan import PlanPiece
from ..tolerances import CONGRUENT, JOIN_ENDS
from .allowance import Stretch, add_allowance, narrowed, stretch_between
from .congruence import as_lines, ring_polygon

Point = tuple[float, float]
Geometry = TypeVar("Geometry", bound=BaseGeometry)


@dataclass(frozen=True, slots=True, eq=False)
class CutPiece:
    """A piece as it has to be cut: region inside the cut line, cutouts, and all its marks.

    ``grain`` runs from the bottom to the top of the garment, and ``grain_drawn`` says whether the
    pattern draws it.
    """

    region: Polygon
    grain: tuple[Point, Point]
    grain_drawn: bool
    sew: MultiLineString
    internal: MultiLineString
    stripe: MultiLineString
    plaid: MultiLineString
    notches: tuple[Notch, ...]
    drills: tuple[Point, ...]
    points: Mapping[str, Point]

    @property
    def grain_angle(self) -> float:
        """Direction of the grain towards the top, degrees counter-clockwise from +x."""
        (x0, y0), (x1, y1) = self.grain
        return math.degrees(math.atan2(y1 - y0, x1 - x0))

    def lying(self, *, mirrored: bool, turned: float) -> CutPiece:
        """Return the piece reflected about its grain if asked, its top pointing to ``turned``."""
        here = self.grain_angle

        def lay(shape: Geometry) -> Geometry:
            along = affinity.rotate(shape, -here, origin=(0.0, 0.0))
            if mirrored:
                along = affinity.scale(along, 1.0, -1.0, origin=(0.0, 0.0))
            result: Geometry = affinity.rotate(along, turned, origin=(0.0, 0.0))
            return result

        def angle(drawn: float) -> float:
            return turned + (here - drawn if mirrored else drawn - here)

        return self.mapped(lay, angle)

    def shifted(self, dx: float, dy: float) -> CutPiece:
        """Return the piece moved."""
        return self.mapped(lambda shape: affinity.translate(shape, dx, dy), lambda angle: angle)

    def mapped(
        self,
        move: Callable[[BaseGeometry], BaseGeometry],
        angle: Callable[[float], float],
    ) -> CutPiece:
        """Return the piece with every shape moved and every direction changed."""

        def at(point: Point) -> Point:
            moved = move(shapely.Point(point))
            return moved.x, moved.y

        return replace(
            self,
            region=move(self.region),
            grain=(at(self.grain[0]), at(self.grain[1])),
            sew=move(self.sew),
            internal=move(self.internal),
            stripe=move(self.stripe),
            plaid=move(self.plaid),
            notches=tuple(
                replace(n, at=at(n.at), angle=None if n.angle is None else angle(n.angle))
                for n in self.notches
            ),
            drills=tuple(at(p) for p in self.drills),
            points={name: at(p) for name, p in self.points.items()},
        )


def cut_piece(piece: PlanPiece) -> CutPiece:
    """Return the piece as it has to be cut, in the coordinates of its pattern file.

    A half is completed about its mirror line; then the allowances are added: edges named in the
    plan get their own, cutouts that of the piece. What was drawn becomes a sew line.
    """
    pattern = piece.pattern
    stitched = ring_polygon(pattern.outline, pattern.cutouts)
    stretches = tuple(
        stretch_between(np.asarray(pattern.outline), edge.start, edge.end, edge.allowance)
        for edge in piece.edges
    )
    drawn = CutPiece(
        region=stitched,
        grain=_towards_top(piece),
        grain_drawn=pattern.grain is not None,
        sew=as_lines(pattern.sew_lines),
        internal=as_lines(pattern.internal_lines),
        stripe=as_lines(pattern.stripe_lines),
        plaid=as_lines(pattern.plaid_lines),
        notches=pattern.notches,
        drills=pattern.drill_holes,
        points=dict(piece.points),
    )
    if pattern.mirror is not None:
        drawn, stretches = _completed(drawn, stretches, pattern.mirror)
    if piece.allowance <= 0 and all(edge.allowance <= 0 for edge in piece.edges):
        return drawn
    outer = add_allowance(drawn.region, piece.allowance, stretches)
    openings = list(drawn.region.interiors)
    stitched_lines = [LineString(drawn.region.exterior)]
    if piece.allowance > 0:
        stitched_lines += [LineString(opening) for opening in openings]
        openings = [ring for hole in openings for ring in narrowed(hole, piece.allowance)]
    return replace(
        drawn,
        region=Polygon(outer.exterior, openings),
        sew=MultiLineString([*shapely.get_parts(drawn.sew), *stitched_lines]),
    )


def _towards_top(piece: PlanPiece) -> tuple[Point, Point]:
    first, second = piece.pattern.grain or ((0.0, 0.0), (0.0, 1.0))
    return (second, first) if piece.top == "reverse" else (first, second)


def _completed(
    half: CutPiece, stretches: tuple[Stretch, ...], mirror: tuple[Point, Point]
) -> tuple[CutPiece, tuple[Stretch, ...]]:
    """Return the whole of which a half is drawn, with the stretches of both sides."""

    def reflect(shape: Geometry) -> Geometry:
        return reflected(shape, mirror)

    (x0, y0), (x1, y1) = mirror
    axis = math.degrees(math.atan2(y1 - y0, x1 - x0))
    other = half.mapped(reflect, lambda angle: 2.0 * axis - angle)
    whole = replace(
        half,
        region=_glued(half.region, other.region),
        sew=_both(half.sew, other.sew),
        internal=_both(half.internal, other.internal),
        stripe=_both(half.stripe, other.stripe),
        plaid=_both(half.plaid, other.plaid),
        notches=half.notches + _apart_from(half.notches, other.notches),
        drills=half.drills
        + tuple(q for p, q in zip(half.drills, other.drills, strict=True) if _far(p, q)),
    )
    mirrored = tuple(
        Stretch(tuple(reflect(line) for line in stretch.lines), stretch.allowance)
        for stretch in stretches
    )
    return whole, stretches + mirrored


def reflected(shape: Geometry, mirror: tuple[Point, Point]) -> Geometry:
    """Return the shape on the other side of the mirror line.

    Points drawn within ``JOIN_ENDS`` of the line belong to it and stay where they are.
    """
    (x0, y0), (x1, y1) = mirror
    axis = math.degrees(math.atan2(y1 - y0, x1 - x0))
    level = affinity.rotate(shape, -axis, origin=(x0, y0))
    other = affinity.rotate(
        affinity.scale(level, 1.0, -1.0, origin=(x0, y0)), axis, origin=(x0, y0)
    )
    on_line = np.abs(shapely.get_coordinates(level)[:, 1] - y0) <= JOIN_ENDS
    here, there = shapely.get_coordinates(shape), shapely.get_coordinates(other)
    result: Geometry = shapely.set_coordinates(other, np.where(on_line[:, None], here, there))
    return result


def _glued(half: Polygon, other: Polygon) -> Polygon:
    """Return the half united with its reflection; they share the points of the mirror line."""
    merged = shapely.union(half, other)
    return max(shapely.get_parts(merged), key=lambda part: float(part.area))


def _both(one: MultiLineString, other: MultiLineString) -> MultiLineString:
    return MultiLineString([*shapely.get_parts(one), *shapely.get_parts(other)])


def _far(one: Point, other: Point) -> bool:
    return math.dist(one, other) > CONGRUENT


def _apart_from(drawn: tuple[Notch, ...], other: tuple[Notch, ...]) -> tuple[Notch, ...]:
    """Return the reflected notches; one that lies on the mirror line is its own reflection."""
    return tuple(b for a, b in zip(drawn, other, strict=True) if _far(a.at, b.at))
