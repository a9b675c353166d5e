"""The cost sheet: every cloth and every trim at its price and step, and the grand total."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import ceil
from typing import Any, Final

from ..errors import InputError
from ..model.comparison import ComparedRow
from ..model.costing import Trim
from ..model.layout import Lay, Layout
from ..model.plan import Cloth, Plan
from ..units import length_text
from .compare import buy_text
from .money import amount_text, cost_of_count, cost_of_length, one_currency
from .trims import TrimNeed, trim_need

COLUMNS: Final = ("for", "what", "worked out", "buy", "price", "cost")
"""Columns of :func:`cost_rows`."""

FIGURES: Final = ("price", "cost")
"""Those of them that hold figures, which are set to the right."""


@dataclass(frozen=True, slots=True)
class CostLine:
    """One line of the sheet.

    ``part`` is the layer or "trim"; ``working`` says how the amount came about, ``buy`` and
    ``price`` are words. ``cost`` is rounded once; None where the price is not known.
    """

    part: str
    what: str
    working: str
    buy: str
    price: str
    cost: Decimal | None
    currency: str = ""
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CostSheet:
    """All lines, and the total of those whose price is known; ``unknown`` names the others."""

    lines: tuple[CostLine, ...]
    total: Decimal
    currency: str
    unknown: tuple[str, ...] = ()


def cost_sheet(lines: Iterable[CostLine]) -> CostSheet:
    """Return the sheet of all lines.

    Raises
    ------
    InputError
        If two currencies would stand in one total.
    """
    kept = tuple(lines)
    priced = [line for line in kept if line.cost is not None and line.cost > 0]
    currency = one_currency((line.what, line.currency) for line in priced)
    total = sum((line.cost for line in priced if line.cost is not None), Decimal("0.00"))
    unknown = tuple(line.what for line in kept if line.cost is None)
    return CostSheet(kept, total, currency, unknown)


def refuse_two_currencies(plan: Plan, cloths: Iterable[str]) -> None:
    """Raise where the prices of these cloths and of the trims cannot stand in one total.

    Raises
    ------
    InputError
        If they are in two currencies; with the plan's file.
    """
    wanted = set(cloths)
    named = [
        (cloth.name, cloth.currency)
        for cloth in plan.cloths
        if cloth.name in wanted and cloth.price
    ]
    named += [(trim.name, trim.currency) for trim in plan.trims if trim.price and not trim.owned]
    try:
        one_currency(named)
    except InputError as error:
        raise InputError(error.problem, remedy=error.remedy, file=plan.path) from None


def trim_lines(plan: Plan) -> tuple[CostLine, ...]:
    """Return the lines of all trims of a plan."""
    return tuple(_trim_line(plan, trim) for trim in plan.trims)


def row_lines(rows: Sequence[ComparedRow], units: str) -> tuple[CostLine, ...]:
    """Return the lines of chosen candidates, one for each layer."""
    return tuple(
        CostLine(
            part=row.layer,
            what=f"{row.cloth}, {length_text(row.width, units)} wide",
            working=f"{length_text(row.length, units)} for the pieces",
            buy=_bought(
                buy_text(row.buy_length, row.price_per),
                owned=row.owned and row.price_per != "piece",
            ),
            price=_price(row.price, row.price_per, owned=row.owned),
            cost=row.cost,
            currency=row.currency,
        )
        for row in rows
    )


def layout_lines(plan: Plan, layout: Layout) -> tuple[CostLine, ...]:
    """Return the lines of the cloths of a layout; cloth sold as one piece is paid once."""
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    lines: list[CostLine] = []
    paid: set[str] = set()
    for lay in layout.lays:
        if lay.placements:
            lines.append(_lay_line(lay, cloths[lay.cloth], plan.units, again=lay.cloth in paid))
            paid.add(lay.cloth)
    return tuple(lines)


def layout_sheets(plan: Plan, layout: Layout) -> tuple[CostSheet, ...]:
    """Return what the cloths of a layout and the plan's trims cost, a sheet for each currency.

    Nothing here knows what one currency is worth in another, so each has a total of its own; what
    costs nothing, or has no known price, stands on the first. Empty where no price is known and
    no trim is wanted.
    """
    lines = (*layout_lines(plan, layout), *trim_lines(plan))
    paid = [line.currency for line in lines if line.cost]
    first = paid[0] if paid else plan.currency
    return tuple(
        cost_sheet(line for line in lines if (line.currency if line.cost else first) == currency)
        for currency in dict.fromkeys(paid or ([first] if plan.trims else []))
    )


def cost_rows(sheet: CostSheet) -> list[tuple[str, ...]]:
    """Return the sheet in words under ``COLUMNS``, the grand total last."""
    rows = [
        (line.part, line.what, line.working, line.buy, line.price,
         amount_text(line.cost, line.currency))
        for line in sheet.lines
    ]  # fmt: skip
    without = f"without {', '.join(sheet.unknown)}, of unknown price" if sheet.unknown else ""
    return [*rows, ("", "Total", without, "", "", amount_text(sheet.total, sheet.currency))]


def sheet_to_dict(sheet: CostSheet) -> dict[str, Any]:
    """Return the sheet as plain data; money is text with two decimals."""
    return {
        "lines": [
            {
                "for": line.part,
                "what": line.what,
                "worked_out": line.working,
                "buy": line.buy,
                "price": line.price,
                "cost": None if line.cost is None else f"{line.cost:.2f}",
                "remarks": list(line.remarks),
            }
            for line in sheet.lines
        ],
        "total": f"{sheet.total:.2f}",
        "currency": sheet.currency,
        "unknown": list(sheet.unknown),
    }


def _lay_line(lay: Lay, cloth: Cloth, units: str, *, again: bool) -> CostLine:
    owned = cloth.length is not None or bool(cloth.panels)
    cost = None if lay.buy.cost is None else Decimal(str(lay.buy.cost))
    panel = "" if lay.panel is None else f", piece {lay.panel}"
    return CostLine(
        part="cloth",
        what=f"{cloth.name}{panel}, {length_text(cloth.width, units)} wide",
        working=f"{length_text(lay.length, units)} for the pieces",
        buy=_bought(
            buy_text(lay.buy.length, cloth.price_per), owned=owned and cloth.price_per != "piece"
        ),
        price=_price(cloth.price, cloth.price_per, owned=owned),
        cost=Decimal(0) if again and cloth.price_per == "piece" else cost,
        currency=cloth.currency,
    )


def _bought(text: str, *, owned: bool) -> str:
    return f"{text}, owned" if owned else text


def _price(price: float | None, per: str, *, owned: bool) -> str:
    if price is not None and per == "piece":
        return f"{price:.2f} the piece"
    if owned:
        return "owned"
    return "?" if price is None else f"{price:.2f} /{per}"


def _trim_line(plan: Plan, trim: Trim) -> CostLine:
    need = trim_need(plan, trim)
    if trim.measured:
        working, buy = _measured(trim, need, plan.units), buy_text(need.buy, trim.per)
        cost = None if trim.price is None else cost_of_length(need.buy, trim.price, trim.per)
    else:
        packs = ceil(need.pieces / trim.pack)
        working = f"{need.pieces} pieces"
        packed = f"{packs} {'pack' if packs == 1 else 'packs'} of {trim.pack}"
        buy = packed if trim.per == "pack" else f"{need.pieces}"
        cost = None if trim.price is None else cost_of_count(packs, trim.price)
    price = "?" if trim.price is None else f"{trim.price:.2f} /{trim.per}"
    if trim.owned:
        price, cost = "owned", Decimal("0.00")
    return CostLine("trim", trim.name, working, buy, price, cost, trim.currency, need.remarks)


def _measured(trim: Trim, need: TrimNeed, units: str) -> str:
    """Say what a measured trim takes: ``336.0 cm + 4.0 cm for 2 joins = 340.0 cm``."""
    words = [length_text(need.measured, units)]
    if trim.less:
        words.append(
            f"less {length_text(trim.less, units)} {'once' if trim.strips == 'one' else 'each'}"
        )
    if trim.fullness != 1:
        words.append(f"x {trim.fullness:g} for fullness")
    if trim.turn_back:
        words.append(f"+ {length_text(trim.turn_back, units)} at either end")
    if trim.joins and trim.overlap:
        joins = "1 join" if trim.joins == 1 else f"{trim.joins} joins"
        words.append(f"+ {length_text(trim.joins * trim.overlap, units)} for {joins}")
    if len(words) > 1:
        words.append(f"= {length_text(need.need, units)}")
    return " ".join(words)
