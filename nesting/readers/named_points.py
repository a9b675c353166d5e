"""Points of a piece by which it is placed on a design: given in the plan, or its centre."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees
from typing import Final

import numpy as np
import shapely

from ..geometry.rings import Point, bounds, rotated
from ..model.pattern import PatternPiece
from ..model.plan import PlanPiece
from ..tolerances import ON_OUTLINE
from ..units import length_text
from .plan_errors import did_you_mean
from .plan_values import Item

CENTRE: Final = "centre"
"""A point every piece has: the middle of a half's mirror line, else of the box along the grain."""


def with_point(piece: PlanPiece, key: str, name: str, item: Item) -> PlanPiece:
    """Return the piece with a point by which it is placed; ``centre`` need not be given.

    Raises
    ------
    InputError
        If the piece has no such point, or it lies outside the piece. ``key`` says where the plan
        asks for it.
    """
    if name == CENTRE and name not in piece.points:
        return replace(piece, points={**piece.points, name: _centre(piece.pattern)})
    if name not in piece.points:
        raise item.wrong(
            f"{key}: piece {piece.name!r} has no point {name!r}",
            f"add it to its points; {did_you_mean(name, [*piece.points, CENTRE])}",
        )
    off = _outside(piece.pattern, piece.points[name])
    if off > ON_OUTLINE:
        raise item.wrong(
            f"{key}: point {name!r} lies {length_text(off, item.unit)} outside piece "
            f"{piece.name!r}",
            "give a point on the piece, in the file's coordinates",
        )
    return piece


def _centre(pattern: PatternPiece) -> Point:
    if pattern.mirror is not None:
        (x0, y0), (x1, y1) = pattern.mirror
        return (x0 + x1) / 2, (y0 + y1) / 2
    (x0, y0), (x1, y1) = pattern.grain or ((0.0, 0.0), (0.0, 1.0))
    angle = round(degrees(atan2(y1 - y0, x1 - x0)), 9)
    left, low, right, high = bounds(rotated(pattern.outline, -angle))
    x, y = rotated(np.array([[(left + right) / 2, (low + high) / 2]]), angle)[0]
    return float(x), float(y)


def _outside(pattern: PatternPiece, point: Point) -> float:
    """Return how far a point lies outside the piece; of a half either side of its fold counts."""
    points = [np.array(point)]
    if pattern.mirror is not None:
        start, end = map(np.array, pattern.mirror)
        along = (end - start) / np.hypot(*(end - start))
        foot = start + along * ((points[0] - start) @ along)
        points.append(2.0 * foot - points[0])
    piece = shapely.Polygon(pattern.outline)
    return min(float(piece.distance(shapely.Point(at))) for at in points)
