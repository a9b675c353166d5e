"""What is said to be left over is judged by shapely, and lies are found."""

from __future__ import annotations

import math

import pytest

from nesting.model.plan import PlanPiece
from nesting.verify import check_layout

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores
from .faults import only_lay, said


def test_a_free_rectangle_is_right():
    """Between the slanted sides of two gores and in the corner beside one, to the very edge."""
    plan, layout = two_gores()
    assert layout.lays[0].leftover is None
    for leftover in ((0.0, 310.0, 100.0, 350.0), (0.0, 660.0, 500.0, 680.0)):
        assert check_layout(plan, only_lay(layout, leftover=leftover)) == ()


@pytest.mark.parametrize(
    ("leftover", "words"),
    [
        ((0.0, 309.0, 100.0, 350.0), "gore (copy 1): it enters what is said to be left over"),
        ((0.0, 650.0, 500.0, 680.0), "gore (copy 2): it enters what is said to be left over"),
        ((-1.0, 660.0, 500.0, 680.0), "it stands 1.000 mm over the edge of the lay"),
        ((0.0, 660.0, 500.5, 680.0), "it stands 0.500 mm over the edge of the lay"),
        ((0.0, 660.0, 500.0, 690.0), "it stands 10.000 mm over the edge of the lay"),
        ((500.0, 660.0, 0.0, 680.0), "is no rectangle"),
        ((0.0, math.nan, 500.0, 680.0), "is no rectangle"),
        ((0.0, 0.0, math.inf, 680.0), "is no rectangle"),
    ],
)
def test_a_false_one_is_refused(leftover, words):
    """A rectangle that a piece enters, that leaves the lay, or that is none."""
    plan, layout = two_gores()
    findings = check_layout(plan, only_lay(layout, leftover=leftover))
    assert {finding.kind for finding in findings} == {"leftover"}
    assert words in said(findings, "leftover")


@pytest.mark.parametrize(("shift", "right"), [(0.009, True), (0.011, False)])
def test_it_is_judged_by_depth(shift, right):
    """As for overlap, a hundredth of a millimetre counts and less does not."""
    strip = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask", 1)
    lay = lay_on(DAMASK, [put(strip, 1, 0, (0, 50))], leftover=(0.0, 50.0 - shift, 400.0, 680.0))
    plan, _ = two_gores()
    plan = type(plan)("t", "cm", (DAMASK,), (strip,))
    assert (check_layout(plan, layout_of(lay)) == ()) is right


def test_a_cutout_is_cloth_left_over():
    """The window of a frame may be it; the frame may not."""
    window = [(x + 100.0, y + 100.0) for x, y in rectangle(100, 100)]
    frame = PlanPiece("frame", pattern("frame", rectangle(300, 300), cutouts=(window,)), "damask")
    plan = type(two_gores()[0])("t", "cm", (DAMASK,), (frame,))
    lay = lay_on(DAMASK, [put(frame, 1, 0, (0, 300))])
    for leftover, kinds in (
        ((100.0, 100.0, 200.0, 200.0), set()),
        ((100.0, 99.0, 200.0, 200.0), {"leftover"}),
    ):
        findings = check_layout(plan, only_lay(layout_of(lay), leftover=leftover))
        assert {finding.kind for finding in findings} == kinds
