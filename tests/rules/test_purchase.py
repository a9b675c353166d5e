"""What to buy, against published and hand-worked figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.model.plan import Cloth
from nesting.rules.purchase import buy, length_needed, longest_lay, missing_length

YARD = 914.4
EIGHTH = YARD / 8


@pytest.mark.parametrize(("shrinkage", "answer"), [(0.05, 105.263), (0.10, 111.111)])
def test_shrinkage_is_divided_out_not_added_on(shrinkage, answer):
    """Dimensional change of ISO 5077 and AATCC 135: 100 cm at -5 % need 105.263 cm."""
    need = length_needed(Cloth("calico", 1000.0, shrink_along=shrinkage), 1000.0)
    assert need / 10 == pytest.approx(answer, abs=5e-4)


def test_the_shop_rounds_up_to_the_eighth_of_a_yard():
    """A circle skirt, waist 28 and length 24 in, spans 1.581 yd: 1 5/8 yd are bought.

    Circle arithmetic: r = waist / (2 pi); household sewing texts, common practice.
    """
    waist, length = 28.0, 24.0
    span = 2 * (waist / (2 * math.pi) + length)
    assert span / 36 == pytest.approx(1.581, abs=5e-4)
    bought = buy(Cloth("calico", 1600.0, step=EIGHTH, price_per="yd"), span * 25.4)
    assert bought.length == pytest.approx(1.625 * YARD)
    assert bought.text == "1 5/8 yd (1.49 m)"


def test_the_half_circle_skirt():
    """Half a circle, waist 28 and length 40 in: 97.83 in, so 2 3/4 yd (derived)."""
    span = 2 * (28 / math.pi + 40)
    assert span == pytest.approx(97.83, abs=5e-3)
    bought = buy(Cloth("calico", 1600.0, step=EIGHTH, price_per="yd"), span * 25.4)
    assert bought.text == "2 3/4 yd (2.52 m)"


def test_the_apron_of_1893():
    """Two breadths of 36 + 4 + 1/2 in make 81 in, exactly 2 1/4 yd.

    O. C. Hapgood, School Needlework (Boston, 1893).
    """
    bought = buy(Cloth("gingham", 900.0, step=EIGHTH, price_per="yd"), 2 * 40.5 * 25.4)
    assert bought.length == pytest.approx(2.25 * YARD, abs=1e-9)
    assert bought.text == "2 1/4 yd (2.06 m)"


def test_a_whole_purchase_worked_by_hand():
    """A lay of 5.40 m, 5 cm trim and 7 % shrinkage: 5.45 / 0.93 = 5.860 m, so 5.90 m.

    Worked by hand from the definition of dimensional change.
    """
    cloth = Cloth("silk", 1500.0, selvage=15.0, shrink_along=0.07, shrink_across=0.03,
                  end_trim=50.0, step=100.0, price=38.0)  # fmt: skip
    assert cloth.usable_width == pytest.approx(1425.0)
    bought = buy(cloth, 5400.0)
    assert bought.length == pytest.approx(5900.0)
    assert list(bought.made_of) == ["lay", "end_trim", "shrinkage", "motif_start", "rounding"]
    assert bought.made_of["shrinkage"] == pytest.approx(5450 / 0.93 - 5450)
    assert bought.made_of["rounding"] == pytest.approx(5900 - 5450 / 0.93)
    assert bought.cost == 224.20
    assert bought.text == "5.90 m (6 1/2 yd)"


def test_money_is_rounded_once_and_half_up():
    """7 1/4 yd at 23.79 are 172.4775: 172.48. And 2.5 m at 0.25 are 0.625: 0.63, not 0.62."""
    assert buy(Cloth("silk", 900.0, price=23.79, price_per="yd"), 7.25 * YARD).cost == 172.48
    assert buy(Cloth("tape", 900.0, price=0.25), 2500.0).cost == 0.63


def test_no_price_no_cost():
    """Without a price there is no cost, which is not the same as nothing to pay."""
    assert buy(Cloth("calico", 900.0), 1000.0).cost is None
    assert buy(Cloth("calico", 900.0, price=0.0), 1000.0).cost == 0.0


def test_owned_cloth_costs_nothing_and_is_not_rounded():
    """What is taken of owned cloth is what is needed, whatever the shop's step was."""
    cloth = Cloth("remnant", 900.0, length=4200.0, step=100.0, price=38.0, shrink_along=0.05)
    bought = buy(cloth, 1000.0)
    assert (bought.length, bought.cost) == (pytest.approx(1052.632, abs=5e-4), 0.0)


def test_owned_cloth_is_enough_to_the_hair():
    """The need counts with trim and shrinkage; float noise never makes it too short."""
    cloth = Cloth("remnant", 900.0, length=1105.0, end_trim=50.0, shrink_along=0.0)
    assert missing_length(cloth, 1055.0) == 0.0
    assert missing_length(cloth, 1055.0 + 1e-6) == 0.0
    assert missing_length(cloth, 1056.0) == pytest.approx(1.0)
    assert missing_length(Cloth("bolt", 900.0), 1e6) == 0.0


@given(
    lay=st.floats(1, 5e4),
    trim=st.floats(0, 500),
    shrink=st.floats(0, 0.5),
    step=st.sampled_from([0.0, 10.0, 100.0, EIGHTH, YARD / 4, 500.0]),
)
def test_the_parts_add_up_and_enough_is_bought(lay, trim, shrink, step):
    """After shrinking and squaring at least the lay is left, and less than a step is wasted."""
    cloth = Cloth("calico", 900.0, end_trim=trim, shrink_along=shrink, step=step)
    bought = buy(cloth, lay)
    assert sum(bought.made_of.values()) == pytest.approx(bought.length)
    assert bought.length * (1 - shrink) - trim >= lay - 1e-6
    assert all(part >= -1e-9 for part in bought.made_of.values())
    assert bought.made_of["rounding"] <= step


@given(st.floats(100, 9000), st.floats(0, 0.2), st.floats(0, 300))
def test_the_longest_lay_is_just_not_too_long(length, shrink, trim):
    """What is missing for the longest lay is nothing, and something for one a little longer."""
    cloth = Cloth("remnant", 900.0, length=length, shrink_along=shrink, end_trim=trim)
    longest = longest_lay(cloth)
    assert missing_length(cloth, longest - 1e-6) == 0.0
    assert missing_length(cloth, longest + 1e-6) > 0.0
    assert longest_lay(Cloth("bolt", 900.0)) is None


def test_a_remnant_sold_as_one_piece_costs_its_price():
    """Whatever is taken of it, rounded half up; without a price it is owned and free."""
    piece = Cloth("remnant", 900.0, length=4200.0, price=12.345, price_per="piece")
    assert buy(piece, 1000.0).cost == 12.35
    assert buy(piece, 3000.0).cost == 12.35
    assert buy(Cloth("remnant", 900.0, length=4200.0, price_per="piece"), 1000.0).cost == 0.0


def test_the_start_on_the_design_is_bought_too():
    """64 of it, and what they shrink: (1000 + 50 + 64) / 0.9."""
    cloth = Cloth("damask", 900.0, end_trim=50.0, shrink_along=0.1, step=100.0)
    bought = buy(cloth, 1000.0, 64.0)
    need = 1114 / 0.9
    assert bought.length == pytest.approx(1300.0)
    assert dict(bought.made_of) == {
        "lay": 1000.0, "end_trim": 50.0, "shrinkage": pytest.approx(need - 1114),
        "motif_start": 64.0, "rounding": pytest.approx(1300 - need),
    }  # fmt: skip


def test_a_hair_is_not_missing():
    """To a hundredth of a millimetre of cloth as bought."""
    cloth = Cloth("remnant", 900.0, length=1000.0)
    assert missing_length(cloth, 1000.0099) == 0.0
    assert missing_length(cloth, 1000.0101) == pytest.approx(0.0101)
    assert longest_lay(Cloth("r", 900.0, length=1000.0, end_trim=50.0, shrink_along=0.1)) == (
        pytest.approx(1000.01 * 0.9 - 50)
    )
