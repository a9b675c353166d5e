"""Marks lie where the outline takes them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nesting.verify import check_layout

from ..handmade import DAMASK, lay_on, layout_of, put, rectangle, two_gores
from .faults import said, with_copy


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"sew_lines": ()}, "sew lines are not those"),
        ({"internal_lines": (np.array([(0.0, 0.0), (9.0, 9.0)]),)}, "internal lines lie up to"),
        ({"drill_holes": ()}, "drill holes are not those"),
        ({"notches": ()}, "has 0 notches; the pattern has 2"),
        ({"points": {}}, "named points are none; the plan names knee"),
        ({"points": {"knee": (300.0, 190.5)}}, "its point 'knee' lies"),
        ({"grain": ((0.0, 160.0), (10.0, 160.0))}, "grain line lie up to"),
        ({"cutouts": (np.array(rectangle(10, 10)) + 200.0,)}, "cutouts are not those"),
    ],
)
def test_marks_lie_where_the_outline_takes_them(fields, words):
    """Each sort of mark, lost or displaced, is refused."""
    plan, layout = two_gores()
    assert words in said(check_layout(plan, with_copy(layout, 0, **fields)), "marks")


def test_a_sew_line_moved_by_a_tenth_is_refused():
    """0.1 mm off is ten times what is allowed."""
    plan, layout = two_gores()
    lines = tuple(line + np.array([0.1, 0.0]) for line in layout.lays[0].placements[0].sew_lines)
    findings = check_layout(plan, with_copy(layout, 0, sew_lines=lines))
    assert "sew lines lie up to 0.100 mm" in said(findings, "marks")


def test_notch_directions_are_checked():
    """A notch turned outward is not the pattern's notch."""
    plan, layout = two_gores()
    first, second = layout.lays[0].placements[0].notches
    wrong = (replace(first, angle=first.angle + 180.0), second)
    assert "is not the pattern's" in said(
        check_layout(plan, with_copy(layout, 0, notches=wrong)), "marks"
    )


def test_reversed_top_points_the_other_way():
    """With top reversed the grain arrow's first end leads, and the check agrees."""
    plan, _ = two_gores()
    gore = replace(plan.pieces[0], top="reverse")
    plan = replace(plan, pieces=(gore,))
    laid = [
        put(gore, 1, 0.0, (500.0, 10.0), hand="R"),
        put(gore, 2, 180.0, (0.0, 360.0), mirrored=True, hand="L"),
    ]
    assert check_layout(plan, layout_of(lay_on(DAMASK, laid))) == ()
