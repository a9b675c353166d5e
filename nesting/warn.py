"""What the maker should know of a plan and its lays before she buys and cuts."""

from __future__ import annotations

from collections.abc import Iterator

from .model.layout import Lay
from .model.plan import Cloth, Plan


def plan_warnings(plan: Plan, lays: list[Lay]) -> Iterator[str]:
    """Yield what the maker should know before she buys and cuts."""
    yield from map(str, plan.notes)
    alternatives = {name for layer in plan.layers for name in layer.cloths}
    for cloth in plan.cloths:
        if not plan.pieces_on(cloth.name) and cloth.name in alternatives:
            continue
        if not plan.pieces_on(cloth.name):
            yield f"cloth {cloth.name!r}: no piece is cut from it"
        else:
            yield from _cloth_warnings(plan, cloth)
    for lay in lays:
        if lay.status == "does not fit":
            yield f"cloth {lay.cloth!r}: {lay.reason}"


def _cloth_warnings(plan: Plan, cloth: Cloth) -> Iterator[str]:
    if cloth.nap == "one-way":
        turned = [piece.name for piece in plan.pieces_on(cloth.name) if piece.grain == "any"]
        if turned:
            yield (
                f"cloth {cloth.name!r}: it has a nap, yet {', '.join(turned)} may lie on any "
                "grain; nap shades differently across the cloth"
            )
