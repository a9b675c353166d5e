"""Yardage and cost are worked out again."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.verify import check_layout

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores
from .faults import only_lay, said


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"cost": 23.99}, "cost is given as 23.99; it is 24.00"),
        ({"cost": None}, "cost is given as None"),
        ({"length": 500.0}, "mm are needed"),
        ({"length": 610.0}, "no multiple"),
        ({"text": "0.50 m"}, "do not say 600.0 mm"),
        ({"text": "some"}, "cannot be read back"),
        ({"made_of": {"lay": 500.0}}, "they must be lay, end_trim"),
    ],
)
def test_yardage_and_cost_are_worked_out_again(change, words):
    """The lay of 500 mm and 50 mm of trim at 5 per cent shrinkage need 578.9: 0.60 m at 40."""
    plan, layout = two_gores()
    buy = layout.lays[0].buy
    assert buy.length == 600.0
    assert buy.cost == pytest.approx(24.0)
    wrong = only_lay(layout, buy=replace(buy, **change))
    assert words in said(check_layout(plan, wrong), "buy")


def test_a_step_too_much_is_refused():
    """Never less than needed, and never a step more."""
    plan, layout = two_gores()
    buy = layout.lays[0].buy
    parts = {**buy.made_of, "rounding": buy.made_of["rounding"] + 100.0}
    more = replace(buy, length=700.0, text="0.70 m", cost=28.0, made_of=parts)
    assert "a step or more above" in said(check_layout(plan, only_lay(layout, buy=more)), "buy")


def test_shrinkage_divides_by_what_remains():
    """100 cm at 5 per cent need 105.263 cm (ISO 5077: length over one plus the change)."""
    cloth = Cloth("wool", 500.0, shrink_along=0.05)
    band = PlanPiece("band", pattern("band", rectangle(100, 1000)), "wool")
    layout = layout_of(lay_on(cloth, [put(band, 1, 0, (0, 100))]))
    plan = Plan("t", "cm", (cloth,), (band,))
    assert layout.lays[0].buy.length == pytest.approx(1052.6316, abs=1e-4)
    assert check_layout(plan, layout) == ()
    wrong = replace(
        layout.lays[0].buy,
        length=1050.0,
        text="1.05 m",
        made_of={**layout.lays[0].buy.made_of, "shrinkage": 50.0},
    )
    assert "1052.632 mm are needed" in said(check_layout(plan, only_lay(layout, buy=wrong)), "buy")


def test_owned_cloth_costs_nothing_and_has_an_end():
    """A layout longer than the cloth owned is refused unless it says that it does not fit."""
    for owned, status, kinds in (
        (600.0, "found", []),
        (560.0, "found", ["buy"]),
        (560.0, "does not fit", []),
    ):
        cloth = replace(DAMASK, price=None, step=0.0, length=owned)
        plan, layout = two_gores()
        plan = replace(plan, cloths=(cloth,))
        lay = lay_on(cloth, layout.lays[0].placements, status=status, reason="it is too long")
        lay = replace(lay, buy=replace(lay.buy, cost=0.0))
        assert [f.kind for f in check_layout(plan, layout_of(lay))] == kinds
    silent = layout_of(replace(lay, reason=""))
    assert "no reason" in said(check_layout(plan, silent), "cloth")


def test_without_a_step_exactly_the_need_is_bought():
    """A shop that cuts any length sells neither less nor more."""
    cloth = replace(DAMASK, step=0.0)
    plan, layout = two_gores()
    plan = replace(plan, cloths=(cloth,))
    right = layout_of(lay_on(cloth, layout.lays[0].placements))
    assert check_layout(plan, right) == ()
    buy = right.lays[0].buy
    parts = {**buy.made_of, "rounding": 1.0}
    more = replace(buy, length=buy.length + 1.0, made_of=parts)
    assert "are needed" in said(check_layout(plan, only_lay(right, buy=more)), "buy")


def test_a_price_the_plan_does_not_give_is_refused():
    """No cost is worked out of nothing."""
    plan, layout = two_gores()
    unpriced = replace(plan, cloths=(replace(DAMASK, price=None),))
    assert "gives no price" in said(check_layout(unpriced, layout), "buy")
