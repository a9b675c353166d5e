"""Left, right or whole: told of every cut piece by its outline, and counted against the plan."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Literal

from shapely.geometry import MultiLineString, Polygon

from ..model.plan import Cloth, PlanPiece
from ..tolerances import CONGRUENT
from .congruence import as_lines, farthest, misfit, move_onto, nearest_pairs
from .findings import Finding
from .recompute import CutPiece
from .unfold import FlatCopy

HandLaid = Literal["as drawn", "mirrored", "whole"]
"""How a cut piece came out: one hand or the other, or its own reflection."""


def is_own_reflection(true: CutPiece) -> bool:
    """Tell whether a piece is the same, marks and all, reflected about its grain."""
    one, other = (true.lying(mirrored=side, turned=0.0) for side in (False, True))
    if misfit(one.region, other.region) > CONGRUENT:
        return False
    over = other.shifted(*move_onto(Polygon(other.region.exterior), Polygon(one.region.exterior)))
    lines = (
        (_openings(one), _openings(over)),
        (one.sew, over.sew),
        (one.internal, over.internal),
        (one.stripe, over.stripe),
        (one.plaid, over.plaid),
    )
    places = (
        (one.drills, over.drills),
        (tuple(n.at for n in one.notches), tuple(n.at for n in over.notches)),
    )
    return all(farthest(a, b) <= CONGRUENT for a, b in lines) and all(
        nearest_pairs(a, b) <= CONGRUENT for a, b in places
    )


def _openings(piece: CutPiece) -> MultiLineString:
    return as_lines(ring.coords for ring in piece.region.interiors)


def hand_laid(copy: FlatCopy, true: CutPiece) -> HandLaid:
    """Return which hand a cut piece is, from the region it covers on the flat cloth.

    What it is declared to be decides only where the outline itself does not: where it fits both
    and only the marks tell, or neither, which is a fault found elsewhere.
    """
    declared: HandLaid = "mirrored" if copy.mirrored else "as drawn"
    if not math.isfinite(copy.turned):
        return declared
    drawn, mirrored = (
        misfit(true.lying(mirrored=side, turned=copy.turned).region, copy.region) <= 2 * CONGRUENT
        for side in (False, True)
    )
    if drawn and mirrored and is_own_reflection(true):
        return "whole"
    if drawn == mirrored:
        return declared
    return "as drawn" if drawn else "mirrored"


def check_hands(
    piece: PlanPiece, cloth: Cloth, hands: Sequence[tuple[HandLaid, bool]], *, may_lack: bool
) -> Iterator[Finding]:
    """Yield too many or too few of either hand; two left sleeves never pass.

    ``hands`` tells of every cut piece which hand its outline is and whether it is declared
    mirrored; both ways of counting must come out as the plan asks.
    """
    total = len(hands)
    if cloth.sides == "alike" or (total and all(hand == "whole" for hand, _ in hands)):
        counted = [("of either hand", total, piece.copies)]
    else:
        mirrored = sum(hand == "mirrored" for hand, _ in hands)
        declared = sum(over for _, over in hands)
        counted = [
            ("as drawn", total - mirrored, piece.as_drawn),
            ("mirrored", mirrored, piece.mirrored),
            ("as drawn", total - declared, piece.as_drawn),
            ("mirrored", declared, piece.mirrored),
        ]
    for hand, found, wanted in dict.fromkeys(counted):
        if found > wanted or (found < wanted and not may_lack):
            text = f"{found} copies {hand} are laid; the plan asks for {wanted}"
            yield Finding("count", text, cloth.name, piece.name)


def copy_numbers(piece: PlanPiece, cloth: Cloth, numbers: Sequence[int]) -> Iterator[Finding]:
    """Yield copies numbered twice, or beyond how many there are."""
    for copy, times in sorted(Counter(numbers).items()):
        if times > 1 or not 1 <= copy <= max(len(numbers), piece.copies):
            text = f"copy number {copy} appears {times} times among {len(numbers)} copies"
            yield Finding("copy", text, cloth.name, piece.name)
