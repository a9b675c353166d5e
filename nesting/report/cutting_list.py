"""From a lay to its cutting list: what to make sure of, the steps, the slips, the scraps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from ..model.cutting_list import CuttingList, CuttingStep, Slip, StepKind
from ..model.layout import Lay, Layout
from ..model.plan import Plan
from ..units import tape_number, tape_unit, whole_text
from .cautions import shrinks
from .cutting_order import CuttingPass, cutting_passes, lies_double, step_numbers
from .cutting_words import (
    face_words,
    grain_words,
    hands_cut,
    lay_title,
    measured_from,
    place_words,
    placement_title,
    top_words,
)
from .folding_words import fold_words, open_words
from .join_words import join_notes, joins_to_sew

_USABLE: Final = 50.0  # mm; a scrap narrower than this is not worth telling

STOP: Final = (
    "Stop. Do not cut yet: lay out and chalk the whole lay first, and count every piece. "
    "Tick these, then cut."
)
"""What stands between getting ready and the first cut."""


def cutting_lists(layout: Layout, plan: Plan | None = None) -> tuple[CuttingList, ...]:
    """Return a cutting list for every lay that has something to cut."""
    notes = join_notes(layout)
    lists = []
    for n, lay in enumerate(layout.lays):
        if lay.placements:
            own = {placement: told for (there, placement), told in notes.items() if there == n}
            found = cutting_list(lay, layout.units, title=layout.title, plan=plan, joins=own)
            lists.append(replace(found, sew=joins_to_sew(layout, n)))
    return tuple(lists)


def cutting_list(
    lay: Lay,
    units: str = "cm",
    *,
    title: str = "",
    plan: Plan | None = None,
    joins: Mapping[int, tuple[str, ...]] = MappingProxyType({}),
) -> CuttingList:
    """Return the cutting list of one lay.

    Parameters
    ----------
    lay
        What is cut; its steps follow :func:`nesting.report.cutting_order.cutting_order`.
    units
        The maker's unit: lengths in centimetres to the millimetre, or in inches to the 1/16.
    title
        That of the plan.
    plan
        Adds what the lay does not carry: shrinkage across.
    joins
        What to say of the joins of a pieced piece, by the index of the placement.

    Returns
    -------
    CuttingList
        One step for each placement, with steps between to fold the cloth and to open it out;
        one slip for each piece that comes off the cloth.
    """
    steps = tuple(_steps(lay, units, joins))
    return CuttingList(
        title=title,
        cloth=lay_title(lay),
        ready=tuple(_ready(lay, units, plan)),
        stop=STOP,
        counted=tuple(_counted(lay, units)),
        steps=steps,
        keep=tuple(_keep(lay, units)),
        slips=tuple(_slips(lay, steps)),
    )


def _ready(lay: Lay, units: str, plan: Plan | None) -> Iterator[str]:
    if shrinks(lay, plan):
        yield "Cloth washed or steamed as planned, dry and pressed"
    yield "One end squared: at right angles to the selvage, or a thread drawn"
    width = f"{tape_number(lay.usable_width, units)} {tape_unit(units)}"
    yield f"Width measured in three places: at least {width} between the selvages everywhere"
    if lay.nap == "one-way":
        yield "Cloth stroked; the way the tops point marked along the whole wrong side"
    yield "Right side found and marked"
    if lay.flaws:
        yield f"Flaws found and marked: {len(lay.flaws)} on the plan, and none besides"


def _counted(lay: Lay, units: str) -> Iterator[str]:
    unit = tape_unit(units)
    length, width = tape_number(lay.length, units), tape_number(lay.usable_width, units)
    yield f"The whole lay is on the cloth: {length} {unit} along, {width} {unit} across"
    total = sum(len(hands_cut(placement)) for placement in lay.placements)
    yield f"{total} {'piece' if total == 1 else 'pieces'} to cut, all on the plan and chalked"
    counts: dict[str, Counter[str]] = {}
    for placement in lay.placements:
        counts.setdefault(placement.piece, Counter()).update(hands_cut(placement))
    for piece, hands in counts.items():
        told = [f"{hands[hand]} {hand}".strip() for hand in ("right", "left", "whole", "")]
        yield f"{piece}: {', '.join(text for text in told if not text.startswith('0'))}"


def _steps(lay: Lay, units: str, joins: Mapping[int, tuple[str, ...]]) -> Iterator[CuttingStep]:
    numbers = step_numbers(lay)
    folded = False
    walks = cutting_passes(lay)
    for walk in walks:
        if walk.double is not folded:
            kind: StepKind = "fold" if walk.double else "open"
            text = fold_words(lay, units) if walk.double else open_words(lay)
            before = numbers[walk.placements[0]] - 1
            yield CuttingStep(before, kind, text, (_to_cut(lay, walks, double=walk.double),))
        folded = walk.double
        for n in walk.placements:
            step = _cut(lay, n, numbers[n], units)
            yield replace(step, notes=(*step.notes, *joins.get(n, ())))


def _to_cut(lay: Lay, walks: tuple[CuttingPass, ...], *, double: bool) -> str:
    """Say how many pieces come off the cloth while it lies double, or single."""
    cuts = [n for walk in walks if walk.double is double for n in walk.placements]
    pieces = sum(len(hands_cut(lay.placements[n])) for n in cuts)
    many = f"{pieces} {'piece' if pieces == 1 else 'pieces'}"
    if not double:
        return f"Then cut {many} single"
    return f"Then cut {many} with {len(cuts)} {'cut' if len(cuts) == 1 else 'cuts'}, folded"


def _cut(lay: Lay, index: int, number: int, units: str) -> CuttingStep:
    placement = lay.placements[index]
    double = lies_double(placement)
    along, across = measured_from(lay, double=double)
    notes = [f"Number {index + 1} on the plan; {place_words(placement, units)}"]
    if (along, across) != ("the squared end", "the near selvage"):
        notes.append(f"Along from {along}, across from {across}")
    notes.append(f"Top {top_words(placement)}; {face_words(placement)}")
    notes.append(f"Grain line from {across}: {grain_words(placement, units)}")
    if placement.on_fold:
        notes.append("One edge on the fold: do not cut along it; the piece opens out to the whole")
    elif double:
        notes.append("Through both layers, pinned")
    if lay.repeat is not None:
        notes.append("Check that the design lies under it as on the plan")
    return CuttingStep(number, "cut", placement_title(placement), tuple(notes), index)


def _keep(lay: Lay, units: str) -> Iterator[str]:
    if lay.leftover is not None:
        x0, y0, x1, y1 = lay.leftover
        if min(x1 - x0, y1 - y0) >= _USABLE:
            unit = tape_unit(units)
            yield (
                f"The largest clean piece between the pieces: {whole_text(x1 - x0, units)} along "
                f"by {whole_text(y1 - y0, units)} across, from {tape_number(x0, units)} {unit} "
                f"along and {tape_number(y0, units)} {unit} across"
            )
    end = _beyond(lay)
    if end >= _USABLE:
        yield f"What lies beyond the lay: about {whole_text(end, units)} over the whole width"
    yield "A scrap with its selvage, for trying iron, needle and dye, and for mending"


def _beyond(lay: Lay) -> float:
    """Return about how much of what was bought is left at the far end, shrunk, in millimetres."""
    parts = lay.buy.made_of
    rounding = parts.get("rounding", 0.0)
    need = lay.buy.length - rounding
    return rounding * (1.0 - parts.get("shrinkage", 0.0) / need) if need > 0 else 0.0


def _slips(lay: Lay, steps: tuple[CuttingStep, ...]) -> Iterator[Slip]:
    cuts = [
        (step.number, step.placement, hand)
        for step in steps
        if step.placement is not None
        for hand in hands_cut(lay.placements[step.placement])
    ]
    totals = Counter((lay.placements[n].piece, hand) for _, n, hand in cuts)
    seen: Counter[tuple[str, str]] = Counter()
    for step, n, hand in cuts:
        piece = lay.placements[n].piece
        seen[piece, hand] += 1
        total = totals[piece, hand]
        which = f"{seen[piece, hand]} of {total}" if total > 1 else ""
        yield Slip(piece, hand, which, lay_title(lay), n + 1, step)
