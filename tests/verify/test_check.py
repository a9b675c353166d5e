"""The check accepts what is right and names what is wrong."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.pattern import Notch
from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.verify import Finding, check_layout

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores
from .faults import moved, only_lay, relaid, said, with_copy


def test_a_right_layout_has_no_findings():
    """A pair of gores, one turned end for end, on shrinking priced cloth is right."""
    assert check_layout(*two_gores()) == ()


def test_a_finding_names_cloth_piece_copy_and_fault_on_one_line():
    """The words for people carry the place and the fault."""
    finding = Finding("overlap", "it overlaps cuff (copy 2) by 0.100 mm", "silk", "cuff", 1)
    assert str(finding) == "silk: cuff (copy 1): it overlaps cuff (copy 2) by 0.100 mm"
    assert str(Finding("buy", "cost is given as 3", "silk")) == "silk: cost is given as 3"


@pytest.mark.parametrize(("depth", "right"), [(0.009, True), (0.011, False), (0.1, False)])
def test_overlap_is_judged_by_depth(depth, right):
    """Two strips 400 mm long may overlap by less than 0.01 mm, whatever the area, not by more."""
    strip = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask", 2)
    plan = Plan("t", "cm", (DAMASK,), (strip,))
    first, second = put(strip, 1, 0, (0, 50)), put(strip, 2, 0, (0, 100 - depth))
    findings = check_layout(plan, layout_of(lay_on(DAMASK, [first, second])))
    if right:
        assert findings == ()
    else:
        assert [f.kind for f in findings] == ["overlap"]
        assert f"strip (copy 1): it overlaps strip (copy 2) by {depth:.3f} mm" in str(findings[0])


def test_the_same_place_twice_is_an_overlap():
    """A copy lying exactly on another is found although no edges cross."""
    plan, layout = two_gores()
    right = layout.lays[0].placements[0]
    left = put(plan.pieces[0], 2, 0, (0, 10), mirrored=True, hand="L")
    on_top = relaid(layout, [right, left])
    assert "overlaps" in said(check_layout(plan, on_top), "overlap")


def test_a_small_piece_may_lie_in_a_cutout():
    """A cutout is free cloth, and a piece that just misses it overlaps."""
    frame = PlanPiece(
        "frame",
        pattern("frame", rectangle(300, 300), cutouts=(np.array(rectangle(100, 100)) + 100.0,)),
        "damask",
    )
    patch = PlanPiece("patch", pattern("patch", rectangle(90, 90)), "damask")
    plan = Plan("t", "cm", (DAMASK,), (frame, patch))
    inside = [put(frame, 1, 0, (0, 300)), put(patch, 1, 0, (105, 195))]
    assert check_layout(plan, layout_of(lay_on(DAMASK, inside))) == ()
    across = [put(frame, 1, 0, (0, 300)), put(patch, 1, 0, (115, 195))]
    findings = check_layout(plan, layout_of(lay_on(DAMASK, across)))
    assert "by 5.000 mm" in said(findings, "overlap")


def test_the_gap_is_kept():
    """Cut lines 4.9 mm apart are refused where 5 mm are asked, and accepted at 5 mm."""
    cloth = replace(DAMASK, gap=5.0)
    strip = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask", 2)
    plan = Plan("t", "cm", (cloth,), (strip,))
    for apart, kinds in ((5.0, []), (4.9, ["gap"])):
        laid = [put(strip, 1, 0, (0, 50)), put(strip, 2, 0, (0, 100 + apart))]
        findings = check_layout(plan, layout_of(lay_on(cloth, laid)))
        assert [f.kind for f in findings] == kinds
        if kinds:
            assert "4.900 mm" in str(findings[0])


def test_one_way_cloth_refuses_a_turned_piece():
    """The same layout is right on plain cloth and wrong on one-way cloth."""
    plan, layout = two_gores()
    velvet = replace(DAMASK, nap="one-way")
    napped = replace(plan, cloths=(velvet,))
    findings = check_layout(napped, only_lay(layout, nap="one-way"))
    assert [f.kind for f in findings] == ["turn"]
    assert "points to 180 degrees" in str(findings[0])
    assert "allows 0" in str(findings[0])


def test_a_turned_piece_declared_unturned_is_refused():
    """Turning 180 degrees and saying 0 does not pass: the outline and grain tell."""
    plan, layout = two_gores()
    findings = check_layout(plan, with_copy(layout, 1, turned=0.0))
    assert "lies turned to 180 degrees but 0 is declared" in said(findings, "turn")


def test_turn_false_refuses_end_for_end():
    """A piece the maker does not want turned may not lie the other way."""
    plan, layout = two_gores()
    fixed = replace(plan, pieces=(replace(plan.pieces[0], turn=False),))
    assert "allows 0" in said(check_layout(fixed, layout), "turn")


def test_a_mirrored_piece_declared_as_drawn_is_refused():
    """Two left gores are not a pair, however they are labelled."""
    plan, layout = two_gores()
    false = with_copy(layout, 1, mirrored=False, hand="R")
    findings = check_layout(plan, false)
    assert "lies mirrored but is declared as drawn" in said(findings, "hand")
    said(findings, "count")


def test_two_of_the_same_hand_are_refused():
    """Two honest right gores where a pair is asked: one too many as drawn, one missing."""
    plan, layout = two_gores()
    right, other = (put(plan.pieces[0], n, 0, (0, 340 * n - 20), hand="R") for n in (1, 2))
    text = said(check_layout(plan, relaid(layout, [right, other])), "count")
    assert "2 copies as drawn are laid; the plan asks for 1" in text
    assert "0 copies mirrored are laid; the plan asks for 1" in text


def test_cloth_with_like_sides_takes_either_hand():
    """Turned over about the warp, a right gore is a left one on such cloth."""
    plan, layout = two_gores()
    alike = replace(plan, cloths=(replace(DAMASK, sides="alike"),))
    right, other = (put(plan.pieces[0], n, 0, (0, 340 * n - 20), hand="R") for n in (1, 2))
    assert check_layout(alike, relaid(layout, [right, other])) == ()


def test_a_cutout_or_a_plaid_line_tells_the_hands_apart():
    """A rectangle with an opening or a line on one side only: two lefts are no pair."""
    for fields in (
        {"cutouts": (np.array([(20.0, 20), (20, 60), (60, 60), (60, 20)]),)},
        {"plaid_lines": (np.array([(0.0, 50.0), (60.0, 50.0)]),)},
    ):
        drawn = pattern("panel", rectangle(300, 400), **fields)
        panel = PlanPiece("panel", drawn, "damask", 1, 1)
        plan = Plan("storm queen", "cm", (DAMASK,), (panel,))
        right = put(panel, 1, 0.0, (0.0, 300.0), hand="R")
        left = put(panel, 2, 0.0, (400.0, 0.0), mirrored=True, hand="L")
        assert check_layout(plan, layout_of(lay_on(DAMASK, [right, left]))) == ()
        wrong = put(panel, 1, 0.0, (0.0, 0.0), mirrored=True, hand="L")
        found = check_layout(plan, layout_of(lay_on(DAMASK, [wrong, left])))
        assert "2 copies mirrored are laid" in said(found, "count")


def test_hands_count_by_the_cloth_a_piece_lies_on():
    """Liked best on cloth whose sides are alike but cut from another, two lefts are no pair."""
    plan, layout = two_gores()
    (gore,) = plan.pieces
    twill = Cloth("twill", 700.0, sides="alike")
    either = replace(gore, cloth="twill", cloths=("twill", DAMASK.name))
    plan = replace(plan, cloths=(twill, DAMASK), pieces=(either,))
    assert check_layout(plan, layout) == ()
    left = put(gore, 1, 180.0, (500.0, 310.0), mirrored=True, hand="L")
    wrong = relaid(layout, [left, layout.lays[0].placements[1]])
    assert "2 copies mirrored are laid" in said(check_layout(plan, wrong), "count")


def test_hand_labels_agree_with_how_the_piece_lies():
    """L on a piece lying as drawn would be sewn to the wrong side."""
    plan, layout = two_gores()
    said(check_layout(plan, with_copy(layout, 0, hand="L")), "hand")
    said(check_layout(plan, with_copy(layout, 0, hand="")), "hand")


def test_missing_and_extra_copies_are_refused():
    """Counts are exact, copies have different numbers and no strangers lie on the cloth."""
    plan, layout = two_gores()
    right, left = layout.lays[0].placements
    missing = relaid(layout, [right])
    assert "0 copies mirrored" in said(check_layout(plan, missing), "count")
    third = moved(replace(left, copy=3), 600, 0)
    assert "2 copies mirrored" in said(
        check_layout(plan, relaid(layout, [right, left, third])), "count"
    )
    same_number = relaid(layout, [right, replace(left, copy=1)])
    assert "copy number 1 appears 2 times" in said(check_layout(plan, same_number), "copy")
    stranger = relaid(layout, [right, left, moved(replace(left, piece="ghost"), 600, 0)])
    assert "no such piece" in said(check_layout(plan, stranger), "count")
    assert "0 copies as drawn" in said(check_layout(plan, replace(layout, lays=())), "count")


@pytest.mark.parametrize("degrees", [1.0, 0.05])
def test_a_piece_turned_off_its_grain_is_refused(degrees):
    """One degree off the grain is found by grain line and by outline."""
    plan, layout = two_gores()
    askew = put(plan.pieces[0], 1, degrees, (50, 320), hand="R")
    findings = check_layout(plan, relaid(layout, [askew, layout.lays[0].placements[1]]))
    assert f"points to {degrees:g} degrees" in said(findings, "turn")
    hidden = replace(askew, turned=0.0, grain=((50.0, 0.0), (450.0, 0.0)))
    findings = check_layout(plan, relaid(layout, [hidden, layout.lays[0].placements[1]]))
    assert "departs by" in said(findings, "outline")


def test_a_scaled_piece_is_refused():
    """One part in a thousand smaller is not the piece."""
    plan, layout = two_gores()
    right = layout.lays[0].placements[0]
    small = replace(right, outline=right.outline * 0.999)
    findings = check_layout(plan, relaid(layout, [small, layout.lays[0].placements[1]]))
    assert "square mm" in said(findings, "outline")


def test_an_outline_that_crosses_itself_is_refused():
    """A bow tie is no cut line."""
    plan, layout = two_gores()
    bow = layout.lays[0].placements[0].outline[[0, 2, 1, 3]]
    assert "crosses itself" in said(
        check_layout(plan, with_copy(layout, 0, outline=bow)), "outline"
    )


@pytest.mark.parametrize(
    ("dx", "dy", "words"),
    [
        (0.0, 20.1, "over the usable width"),
        (0.0, -360.1, "near selvage"),
        (-0.1, 0.0, "over the cut end"),
    ],
)
def test_a_piece_over_an_edge_is_refused(dx, dy, words):
    """A tenth of a millimetre over a selvage or the cut end is found and measured."""
    plan, layout = two_gores()
    right, left = layout.lays[0].placements
    laid = [moved(left, dx, dy), moved(right, 0, 340 if dy < -100 else 0)]
    findings = check_layout(plan, relaid(layout, laid))
    assert words in said(findings, "edge")
    assert "0.100 mm" in said(findings, "edge")


def test_length_share_and_minimum_are_true():
    """A length shortened by a millimetre, a flattered share, an impossible bound: all refused."""
    plan, layout = two_gores()
    assert "the pieces end at 500.000" in said(
        check_layout(plan, only_lay(layout, length=499.0)), "length"
    )
    said(check_layout(plan, only_lay(layout, utilisation=0.9)), "share")
    assert "exceeds" in said(check_layout(plan, only_lay(layout, proven_minimum=501.0)), "bound")
    assert "proven best" in said(
        check_layout(plan, only_lay(layout, status="proven best")), "bound"
    )
    said(check_layout(plan, only_lay(layout, length=math.nan)), "length")


def test_wrong_cloth_is_refused():
    """A piece on another cloth than the plan's, an unknown cloth, a false width or nap."""
    plan, layout = two_gores()
    lining = Cloth("lining", 900.0)
    two = replace(plan, cloths=(DAMASK, lining))
    on_lining = layout_of(lay_on(lining, layout.lays[0].placements))
    assert "the plan cuts it from damask" in said(check_layout(two, on_lining), "cloth")
    assert "no such cloth" in said(check_layout(plan, only_lay(layout, cloth="felt")), "cloth")
    wider = only_lay(layout, usable_width=700.0)
    assert "usable width is given as 700.000" in said(check_layout(plan, wider), "cloth")
    assert "nap" in said(check_layout(plan, only_lay(layout, nap="one-way")), "cloth")
    twice = replace(layout, lays=layout.lays * 2)
    assert "laid 2 times" in said(check_layout(plan, twice), "cloth")


def test_folded_lays_are_not_passed_unchecked():
    """Nothing the check does not understand goes through in silence."""
    plan, layout = two_gores()
    for fields in ({"fold": "lengthwise"}, {"layers": 2}):
        said(check_layout(plan, only_lay(layout, **fields)), "fold")


TURNS = {
    ("lengthwise", True, "none"): ({0, 180}, {0, 180}),
    ("lengthwise", False, "none"): ({0}, {0}),
    ("lengthwise", True, "one-way"): ({0}, {0}),
    ("crosswise", True, "none"): ({90, 270}, {90, 270}),
    ("crosswise", True, "one-way"): ({90}, {90}),
    ("bias", True, "none"): ({45, 225}, {135, 315}),
    ("bias", False, "none"): ({45}, {315}),
    ("bias", True, "one-way"): ({45}, {315}),
    ("any", False, "none"): (set(range(0, 360, 45)),) * 2,
    ("any", True, "one-way"): ({0, 45, 315},) * 2,
}


@pytest.mark.parametrize("case", TURNS, ids=str)
@pytest.mark.parametrize("mirrored", [False, True])
def test_each_grain_allows_its_directions_and_no_other(case, mirrored):
    """All eight directions of an L-shaped piece, for every grain, turn and nap."""
    grain, turn, nap = case
    cloth = Cloth("twill", 2000.0, nap=nap)
    ell = pattern("ell", [(0, 0), (200, 0), (200, 80), (90, 80), (90, 300), (0, 300)])
    piece = PlanPiece(
        "ell", ell, "twill", int(not mirrored), int(mirrored), grain=grain, turn=turn
    )
    plan = Plan("t", "cm", (cloth,), (piece,))
    for turned in range(0, 360, 45):
        laid = put(piece, 1, turned, (500, 500), mirrored=mirrored)
        findings = check_layout(plan, layout_of(lay_on(cloth, [laid])))
        expected = [] if turned in TURNS[case][mirrored] else ["turn"]
        assert [f.kind for f in findings] == expected


def test_bias_turned_over_on_like_sides():
    """Turning over about the warp takes 45 degrees to 315, so that the bias stays the same."""
    cloth = Cloth("twill", 2000.0, sides="alike")
    ell = pattern("ell", [(0, 0), (200, 0), (200, 80), (90, 80), (90, 300), (0, 300)])
    piece = PlanPiece("ell", ell, "twill", 1, 0, grain="bias")
    plan = Plan("t", "cm", (cloth,), (piece,))
    for mirrored, right in ((False, {45, 225}), (True, {135, 315})):
        for turned in range(0, 360, 45):
            laid = put(piece, 1, turned, (500, 500), mirrored=mirrored)
            findings = check_layout(plan, layout_of(lay_on(cloth, [laid])))
            assert bool(findings) == (turned not in right)


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_every_right_grid_is_accepted(data):
    """Random quadrilaterals with marks, in boxes side by side, on random cloth, are right."""
    number = st.integers(0, 1000).map(lambda n: n / 10)
    side = data.draw(st.floats(120, 400), label="side")
    corners = [
        (data.draw(number), data.draw(number)),
        (side + data.draw(number), data.draw(number)),
        (side + data.draw(number), side + data.draw(number)),
        (data.draw(number), side + data.draw(number)),
    ]
    lean = data.draw(st.floats(0, 360), label="grain direction")
    grain = ((side / 2, side / 2), (side / 2 + math.cos(lean), side / 2 + math.sin(lean)))
    drawn = pattern(
        "patch",
        corners,
        grain=grain,
        notches=(Notch(corners[0], 45.0), Notch(corners[2])),
        drill_holes=((side / 2, side / 3),),
        sew_lines=(np.array(corners[:3]),),
    )
    asked = data.draw(st.tuples(st.integers(1, 4), st.integers(0, 4)), label="copies")
    gap = data.draw(st.floats(0, 10), label="gap")
    cell = 2 * (side + 100) + gap
    cloth = Cloth(
        "silk",
        3 * cell + 40,
        20.0,
        gap=gap,
        shrink_along=data.draw(st.floats(0, 0.2)),
        end_trim=data.draw(st.floats(0, 100)),
        step=data.draw(st.sampled_from([0.0, 100.0, 114.3])),
        price=data.draw(st.one_of(st.none(), st.floats(0.1, 500))),
        price_per=data.draw(st.sampled_from(["m", "yd"])),
    )
    piece = PlanPiece("patch", drawn, "silk", *asked, points={"p": (side / 2, side / 2)})
    both = all(asked)
    placements = []
    for n in range(sum(asked)):
        mirrored = n >= asked[0]
        hand = ("L" if mirrored else "R") if both else ""
        turned = data.draw(st.sampled_from([0, 180]))
        laid = put(piece, n + 1, turned, (0, 0), mirrored=mirrored, hand=hand)
        low = laid.outline.min(axis=0)
        placements.append(moved(laid, cell * (n // 3) - low[0], cell * (n % 3) - low[1]))
    plan = Plan("t", "cm", (cloth,), (piece,))
    assert check_layout(plan, layout_of(lay_on(cloth, placements))) == ()


@pytest.mark.parametrize(
    "outline",
    [np.zeros((2, 2)), np.zeros(6), np.array([(0.0, 0.0), (np.nan, 1.0), (1.0, 0.0)])],
    ids=["two points", "no pairs", "not a number"],
)
def test_what_is_no_ring_is_refused_not_crashed_on(outline):
    """Broken numbers end in findings."""
    plan, layout = two_gores()
    said(check_layout(plan, with_copy(layout, 0, outline=outline)), "outline")


def test_directions_that_are_none_are_refused():
    """A turn that is not a number, and a grain line without length."""
    plan, layout = two_gores()
    said(check_layout(plan, with_copy(layout, 0, turned=math.nan)), "turn")
    dot = with_copy(layout, 0, grain=((50.0, 160.0), (50.0, 160.0)))
    assert "grain line has no length" in said(check_layout(plan, dot), "turn")


def test_a_hand_the_plan_does_not_ask_for_is_refused():
    """One gore as drawn is asked; a mirrored one lies there."""
    plan, layout = two_gores()
    single = replace(plan, pieces=(replace(plan.pieces[0], mirrored=0),))
    left = replace(layout.lays[0].placements[1], hand="", copy=1)
    findings = check_layout(single, relaid(layout, [left]))
    assert "which the plan does not ask for" in said(findings, "hand")
