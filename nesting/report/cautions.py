"""What to mind at the table: each caution only where it applies."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.layout import Lay, Layout
from ..model.plan import Plan
from ..units import length_text


def cautions(layout: Layout, units: str, plan: Plan | None = None) -> Iterator[str]:
    """Yield plain sentences for the person who cuts; none where nothing is to be cut.

    All are common practice of the cutting room.
    """
    lays = [lay for lay in layout.lays if lay.placements]
    if not lays:
        return
    shrinking = [lay.cloth for lay in lays if _shrinks(lay, plan)]
    if shrinking:
        yield f"Wash or steam before measuring and cutting, as planned: {', '.join(shrinking)}."
    narrow = ", ".join(f"{lay.cloth} {length_text(lay.usable_width, units)}" for lay in lays)
    yield (
        "Measure the real width between the selvages along the whole length first; if it is less "
        f"than planned, lay again before cutting (planned: {narrow})."
    )
    napped = [lay.cloth for lay in lays if lay.nap == "one-way"]
    if napped:
        yield (
            "One-way cloth: stroke it, mark the direction on the wrong side along the whole "
            f"length, and lay every arrow with it: {', '.join(napped)}."
        )
    bias = sorted({p.piece for lay in lays for p in lay.placements if p.turned % 90.0 == 45.0})
    if bias:
        yield (
            "Cut on the bias, a piece stretches as it hangs: let it hang for a day before "
            f"levelling the hem: {', '.join(bias)}."
        )
    yield (
        "Shears and rotary blades: cut away from the hand that holds the cloth, and close or "
        "cover the blade whenever you put it down."
    )


def _shrinks(lay: Lay, plan: Plan | None) -> bool:
    if lay.buy.made_of.get("shrinkage", 0.0) > 0.05:
        return True
    cloths = () if plan is None else plan.cloths
    return any(cloth.name == lay.cloth and cloth.shrink_across > 0 for cloth in cloths)
