"""Whole-dress totals, and the best choice under a budget against trying everything."""

import itertools
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.model.comparison import ComparedRow, Comparison
from nesting.model.costing import Trim
from nesting.model.plan import Plan
from nesting.report.alternatives import (
    MOST,
    alternatives,
    alternatives_to_dict,
    budget_text,
    sheet_of,
    total_columns,
    total_rows,
)

PLAN = Plan("test", "cm", (), ())


def row(layer, cloth, cost, rank=0, number=0, **fields):
    """Return a candidate of which only the cost matters."""
    fields.setdefault("status", "found")
    return ComparedRow(
        number=number, layer=layer, cloth=cloth, rank=rank, width=1400.0, usable_width=1380.0,
        length=2000.0, buy_length=2000.0, price=1.0, currency="EUR",
        cost=None if cost is None else Decimal(str(cost)), **fields,
    )  # fmt: skip


def compared(*rows):
    """Return a comparison of these rows, in the order a run gives them."""
    layers = tuple(dict.fromkeys(one.layer for one in rows))
    ordered = sorted(rows, key=lambda one: (layers.index(one.layer), one.cost or 0))
    return Comparison("test", "cm", tuple(ordered), layers)


GOWN = compared(
    row("outer", "silk", "67.20"),
    row("outer", "rayon", "40.00", rank=1),
    row("outer", "polyester", "20.00", rank=2),
    row("lining", "silk pongee", "30.00"),
    row("lining", "cotton", "18.00", rank=1),
)


def test_every_sensible_combination_cheapest_first():
    """Three times two; the cheapest is marked in words."""
    found = alternatives(PLAN, GOWN, None)
    totals = [str(one.total) for one in found.combinations]
    assert totals == ["38.00", "50.00", "58.00", "70.00", "85.20", "97.20"]
    assert total_columns(found) == ("outer", "lining", "whole dress", "")
    assert total_rows(found)[0] == (
        "polyester 20.00", "cotton 18.00", "38.00 EUR", "cheapest"
    )  # fmt: skip
    assert len(total_rows(found, 2)) == 2
    assert budget_text(found) == ""


def test_cloths_are_told_with_their_width_where_a_layer_has_several():
    """In the table and in the sentence on the budget; a layer of one width needs none."""
    wide = replace(GOWN.rows[0], width=1500.0, number=9)
    found = alternatives(PLAN, replace(GOWN, rows=(*GOWN.rows, wide)), 10.0)
    told = total_rows(found)[0]
    assert told[:2] == ("polyester (140.0 cm) 20.00", "cotton 18.00")
    assert "the cheapest, polyester (140.0 cm), cotton, costs 38.00 EUR" in budget_text(found)


def test_only_the_cheapest_width_of_a_cloth_is_a_choice():
    """A width that does not fit, one that costs more, and an unknown price are none."""
    rows = (
        row("outer", "silk", "67.20"), row("outer", "silk", "50.00"),
        row("outer", "silk", None, status="does not fit"), row("outer", "velvet", None, rank=1),
    )  # fmt: skip
    (one,) = alternatives(PLAN, compared(*rows), None).combinations
    assert one.total == Decimal("50.00")


def test_a_layer_without_any_choice_is_named():
    """Then there is no whole dress, and no sum that would mislead."""
    found = alternatives(
        PLAN, compared(row("outer", "silk", 5), row("lining", "lawn", None)), 10.0
    )
    assert (found.missing, found.combinations, found.proposed) == (("lining",), (), None)
    assert "no cloth of known price fits for lining" in budget_text(found)


@pytest.mark.parametrize(
    ("budget", "cloths"),
    [
        (97.20, ["silk", "silk pongee"]),
        (97.19, ["silk", "cotton"]),
        (85.19, ["rayon", "silk pongee"]),
        (69.99, ["rayon", "cotton"]),
        (57.99, ["polyester", "silk pongee"]),
        (49.99, ["polyester", "cotton"]),
        (37.99, None),
    ],
)
def test_the_first_layer_is_given_its_best_cloth_first(budget, cloths):
    """To the cent; where nothing is cheap enough the cheapest is told instead."""
    found = alternatives(PLAN, GOWN, budget)
    chosen = None if found.chosen is None else [one.cloth for one in found.chosen.rows]
    assert chosen == cloths
    if cloths is None:
        assert budget_text(found) == (
            "Nothing can be had for 37.99 EUR: the cheapest, polyester, cotton, costs 38.00 EUR, "
            "which is 0.01 EUR more."
        )
        assert found.proposed == found.cheapest


def test_trims_count_against_the_budget():
    """Buttons for 5.00 leave 33.00 of 38.00 for cloth: the cheapest is too dear."""
    plan = replace(PLAN, trims=(Trim("buttons", count=10, price=0.5, per="each", currency="EUR"),))
    found = alternatives(plan, GOWN, 38.0)
    assert (found.trims, found.chosen) == (Decimal("5.00"), None)
    assert found.cheapest.total == Decimal("43.00")
    assert total_columns(found)[-3:] == ("trims", "whole dress", "")
    assert total_rows(found)[0][-1] == "cheapest, 5.00 over the budget"
    assert sheet_of(plan, found.cheapest).total == Decimal("43.00")
    assert alternatives_to_dict(found)["cheapest"]["total"] == "43.00"


def test_two_currencies_in_one_total_are_refused():
    """Silk in EUR and lawn in GBP cannot be added; free cloth has no currency to mind."""
    other = replace(row("lining", "lawn", 5), currency="GBP")
    with pytest.raises(InputError, match="silk is priced in EUR and lawn in GBP"):
        alternatives(PLAN, compared(row("outer", "silk", 5), other), None)
    owned = replace(other, cost=Decimal(0), owned=True)
    assert alternatives(PLAN, compared(row("outer", "silk", 5), owned), None).currency == "EUR"


def test_of_very_many_the_cheapest_are_listed():
    """Six layers of six cloths are 46656: the cheapest are kept, and the rest are counted."""
    rows = [
        row(f"layer {k}", f"cloth {k}{n}", 10 + 7 * n + k, rank=n)
        for k in range(6)
        for n in range(6)
    ]
    found = alternatives(PLAN, compared(*rows), None)
    assert len(found.combinations) == MOST
    assert found.left_out == 6**6 - MOST
    every = sorted(
        sum(Decimal(10 + 7 * n + k) for k, n in enumerate(pick))
        for pick in itertools.product(range(6), repeat=6)
    )
    assert [one.total for one in found.combinations] == every[:MOST]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.lists(st.integers(0, 60), min_size=1, max_size=4), min_size=1, max_size=3),
    st.integers(0, 150),
)
def test_the_choice_is_that_of_trying_everything(costs, budget):
    """For any costs: the least (first layer's rank, second's, ...) that can be paid."""
    rows = [
        row(f"layer {k}", f"cloth {k}{n}", cost, rank=n)
        for k, layer in enumerate(costs)
        for n, cost in enumerate(layer)
    ]
    found = alternatives(PLAN, compared(*rows), float(budget))
    paid = [
        pick
        for pick in itertools.product(*(range(len(layer)) for layer in costs))
        if sum(costs[k][n] for k, n in enumerate(pick)) <= budget
    ]
    chosen = None if found.chosen is None else tuple(one.rank for one in found.chosen.rows)
    assert chosen == min(paid, default=None)
