"""The least length a lay could have, from the true pieces alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from ..geometry.rings import as_points
from ..model.problem import PlacementProblem, Shape
from .compile import CompiledLay
from .flaws import net_rings
from .true_piece import TruePiece


def least_length(compiled: CompiledLay) -> float:
    """Return a length below which no lay of these pieces can be, in millimetres.

    The greater of two simple truths: the lay is as long as its longest piece (each taken the
    way it is shortest), and its area is at least that of its pieces, each with half a gap
    around it. Shapes simplified for the engine play no part, so the bound holds for the true
    cut lines.
    """
    gap = compiled.cloth.gap
    longest = 0.0
    area = 0.0
    for ticket in compiled.tickets:
        laid = [choice.piece for choice in ticket.choices.values()]
        longest = max(longest, min(piece.size[0] for piece in laid))
        area += _covered(laid[0], gap / 2)
    return max(longest, area / compiled.problem.width - gap)


def true_problem(compiled: CompiledLay) -> PlacementProblem:
    """Return the placement problem of the true outlines, each with half a gap around it.

    Where the engine's shapes are simplified outward these are not, and the round corners of the
    gap lie inside the true ones: what is proven of this problem's length, less a gap, is proven
    of every lay. Its items, shapes and obstacles have the same numbers as
    those of the engine's problem.
    """
    pieces = {
        index: choice.piece
        for ticket in compiled.tickets
        for index, choice in ticket.choices.items()
    }
    shapes = tuple(
        replace(_true_shape(pieces[k], compiled.cloth.gap / 2), inner=_net(pieces[k], shape))
        if k in pieces
        else shape
        for k, shape in enumerate(compiled.problem.shapes)
    )
    return replace(compiled.problem, shapes=shapes)


def _true_shape(piece: TruePiece, margin: float) -> Shape:
    if margin == 0:
        return Shape(piece.outline, piece.cutouts)
    grown = shapely.orient_polygons(_within(piece, margin))
    rings = [np.array(ring.coords[:-1]) for ring in (grown.exterior, *grown.interiors)]
    return Shape(as_points(rings[0]), tuple(as_points(ring) for ring in rings[1:]))


def _net(piece: TruePiece, shape: Shape) -> Shape | None:
    """Return the true inner shape of a piece, where the engine's shape has one."""
    if shape.inner is None:
        return None
    outer, *holes = net_rings(piece)
    return Shape(outer, tuple(holes))


def _covered(piece: TruePiece, margin: float) -> float:
    """Return the area within a margin of a piece, never more than it truly is."""
    return float(_within(piece, margin).area)


def _within(piece: TruePiece, margin: float) -> shapely.Polygon:
    """Return what lies within a margin of a piece; chords of its round corners lie inside."""
    polygon = shapely.Polygon(piece.outline, piece.cutouts)
    return polygon.buffer(margin) if margin > 0 else polygon
