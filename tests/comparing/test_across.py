"""What lies on one cloth serves every other that is as wide and allows as much."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.comparing.across import settle_across
from nesting.comparing.candidates import Candidate
from nesting.model.comparison import ComparedRow, LaidFigures, WhatIf
from nesting.model.plan import Border, Cloth, Plan, PlanPiece, Repeat
from tests.handmade import pattern, rectangle

BAND = PlanPiece("band", pattern("band", rectangle(300, 500)), "silk", 1, 0)
SILK = Cloth("silk", 1400.0, 10.0, nap="one-way")
WOOL = Cloth("wool", 1500.0, 10.0, price=10.0, step=100.0, end_trim=30.0, shrink_along=0.05)
GIVES = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=1400.0, usable_width=1380.0,
    status="found", length=1900.0, buy_length=1900.0, used=0.5, proven_minimum=1500.0,
)  # fmt: skip
TAKES = ComparedRow(
    number=1, layer="outer", cloth="wool", rank=1, width=1500.0, usable_width=1480.0,
    status="found", length=2600.0, buy_length=2800.0, cost=Decimal(28), proven_minimum=1300.0,
    used=0.4, other_way=WhatIf("one-way", 2700.0, 2900.0),
    narrower=WhatIf("narrower", 2650.0, 2800.0),
)  # fmt: skip


def wool_of(giver=SILK, taker=WOOL, gives=GIVES, takes=TAKES, piece=BAND):
    """Return the second row, set right by the first."""
    cloths = (giver, taker)
    known = {
        number: Candidate(number, "outer", number, Plan("t", "cm", (cloth,), (piece,)), True)
        for number, cloth in enumerate(cloths)
    }
    first, second = settle_across((gives, takes), known)
    assert first == gives
    return second


def test_a_shorter_layout_is_taken_with_ones_own_buying():
    """Worked by hand: (1900 + 30) / 0.95 = 2031.6, bought as 2100 at 10.00 a metre."""
    wool = wool_of()
    assert (wool.length, wool.cost) == (1900.0, Decimal("21.0"))
    assert wool.buy_length == pytest.approx(2100.0)
    assert wool.made_of["shrinkage"] == pytest.approx(1930 / 0.95 - 1930)
    assert (wool.same_as, wool.same_cloth) == (1400.0, "silk")
    assert wool.used == pytest.approx(0.5 * 1380 / 1480)
    assert wool.leftover == (1900.0, 100.0)  # the strip beside it
    assert wool.other_way.length == wool.narrower.length == 1900.0
    assert wool.proven_minimum == 1300.0


@pytest.mark.parametrize(
    ("giver", "taker"),
    [
        (replace(SILK, nap="none"), replace(WOOL, nap="one-way")),
        (replace(SILK, sides="alike"), WOOL),
        (SILK, replace(WOOL, gap=3.0)),
        (SILK, replace(WOOL, repeat=Repeat(along=300.0))),
        (SILK, replace(WOOL, fold="lengthwise")),
        (replace(SILK, length=3000.0), WOOL),
    ],
)
def test_a_cloth_that_allows_less_takes_nothing(giver, taker):
    """Nap, sides, gap, design, fold or an owned length stand in the way."""
    assert wool_of(giver, taker).length == TAKES.length


def test_width_length_and_borders_count():
    """No wider cloth gives; nor a longer layout; nor one whose pieces follow a selvage."""
    wider = replace(GIVES, width=1600.0, usable_width=1580.0)
    assert wool_of(gives=wider) == TAKES
    longer = replace(GIVES, length=3000.0)
    assert wool_of(gives=longer) == TAKES
    assert wool_of(piece=replace(BAND, border=Border("hem", 0.0, "far"))) == TAKES
    assert wool_of(gives=replace(GIVES, layer="lining")) == TAKES
    assert wool_of(gives=replace(GIVES, status="does not fit")) == TAKES


def test_nothing_comes_back_where_it_was_not_asked():
    """A row without the two other runs gets none from elsewhere."""
    wool = wool_of(takes=replace(TAKES, other_way=None, narrower=None))
    assert (wool.other_way, wool.narrower) == (None, None)


def test_what_a_cloth_took_with_the_other_nap_or_2_cm_less_serves_too():
    """Silk that may be turned tells, by its one-way run, what one-way wool takes at most."""
    one_way = WhatIf("one-way", 2100.0, 2100.0, figures=LaidFigures({}, 0.4, None, 0))
    turning = replace(SILK, nap="none")
    wool = wool_of(turning, replace(WOOL, nap="one-way"), replace(GIVES, other_way=one_way))
    assert wool.length == 2100.0
    less = WhatIf("narrower", 1800.0, 1800.0, figures=LaidFigures({}, 0.4, None, 0))
    narrow = replace(WOOL, width=1390.0)
    row = replace(TAKES, width=1390.0, usable_width=1370.0)
    wool = wool_of(SILK, narrow, replace(GIVES, narrower=less), row)
    assert (wool.length, wool.same_as, wool.same_cloth) == (1800.0, 1380.0, "silk")
