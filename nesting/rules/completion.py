"""From a half to the whole: reflection about the mirror line."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from math import atan2, degrees, dist, isclose
from typing import TypeVar

import numpy as np
import shapely

from ..errors import InputError
from ..geometry.rings import FloatArray, Point, as_points, counter_clockwise
from ..model.pattern import Notch, PatternPiece
from ..model.plan import EdgeAllowance
from ..tolerances import CONGRUENT, JOIN_ENDS, STRETCH_END

Mark = TypeVar("Mark")


@dataclass(frozen=True, slots=True)
class MirrorLine:
    """The straight line through two points, and the reflection about it (mm)."""

    start: Point
    end: Point

    @property
    def angle(self) -> float:
        """Direction from start to end, degrees counter-clockwise from +x."""
        return degrees(atan2(self.end[1] - self.start[1], self.end[0] - self.start[0]))

    def across(self, points: FloatArray) -> FloatArray:
        """Return each point's distance from the line, positive on its left."""
        distances: FloatArray = (points - np.array(self.start)) @ self._normal()
        return distances

    def reflect(self, points: FloatArray) -> FloatArray:
        """Return the points on the other side; points on the line stay exactly as they are."""
        across = self.across(points)
        across = np.where(np.abs(across) <= JOIN_ENDS, 0.0, across)
        return as_points(points - 2.0 * across[:, None] * self._normal())

    def reflect_point(self, point: Point) -> Point:
        """Return one point on the other side."""
        x, y = self.reflect(np.array([point]))[0]
        return float(x), float(y)

    def _normal(self) -> FloatArray:
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        normal: FloatArray = np.array([-dy, dx]) / np.hypot(dx, dy)
        return normal


def complete(half: PatternPiece) -> PatternPiece:
    """Return the whole piece of which a half is drawn; a piece drawn whole comes back as it is.

    Outline, cutouts, lines, notches and drill holes are reflected about the mirror line; a mark
    that is its own reflection stays single. The grain line stays as it is drawn. The whole has
    no mirror line and twice the area of the half.

    Raises
    ------
    InputError
        If the mirror line is not an edge of the outline, or the outline crosses it.
    """
    if half.mirror is None:
        return half
    if dist(*half.mirror) <= JOIN_ENDS:
        raise InputError(
            "its mirror line has no length", remedy="draw it along the edge that lies on the fold"
        )
    line = MirrorLine(*half.mirror)
    outline, cutouts = _whole_outline(half, line)
    return replace(
        half,
        outline=outline,
        cutouts=cutouts,
        mirror=None,
        sew_lines=_both_paths(half.sew_lines, line),
        internal_lines=_both_paths(half.internal_lines, line),
        stripe_lines=_both_paths(half.stripe_lines, line),
        plaid_lines=_both_paths(half.plaid_lines, line),
        notches=_both(
            half.notches, lambda notch: _reflected_notch(notch, line), lambda notch: notch.at
        ),
        drill_holes=_both(half.drill_holes, line.reflect_point, lambda hole: hole),
    )


def complete_edges(
    half: PatternPiece, edges: Iterable[EdgeAllowance]
) -> tuple[EdgeAllowance, ...]:
    """Return the stretches of the whole outline that answer to stretches of the half.

    A reflected stretch runs from the reflection of its end to that of its start, because the
    outline still runs counter-clockwise.

    Raises
    ------
    InputError
        If a stretch runs over the edge on the fold, which is no edge of the whole.
    """
    drawn = tuple(edges)
    if half.mirror is None:
        return drawn
    line = MirrorLine(*half.mirror)
    for edge in drawn:
        _refuse_over_fold(half, edge, line)
    other = tuple(
        replace(edge, start=line.reflect_point(edge.end), end=line.reflect_point(edge.start))
        for edge in drawn
    )
    return drawn + other


def _refuse_over_fold(half: PatternPiece, edge: EdgeAllowance, line: MirrorLine) -> None:
    """Refuse a stretch that covers more of the fold edge than its ends may miss the outline."""
    closed = np.vstack([half.outline, half.outline[:1]])
    stops = np.cumsum(np.hypot(*np.diff(closed, axis=0).T))
    starts = np.append(0.0, stops[:-1])
    near = np.abs(line.across(closed)) <= JOIN_ENDS
    on_fold = near[:-1] & near[1:]
    loop = shapely.LineString(closed)
    begin, end = (float(loop.project(shapely.Point(place))) for place in (edge.start, edge.end))
    spans = [(begin, end)] if begin <= end else [(begin, stops[-1]), (0.0, end)]
    covered = sum(
        float(np.maximum(np.minimum(stops, last) - np.maximum(starts, first), 0.0)[on_fold].sum())
        for first, last in spans
    )
    if covered > STRETCH_END:
        raise InputError(
            f"edge {edge.name!r} runs {covered:.1f} mm over the edge that lies on the fold, which "
            "has no allowance",
            remedy="swap its two ends, since it runs counter-clockwise from the first to the "
            "second, or end it where the fold begins: the other half gets the same",
        )


def _whole_outline(
    half: PatternPiece, line: MirrorLine
) -> tuple[FloatArray, tuple[FloatArray, ...]]:
    """Return the whole's outline and cutouts, each in its usual direction."""
    across = line.across(half.outline)
    if across.max() > JOIN_ENDS and across.min() < -JOIN_ENDS:
        raise InputError(
            f"the outline crosses its mirror line: it reaches {across.max():.1f} mm to one side "
            f"and {-across.min():.1f} mm to the other",
            remedy="draw the mirror line along the edge that lies on the fold",
        )
    drawn = shapely.Polygon(half.outline, half.cutouts)
    other = shapely.Polygon(
        line.reflect(half.outline), [line.reflect(cutout) for cutout in half.cutouts]
    )
    whole = shapely.union(drawn, other)
    joined = whole.geom_type == "Polygon" and isclose(whole.area, 2 * drawn.area, rel_tol=1e-9)
    if not joined:
        away = float(np.abs(across).min())
        raise InputError(
            f"the mirror line is not an edge of the outline: the outline keeps {away:.1f} mm "
            "away from it or only touches it",
            remedy="draw the mirror line along the edge that lies on the fold",
        )
    # The union keeps corners in the middle of what is now one straight edge; they do no harm.
    outline = counter_clockwise(np.array(whole.exterior.coords[:-1]))
    cutouts = tuple(
        as_points(counter_clockwise(np.array(ring.coords[:-1]))[::-1]) for ring in whole.interiors
    )
    return as_points(outline), cutouts


def _both_paths(paths: tuple[FloatArray, ...], line: MirrorLine) -> tuple[FloatArray, ...]:
    """Return the paths and their reflections; a path along the mirror line stays single."""
    reflected = [line.reflect(path) for path in paths]
    return paths + tuple(
        other
        for path, other in zip(paths, reflected, strict=True)
        if np.hypot(*(path - other).T).max() > CONGRUENT
    )


def _both(
    marks: tuple[Mark, ...], reflected: Callable[[Mark], Mark], place: Callable[[Mark], Point]
) -> tuple[Mark, ...]:
    others = (reflected(mark) for mark in marks)
    return marks + tuple(
        other
        for mark, other in zip(marks, others, strict=True)
        if dist(place(mark), place(other)) > CONGRUENT
    )


def _reflected_notch(notch: Notch, line: MirrorLine) -> Notch:
    angle = None if notch.angle is None else (2.0 * line.angle - notch.angle) % 360.0
    return replace(notch, at=line.reflect_point(notch.at), angle=angle)
