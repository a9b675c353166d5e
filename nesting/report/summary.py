"""The layout in plain words: what to buy, what is cut, what to mind."""

from __future__ import annotations

import math
import textwrap
from collections import Counter
from collections.abc import Iterator

import shapely
from shapely import affinity

from ..model.layout import LaidRepeat, Lay, Layout, Placement
from ..model.plan import Cloth, Plan
from ..model.reading_order import in_order
from ..tolerances import LENGTH_REPORT
from ..units import MM_PER, length_text, metres_text, whole_text, yards_text
from .breadths import breadth_lines
from .cautions import cautions
from .cost import layout_sheets
from .cost_text import cost_text
from .cutting_words import hands_cut, lay_title
from .flaws import fault_points, flaw_words
from .folding_words import fold_words
from .train import train_lines

WIDTH = 88
"""Greatest number of characters on a line."""

_FIXED = "\N{NO-BREAK SPACE}"  # keeps the columns of the tally apart while lines are filled
_LABEL = 13  # characters kept for what a line is about
_USABLE = 50.0  # mm; a leftover narrower than this is not worth telling
_ALIKE = 0.1  # mm; a piece whose two halves agree so far is the same turned over

_PARTS = {
    "lay": "{} for the pieces",
    "end_trim": "{} to square the end",
    "shrinkage": "{} that washing or steaming takes",
    "motif_start": "{} to start on the design",
    "rounding": "{} rounded up to what the shop cuts",
}


_HARDLY = 0.0005
"""Share of the length that is not worth telling: half a millimetre in a metre."""


def summarise(plan: Plan | None, layout: Layout) -> str:
    """Return what a dressmaker needs to know of a layout, as plain text.

    For every cloth: what to buy in yards and metres and what that is made of, the share of the
    cloth used, what is proven of shorter layouts, the largest piece left over, and how many of
    each piece are cut by hand (right, left, whole), two of what is cut double, one on the fold.
    Then the cost sheet of cloths and trims, how pieces are joined, warnings, and the cautions
    that apply.

    Parameters
    ----------
    plan
        Adds what the layout alone does not carry: the maker's own unit, shrinkage across, and
        cloth already owned.
    layout
        Lengths in millimetres; they are told in the plan's unit, or else in the layout's.

    Returns
    -------
    str
        Lines of at most ``WIDTH`` characters as far as names allow, ending in a line end.
    """
    cloths = {} if plan is None else {cloth.name: cloth for cloth in plan.cloths}
    units = layout.units if plan is None else plan.units
    blocks = [_heading(layout.title, "=")]
    blocks += ["\n".join(_lay(lay, units, cloths.get(lay.cloth))) for lay in layout.lays]
    blocks += [
        text
        for text in (_cost(plan, layout), _remarks(plan, layout, units), _warnings(layout))
        if text
    ]
    minded = [_bullet(text) for text in cautions(layout, units, plan)]
    if minded:
        blocks.append("\n".join([_heading("Before you cut", "-"), *minded]))
    return in_order("\n\n".join(blocks).replace(_FIXED, " ")) + "\n"


def _heading(text: str, rule: str) -> str:
    return f"{text}\n{rule * len(text)}"


def _lay(lay: Lay, units: str, cloth: Cloth | None) -> Iterator[str]:
    yield _heading(lay_title(lay), "-")
    for label, text in lay_facts(lay, units, cloth):
        yield _line(label, text)
    if not lay.placements:
        return
    label = "Cut"
    for text in _tally(lay, alike=cloth is not None and cloth.sides == "alike"):
        yield _line(label, text)
        label = ""


def lay_facts(lay: Lay, units: str, cloth: Cloth | None = None) -> Iterator[tuple[str, str]]:
    """Yield what to know of one lay, as (label, text): what to buy, its width, how good it is.

    ``cloth`` is that of the plan, where it is known: cloth already owned is told as such.
    """
    if lay.status == "does not fit":
        yield "Does not fit", lay.reason
    if not lay.placements:
        return
    owned = lay.panel is not None or (cloth is not None and cloth.length is not None)
    label = "Take" if owned else "Buy"
    # On a panel lies only what fits; the pieces that do not are named in the reason.
    short = lay.status == "does not fit" and lay.panel is None
    yield "Would need" if short else label, _to_buy(lay, owned=owned and not short)
    yield "Made of", _made_of(lay, units)
    usable, edge = length_text(lay.usable_width, units), length_text(lay.cloth_width, units)
    yield "Width", f"{usable} between the selvages, {edge} edge to edge"
    yield "Cloth used", f"{100 * lay.utilisation:.1f} %"
    yield "Length", _how_good(lay, units)
    if lay.folding is not None:
        rest = "; behind that, open it out to a single layer"
        yield "Fold", fold_words(lay, units) + (rest if lay.folding.end is not None else "")
    for rule, length in lay.without.items():
        yield "Without", _without(rule, length, lay, units)
    if lay.repeat is not None:
        yield "Design", _repeat(lay.repeat, units)
    if lay.flaws:
        points = fault_points(lay.flaws, lay.cloth_width, _whole_length(lay, cloth))
        yield "Flaws", flaw_words(lay.flaws, points)
    for text in lay.remarks:
        yield "Note", text
    yield from _left_over(lay, units)


def _line(label: str, text: str) -> str:
    return textwrap.fill(
        text,
        WIDTH,
        initial_indent=f"{label:<{_LABEL}}",
        subsequent_indent=" " * _LABEL,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _bullet(text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent="- ", subsequent_indent="  ")


def _to_buy(lay: Lay, *, owned: bool) -> str:
    buy = lay.buy
    words = f"{yards_text(buy.length)}, or {metres_text(buy.length)}"
    if owned:
        return f"{words}, of the cloth you own"
    return words if not buy.cost else f"{words}; cost {buy.cost:.2f}"


def _made_of(lay: Lay, units: str) -> str:
    parts = [
        _PARTS[name].format(length_text(length, units))
        for name, length in lay.buy.made_of.items()
        if name in _PARTS and (name == "lay" or length >= 0.05)
    ]
    return " + ".join(parts)


def _without(rule: str, length: float, lay: Lay, units: str) -> str:
    """Say what a rule costs, so that the figures shown agree with each other."""
    step = MM_PER["in"] / 16 if units in {"in", "yd"} else 1.0
    costs = (round(lay.length / step) - round(length / step)) * step
    return f"{rule}: {length_text(length, units)}, so that costs {length_text(costs, units)}"


def _repeat(repeat: LaidRepeat, units: str) -> str:
    """Say how often the design comes again."""
    steps = {"along": repeat.along, "across": repeat.across}
    words = [f"{length_text(step, units)} {axis}" for axis, step in steps.items() if step]
    drop = ", each column dropped by half a repeat" if repeat.drop == "half" else ""
    return f"it repeats every {' and '.join(words)}{drop}"


def _how_good(lay: Lay, units: str) -> str:
    length, least = length_text(lay.length, units), length_text(lay.proven_minimum, units)
    if lay.panel is not None and lay.panel_outline is not None:
        return f"{length} of {length_text(float(lay.panel_outline[:, 0].max()), units)}"
    if lay.proven_minimum <= 0:
        return length
    if lay.status == "proven best" or lay.length <= lay.proven_minimum + LENGTH_REPORT:
        return f"{length}; proven best: no layout is shorter"
    spare = 1.0 - lay.proven_minimum / lay.length
    if spare < _HARDLY:
        return f"{length}; proven that no layout is shorter by more than a hair"
    return (
        f"{length}; proven that none is shorter than {least} "
        f"(at most {100 * spare:.1f} % could still be saved)"
    )


def _whole_length(lay: Lay, cloth: Cloth | None) -> float:
    """Return the length of the piece of cloth a lay is cut from, as far as it is known."""
    if lay.panel_outline is not None:
        return float(lay.panel_outline[:, 0].max())
    if cloth is not None and cloth.length is not None:
        return cloth.length
    return max(lay.buy.length, lay.length)


def _left_over(lay: Lay, units: str) -> Iterator[tuple[str, str]]:
    """Yield a line on the largest clean piece left over, where it is of any use."""
    if lay.leftover is None:
        return
    x0, y0, x1, y1 = lay.leftover
    if min(x1 - x0, y1 - y0) >= _USABLE:
        yield (
            "Left over",
            f"a piece {whole_text(x1 - x0, units)} along by {whole_text(y1 - y0, units)} across, "
            f"from {length_text(x0, units)} along, {length_text(y0, units)} across",
        )


def _tally(lay: Lay, *, alike: bool) -> Iterator[str]:
    """Yield one line for each piece: its name and how many of each hand come off the cloth."""
    counts: dict[str, Counter[str]] = {}
    for placement in lay.placements:
        counts.setdefault(placement.piece, Counter()).update(_which(placement, alike=alike))
    room = min(40, max(map(len, counts)))
    order = ("right", "left", "whole", "single", "as drawn", "mirrored")
    for piece, hands in counts.items():
        name = f"{piece}:".ljust(room + 1).replace(" ", _FIXED)
        yield name + _FIXED + ", ".join(f"{hands[hand]} {hand}" for hand in order if hands[hand])
    total = sum(hands.total() for hands in counts.values())
    outlines = len(lay.placements)
    cut = f", cut from {outlines} outlines" if outlines < total else ""
    yield f"{total} {'piece' if total == 1 else 'pieces'} in all{cut}"


def _which(placement: Placement, *, alike: bool) -> tuple[str, ...]:
    """Return the hand of every piece one outline gives; on cloth alike a single one has none."""
    if any(hands := hands_cut(placement)):
        return hands
    if _same_turned_over(placement):
        return ("whole",) * placement.layers
    if alike:
        return ("single",) * placement.layers
    if placement.layers > 1:
        return "as drawn", "mirrored"
    return ("mirrored" if placement.mirrored else "as drawn",)


def _same_turned_over(placement: Placement) -> bool:
    """Tell whether a placed piece is its own reflection about its grain."""
    (x0, y0), (x1, y1) = placement.grain
    grain = math.degrees(math.atan2(y1 - y0, x1 - x0))
    region = shapely.Polygon(placement.outline)
    level = affinity.rotate(region, -grain, origin=region.centroid)
    over = affinity.scale(level, 1.0, -1.0, origin=region.centroid)
    return bool(shapely.hausdorff_distance(level.exterior, over.exterior) <= _ALIKE)


def _cost(plan: Plan | None, layout: Layout) -> str:
    """Return the cost sheet, one for each currency; without the plan, what the cloths cost."""
    if plan is None:
        return _total(layout)
    sheets = layout_sheets(plan, layout)
    named = len(sheets) > 1
    return "\n\n".join(
        f"{_heading(f'Cost sheet, {sheet.currency}' if named else 'Cost sheet', '-')}\n"
        f"{cost_text(sheet, WIDTH)}"
        for sheet in sheets
    )


def _total(layout: Layout) -> str:
    costs = [lay.buy.cost for lay in layout.lays if lay.placements]
    known = [cost for cost in costs if cost is not None]
    if not known or len(costs) < 2:
        return ""
    unknown = [lay.cloth for lay in layout.lays if lay.placements and lay.buy.cost is None]
    without = f"; without {', '.join(unknown)}, of unknown price" if unknown else ""
    return _line("Total cost", f"{math.fsum(known):.2f}{without}")


def _remarks(plan: Plan | None, layout: Layout, units: str) -> str:
    said = [] if plan is None else [_bullet(text) for text in breadth_lines(plan)]
    said += [_bullet(text) for text in layout.remarks]
    blocks = ["\n".join([_heading("How it is cut", "-"), *said])] if said else []
    for study in layout.trains:
        lines = [_bullet(text) for text in train_lines(study, units)]
        blocks.append("\n".join([_heading(f"The train: {study.piece}", "-"), *lines]))
    return "\n\n".join(blocks)


def _warnings(layout: Layout) -> str:
    if not layout.warnings:
        return ""
    return "\n".join([_heading("Please check", "-"), *map(_bullet, layout.warnings)])
