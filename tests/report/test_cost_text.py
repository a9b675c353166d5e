"""The cost sheet as text: columns that line up, nothing too wide, the total last."""

from dataclasses import replace

from nesting.model.costing import Trim
from nesting.report.cost import layout_sheets
from nesting.report.cost_text import cost_text
from nesting.report.summary import WIDTH, summarise
from tests.handmade import two_gores

BRAID = Trim("braid for the hem and for both cuffs, as wide as can be had in this colour",
             lengths=(3360.0,), joins=2, overlap=20.0, step=500.0, price=2.4)  # fmt: skip
HOOKS = Trim("hooks", count=24, price=2.5, per="pack", pack=10)
CORD = Trim("cord", lengths=(500.0,))


def gown():
    """Return a plan with trims, and its layout."""
    plan, layout = two_gores()
    return replace(plan, trims=(BRAID, HOOKS, CORD)), layout


def test_lines_are_no_wider_than_asked_and_costs_stand_in_a_column():
    """A long name goes on below; how a trim came about stands under it; the sum is exact."""
    plan, layout = gown()
    (sheet,) = layout_sheets(plan, layout)
    lines = cost_text(sheet, WIDTH).splitlines()
    assert max(map(len, lines)) == WIDTH
    assert "  336.0 cm + 4.0 cm for 2 joins = 340.0 cm" in lines
    hooks = next(line for line in lines if line.startswith("hooks"))
    assert hooks.split() == ["hooks", "3", "packs", "of", "10", "2.50", "/pack", "7.50"]
    assert lines[-2].split() == ["Total", "39.90"]
    ends = {len(line) for line in lines if line[-3:-2] == "."}
    assert ends == {WIDTH}
    assert lines[-1] == "  without cord, of unknown price"


def test_the_summary_has_the_sheet_where_the_plan_is_known():
    """With the plan, trims and total; from a layout alone there is nothing on trims."""
    plan, layout = gown()
    assert "Cost sheet\n----------\n" in summarise(plan, layout)
    assert "Cost sheet" not in summarise(None, layout)


def test_two_currencies_are_two_sheets():
    """Each heading says its currency."""
    plan, layout = gown()
    plan = replace(plan, trims=(replace(BRAID, currency="SEK"),))
    plan = replace(plan, cloths=tuple(replace(cloth, currency="CHF") for cloth in plan.cloths))
    text = summarise(plan, layout)
    assert "Cost sheet, CHF" in text
    assert "Cost sheet, SEK" in text
