"""The comparison in plain rows: for tables, CSV and JSON."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from ..model.comparison import ComparedRow, Comparison, WhatIf
from ..units import length_text, metres_text, yards_text
from .money import amount_text

BUYING_COLUMNS: Final = (
    "cloth", "width", "usable", "lay", "end trim", "shrinkage", "motif start", "buy", "price",
    "cost", "",
)  # fmt: skip
"""Columns of :func:`buying_rows`."""

JUDGING_COLUMNS: Final = (
    "cloth", "width", "cloth used", "at least", "joins", "largest leftover", "nap the other way",
    "if 2 cm narrower",
)  # fmt: skip
"""Columns of :func:`judging_rows`."""

_HAIR = 0.5  # mm; less is no change in what is told to the millimetre
_SLIVER = 50.0  # mm; a leftover narrower than this is not worth telling


def buying_rows(comparison: Comparison, layer: str) -> list[tuple[str, ...]]:
    """Return what to buy of each candidate of a layer, cheapest first, under ``BUYING_COLUMNS``.

    The last column says in words which is the cheapest, how much dearer the others are, and
    why one does not fit.
    """
    rows = comparison.rows_of(layer)
    best = cheapest(rows)
    return [_buying(row, best, comparison.units) for row in rows]


def judging_rows(comparison: Comparison, layer: str) -> list[tuple[str, ...]]:
    """Return how good each candidate that fits is, under ``JUDGING_COLUMNS``."""
    return [_judging(row, comparison.units) for row in comparison.rows_of(layer) if row.length]


def cheapest(rows: tuple[ComparedRow, ...]) -> ComparedRow | None:
    """Return the cheapest row that fits and has a known cost, the first of equals; or None."""
    priced = [row for row in rows if row.fits and row.cost is not None]
    return min(priced, key=lambda row: row.cost or Decimal(0), default=None)


def buy_text(length: float, per: str = "m") -> str:
    """Write a length to buy in metres and in yards with fractions, the shop's own unit first.

    >>> buy_text(3100.0)
    '3.10 m (3 1/2 yd)'
    """
    metres, yards = metres_text(length), yards_text(length)
    return f"{yards} ({metres})" if per == "yd" else f"{metres} ({yards})"


def price_text(row: ComparedRow) -> str:
    """Write the price of a row's cloth: ``34.50 /m``, ``18.00 the piece``, ``owned`` or ``?``."""
    if row.price is not None and row.price_per == "piece":
        return f"{row.price:.2f} the piece"
    if row.owned:
        return "owned"
    return "?" if row.price is None else f"{row.price:.2f} /{row.price_per}"


def _buying(row: ComparedRow, best: ComparedRow | None, units: str) -> tuple[str, ...]:
    width, usable = length_text(row.width, units), length_text(row.usable_width, units)
    if not row.length:
        return row.cloth, width, usable, *[""] * 5, price_text(row), "", _remark(row, best)
    parts = [length_text(row.made_of[name], units) for name in ("lay", "end_trim", "shrinkage")]
    start = length_text(row.made_of["motif_start"], units)
    bought, cost = buy_text(row.buy_length, row.price_per), amount_text(row.cost, row.currency)
    return (
        row.cloth, width, usable, *parts, start, bought, price_text(row), cost if row.fits else "",
        _remark(row, best),
    )  # fmt: skip


def _remark(row: ComparedRow, best: ComparedRow | None) -> str:
    if not row.fits:
        return f"does not fit: {row.reason}"
    if row.cost is None:
        return "no price given"
    if best is None or best.cost is None:
        return ""
    if row is best:
        return "cheapest"
    return f"{row.cost - best.cost:.2f} dearer" if row.cost > best.cost else "costs the same"


def _judging(row: ComparedRow, units: str) -> tuple[str, ...]:
    least = length_text(row.proven_minimum, units)
    proven = "proven best" if row.status == "proven best" else least
    if row.same_as is not None:
        found_for = f"{row.same_cloth}, {length_text(row.same_as, units)}".removeprefix(", ")
        proven = f"{least}; the layout for {found_for}"
    return (
        row.cloth, length_text(row.width, units), f"{100 * row.used:.1f} %", proven,
        str(row.joins), leftover_text(row, units), what_if_text(row.other_way, row, units),
        what_if_text(row.narrower, row, units),
    )  # fmt: skip


def leftover_text(row: ComparedRow, units: str) -> str:
    """Write the extent of the largest clean leftover, along by across; "-" for a sliver."""
    if row.leftover is None or min(row.leftover) < _SLIVER:
        return "-"
    along, across = (length_text(size, units) for size in row.leftover)
    return f"{along} x {across}"


def what_if_text(case: WhatIf | None, row: ComparedRow, units: str) -> str:
    """Write what a row would take in another case: its lay, and what that changes in the buying.

    ``one-way 312.0 cm, buy 0.20 m more`` or ``does not fit``.
    """
    if case is None:
        return "-"
    name = "" if case.case == "narrower" else f"{case.case} "
    if case.length is None or case.buy_length is None:
        return f"{name}does not fit"  # why is told in full in the data
    if abs(case.length - row.length) <= _HAIR:
        return f"{name}the same"
    more = case.buy_length - row.buy_length
    text = f"{name}{length_text(case.length, units)}"
    if abs(more) <= _HAIR:
        return f"{text}, buy the same"
    return f"{text}, buy {metres_text(abs(more))} {'more' if more > 0 else 'less'}"


def row_to_dict(row: ComparedRow) -> dict[str, Any]:
    """Return a row as plain data: millimetres, and money as text with two decimals."""
    return {
        "layer": row.layer,
        "cloth": row.cloth,
        "width": row.width,
        "as_planned": row.as_planned,
        "usable_width": row.usable_width,
        "nap": row.nap,
        "owned": row.owned,
        "status": row.status,
        "reason": row.reason,
        "length": row.length,
        "made_of": dict(row.made_of),
        "buy_length": row.buy_length,
        "buy_text": buy_text(row.buy_length, row.price_per) if row.length else "",
        "price": row.price,
        "price_per": row.price_per,
        "cost": _money(row.cost),
        "currency": row.currency,
        "used": row.used,
        "proven_minimum": row.proven_minimum,
        "joins": row.joins,
        "layout_of_width": row.same_as,
        "layout_of_cloth": row.same_cloth,
        "leftover": None if row.leftover is None else list(row.leftover),
        "other_way": _what_if(row.other_way),
        "narrower_by_20_mm": _what_if(row.narrower),
        "seconds": round(row.seconds, 2),
    }


def _money(amount: Decimal | None) -> str | None:
    return None if amount is None else f"{amount:.2f}"


def _what_if(case: WhatIf | None) -> dict[str, Any] | None:
    if case is None:
        return None
    return {
        "case": case.case,
        "length": case.length,
        "buy_length": case.buy_length,
        "cost": _money(case.cost),
        "reason": case.reason,
    }
