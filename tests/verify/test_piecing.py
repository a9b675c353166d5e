"""Pieces made of parts, as they lie: whether the whole can be made of them again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nesting.model.plan import Piecing, PlanPiece, Repeat
from nesting.verify import check_layout

from ..handmade import pattern, put, rectangle
from .faults import moved, told, with_copy
from .pieced import CALICO, JOINED, MAIN, WEDGE, both_parts, pieced


def judged(plan, layout):
    """Return what the check says, a line each."""
    return told(check_layout(plan, layout))


def test_a_panel_in_two_parts_is_right():
    """Cut lines, seams, notches and marks of both parts, as drawn by hand, pass."""
    assert judged(*pieced()) == []


@pytest.mark.parametrize("turned", [0.0, 180.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_parts_may_lie_turned_and_mirrored_each_by_itself(turned, mirrored):
    """Two copies of a mirrored panel; a part may lie end for end without the other."""
    cloth = replace(CALICO, width=2000.0)
    places = [(500.0, 500.0), (1000.0, 500.0), (500.0, 1500.0), (1000.0, 1500.0)]
    laid = [
        put(part, copy, turned if part is WEDGE else 0.0, at, mirrored=mirrored)
        for (part, copy), at in zip(
            [(MAIN, 1), (WEDGE, 1), (MAIN, 2), (WEDGE, 2)], places, strict=True
        )
    ]
    copies = {"as_drawn": 0 if mirrored else 2, "mirrored": 2 if mirrored else 0}
    assert judged(*pieced(laid, cloth=cloth, **copies)) == []


@pytest.mark.parametrize("turned", [90.0, 270.0])
@pytest.mark.parametrize("mirrored", [False, True])
def test_parts_of_a_piece_across_the_cloth(turned, mirrored):
    """Both tops point across; the whole is made again all the same."""
    laid = [
        put(part, 1, turned, at, mirrored=mirrored)
        for part, at in ((MAIN, (400.0, 480.0)), (WEDGE, (900.0, 480.0)))
    ]
    copies = {"as_drawn": int(not mirrored), "mirrored": int(mirrored)}
    assert judged(*pieced(laid, grain="crosswise", **copies)) == []


def test_parts_are_refused_where_the_plan_allows_none():
    """Then the whole is missing, and the parts are strangers."""
    assert judged(*pieced(piecing=None)) == [
        "join: panel: it is cut in parts, which the plan does not allow",
        "count: calico: panel, main part (copy 1): the plan has no such piece",
        "count: calico: panel, wedge (copy 1): the plan has no such piece",
        "count: calico: panel: 0 copies as drawn are laid; the plan asks for 1",
    ]


def test_a_part_of_the_wrong_width_does_not_make_the_whole():
    """A wedge cut 1 mm narrower at its far side: its own outline and the whole are wrong."""
    main, wedge = both_parts()
    drawn = replace(
        WEDGE.pattern, outline=np.array([(190, 0), (299, 0), (299, 400), (200, 450), (190, 450.0)])
    )
    narrow = put(replace(WEDGE, pattern=drawn), 1, 0.0, (0.0, 600.0))
    lines = judged(*pieced([main, narrow]))
    assert lines[0].startswith("join: panel (copy 1): its parts joined again are ")
    assert lines[1].startswith("outline: calico: panel, wedge (copy 1): it encloses ")
    assert len(lines) == 2
    assert judged(*pieced([main, wedge])) == []


def test_parts_that_do_not_meet_are_not_one_piece():
    """A part cut short at its join leaves a slit, and the whole falls apart."""
    main, _ = both_parts()
    drawn = replace(
        WEDGE.pattern,
        outline=np.array([(240, 0), (300, 0), (300, 400), (240, 430.0)]),
    )
    cut = put(replace(WEDGE, pattern=drawn), 1, 0.0, (0.0, 600.0))
    lines = judged(*pieced([main, cut]))
    assert "join: panel (copy 1): its parts do not join to one piece" in lines


def test_both_parts_are_of_one_hand():
    """Of a pair, a left wedge to a right main part would be sewn wrong side out."""
    pair = {"as_drawn": 1, "mirrored": 1}
    right = both_parts(hand="R")
    left = both_parts(2, 460.0, mirrored=True, hand="L")
    low = [moved(one, 0.0, -one.outline[:, 1].min() + 300.0 * n) for n, one in enumerate(left)]
    assert judged(*pieced([*right, *low], **pair)) == []
    swapped = [
        right[0], replace(right[1], copy=2), low[0], replace(low[1], copy=1),
    ]  # fmt: skip
    assert judged(*pieced(swapped, **pair)) == [
        "join: panel (copy 1): its parts are not all of one hand",
        "join: panel (copy 2): its parts are not all of one hand",
    ]
    alike = replace(CALICO, sides="alike")
    assert judged(*pieced(swapped, cloth=alike, **pair)) == []


def test_a_grain_line_stays_on_its_part():
    """It may lie anywhere on it, but not beyond its edge."""
    plan, layout = pieced()
    wedge = layout.lays[0].placements[1]
    (x0, y0), (x1, y1) = wedge.grain
    aside = with_copy(layout, 1, grain=((x0, y0 + 30.0), (x1, y1 + 30.0)))
    assert judged(plan, aside) == []
    off = with_copy(layout, 1, grain=((x0, y0 + 70.0), (x1, y1 + 70.0)))
    assert judged(plan, off) == [
        "marks: panel, wedge (copy 1): its grain line runs out of the part"
    ]


def test_a_missing_part_is_a_wrong_count():
    """One wedge for two panels: the copy without is no fault of its joins."""
    plan, layout = pieced([*both_parts(), both_parts(2, 460.0)[0]], as_drawn=2)
    assert judged(plan, layout) == [
        "count: calico: panel, wedge: 1 copies as drawn are laid; the plan asks for 2"
    ]


def test_the_design_meets_at_the_join():
    """Parts two whole repeats apart are right; 1 mm off they are not."""
    cloth = replace(CALICO, repeat=Repeat(200.0, 130.0))
    main, wedge = both_parts()
    fields = {"cloth": cloth, "piecing": Piecing(match=True)}
    assert judged(*pieced([main, moved(wedge, 200.0, 0.0)], **fields)) == []
    assert judged(*pieced([main, moved(wedge, 201.0, 0.0)], **fields)) == [
        "design: calico: panel, wedge (copy 1): its point 'join 1' meets the design 1.000 mm "
        "apart from panel, main part:join 1 (copy 1)"
    ]
    free = {"cloth": cloth, "piecing": Piecing()}
    assert judged(*pieced([main, moved(wedge, 201.0, 0.0)], **free)) == []


def test_other_pieces_and_joinings_stay():
    """A piece that is not divided is found as it was, before and after the parts."""
    belt = PlanPiece("belt", pattern("belt", rectangle(50, 300)), "calico")
    plan, layout = pieced([*both_parts(), put(belt, 1, 0.0, (0.0, 700.0))])
    plan = replace(plan, pieces=(belt, *plan.pieces))
    assert judged(plan, layout) == []
    unknown = replace(JOINED, piece="sleeve")
    assert judged(plan, replace(layout, joinings=(unknown, JOINED))) == [
        "join: sleeve: it is cut in parts, which the plan does not allow"
    ]
