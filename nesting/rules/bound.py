"""The least length a lay could have, from the true pieces alone."""

from __future__ import annotations

import shapely

from .compile import CompiledLay
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


def _covered(piece: TruePiece, margin: float) -> float:
    """Return the area within a margin of a piece, never more than it truly is."""
    polygon = shapely.Polygon(piece.outline, piece.cutouts)
    # The chords of a round corner lie inside the circle.
    return float(polygon.buffer(margin).area if margin > 0 else polygon.area)
