"""Full widths of cloth joined: the published sums, and the lays they come to."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting import Stop, lay_plan, read_plan
from nesting.errors import InputError
from nesting.model.breadths import count_breadths, on_repeat, with_breadths
from nesting.model.plan import Breadths, Cloth, Plan, Repeat
from nesting.report.breadths import breadth_lines
from nesting.verify.check import check_layout

INCH = 25.4


def breadths_plan(breadths, units="cm", **cloth):
    """Return a plan of nothing but breadths."""
    plan = Plan("test", units, (Cloth("silk", **cloth),), (), breadths=(breadths,))
    return with_breadths(plan)


@pytest.mark.parametrize(
    ("length", "repeat", "cut"), [(116, 25, 125), (118, 13, 130), (96, 27, 108), (114, 4.5, 117)]
)
def test_lengths_on_the_repeat(length, repeat, cut):
    """Published drapery arithmetic, inches: every cut length in whole repeats."""
    assert on_repeat(length, repeat) == pytest.approx(cut)


def test_two_panels_and_one_repeat_to_start():
    """Published drapery arithmetic: 114 in on 4.5 in, two panels + one repeat = 238.5 in."""
    assert 2 * on_repeat(114, 4.5) + 4.5 == pytest.approx(238.5)


def test_four_lengths_each_on_the_repeat():
    """Four lengths of 116 in on a repeat of 25 in need 125 each: starts at 0, 125, 250, 375."""
    spec = Breadths("curtain", "silk", 116 * INCH, count=4)
    plan = breadths_plan(
        spec, units="in", width=50 * INCH, repeat=Repeat(along=25 * INCH, offset=(0.0, 0.0))
    )
    layout = lay_plan(plan, stop=Stop(iterations=20))
    lay = layout.lays[0]
    starts = sorted(placement.outline[:, 0].min() / INCH for placement in lay.placements)
    assert starts == pytest.approx([0.0, 125.0, 250.0, 375.0], abs=1e-3)
    assert lay.length / INCH == pytest.approx(375.0 + 116.0, abs=0.01)
    assert any("takes 125 in" in line or "125" in line for line in breadth_lines(plan))


def test_a_half_drop_needs_less_than_two_repeats():
    """Repeat 64, four of 150, every other on the half: starts 0, 160, 320, 480, in all 630."""
    spec = Breadths("petticoat", "silk", 1500.0, count=4)
    repeat = Repeat(along=640.0, across=500.0, drop="half", offset=(0.0, 0.0))
    plan = breadths_plan(spec, width=1000.0, repeat=repeat)
    lay = lay_plan(plan, stop=Stop(iterations=40)).lays[0]
    starts = sorted(placement.outline[:, 0].min() for placement in lay.placements)
    assert starts == pytest.approx([0.0, 1600.0, 3200.0, 4800.0], abs=0.1)
    assert lay.length == pytest.approx(6300.0, abs=0.1)


def test_a_petticoat_of_old_silk_takes_seven_breadths():
    """Finished round 320 cm, cloth 50 usable, seams 1 each side: 320 / 48 = 6.67, so 7."""
    spec = Breadths("petticoat", "silk", 1000.0, round=3200.0, seam=10.0)
    found = count_breadths(spec, Cloth("silk", width=500.0))
    assert (found.count, found.together) == (7, 3360.0)


def test_an_apron_of_two_breadths():
    """Finished 36 in, 4 in hem, 1/2 in turnings: 2 x 40 1/2 = 81 in = 2 1/4 yd.

    Hapgood, School Needlework, 1893.
    """
    spec = Breadths("apron", "silk", (36 + 4 + 0.5) * INCH, count=2)
    lay = lay_plan(breadths_plan(spec, width=36 * INCH), stop=Stop(iterations=5)).lays[0]
    assert lay.length / INCH == pytest.approx(81.0, abs=0.01)
    assert lay.buy.length / (36 * INCH) == pytest.approx(2.25, abs=1e-3)
    assert lay.status == "proven best"


@given(
    st.floats(100, 9000), st.floats(1, 4), st.floats(0, 30), st.floats(300, 1600), st.floats(0, 15)
)
def test_enough_and_none_too_many(finished, ratio, seam, width, selvage):
    """The count covers the measure, one fewer would not, and the check counts the same."""
    spec = Breadths("skirt", "silk", 900.0, round=finished, ratio=ratio, seam=seam)
    plan = breadths_plan(spec, width=width, selvage=selvage)
    count = plan.pieces[0].as_drawn
    each = width - 2 * selvage - 2 * seam
    assert count * each >= finished * ratio - 1e-2
    assert count == 1 or (count - 1) * each < finished * ratio + 1e-2


def test_the_check_counts_for_itself():
    """One breadth too few, or each cut short, is refused."""
    spec = Breadths("skirt", "silk", 900.0, round=1900.0)
    plan = breadths_plan(spec, width=1000.0)
    layout = lay_plan(plan, stop=Stop(iterations=3))
    assert check_layout(plan, layout) == ()
    fewer = replace(plan, pieces=(replace(plan.pieces[0], as_drawn=1),))
    assert any("fall short" in str(found) for found in check_layout(fewer, layout))
    longer = replace(spec, cut_length=950.0)
    asked = replace(plan, breadths=(longer,), pieces=(replace(plan.pieces[0], breadths=longer),))
    assert any("a breadth is" in str(found) for found in check_layout(asked, layout))


PLAN = """
units = "cm"
[[cloth]]
name = "silk"
width = 50
[[breadths]]
name = "petticoat"
cloth = "silk"
length = 100
"""


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("", "either round or count"),
        ("round = 320\ncount = 7", "either round or count"),
        ("count = 0", "count = 0"),
        ("round = 320\nratio = 0.5", "ratio = 0.5"),
        ("round = 320\nseam = '20 cm'\nratio = 10", "breadths"),
        ("round = 320\nseam = 25", "seam"),
    ],
)
def test_bad_breadths_are_refused(tmp_path, line, said):
    """Each in one line that names the value."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN + line, "utf-8")
    with pytest.raises(InputError, match=said):
        read_plan(path)


def test_breadths_come_from_a_plan_file(tmp_path):
    """A plan of nothing but breadths is read and laid; other cloth, another count."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN + 'round = 320\nseam = "1 cm"\nhem = "5 cm"', "utf-8")
    plan = read_plan(path)
    assert plan.pieces[0].as_drawn == 7
    layout = lay_plan(plan, stop=Stop(iterations=2))
    assert layout.lays[0].length == pytest.approx(7 * 1050.0)
    wider = replace(plan, cloths=(replace(plan.cloths[0], width=1000.0),))
    assert len(lay_plan(wider, stop=Stop(iterations=2)).lays[0].placements) == 4
