"""What to mind at the table: each caution only where it applies."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..model.layout import Lay, Layout
from ..model.plan import Cloth, Plan
from ..units import length_text


def cautions(layout: Layout, units: str, plan: Plan | None = None) -> Iterator[str]:
    """Yield plain sentences for the person who cuts; none where nothing is to be cut.

    All are common practice of the cutting room and the costume store.

    Parameters
    ----------
    layout
        Nap, bias and shrinkage are told from it.
    units
        The maker's unit.
    plan
        Adds what only it knows: shrinkage across, what is owned, fibre, age and colour of the
        cloth, and whether the garment is for the stage.
    """
    lays = [lay for lay in layout.lays if lay.placements]
    if not lays:
        return
    cut = {lay.cloth for lay in lays}
    cloths = [] if plan is None else [cloth for cloth in plan.cloths if cloth.name in cut]
    yield from _measuring(lays, units, plan)
    yield from _buying(lays, cloths)
    yield from _laying(lays)
    yield (
        "Shears and rotary blades: cut away from the hand that holds the cloth, and close or "
        "cover the blade whenever you put it down."
    )
    dangers = [*_old(cloths), *_fire(cloths, plan)]
    yield from dangers
    if dangers:
        yield "Local rules, and people qualified in them, decide on safety; this list does not."


def shrinks(lay: Lay, plan: Plan | None) -> bool:
    """Tell whether the cloth of a lay is to be washed or steamed before it is cut."""
    if lay.buy.made_of.get("shrinkage", 0.0) > 0.05:
        return True
    cloths = () if plan is None else plan.cloths
    return any(cloth.name == lay.cloth and cloth.shrink_across > 0 for cloth in cloths)


def _measuring(lays: list[Lay], units: str, plan: Plan | None) -> Iterator[str]:
    shrinking = _names(lay.cloth for lay in lays if shrinks(lay, plan))
    if shrinking:
        yield f"Wash or steam before measuring and cutting, as planned: {shrinking}."
    if len({lay.cloth for lay in lays}) > 1:
        yield (
            "Shrink everything that is sewn together before cutting any of it: outer cloth, "
            "lining and interlining."
        )
    yield (
        "Square the end before you measure from it: draw a thread, or set it at right angles to "
        "the selvage."
    )
    narrow = _names(f"{lay.cloth} {length_text(lay.usable_width, units)}" for lay in lays)
    yield (
        "Measure the real width between the selvages in three places first: both ends and the "
        f"middle; if it is less than planned, lay again before cutting (planned: {narrow})."
    )


def _buying(lays: list[Lay], cloths: list[Cloth]) -> Iterator[str]:
    owned = {cloth.name for cloth in cloths if cloth.length is not None or cloth.panels}
    bought = _names(lay.cloth for lay in lays if lay.cloth not in owned)
    if bought:
        yield f"Buy each cloth in one length and from one dye lot: {bought}."


def _laying(lays: list[Lay]) -> Iterator[str]:
    napped = _names(lay.cloth for lay in lays if lay.nap == "one-way")
    if napped:
        yield (
            "One-way cloth: stroke it, mark the direction on the wrong side along the whole "
            f"length, and lay every arrow with it: {napped}."
        )
    bias = sorted({p.piece for lay in lays for p in lay.placements if _on_bias(p.turned)})
    if bias:
        yield (
            "Cut on the bias, a piece stretches as it hangs: let it hang for a day before "
            f"levelling the hem: {', '.join(bias)}."
        )


def _old(cloths: list[Cloth]) -> Iterator[str]:
    """Yield what old and second-hand cloth may hide."""
    weighted = _names(c.name for c in cloths if c.panels or c.age == "antique")
    if weighted:
        yield (
            "Weights in old curtains and hems may be lead: take them out with gloves, wash your "
            f"hands, and keep them from children: {weighted}."
        )
    old = [cloth for cloth in cloths if cloth.age == "antique"]
    green = _names(cloth.name for cloth in old if "green" in cloth.colour.lower())
    if green:
        yield (
            "Vivid antique greens may hold arsenic: do not cut, brush, wash or wear the cloth "
            f"before a conservator has tested it: {green}."
        )
    silk = _names(cloth.name for cloth in old if cloth.fibre == "silk")
    if silk:
        yield (
            "Old weighted silk may shatter: fold a corner sharply and look before you rely on "
            f"it, and carry it on a backing: {silk}."
        )


def _fire(cloths: list[Cloth], plan: Plan | None) -> Iterator[str]:
    quick = _names(cloth.name for cloth in cloths if cloth.fibre in {"net", "synthetic"})
    if quick:
        yield (
            "Net burns in seconds and synthetics melt on to the skin: keep them from flames, hot "
            f"lamps and a hot iron: {quick}."
        )
    if plan is not None and plan.use == "stage":
        yield (
            "Stage costumes fall under local fire rules: ask whoever answers for fire safety in "
            "the house before you buy the cloth."
        )


def _on_bias(turned: float) -> bool:
    """Tell whether the grain lies nearer to the bias than to warp or weft."""
    return abs(turned % 90.0 - 45.0) < 22.5


def _names(names: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(names))
