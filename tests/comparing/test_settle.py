"""A wider cloth never takes more than a narrower one of the same kind."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.comparing.candidates import Candidate
from nesting.comparing.settle import settle
from nesting.model.comparison import ComparedRow, LaidFigures, WhatIf
from nesting.model.plan import Border, Breadths, Cloth, Plan, PlanPiece
from tests.handmade import pattern, rectangle

BAND = PlanPiece("band", pattern("band", rectangle(300, 500)), "silk", 1, 0)
SILK = Cloth("silk", 1400.0, 10.0)
FIGURES = LaidFigures({"lay": 1.0}, 0.55, (90.0, 90.0), 2)
ROW = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=1400.0, usable_width=1380.0,
    status="found", length=2000.0, buy_length=2000.0, cost=Decimal(40), used=0.5,
    made_of={"lay": 2000.0}, leftover=(100.0, 100.0), proven_minimum=1500.0,
    other_way=WhatIf("one-way", 2500.0, 2500.0, figures=FIGURES),
    narrower=WhatIf("narrower", 2300.0, 2300.0, figures=FIGURES),
)  # fmt: skip
WIDE = replace(
    ROW, number=1, width=1600.0, usable_width=1580.0, length=2600.0, buy_length=2600.0,
    cost=Decimal(52), used=0.4, proven_minimum=1300.0,
    other_way=WhatIf("one-way", 2700.0, 2700.0, figures=FIGURES),
    narrower=WhatIf("narrower", 2650.0, 2650.0, figures=FIGURES),
)  # fmt: skip


def settled(*rows, cloth=SILK, piece=BAND, breadths=()):
    """Return the rows by number, set right by each other."""
    known = {}
    for row in rows:
        plan = Plan("t", "cm", (replace(cloth, width=row.width),), (piece,), breadths=breadths)
        known[row.number] = Candidate(row.number, "outer", 0, plan, True)
    return {row.number: row for row in settle(rows, known)}


def test_a_layout_lies_on_wider_cloth_as_it_is():
    """Length, cost and what they are made of are the narrower one's; the share used is less."""
    rows = settled(WIDE, ROW)
    assert rows[0] == ROW
    wide = rows[1]
    assert (wide.length, wide.buy_length, wide.cost) == (2000.0, 2000.0, Decimal(40))
    assert wide.same_as == 1400.0
    assert wide.used == pytest.approx(0.5 * 1380 / 1580)
    assert wide.leftover == (2000.0, 200.0)  # the strip beside it
    assert wide.other_way.length == 2500.0
    assert wide.narrower.length == 2000.0
    assert wide.proven_minimum == 1300.0


def test_what_is_shorter_stays():
    """A wider cloth that takes less is left alone; one a centimetre wider takes what it may."""
    shorter = replace(WIDE, length=1800.0)
    assert settled(ROW, shorter)[1].length == 1800.0
    assert settled(ROW, shorter)[1].same_as is None
    hardly = settled(ROW, replace(WIDE, width=1410.0, usable_width=1390.0))[1]
    assert (hardly.length, hardly.narrower.length) == (2000.0, 2300.0)


def test_what_was_found_2_cm_narrower_serves_the_row_itself():
    """1380 mm took 1800: so does 1400, with the figures of that layout and the strip beside it."""
    better = WhatIf("narrower", 1800.0, 1900.0, Decimal(38), figures=FIGURES)
    row = settled(replace(ROW, narrower=better))[0]
    assert (row.length, row.buy_length, row.cost) == (1800.0, 1900.0, Decimal(38))
    assert (row.made_of, row.joins, row.same_as) == ({"lay": 1.0}, 2, 1380.0)
    assert row.used == pytest.approx(0.55 * 1360 / 1380)
    assert row.leftover == (1800.0, 20.0)
    assert row.narrower == better
    assert settled(row)[0] == row  # nothing more to take


def test_what_was_found_2_cm_narrower_serves_every_wider_row():
    """What 1580 mm took lies on 1590 too, though that row stands before the one of 1600."""
    better = WhatIf("narrower", 1800.0, 1900.0, Decimal(38), figures=FIGURES)
    between = replace(WIDE, number=2, width=1590.0, usable_width=1570.0)
    rows = settled(ROW, between, replace(WIDE, narrower=better))
    assert [rows[k].length for k in (0, 2, 1)] == [2000.0, 1800.0, 1800.0]
    assert [rows[k].same_as for k in (0, 2, 1)] == [None, 1580.0, 1580.0]


def test_an_owned_cloth_is_not_too_short_where_less_of_it_is_enough():
    """A search that found too long a layout gives way to one that fits on less width."""
    better = WhatIf("narrower", 1800.0, 1800.0, Decimal(0), figures=FIGURES)
    short = replace(ROW, owned=True, status="does not fit", reason="too short", narrower=better)
    row = settled(short)[0]
    assert (row.status, row.reason, row.length) == ("found", "", 1800.0)


def test_breadths_are_left_alone():
    """They are made anew for every width."""
    wide = Breadths("curtain", "silk", 3000.0, 2000.0)
    assert settled(ROW, WIDE, breadths=(wide,))[1] == WIDE


@pytest.mark.parametrize(
    ("cloth", "piece"),
    [
        (replace(SILK, fold="lengthwise"), BAND),
        (SILK, replace(BAND, border=Border("hem", 0.0, "far"))),
    ],
)
def test_folds_and_borders_are_left_alone(cloth, piece):
    """There a layout follows the width, so that another width is another layout."""
    assert settled(ROW, WIDE, cloth=cloth, piece=piece)[1] == WIDE


def test_what_does_not_fit_gives_and_takes_nothing():
    """Neither as the narrower nor as the wider one."""
    none = replace(ROW, status="does not fit", length=0.0, narrower=None, other_way=None)
    assert settled(none, WIDE)[1] == WIDE
    assert settled(ROW, replace(WIDE, status="does not fit"))[1].length == 2600.0
