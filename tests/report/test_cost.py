"""The cost sheet: cloth bought, owned or sold whole, trims counted or measured, one total."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.errors import InputError
from nesting.model.comparison import ComparedRow
from nesting.model.costing import Trim
from nesting.model.plan import Plan
from nesting.report.cost import (
    COLUMNS,
    cost_rows,
    cost_sheet,
    layout_lines,
    layout_sheets,
    row_lines,
    sheet_to_dict,
    trim_lines,
)
from tests.handmade import lay_on, layout_of, two_gores

ROW = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=1400.0, usable_width=1380.0,
    status="found", length=2050.0, buy_length=2100.0, price=32.0, cost=Decimal("67.20"),
    currency="EUR",
)  # fmt: skip


def lines_of(*trims):
    """Return the lines of some trims of an empty plan."""
    return trim_lines(Plan("test", "cm", (), (), trims=trims))


def test_a_sheet_in_words():
    """Cloth, a measured and a counted trim, and the total last."""
    lace = Trim("lace", lengths=(800.0,), fullness=1.5, joins=1, overlap=20.0, step=500.0,
                price=4.0, currency="EUR")  # fmt: skip
    hooks = Trim("hooks", count=24, price=2.5, per="pack", pack=10, currency="EUR")
    sheet = cost_sheet((*row_lines([ROW], "cm"), *lines_of(lace, hooks)))
    assert sheet.total == Decimal("67.20") + Decimal("6.00") + Decimal("7.50")
    rows = cost_rows(sheet)
    assert all(len(row) == len(COLUMNS) for row in rows)
    assert rows[1][2] == "80.0 cm x 1.5 for fullness + 2.0 cm for 1 join = 122.0 cm"
    assert rows[2][2:5] == ("24 pieces", "3 packs of 10", "2.50 /pack")
    assert rows[-1] == ("", "Total", "", "", "", "80.70 EUR")
    assert sheet_to_dict(sheet)["total"] == "80.70"


def test_owned_and_unknown():
    """What she owns costs nothing; what has no price is named, not counted as nothing."""
    owned = replace(ROW, cloth="heirloom", owned=True, price=None, cost=Decimal(0))
    braid = Trim("braid", lengths=(500.0,), owned=True)
    cord = Trim("cord", lengths=(500.0,))
    sheet = cost_sheet((*row_lines([owned], "cm"), *lines_of(braid, cord)))
    assert (sheet.total, sheet.unknown) == (Decimal("0.00"), ("cord",))
    rows = cost_rows(sheet)
    assert rows[0][3:] == ("2.10 m (2 3/8 yd), owned", "owned", "0.00 EUR")
    assert (rows[1][4], rows[2][4:]) == ("owned", ("?", "?"))
    assert rows[-1][2] == "without cord, of unknown price"


def test_cloth_sold_as_one_piece():
    """A thrifted curtain at 18.00 the piece."""
    curtain = replace(
        ROW, cloth="curtain", owned=True, price=18.0, price_per="piece", cost=Decimal("18.00")
    )
    (line,) = row_lines([curtain], "cm")
    assert (line.price, line.cost, line.buy) == (
        "18.00 the piece", Decimal("18.00"), "2.10 m (2 3/8 yd)"
    )  # fmt: skip


def test_two_currencies_are_refused():
    """Priced lines only: what is owned may say anything."""
    lace = Trim("lace", lengths=(800.0,), price=4.0, currency="GBP")
    with pytest.raises(InputError, match="priced in EUR and lace in GBP"):
        cost_sheet((*row_lines([ROW], "cm"), *lines_of(lace)))
    cost_sheet((*row_lines([ROW], "cm"), *lines_of(replace(lace, owned=True))))


def test_the_lines_of_a_layout():
    """The same sheet from a layout already made; a piece sold whole is paid once, not per lay."""
    plan, layout = two_gores()
    (line,) = layout_lines(plan, layout)
    assert line.cost == Decimal(str(round(layout.lays[0].buy.cost, 2)))
    assert line.what == "damask, 70.0 cm wide"
    whole = replace(plan.cloths[0], price=9.0, price_per="piece", length=5000.0)
    lay = lay_on(plan.cloths[0], layout.lays[0].placements, panel=1)
    lay = replace(lay, buy=replace(lay.buy, cost=9.0))
    lines = layout_lines(
        replace(plan, cloths=(whole,)), layout_of(lay, replace(lay, panel=2))
    )  # fmt: skip
    assert [one.cost for one in lines] == [Decimal("9.0"), Decimal(0)]
    assert lines[1].what == "damask, piece 2, 70.0 cm wide"


def test_every_currency_has_a_total_of_its_own():
    """Cloth in francs, braid in crowns: two sheets; what is owned stands on the first."""
    plan, layout = two_gores()
    francs = tuple(replace(cloth, currency="CHF") for cloth in plan.cloths)
    trims = (
        Trim("braid", lengths=(500.0,), price=4.0, currency="SEK"),
        Trim("tape", lengths=(500.0,), owned=True, currency="SEK"),
    )
    first, second = layout_sheets(replace(plan, cloths=francs, trims=trims), layout)
    assert (first.currency, first.total) == ("CHF", Decimal("24.00"))
    assert [line.what for line in first.lines][1:] == ["tape"]
    assert (second.currency, second.total) == ("SEK", Decimal("2.00"))


def test_no_price_and_no_trim_is_no_sheet():
    """A sheet of nothing but question marks tells nothing; trims are a shopping list."""
    plan, layout = two_gores()
    lay = replace(layout.lays[0], buy=replace(layout.lays[0].buy, cost=None))
    layout = replace(layout, lays=(lay,))
    assert layout_sheets(plan, layout) == ()
    (sheet,) = layout_sheets(replace(plan, trims=(Trim("cord", lengths=(500.0,)),)), layout)
    assert sheet.unknown == (sheet.lines[0].what, "cord")
