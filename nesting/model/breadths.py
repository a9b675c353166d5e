"""Breadths: full widths of cloth, cut to one length and seamed selvage to selvage."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from ..geometry.rings import as_points
from .pattern import PatternPiece
from .plan import Breadths, Cloth, Motif, Plan, PlanPiece

_START = "start"
_HAIR = 1e-6  # a share of a breadth; what rounding may add to an exact number of them


@dataclass(frozen=True, slots=True)
class BreadthCount:
    """How many breadths a finished measure takes on one cloth, and what they come to.

    ``each`` is a breadth between its seams and ``together`` all of them, mm.
    """

    count: int
    each: float
    together: float


def count_breadths(breadths: Breadths, cloth: Cloth) -> BreadthCount:
    """Return the breadths that make up a finished measure.

    Every breadth loses a seam at each edge, since they are joined all round (common practice).
    Where the seams leave nothing of a breadth, ``each`` is not positive and the count 0.
    """
    each = cloth.usable_width - 2 * breadths.seam
    if each <= 0:
        return BreadthCount(0, each, 0.0)
    count = breadths.count or max(1, ceil(breadths.round * breadths.ratio / each - _HAIR))
    return BreadthCount(count, each, count * each)


def on_repeat(length: float, repeat: float) -> float:
    """Return a length cut on whole repeats of the design, at least as long as it is (drapers)."""
    return ceil(length / repeat - _HAIR) * repeat if repeat > 0 else length


def with_breadths(plan: Plan) -> Plan:
    """Return the plan with the pieces that its breadths stand for, made anew for their cloths.

    Each is a rectangle as wide as the cloth between its selvages. On cloth with a repeat along
    every one starts on the same place of the design; on a half drop every other one on its half,
    so that the design meets at the seams.
    """
    if not plan.breadths:
        return plan
    drawn = tuple(piece for piece in plan.pieces if piece.breadths is None)
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    # Whoever cuts them from another cloth has said so on the pieces.
    moved = {piece.breadths: piece.cloth for piece in plan.pieces if piece.breadths is not None}
    made = (
        piece
        for breadths in plan.breadths
        for piece in _pieces(breadths, cloths[moved.get(breadths, breadths.cloth)])
    )
    return replace(plan, pieces=(*drawn, *made))


def _pieces(breadths: Breadths, cloth: Cloth) -> Iterator[PlanPiece]:
    count = count_breadths(breadths, cloth).count
    along = 0.0 if cloth.repeat is None else cloth.repeat.along
    dropped = cloth.repeat is not None and cloth.repeat.drop == "half" and along > 0
    sets: tuple[tuple[int, float, str], ...] = ((count, 0.0, ""),)
    if dropped and count > 1:
        sets = ((count - count // 2, 0.0, ", odd"), (count // 2, along / 2, ", even"))
    width, length = cloth.usable_width, breadths.cut_length
    for copies, place, which in sets:
        name = f"{breadths.name}{which}"
        pattern = PatternPiece(
            name=name,
            file="",
            outline=as_points([(0, 0), (width, 0), (width, length), (0, length)]),
            grain=((width / 2, 0.2 * length), (width / 2, 0.8 * length)),
        )
        yield PlanPiece(
            name=name,
            pattern=pattern,
            cloth=cloth.name,
            as_drawn=copies,
            turn=along == 0,
            points={_START: (0.0, 0.0)} if along else {},
            motif=Motif(_START, (place, None)) if along else None,
            breadths=breadths,
        )
