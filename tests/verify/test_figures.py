"""The figures of a lay, each wrong by itself: what is said, and from which hundredth on."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from nesting.model.layout import Buy
from nesting.model.plan import Cloth
from nesting.verify.buying import check_cloth

from ..handmade import DAMASK, lay_on, two_gores
from .faults import told

SILK = Cloth(
    "silk",
    1275.0,
    10.0,
    shrink_along=0.2,
    shrink_across=0.2,
    end_trim=50.0,
    price=20.0,
    step=100.0,
)
"""Usable 1000 wide; a lay of 590 takes (590 + 50) / 0.8 = 800, eight steps just so, 16 in all."""

PARTS = {"lay": 590.0, "end_trim": 50.0, "shrinkage": 160.0, "motif_start": 0.0, "rounding": 0.0}
LAY = replace(
    lay_on(DAMASK, two_gores()[1].lays[0].placements),
    cloth="silk", usable_width=1000.0, cloth_width=1020.0, length=590.0, utilisation=0.5,
    proven_minimum=300.0, buy=Buy(800.0, "0.80 m", 16.0, PARTS),
)  # fmt: skip


def said(cloth=SILK, start=0.0, buy=None, **fields):
    """Return what is said of a lay whose pieces cover half of 590 by 1000."""
    lay = replace(LAY, **fields)
    lay = replace(lay, buy=replace(lay.buy, **(buy or {})))
    regions = [box(0, 0, 590, 400), box(0, 500, 118, 1000)]
    return told(check_cloth(lay, cloth, regions, start))


def test_right_figures_pass():
    """Each to the hundredth of a millimetre."""
    assert said() == []
    parts = {name: value + 0.0015 for name, value in PARTS.items()}
    assert said(buy={"length": 800.009, "made_of": parts}) == []


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        ({"usable_width": 1000.02}, "cloth: silk: usable width is given as 1000.020 mm; by the "
         "plan it is 1000.000 mm"),
        ({"cloth_width": 1019.98}, "cloth: silk: cloth width is given as 1019.980 mm; by the plan "
         "it is 1020.000 mm"),
        ({"selvage": 10.02}, "cloth: silk: selvage is given as 10.020 mm; by the plan it is "
         "10.000 mm"),
        ({"nap": "one-way"}, "cloth: silk: nap is given as 'one-way'; in the plan it is 'none'"),
        ({"utilisation": 0.500002}, "share: silk: share used is given as 0.500002; it is "
         "0.500000"),
        ({"utilisation": 0.499998}, "share: silk: share used is given as 0.499998; it is "
         "0.500000"),
        ({"proven_minimum": 590.02}, "bound: silk: proven minimum 590.020 mm exceeds the length "
         "590.000 mm"),
        ({"status": "proven best", "proven_minimum": 589.98}, "bound: silk: called proven best, "
         "but the proven minimum is 589.980 mm and the length 590.000 mm"),
    ],
)  # fmt: skip
def test_a_figure_of_the_lay_two_hundredths_off_is_refused(fields, line):
    """And told with what it should be; the share where the sixth digit differs."""
    assert said(**fields)[:1] == [line]
    width = [] if "usable_width" not in fields else said(**fields)[1:]
    assert all(text.startswith("share: ") for text in width)


@pytest.mark.parametrize(
    "fields",
    [
        {"usable_width": 1000.009, "utilisation": 0.4999955}, {"cloth_width": 1019.991},
        {"selvage": 10.009}, {"utilisation": 0.5000009}, {"proven_minimum": 590.009},
        {"status": "proven best", "proven_minimum": 589.991}, {"length": 590.007},
        {"status": "proven best", "proven_minimum": 590.0},
    ],
)  # fmt: skip
def test_a_figure_within_its_tolerance_passes(fields):
    """Nine thousandths, and of the share nine ten-millionths."""
    assert said(**fields) == []


def test_a_length_that_is_not_the_pieces_is_refused():
    """It would be cut too short, or bought too long."""
    parts = {**PARTS, "lay": 589.98}
    assert said(length=589.98, buy={"made_of": parts}) == [
        "length: silk: length is given as 589.980 mm; the pieces end at 590.000 mm",
        "buy: silk: length to buy is 800.000 mm but its parts make 799.980 mm",
    ]


def test_a_lay_of_nothing_has_no_length_and_no_share():
    """All figures are nought; a share of nothing is refused."""
    parts = {"lay": 0.0, "end_trim": 50.0, "shrinkage": 12.5, "motif_start": 0.0, "rounding": 37.5}
    lay = replace(
        LAY, length=0.0, utilisation=0.0, proven_minimum=0.0,
        buy=Buy(100.0, "0.10 m", 2.0, parts),
    )  # fmt: skip
    assert told(check_cloth(lay, SILK, [])) == []
    assert told(check_cloth(replace(lay, utilisation=0.1), SILK, [])) == [
        "share: silk: share used is given as 0.100000; it is 0.000000"
    ]
    assert told(check_cloth(replace(lay, length=0.5), SILK, []))[0] == (
        "length: silk: length is given as 0.500 mm; the pieces end at 0.000 mm"
    )


@pytest.mark.parametrize("name", ["lay", "end_trim", "shrinkage", "motif_start"])
@pytest.mark.parametrize("off", [0.02, -0.02])
def test_each_part_of_what_is_bought_is_worked_out(name, off):
    """Two hundredths taken from the rounding do not hide in another part."""
    parts = {**PARTS, name: PARTS[name] + off, "rounding": -off}
    assert said(buy={"made_of": parts}) == [
        f"buy: silk: part {name} is given as {parts[name]:.3f} mm; it is {PARTS[name]:.3f} mm"
    ]


def test_the_parts_are_these_in_this_order():
    """None missing, none more, none elsewhere."""
    names = "lay, end_trim, shrinkage, motif_start, rounding"
    for parts, found in (
        ({}, "none"),
        ({"lay": 800.0}, "lay"),
        ({"end_trim": 50.0, "lay": 1.0}, "end_trim, lay"),
        ({**PARTS, "luck": 0.0}, f"{names}, luck"),
    ):
        assert said(buy={"made_of": parts}) == [
            f"buy: silk: its parts are {found}; they must be {names}"
        ]


def test_a_design_that_must_be_reached_is_part_of_the_purchase():
    """A repeat of 160 to start on: (590 + 50 + 160) / 0.8 = 1000 in all."""
    parts = {**PARTS, "motif_start": 160.0, "shrinkage": 200.0}
    buy = {"length": 1000.0, "text": "1.00 m", "cost": 20.0, "made_of": parts}
    assert said(start=160.0, buy=buy) == []
    assert len(said(start=0.0, buy=buy)) == 3
    assert said(start=160.0)[-1] == (
        "buy: silk: length to buy is 800.000 mm; 1000.000 mm are needed"
    )


@pytest.mark.parametrize(
    ("cloth", "buy", "lines"),
    [
        ({}, {"cost": 16.004}, []),
        ({}, {"cost": 16.006}, ["buy: silk: cost is given as 16.006; it is 16.00"]),
        ({}, {"cost": 15.994}, ["buy: silk: cost is given as 15.994; it is 16.00"]),
        ({}, {"cost": None}, ["buy: silk: cost is given as None; it is 16.00"]),
        ({"price_per": "yd", "price": 9.144}, {"cost": 8.0}, []),
        ({"price_per": "yd", "price": 9.144}, {"cost": 7.3152},
         ["buy: silk: cost is given as 7.3152; it is 8.00"]),
        ({"price": None}, {"cost": None}, []),
        ({"price": None}, {"cost": 0.0},
         ["buy: silk: cost is given as 0.0; the plan gives no price"]),
        ({}, {"length": 700.0, "text": "0.70 m", "cost": 14.0},
         ["buy: silk: length to buy is 700.000 mm but its parts make 800.000 mm",
          "buy: silk: length to buy is 700.000 mm; 800.000 mm are needed"]),
        ({}, {"length": 799.9, "text": "0.80 m", "cost": 16.0},
         ["buy: silk: length to buy is 799.900 mm but its parts make 800.000 mm",
          "buy: silk: length to buy is 799.900 mm; 800.000 mm are needed",
          "buy: silk: length to buy 799.900 mm is no multiple of 100.000 mm"]),
        ({}, {"text": "0.79 m"}, ["buy: silk: the words '0.79 m' do not say 800.0 mm"]),
        ({}, {"text": "0.80 m (31 1/2 in)"}, []),
        ({}, {"text": "0.80 m (7/8 yd)"}, []),
        ({}, {"text": "1 yd"}, ["buy: silk: the words '1 yd' do not say 800.0 mm"]),
        ({}, {"text": "0.80 m (1/2 yd)"},
         ["buy: silk: the words '0.80 m (1/2 yd)' do not say 800.0 mm"]),
        ({}, {"text": "800"}, []),
        ({}, {"text": "914.3"}, []),
        ({}, {"text": "914.4"}, ["buy: silk: the words '914.4' do not say 800.0 mm"]),
        ({}, {"text": "799.991"}, []),
        ({}, {"text": "799.98"}, ["buy: silk: the words '799.98' do not say 800.0 mm"]),
        ({}, {"text": "much (0.1 m)"},
         ["buy: silk: the words 'much (0.1 m)' for the length to buy cannot be read back"]),
    ],
)  # fmt: skip
def test_length_words_and_cost_of_what_is_bought(cloth, buy, lines):
    """Half a cent, an eighth of a yard of words, and the step decide."""
    assert said(cloth=replace(SILK, **cloth), buy=buy) == lines


def rounded(by, **changes):
    """Return what is said where so much more than the need of 800 is bought."""
    length = 800.0 + by
    buy = {"length": length, "text": f"{length:.6f} mm", "cost": length / 50,
           "made_of": {**PARTS, "rounding": by}}  # fmt: skip
    return said(cloth=replace(SILK, **changes), buy=buy)


def test_steps_are_whole_and_the_fewest():
    """A step more than needed is refused, and a length between two steps."""
    assert rounded(0.009) == []
    assert rounded(50.0) == ["buy: silk: length to buy 850.000 mm is no multiple of 100.000 mm"]
    assert rounded(100.0) == [
        "buy: silk: length to buy 900.000 mm is a step or more above the 800.000 mm needed"
    ]
    assert rounded(200.0) == [
        "buy: silk: length to buy 1000.000 mm is a step or more above the 800.000 mm needed"
    ]
    assert rounded(60.0, step=860.0) == []
    assert rounded(60.0, step=430.0) == []
    assert rounded(60.0, step=43.0) == [
        "buy: silk: length to buy 860.000 mm is a step or more above the 800.000 mm needed"
    ]


def test_without_steps_the_need_is_bought():
    """To the hundredth, neither less nor more."""
    assert rounded(0.009, step=0.0) == []
    assert rounded(0.02, step=0.0) == [
        "buy: silk: length to buy is 800.020 mm; 800.000 mm are needed"
    ]


@pytest.mark.parametrize(
    ("cloth", "cost", "status", "lines"),
    [
        ({"length": 800.0}, 0.0, "found", []),
        ({"length": 800.0}, None, "found", []),
        ({"length": 800.0}, 16.0, "found",
         ["buy: silk: cost is given as 16.0; the cloth is owned already"]),
        ({"length": 799.991}, 0.0, "found", []),
        ({"length": 799.98}, 0.0, "found",
         ["buy: silk: 800.000 mm are needed; only 799.980 mm are owned"]),
        ({"length": 799.98}, 0.0, "does not fit", []),
        ({"length": 900.0, "price_per": "piece"}, 20.0, "found", []),
        ({"length": 900.0, "price_per": "piece"}, 20.004, "found", []),
        ({"length": 900.0, "price_per": "piece"}, 20.006, "found",
         ["buy: silk: cost is given as 20.006; the piece costs 20.00"]),
        ({"length": 900.0, "price_per": "piece"}, None, "found",
         ["buy: silk: cost is given as None; the piece costs 20.00"]),
        ({"length": 900.0, "price_per": "piece", "price": None}, 20.0, "found",
         ["buy: silk: cost is given as 20.0; the cloth is owned already"]),
        ({"length": 900.0, "price_per": "piece", "price": None}, 0.0, "found", []),
    ],
)  # fmt: skip
def test_cloth_that_is_owned(cloth, cost, status, lines):
    """It has an end, costs nothing, or what the one piece costs; steps do not count."""
    assert said(cloth=replace(SILK, **cloth), buy={"cost": cost}, status=status) == lines
