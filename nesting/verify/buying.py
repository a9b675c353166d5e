"""Length, width, yardage and cost worked out afresh."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.geometry import Polygon

from ..errors import InputError
from ..model.layout import Buy, Lay
from ..model.plan import Cloth
from ..tolerances import EDGE_SLACK, LENGTH_REPORT
from ..units import parse_length
from .findings import Finding, Kind

_PARTS = ("lay", "end_trim", "shrinkage", "motif_start", "rounding")
_HALF_A_CENT = 0.005 + 1e-6
_SHARE = 1e-6
_COARSEST_TEXT = 0.9144 * 1000.0 / 8  # an eighth of a yard: the coarsest step a length is told in


def check_cloth(
    lay: Lay, cloth: Cloth, regions: Sequence[Polygon], motif_start: float = 0.0
) -> Iterator[Finding]:
    """Yield what is wrong with the figures of one lay.

    ``regions`` is what its pieces cover, ``motif_start`` what starting on the design may cost.
    """
    for kind, text in (
        *_cloth(lay, cloth),
        *_extent(lay, regions),
        *_bought(lay, cloth, motif_start),
    ):
        yield Finding(kind, text, lay.cloth)


def _cloth(lay: Lay, cloth: Cloth) -> Iterator[tuple[Kind, str]]:
    after = cloth.width * (1.0 - cloth.shrink_across)
    wanted = {
        "usable width": (lay.usable_width, after - cloth.selvage - cloth.selvage),
        "cloth width": (lay.cloth_width, after),
        "selvage": (lay.selvage, cloth.selvage),
    }
    for name, (said, true) in wanted.items():
        if not abs(said - true) <= LENGTH_REPORT:
            yield "cloth", f"{name} is given as {said:.3f} mm; by the plan it is {true:.3f} mm"
    if lay.nap != cloth.nap:
        yield "cloth", f"nap is given as {lay.nap!r}; in the plan it is {cloth.nap!r}"


def _extent(lay: Lay, regions: Sequence[Polygon]) -> Iterator[tuple[Kind, str]]:
    end = max((region.bounds[2] for region in regions), default=0.0)
    if not abs(lay.length - end) <= LENGTH_REPORT:
        yield "length", f"length is given as {lay.length:.3f} mm; the pieces end at {end:.3f} mm"
    covered = math.fsum(region.area for region in regions)
    share = covered / (lay.usable_width * end) if end > 0 and lay.usable_width > 0 else 0.0
    if not abs(lay.utilisation - share) <= _SHARE:
        yield "share", f"share used is given as {lay.utilisation:.6f}; it is {share:.6f}"
    if not lay.proven_minimum <= lay.length + LENGTH_REPORT:
        yield (
            "bound",
            f"proven minimum {lay.proven_minimum:.3f} mm exceeds the length {lay.length:.3f} mm",
        )
    if lay.status == "proven best" and lay.length - lay.proven_minimum > LENGTH_REPORT:
        yield (
            "bound",
            f"called proven best, but the proven minimum is {lay.proven_minimum:.3f} mm and the "
            f"length {lay.length:.3f} mm",
        )


def _bought(lay: Lay, cloth: Cloth, motif_start: float) -> Iterator[tuple[Kind, str]]:
    buy, parts = lay.buy, dict(lay.buy.made_of)
    if tuple(parts) != _PARTS:
        yield (
            "buy",
            f"its parts are {', '.join(parts) or 'none'}; they must be {', '.join(_PARTS)}",
        )
        return
    kept = lay.length + cloth.end_trim + motif_start
    need = kept / (1.0 - cloth.shrink_along)
    wanted = {
        "lay": lay.length,
        "end_trim": cloth.end_trim,
        "shrinkage": need - kept,
        "motif_start": motif_start,
    }
    for name, true in wanted.items():
        if not abs(parts[name] - true) <= LENGTH_REPORT:
            yield "buy", f"part {name} is given as {parts[name]:.3f} mm; it is {true:.3f} mm"
    total = math.fsum(parts.values())
    if not abs(buy.length - total) <= LENGTH_REPORT:
        yield "buy", f"length to buy is {buy.length:.3f} mm but its parts make {total:.3f} mm"
    if not buy.length >= need - LENGTH_REPORT:
        yield "buy", f"length to buy is {buy.length:.3f} mm; {need:.3f} mm are needed"
    yield from _words(buy)
    if cloth.length is not None:
        yield from _owned(lay, cloth, need)
        return
    yield from _in_steps(buy, cloth, need)
    yield from _cost(buy, cloth)


def _owned(lay: Lay, cloth: Cloth, need: float) -> Iterator[tuple[Kind, str]]:
    if cloth.price is not None and cloth.price_per == "piece":
        if lay.buy.cost is None or not abs(lay.buy.cost - cloth.price) <= _HALF_A_CENT:
            yield "buy", f"cost is given as {lay.buy.cost}; the piece costs {cloth.price:.2f}"
    elif lay.buy.cost not in {0, None}:
        yield "buy", f"cost is given as {lay.buy.cost}; the cloth is owned already"
    if lay.status != "does not fit" and need > (cloth.length or 0.0) + EDGE_SLACK:
        yield "buy", f"{need:.3f} mm are needed; only {cloth.length:.3f} mm are owned"


def _in_steps(buy: Buy, cloth: Cloth, need: float) -> Iterator[tuple[Kind, str]]:
    if cloth.step <= 0:
        if not abs(buy.length - need) <= LENGTH_REPORT:
            yield "buy", f"length to buy is {buy.length:.3f} mm; {need:.3f} mm are needed"
        return
    off = abs(math.remainder(buy.length, cloth.step))
    if not off <= LENGTH_REPORT:
        yield "buy", f"length to buy {buy.length:.3f} mm is no multiple of {cloth.step:.3f} mm"
    if not buy.length < need + cloth.step - LENGTH_REPORT / 2:
        yield (
            "buy",
            f"length to buy {buy.length:.3f} mm is a step or more above the {need:.3f} mm needed",
        )


def _cost(buy: Buy, cloth: Cloth) -> Iterator[tuple[Kind, str]]:
    if cloth.price is None:
        if buy.cost is not None:
            yield "buy", f"cost is given as {buy.cost}; the plan gives no price"
        return
    cost = cloth.price * buy.length / {"m": 1000.0, "yd": 914.4}[cloth.price_per]
    if buy.cost is None or not abs(buy.cost - cost) <= _HALF_A_CENT:
        yield "buy", f"cost is given as {buy.cost}; it is {cost:.2f}"


def _words(buy: Buy) -> Iterator[tuple[Kind, str]]:
    """Read the words back: what the maker reads must be what was worked out."""
    for words in buy.text.replace(")", "").split("("):
        try:
            told = parse_length(words.strip(), "mm")
        except InputError:
            yield "buy", f"the words {buy.text!r} for the length to buy cannot be read back"
            return
        if not -LENGTH_REPORT <= told - buy.length <= _COARSEST_TEXT:
            yield "buy", f"the words {buy.text!r} do not say {buy.length:.1f} mm"
