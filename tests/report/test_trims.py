"""Trims measured on the pattern: sew lines, halves, internal lines, strips, joins, steps."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.model.costing import Trim
from nesting.model.plan import Cloth, EdgeAllowance, Plan, PlanPiece
from nesting.report.trims import trim_need
from tests.handmade import pattern, rectangle

HEM = EdgeAllowance("hem", (0.0, 0.0), (400.0, 0.0), 0.0)


def plan_of(outline=None, *, edges=(HEM,), allowance=0.0, copies=(1, 0), **drawn):
    """Return a plan for one piece, 400 wide and 700 high unless drawn otherwise."""
    piece = PlanPiece(
        "panel",
        pattern("panel", outline or rectangle(400, 700), **drawn),
        "calico",
        *copies,
        allowance=allowance,
        edges=tuple(edges),
    )
    return Plan("test", "cm", (Cloth("calico", 900.0),), (piece,))


def braid(**fields):
    """Return a braid along the hem."""
    return Trim("braid", edges=(("panel", "hem"),), **fields)


def path(*points):
    """Return a drawn path."""
    return np.array(points, dtype=float)


def test_the_drawn_outline_is_the_stitching_line_under_an_allowance():
    """Five copies of 400 mm; nothing had to be assumed."""
    need = trim_need(plan_of(allowance=15.0, copies=(3, 2)), braid())
    assert (need.measured, need.remarks) == (pytest.approx(2000.0), ())


def test_the_cut_line_counts_where_no_sew_line_is_drawn():
    """And she is told."""
    need = trim_need(plan_of(), braid())
    assert need.measured == pytest.approx(400.0)
    assert "no sew line is drawn along hem" in need.remarks[0]


@pytest.mark.parametrize("closed", [True, False])
def test_a_drawn_sew_line_is_measured(closed):
    """Inside a cut line of 400 mm, with 15 mm at the sides, it is 370 mm long."""
    ring = path((15, 60), (385, 60), (385, 685), (15, 685), (15, 60))
    line = ring if closed else ring[:2]
    need = trim_need(plan_of(sew_lines=(line,)), braid())
    assert (need.measured, need.remarks) == (pytest.approx(370.0), ())


def test_sew_lines_drawn_seam_by_seam_are_joined():
    """A hem drawn in two strokes is one; the side seam beside it does not count."""
    lines = (path((15, 60), (200, 60)), path((200, 60), (385, 60)))
    assert trim_need(plan_of(sew_lines=lines), braid()).measured == pytest.approx(370.0)


def test_a_sew_line_far_off_is_another_edge():
    """Only the top is drawn: then the cut line counts along the hem."""
    need = trim_need(plan_of(sew_lines=(path((15, 650), (385, 650)),)), braid())
    assert need.measured == pytest.approx(400.0)
    assert need.remarks


def test_a_curved_edge_is_measured_along_the_curve():
    """A half circle of radius 100, in chords of half a degree (closed form, pi r)."""
    angle = np.radians(np.linspace(0.0, 180.0, 361))
    arc = [(100 * math.cos(a), 100 * math.sin(a)) for a in angle]
    edge = EdgeAllowance("hem", arc[0], arc[-1], 0.0)
    need = trim_need(plan_of(arc, edges=(edge,), allowance=10.0), braid())
    assert need.measured == pytest.approx(math.pi * 100, rel=1e-5)


def test_a_half_counts_both_its_sides():
    """Its fold is the left edge: a hem of 400 on the half is 800 on the piece."""
    plan = plan_of(allowance=15.0, mirror=((0.0, 0.0), (0.0, 700.0)))
    assert trim_need(plan, braid()).measured == pytest.approx(800.0)


def test_internal_lines_of_a_half():
    """One from the fold goes on beyond it, one along the fold is single, any other is twice."""
    lines = (
        path((0, 100), (150, 100)),
        path((0, 200), (0, 500)),
        path((200, 300), (200, 400)),
    )
    plan = plan_of(mirror=((0.0, 0.0), (0.0, 700.0)), internal_lines=lines)
    trim = Trim("cord", lines=(("panel", None),), strips="each", turn_back=10.0)
    need = trim_need(plan, trim)
    assert need.measured == pytest.approx(300 + 300 + 2 * 100)
    assert need.need == pytest.approx(need.measured + 4 * 2 * 10.0)  # four strips
    only = Trim("cord", lines=(("panel", 3),), strips="each")
    assert trim_need(plan, only).measured == pytest.approx(200.0)


@pytest.mark.parametrize(
    ("trim", "need", "buy"),
    [
        (Trim("ribbon", lengths=(720.0,), turn_back=50.0, step=500.0), 820.0, 1000.0),
        (Trim("bone", lengths=(240.0,), count=10, less=15.0, strips="each", step=500.0),
         2250.0, 2500.0),
        (Trim("hem", lengths=(3360.0,), joins=2, overlap=20.0, step=500.0), 3400.0, 3500.0),
        (Trim("lace", lengths=(800.0,), fullness=1.5, turn_back=10.0), 1220.0, 1220.0),
        (Trim("exact", lengths=(333.333333, 666.666667), step=1000.0), 1000.0, 1000.0),
        (Trim("tenths", lengths=(100.0,), count=3, strips="each", step=100.0), 300.0, 300.0),
    ],
)  # fmt: skip
def test_the_need_and_what_the_shop_cuts(trim, need, buy):
    """Worked by hand; an exact multiple of the step is not rounded up."""
    found = trim_need(plan_of(), trim)
    assert (found.need, found.buy) == (pytest.approx(need), pytest.approx(buy))


def test_what_is_counted():
    """Twenty-four hooks are twenty-four hooks."""
    found = trim_need(plan_of(), Trim("hooks", count=24, per="each"))
    assert (found.pieces, found.buy) == (24, 0.0)


@given(
    length=st.floats(1.0, 1e5), step=st.sampled_from([10.0, 100.0, 114.3, 914.4]),
    fullness=st.floats(1.0, 3.0), less=st.floats(0.0, 50.0),
)  # fmt: skip
def test_what_is_bought_is_enough_and_less_than_a_step_too_much(length, step, fullness, less):
    """Whatever the figures: never short, never a whole step over, always steps."""
    trim = Trim("t", lengths=(length,), fullness=fullness, less=less, step=step)
    found = trim_need(plan_of(), trim)
    assert found.need == pytest.approx(max(0.0, length - less) * fullness)
    assert found.need <= found.buy < found.need + step
    assert math.remainder(found.buy, step) == pytest.approx(0.0, abs=0.011)
