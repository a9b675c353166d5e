"""Whole-dress totals for every sensible choice of cloths, and the best one under a budget."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from ortools.sat.python import cp_model

from ..model.comparison import ComparedRow, Comparison
from ..model.plan import Plan
from ..units import length_text
from .compare import cheapest
from .cost import CostSheet, cost_sheet, row_lines, trim_lines
from .money import amount_text, one_currency

MOST: Final = 2_000
"""Most combinations that are listed; of more, the dearest are left out."""


@dataclass(frozen=True, slots=True)
class Combination:
    """One cloth for every layer, in the layers' order, and what the whole dress then costs."""

    rows: tuple[ComparedRow, ...]
    total: Decimal


@dataclass(frozen=True, slots=True)
class Alternatives:
    """The whole dress in every sensible way, cheapest first.

    ``trims`` is what is paid beside the cloths, in every combination. ``missing`` names layers
    for which no cloth of known price fits; there is no combination then. ``left_out`` counts
    combinations not listed. ``chosen`` is the best one under ``budget`` by the maker's ranking,
    None where none is cheap enough or no budget is given. ``by_width`` names layers whose cloths
    are told with their width, in ``units``.
    """

    layers: tuple[str, ...]
    combinations: tuple[Combination, ...]
    trims: Decimal
    currency: str
    budget: Decimal | None = None
    chosen: Combination | None = None
    missing: tuple[str, ...] = ()
    left_out: int = 0
    by_width: tuple[str, ...] = ()
    units: str = "cm"

    @property
    def cheapest(self) -> Combination | None:
        """The cheapest combination, or None where there is none."""
        return self.combinations[0] if self.combinations else None

    @property
    def proposed(self) -> Combination | None:
        """What to buy: the best under the budget, else the cheapest."""
        return self.chosen or self.cheapest


def alternatives(plan: Plan, comparison: Comparison, budget: float | None) -> Alternatives:
    """Return the whole-dress totals of a comparison.

    A layer's choices are its cloths, each in the width in which it costs least; widths that do
    not fit and cloths of unknown price are no choice.

    Raises
    ------
    InputError
        If two currencies would stand in one total.
    """
    trims = cost_sheet(trim_lines(plan))
    choices = [_choices(comparison, layer) for layer in comparison.layers]
    currency = _currency(choices, trims)
    limit = None if budget is None else Decimal(str(budget))
    missing = tuple(
        layer for layer, rows in zip(comparison.layers, choices, strict=True) if not rows
    )
    if missing:
        return Alternatives(
            comparison.layers, (), trims.total, currency, limit, missing=missing
        )  # fmt: skip
    total = math.prod(len(rows) for rows in choices)
    listed = [Combination(rows, _total(rows, trims.total)) for rows in _cheapest_of(choices)]
    listed.sort(key=lambda one: (one.total, [row.rank for row in one.rows]))
    best = None if limit is None else _best(choices, limit - trims.total)
    chosen = None if best is None else Combination(best, _total(best, trims.total))
    return Alternatives(
        comparison.layers, tuple(listed), trims.total, currency, limit, chosen,
        left_out=total - len(listed), by_width=comparison.layers_by_width(),
        units=comparison.units,
    )  # fmt: skip


def sheet_of(plan: Plan, combination: Combination) -> CostSheet:
    """Return the cost sheet of one combination, trims included."""
    return cost_sheet((*row_lines(combination.rows, plan.units), *trim_lines(plan)))


def total_columns(found: Alternatives) -> tuple[str, ...]:
    """Return the columns of :func:`total_rows`."""
    trims = ("trims",) if found.trims else ()
    return (*found.layers, *trims, "whole dress", "")


def total_rows(found: Alternatives, most: int | None = None) -> list[tuple[str, ...]]:
    """Return the whole-dress totals in words, cheapest first, at most ``most`` of them."""
    trims = (amount_text(found.trims, found.currency),) if found.trims else ()
    return [
        (
            *(f"{_named(row, found)} {amount_text(row.cost)}" for row in one.rows),
            *trims, amount_text(one.total, found.currency), _remark(one, found),
        )
        for one in found.combinations[:most]
    ]  # fmt: skip


def budget_text(found: Alternatives) -> str:
    """Say what is the best under the budget, or what the cheapest costs; "" without a budget."""
    if found.missing:
        return f"No total: no cloth of known price fits for {', '.join(found.missing)}."
    if found.budget is None or found.cheapest is None:
        return ""
    budget = amount_text(found.budget, found.currency)
    if found.chosen is None:
        over = found.cheapest.total - found.budget
        return (
            f"Nothing can be had for {budget}: the cheapest, {_cloths(found.cheapest, found)}, "
            f"costs {amount_text(found.cheapest.total, found.currency)}, which is "
            f"{amount_text(over, found.currency)} more."
        )
    left = found.budget - found.chosen.total
    return (
        f"Best under {budget} by your order of liking: {_cloths(found.chosen, found)}, for "
        f"{amount_text(found.chosen.total, found.currency)}; "
        f"{amount_text(left, found.currency)} is left."
    )


def alternatives_to_dict(found: Alternatives) -> dict[str, Any]:
    """Return the totals as plain data; money is text with two decimals."""
    return {
        "layers": list(found.layers),
        "currency": found.currency,
        "trims": f"{found.trims:.2f}",
        "budget": None if found.budget is None else f"{found.budget:.2f}",
        "missing": list(found.missing),
        "left_out": found.left_out,
        "chosen": None if found.chosen is None else _to_dict(found.chosen),
        "cheapest": None if found.cheapest is None else _to_dict(found.cheapest),
        "combinations": [_to_dict(one) for one in found.combinations],
    }


def _to_dict(one: Combination) -> dict[str, Any]:
    return {
        "cloths": {row.layer: row.cloth for row in one.rows},
        "widths": {row.layer: row.width for row in one.rows},
        "total": f"{one.total:.2f}",
    }


def _choices(comparison: Comparison, layer: str) -> list[ComparedRow]:
    """Return the choices of a layer, best liked first: each cloth in its cheapest width."""
    by_cloth: dict[str, list[ComparedRow]] = {}
    for row in comparison.rows_of(layer):
        by_cloth.setdefault(row.cloth, []).append(row)
    best = (cheapest(tuple(rows)) for rows in by_cloth.values())
    return sorted((row for row in best if row is not None), key=lambda row: row.rank)


def _currency(choices: Sequence[Sequence[ComparedRow]], trims: CostSheet) -> str:
    named = [(row.cloth, row.currency) for rows in choices for row in rows if row.cost]
    if trims.total:
        named.append((trims.lines[0].what, trims.currency))
    return one_currency(named)


def _total(rows: Sequence[ComparedRow], trims: Decimal) -> Decimal:
    return sum((row.cost for row in rows if row.cost is not None), trims)


def _cheapest_of(choices: Sequence[Sequence[ComparedRow]]) -> list[tuple[ComparedRow, ...]]:
    """Return all combinations, or ``MOST`` of the cheapest where there are more."""
    partial: list[tuple[ComparedRow, ...]] = [()]
    for rows in choices:
        # Dropping the dearest beginnings is safe: what follows costs them all the same.
        longer = [(*begun, row) for begun, row in itertools.product(partial, rows)]
        longer.sort(key=lambda begun: _total(begun, Decimal(0)))
        partial = longer[:MOST]
    return partial


def _best(
    choices: Sequence[Sequence[ComparedRow]], budget: Decimal
) -> tuple[ComparedRow, ...] | None:
    """Return the best liked choice within a budget, the first layer's liking counting first.

    Proven by constraint programming; None where none is cheap enough.
    """
    model = cp_model.CpModel()
    takes = [[model.new_bool_var("") for _ in rows] for rows in choices]
    for layer in takes:
        model.add_exactly_one(layer)
    cents = [[int((row.cost or Decimal(0)) * 100) for row in rows] for rows in choices]
    spent = sum(
        cost * take
        for costs, layer in zip(cents, takes, strict=True)
        for cost, take in zip(costs, layer, strict=True)
    )
    model.add(spent <= math.floor(budget * 100))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    for layer, rows in zip(takes, choices, strict=True):
        dislike = sum(row.rank * take for row, take in zip(rows, layer, strict=True))
        model.minimize(dislike)
        if solver.solve(model) != cp_model.OPTIMAL:
            return None
        model.add(dislike <= round(solver.objective_value))
    return tuple(
        next(row for row, take in zip(rows, layer, strict=True) if solver.boolean_value(take))
        for rows, layer in zip(choices, takes, strict=True)
    )


def _remark(one: Combination, found: Alternatives) -> str:
    words = []
    if one is found.cheapest:
        words.append("cheapest")
    if found.chosen is not None and one.rows == found.chosen.rows:
        words.append("best under the budget")
    if found.budget is not None and one.total > found.budget:
        words.append(f"{one.total - found.budget:.2f} over the budget")
    return ", ".join(words)


def _cloths(one: Combination, found: Alternatives) -> str:
    return ", ".join(dict.fromkeys(_named(row, found) for row in one.rows))


def _named(row: ComparedRow, found: Alternatives) -> str:
    """Return the name of a cloth, with its width where the layer was compared on several."""
    if row.layer not in found.by_width:
        return row.cloth
    return f"{row.cloth} ({length_text(row.width, found.units)})"
