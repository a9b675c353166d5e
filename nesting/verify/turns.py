"""Grain, nap and turning: where the top of every cut piece points on the flat cloth."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..model.plan import Cloth, PlanPiece
from ..tolerances import ANGLE_DEG
from .findings import Kind
from .placements import angle_between
from .unfold import FlatCopy

_HANDS = {False: "as drawn", True: "mirrored"}


def check_turn(
    copy: FlatCopy, cloth: Cloth, piece: PlanPiece, *, either: bool
) -> Iterator[tuple[Kind, str]]:
    """Yield what is wrong with how a cut piece lies on its grain.

    ``either`` says that the piece is its own reflection, so that it may lie as both hands may.
    """
    if not math.isfinite(copy.turned):
        return
    allowed = allowed_turns(piece, cloth, mirrored=copy.mirrored)
    if either:
        allowed |= allowed_turns(piece, cloth, mirrored=not copy.mirrored)
    layer = ", in the upper layer," if copy.upper else ""
    if not allowed:
        yield "hand", f"it lies{layer} {_HANDS[copy.mirrored]}, which the plan does not ask for"
        return
    lean = ANGLE_DEG + (0.0 if piece.grain == "any" else piece.tilt)
    if all(angle_between(copy.turned, turn) > lean for turn in allowed):
        ways = ", ".join(f"{turn:g}" for turn in sorted(allowed))
        tilt = f", {piece.tilt:g} degrees either way" if piece.tilt else ""
        yield (
            "turn",
            f"its top{layer} points to {copy.turned:g} degrees; {piece.grain} grain on this cloth "
            f"(nap {cloth.nap}) allows {ways}{tilt}",
        )


def allowed_turns(piece: PlanPiece, cloth: Cloth, *, mirrored: bool) -> frozenset[float]:
    """Return the directions in which the top of a piece may point, lying this way up.

    Degrees counter-clockwise from +x, in [0, 360); empty where the piece may not lie so. Where
    the sides of the cloth are alike, a piece may be turned over about the warp, which negates
    every direction.
    """
    turns = _right_side_up(piece, cloth, mirrored=mirrored)
    if cloth.sides == "alike":
        turns |= {-turn % 360.0 for turn in _right_side_up(piece, cloth, mirrored=not mirrored)}
    return frozenset(turns)


def _right_side_up(piece: PlanPiece, cloth: Cloth, *, mirrored: bool) -> set[float]:
    if not (piece.mirrored if mirrored else piece.as_drawn):
        return set()
    if piece.grain == "any":
        every = {45.0 * eighth for eighth in range(8)}
        # One-way cloth: the top may lean off the nap but has no part against it.
        return {t for t in every if _leans_with_nap(t)} if cloth.nap == "one-way" else every
    first = {"lengthwise": 0.0, "crosswise": 90.0, "bias": 315.0 if mirrored else 45.0}[
        piece.grain
    ]
    both_ends = piece.turn and cloth.nap == "none"
    return {first, (first + 180.0) % 360.0} if both_ends else {first}


def _leans_with_nap(turn: float) -> bool:
    return math.cos(math.radians(turn)) > 0.1
