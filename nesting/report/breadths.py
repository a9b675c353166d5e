"""Breadths in plain words: how many, what they come to, and each length on the repeat."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.breadths import count_breadths, on_repeat
from ..model.plan import Breadths, Cloth, Plan
from ..units import length_text

_TELLING = 1.0  # mm


def breadth_lines(plan: Plan) -> Iterator[str]:
    """Yield one sentence for the count of each piece made of breadths, one for its repeat."""
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    for breadths in plan.breadths:
        cut_from = next((p.cloth for p in plan.pieces if p.breadths == breadths), breadths.cloth)
        yield _count(breadths, cloths[cut_from], plan.units)
        yield from _repeat(breadths, cloths[cut_from], plan.units)


def _count(breadths: Breadths, cloth: Cloth, units: str) -> str:
    found = count_breadths(breadths, cloth)
    each, together = length_text(found.each, units), length_text(found.together, units)
    many = "1 breadth" if found.count == 1 else f"{found.count} breadths"
    said = f"{breadths.name}: {many} of {cloth.name}, {each} each between the seams, {together}"
    if not breadths.round:
        return said
    wanted = breadths.round * breadths.ratio
    said += f" for {length_text(breadths.round, units)}"
    if breadths.ratio > 1:
        said += f" at {breadths.ratio:g} times the fullness"
    spare = found.together - wanted
    return f"{said}; {length_text(spare, units)} to spare" if spare > _TELLING else said


def _repeat(breadths: Breadths, cloth: Cloth, units: str) -> Iterator[str]:
    if cloth.repeat is None or cloth.repeat.along <= 0:
        return
    cut = on_repeat(breadths.cut_length, cloth.repeat.along)
    dropped = ", every other breadth starting on its half" if cloth.repeat.drop == "half" else ""
    yield (
        f"{breadths.name}: on a repeat of {length_text(cloth.repeat.along, units)} each length of "
        f"{length_text(breadths.cut_length, units)} takes {length_text(cut, units)}{dropped}"
    )
