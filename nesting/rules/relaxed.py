"""The same garment with one rule left out, so that its cost in cloth can be told."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..model.plan import Cloth, Plan
from .motif import is_placed


def relaxed(plan: Plan, cloth: Cloth) -> Mapping[str, Plan]:
    """Return the plan without each rule of a cloth that may cost some of it.

    The keys are what is left out, in the trade's words.
    """
    found = {}
    if is_placed(plan, cloth):
        bordered = cloth.repeat is None
        words = "following the border" if bordered else "matching the design"
        found[words] = _anywhere_on_design(plan, cloth)
    if cloth.flaws and not cloth.panels:
        found["keeping clear of the flaws"] = with_cloth(plan, replace(cloth, flaws=()))
    return found


def with_cloth(plan: Plan, cloth: Cloth) -> Plan:
    """Return the plan with another cloth for the one of that name."""
    cloths = tuple(cloth if one.name == cloth.name else one for one in plan.cloths)
    return replace(plan, cloths=cloths)


def _anywhere_on_design(plan: Plan, cloth: Cloth) -> Plan:
    here = {piece.name for piece in plan.pieces_on(cloth.name)}
    return replace(
        plan,
        pieces=tuple(
            replace(piece, motif=None, border=None) if piece.name in here else piece
            for piece in plan.pieces
        ),
        matches=tuple(
            match for match in plan.matches if not {name for name, _ in match.points} <= here
        ),
    )
