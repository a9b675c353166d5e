"""A border print: a named edge of the piece lies along a selvage, at a given distance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from ..geometry.rings import FloatArray, as_points
from ..model.plan import Border, Cloth, PlanPiece
from ..tolerances import ON_OUTLINE
from .completion import complete, complete_edges
from .orientation import Way
from .true_piece import TruePiece, cut_piece

_HAIR = 0.1  # mm


class BorderEdge:
    """The edge of a piece that follows a border, and where it holds the piece.

    Raises
    ------
    InputError
        If the piece cannot be made ready.
    """

    def __init__(self, piece: PlanPiece, border: Border) -> None:
        self._border = border
        whole = complete(piece.pattern)
        parts = [
            _stretch(whole.outline, edge.start, edge.end)
            for edge in complete_edges(piece.pattern, piece.edges)
            if edge.name == border.edge
        ]
        inner = _inside_of(parts[0])
        points = {
            str(n): (float(x), float(y)) for n, (x, y) in enumerate(np.vstack([*parts, inner]))
        }
        self._marked: TruePiece = cut_piece(replace(piece, points=points))

    def position(self, way: Way, cloth: Cloth) -> float | None:
        """Return how far across the piece lies so that its edge follows the border.

        None where, lying this way, the edge is not straight along the cloth or turns its back to
        the selvage that the border is at.
        """
        # Points on the edge and, last, one inside of it, as the piece's own outline lies.
        *edge, inner = (y for _, y in self._marked.laid(way).points.values())
        low, high = min(edge), max(edge)
        if high - low > ON_OUTLINE:
            return None
        faces_near = (low + high) / 2 < inner
        if self._border.selvage == ("far" if faces_near else "near"):
            return None
        if faces_near:
            return self._border.distance - low
        return cloth.usable_width - self._border.distance - high


def _inside_of(stretch: FloatArray) -> FloatArray:
    """Return a point a hair inside of a straight stretch of a counter-clockwise ring."""
    start, end = stretch[:2]
    along = (end - start) / np.hypot(*(end - start))
    return as_points([(start + end) / 2 + _HAIR * np.array([-along[1], along[0]])])


def _stretch(ring: FloatArray, start: tuple[float, float], end: tuple[float, float]) -> FloatArray:
    """Return the points of a ring from one place counter-clockwise to another: these two first."""
    loop = shapely.LineString(np.vstack([ring, ring[:1]]))
    first, last = (float(loop.project(shapely.Point(place))) for place in (start, end))
    stops = np.append(0.0, np.cumsum(np.hypot(*np.diff(shapely.get_coordinates(loop), axis=0).T)))
    inside = (stops > first) & (stops < last)
    if first > last:
        inside = (stops > first) | (stops < last)
    places = np.concatenate([[first, last], stops[inside]])
    return as_points(shapely.get_coordinates(shapely.line_interpolate_point(loop, places)))
