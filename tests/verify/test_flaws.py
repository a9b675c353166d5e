"""Layouts that cover a flaw are refused; an allowance may cover one that it may hide."""

from dataclasses import replace

import numpy as np

from nesting.model.layout import LaidFlaw
from nesting.model.plan import Cloth, EdgeAllowance, Flaw, Plan, PlanPiece
from nesting.verify.check import check_layout

from ..handmade import lay_on, layout_of, pattern, put, rectangle
from .faults import moved, only_lay, said

HEM = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 30.0)
PANEL = PlanPiece("panel", pattern("panel", rectangle(100, 200)), "damask", edges=(HEM,))
CUT = [(0, -30), (100, -30), (100, 200), (0, 200)]


def laid(hide, x0, x1):
    """Return a plan with a flaw along x0 to x1, and its layout: the hem lies along 0 to 30."""
    ring = np.array([(x0, 40.0), (x1, 40.0), (x1, 60.0), (x0, 60.0)])
    cloth = Cloth("damask", 150.0, flaws=(Flaw(ring, hide=hide, kind="stain"),))
    placement = put(PANEL, 1, 0.0, (30.0, 100.0), cut_line=CUT)
    lay = lay_on(cloth, [placement], flaws=(LaidFlaw(ring, "stain", hide),))
    return Plan("test", "cm", (cloth,), (PANEL,)), layout_of(lay)


def test_a_piece_beside_a_flaw_is_right():
    """Touching is not covering."""
    assert check_layout(*laid("no", 230.0, 240.0)) == ()


def test_a_piece_on_a_flaw_is_refused():
    """By a hundredth of a millimetre it passes, by more it does not."""
    assert check_layout(*laid("no", 229.995, 240.0)) == ()
    text = said(check_layout(*laid("no", 229.9, 240.0)), "flaw")
    assert "panel (copy 1)" in text
    assert "covers the stain" in text
    assert "by 0.100 mm" in text


def test_a_hem_may_hide_a_flaw_only_where_the_plan_says_so():
    """The flaw lies wholly in the hem."""
    assert said(check_layout(*laid("no", 5.0, 25.0)), "flaw")
    assert check_layout(*laid("allowance", 5.0, 25.0)) == ()


def test_a_hidden_flaw_may_not_show_above_the_hem():
    """It reaches half a millimetre over the sew line."""
    assert "by 0.500 mm" in said(check_layout(*laid("allowance", 5.0, 30.5)), "flaw")


def test_a_piece_moved_on_to_a_flaw_is_refused():
    """The same layout, one piece moved by a millimetre."""
    plan, layout = laid("no", 231.0, 240.0)
    (lay,) = layout.lays
    assert check_layout(plan, layout) == ()
    wrong = lay_on(plan.cloths[0], [moved(lay.placements[0], 1.5, 0.0)], flaws=lay.flaws)
    assert said(check_layout(plan, replace(layout, lays=(wrong,))), "flaw")


def test_flaws_must_be_shown_as_the_plan_has_them():
    """None left out, none moved, none called harmless."""
    plan, layout = laid("no", 240.0, 250.0)
    (flaw,) = layout.lays[0].flaws
    assert "shows 0 flaws" in said(check_layout(plan, only_lay(layout, flaws=())), "flaw")
    for wrong in (replace(flaw, outline=flaw.outline + 1.0), replace(flaw, hide="allowance")):
        assert "not shown as it is" in said(
            check_layout(plan, only_lay(layout, flaws=(wrong,))), "flaw"
        )


def test_nothing_left_over_may_hold_a_flaw():
    """A leftover is clean cloth."""
    plan, layout = laid("no", 200.0, 210.0)
    layout = only_lay(layout, leftover=(0.0, 100.0, 230.0, 150.0))
    assert not [f for f in check_layout(plan, layout) if f.kind == "leftover"]
    ring = layout.lays[0].flaws[0].outline + np.array([0.0, 65.0])
    layout = only_lay(layout, flaws=(LaidFlaw(ring, "stain"),))
    assert "holds the stain" in said(check_layout(plan, layout), "leftover")
