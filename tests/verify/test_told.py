"""Everything the check says of one small layout made wrong, word for word."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from nesting.model.layout import LaidFlaw
from nesting.model.plan import Cloth, Flaw, Plan, PlanPiece
from nesting.verify import check_layout
from nesting.verify.leftover import check_leftover

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores
from .faults import moved, only_lay, relaid, told, with_copy

ONE, TWO = "damask: gore (copy 1): ", "damask: gore (copy 2): "


@pytest.mark.parametrize(
    ("fields", "lines"),
    [
        ({"outline": np.zeros((2, 2))},
         ["outline: {}its outline crosses itself or has no area",
          "count: damask: gore: 0 copies as drawn are laid; the plan asks for 1"]),
        ({"turned": math.nan}, ["turn: {}it is turned by nan degrees"]),
        ({"on_fold": True},
         ["fold: {}it is said to lie on the fold, but is not drawn as a half",
          "fold: {}it is cut through 1 layers, but the cloth lies open"]),
        ({"layers": 2}, ["fold: {}it is cut through 2 layers, but the cloth lies open"]),
        ({"hand": "L"}, ["hand: {}it is marked hand 'L' but declared as drawn"]),
        ({"hand": ""}, ["hand: {}it is marked hand 'none' but the plan asks for both hands"]),
        ({"piece": "glove"},
         ["count: damask: glove (copy 1): the plan has no such piece",
          "count: damask: gore: 0 copies as drawn are laid; the plan asks for 1"]),
        ({"copy": 3}, ["copy: damask: gore: copy number 3 appears 1 times among 2 copies"]),
        ({"copy": 0}, ["copy: damask: gore: copy number 0 appears 1 times among 2 copies"]),
        ({"copy": 2}, ["copy: damask: gore: copy number 2 appears 2 times among 2 copies"]),
        ({"grain": ((50.0, 160.0), (50.0, 160.0))},
         ["turn: {}its grain line has no length",
          "marks: {}its grain line lie up to 400.000 mm from their place"]),
        ({"grain": ((50.0, 160.0), (450.0, 160.08))},
         ["turn: {}its grain line points to 0.011 degrees but 0 is declared",
          "marks: {}its grain line lie up to 0.080 mm from their place"]),
        ({"grain": ((50.0, 160.0), (450.0, 160.06))},
         ["marks: {}its grain line lie up to 0.060 mm from their place"]),
        ({"sew_lines": ()},
         ["marks: {}its sew lines are not those of the pattern: some are missing or too many"]),
        ({"stripe_lines": (np.array([(9.0, 200.0), (50.0, 200.0)]),)},
         ["marks: {}its stripe lines are not those of the pattern: some are missing or too many"]),
        ({"plaid_lines": (np.array([(9.0, 200.0), (50.0, 200.0)]),)},
         ["marks: {}its plaid lines are not those of the pattern: some are missing or too many"]),
        ({"internal_lines": (np.array([(100.0, 260.5), (100.0, 110.0)]),)},
         ["marks: {}its internal lines lie up to 0.500 mm from their place"]),
        ({"drill_holes": ((200.0, 190.0), (210.0, 150.25))},
         ["marks: {}its drill holes lie up to 0.250 mm from their place"]),
        ({"cutouts": (np.array(rectangle(10, 10)) + np.array([200.0, 150.0]),)},
         ["marks: {}its cutouts are not those of the pattern: some are missing or too many",
          "length"]),
        ({"points": {"knee": (300.0, 190.5), "hip": (1.0, 1.0)}},
         ["marks: {}its named points are hip, knee; the plan names knee",
          "marks: {}its point 'knee' lies 0.500 mm from its place"]),
        ({"points": {}}, ["marks: {}its named points are none; the plan names knee"]),
        ({"notches": ()},
         ["marks: {}it has 0 notches; the pattern has 2",
          "marks: {}the pattern's slit notch is missing at (0.00, 10.00)",
          "marks: {}the pattern's slit notch is missing at (500.00, 70.00)"]),
    ],
)  # fmt: skip
def test_a_placement_with_one_thing_wrong(fields, lines):
    """The line names cloth, piece and copy, and says what is wrong and by how much."""
    plan, layout = two_gores()
    wanted = [line.format(ONE) for line in lines if line != "length"]
    found = told(check_layout(plan, with_copy(layout, 0, **fields)))
    assert [line for line in found if not line.startswith(("length:", "share:"))] == wanted


def test_notches_are_compared_in_all_they_are():
    """Kind, depth, width, place and direction; each wrong one is told, and what is missing."""
    plan, layout = two_gores()
    first, second = layout.lays[0].placements[0].notches
    for wrong in (
        replace(first, depth=6.5), replace(first, width=2.5), replace(first, angle=None),
        replace(first, angle=first.angle + 0.02), replace(first, at=(first.at[0] + 0.02, 10.0)),
    ):  # fmt: skip
        x, y = wrong.at
        assert told(check_layout(plan, with_copy(layout, 0, notches=(wrong, second)))) == [
            f"marks: {ONE}its {wrong.kind} notch at ({x:.2f}, {y:.2f}) is not the pattern's",
            f"marks: {ONE}the pattern's {first.kind} notch is missing at "
            f"({first.at[0]:.2f}, {first.at[1]:.2f})",
        ]
    for right in (
        replace(first, angle=first.angle + 0.009),
        replace(first, angle=first.angle - 360.009),
        replace(first, at=(first.at[0] + 0.009, first.at[1])),
    ):
        assert told(check_layout(plan, with_copy(layout, 0, notches=(second, right)))) == []
    thrice = with_copy(layout, 0, notches=(first, second, second))
    assert told(check_layout(plan, thrice)) == [f"marks: {ONE}it has 3 notches; the pattern has 2"]
    angled = replace(second, angle=0.0)
    lines = told(check_layout(plan, with_copy(layout, 0, notches=(first, angled))))
    assert len(lines) == 2


@pytest.mark.parametrize("off", [0.009, 0.011])
def test_marks_may_be_off_by_a_hundredth(off):
    """Of a millimetre: lines, holes, points and the ends of the grain line."""
    plan, layout = two_gores()
    first = layout.lays[0].placements[0]
    by = np.array([off, 0.0])
    for fields in (
        {"sew_lines": tuple(line + by for line in first.sew_lines)},
        {"internal_lines": tuple(line + by[::-1] for line in first.internal_lines)},
        {"drill_holes": tuple((x + off, y) for x, y in first.drill_holes)},
        {"points": {"knee": (first.points["knee"][0], first.points["knee"][1] - off)}},
        {"grain": ((50.0 + off, first.grain[0][1]), first.grain[1])},
        {"grain": (first.grain[0], (450.0 - off, first.grain[1][1]))},
    ):
        found = told(check_layout(plan, with_copy(layout, 0, **fields)))
        assert [f"{off:.3f} mm from" in line for line in found] == [True] * (off > 0.01)


@pytest.mark.parametrize(
    ("dx", "dy", "line"),
    [
        (-3.0, 0.0, "edge: {}it stands 3.000 mm over the cut end"),
        (0.0, -362.5, "edge: {}it stands 2.500 mm into the near selvage"),
        (0.0, 21.0, "edge: {}it stands 1.000 mm over the usable width of 680.00 mm"),
    ],
)
def test_a_piece_over_an_edge(dx, dy, line):
    """By how much is said; by less than a hundredth it passes."""
    plan, layout = two_gores()
    right, left = layout.lays[0].placements
    clear = moved(right, 0.0, 340.0 if dy < -100 else 0.0)
    over = relaid(layout, [clear, moved(left, dx, dy)])
    assert line.format(TWO) in told(check_layout(plan, over))
    on = 0.009 / max(abs(dx), abs(dy))
    if abs(dy) < 100:
        whole = moved(left, 0.0, 20.0 if dy else 0.0)
        near = relaid(layout, [clear, moved(whole, dx * on, dy * on)])
        assert told(check_layout(plan, near)) == []


def test_outlines_that_are_not_what_they_are_said_to_be():
    """Other area, other hand, other direction, or none of these."""
    plan, layout = two_gores()
    right, left = layout.lays[0].placements

    def of(first, **fields):
        lines = told(check_layout(plan, relaid(layout, [replace(first, **fields), left])))
        return [line for line in lines if f" {ONE}" in line]

    assert of(right, outline=right.outline * 0.999)[0] == (
        f"outline: {ONE}it encloses 109780.1 square mm but the cut line of the piece 110000.0"
    )
    gore = plan.pieces[0]
    for turned in (0.0, 180.0, 90.0, 270.0):
        lies = put(gore, 1, turned, (400.0, 400.0), mirrored=True)
        false = replace(right, outline=lies.outline)
        assert f"hand: {ONE}it lies mirrored but is declared as drawn" in of(false)
    for turned in (45.0, 90.0, 180.0, 270.0, 315.0):
        lies = put(gore, 1, turned, (400.0, 400.0))
        assert f"turn: {ONE}it lies turned to {turned:g} degrees but 0 is declared" in of(
            right, outline=lies.outline
        )
    lies = put(gore, 1, 90.0, (400.0, 400.0))
    assert f"turn: {ONE}it lies turned to 90 degrees but 315 is declared" in of(
        right, outline=lies.outline, turned=315.0
    )
    bent = right.outline.copy()
    bent[2] += (0.0, 30.0)
    bent[3] += (0.0, 30.0)
    assert of(right, outline=bent)[0].startswith(f"outline: {ONE}it departs by ")


def test_cloths_that_are_wrong():
    """No such cloth, one the piece is not cut from, laid twice, fitting not without a reason."""
    plan, layout = two_gores()
    silk, wool = Cloth("silk", 700.0, 10.0), Cloth("wool", 700.0, 10.0)
    plan = replace(plan, cloths=(DAMASK, silk, wool))
    assert told(check_layout(plan, only_lay(layout, cloth="felt"))) == [
        "cloth: felt: the plan has no such cloth",
        "count: damask: gore: 0 copies as drawn are laid; the plan asks for 1",
        "count: damask: gore: 0 copies mirrored are laid; the plan asks for 1",
    ]
    on_silk = layout_of(lay_on(silk, layout.lays[0].placements))
    assert told(check_layout(plan, on_silk)) == [
        f"cloth: silk: gore (copy {n}): the plan cuts it from damask" for n in (1, 2)
    ]
    either = replace(plan, pieces=(replace(plan.pieces[0], cloths=("damask", "wool")),))
    assert told(check_layout(either, on_silk)) == [
        f"cloth: silk: gore (copy {n}): the plan cuts it from damask or wool" for n in (1, 2)
    ]
    assert told(check_layout(either, layout_of(lay_on(wool, layout.lays[0].placements)))) == []
    twice = replace(layout, lays=layout.lays * 2)
    assert told(check_layout(plan, twice))[0] == "cloth: damask: it is laid 2 times"
    short = replace(layout.lays[0], status="does not fit", placements=layout.lays[0].placements)
    assert told(check_layout(plan, layout_of(short))) == [
        "cloth: damask: it does not fit, but no reason is given"
    ]
    assert told(check_layout(plan, layout_of(replace(short, reason="too long")))) == []


def test_a_lay_that_does_not_fit_may_lack_pieces_of_its_own_only():
    """What is cut from another cloth must be there; too many are told all the same."""
    plan, layout = two_gores()
    silk = Cloth("silk", 700.0, 10.0)
    belt = PlanPiece("belt", pattern("belt", rectangle(50, 300)), "silk", 2)
    plan = replace(plan, cloths=(DAMASK, silk), pieces=(*plan.pieces, belt))
    laid = lay_on(silk, [put(belt, 1, 0.0, (0.0, 50.0))])
    short = replace(laid, status="does not fit", reason="it is too short")
    assert told(check_layout(plan, layout_of(*layout.lays, short))) == []
    assert told(check_layout(plan, layout_of(*layout.lays, laid))) == [
        "count: silk: belt: 1 copies of either hand are laid; the plan asks for 2"
    ]
    three = lay_on(silk, [put(belt, n, 0.0, (0.0, 60.0 * n)) for n in (1, 2, 3)])
    three = replace(three, status="does not fit", reason="it is too short")
    assert told(check_layout(plan, layout_of(*layout.lays, three))) == [
        "count: silk: belt: 3 copies of either hand are laid; the plan asks for 2"
    ]


def test_overlap_and_gap_name_both_pieces():
    """And say by how much."""
    strip = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask", 2)
    cloth = replace(DAMASK, gap=5.0)
    plan = Plan("t", "cm", (cloth,), (strip,))

    def at(y):
        laid = [put(strip, 1, 0, (0, 50)), put(strip, 2, 0, (0, y))]
        return told(check_layout(plan, layout_of(lay_on(cloth, laid))))

    assert at(98.0) == [
        "overlap: damask: strip (copy 1): it overlaps strip (copy 2) by 2.000 mm",
        "gap: damask: strip (copy 1): it lies 0.000 mm from strip (copy 2); the gap asked is 5 mm",
    ]
    assert at(104.98) == [
        "gap: damask: strip (copy 1): it lies 4.980 mm from strip (copy 2); the gap asked is 5 mm"
    ]
    assert at(104.991) == []


def test_flaws_are_told_where_they_lie():
    """By the maker's word, their box, and how deep they are covered."""
    ring = np.array([(90.0, 40.0), (100.0, 40.0), (100.0, 60.0), (90.0, 60.0)])
    strip = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask", 2)
    for kind, word in (("stain", "stain"), ("", "flaw")):
        cloth = replace(DAMASK, flaws=(Flaw(ring, kind=kind),))
        plan = Plan("t", "cm", (cloth,), (strip,))
        shown = (LaidFlaw(ring, kind),)
        laid = [put(strip, 1, 0, (0, 50)), put(strip, 2, 0, (0, 110))]
        layout = layout_of(lay_on(cloth, laid, flaws=shown))
        assert told(check_layout(plan, layout)) == [
            f"flaw: damask: strip (copy 1): it covers the {word} at 90.0 to 100.0 mm along, "
            "40.0 to 60.0 mm across by 10.000 mm"
        ]
        low = only_lay(layout, leftover=(0.0, 55.0, 400.0, 60.0))
        assert f"leftover: damask: it holds the {word}" in told(check_layout(plan, low))
        assert "flaw: damask: it shows 0 flaws; by the plan there are 1" in told(
            check_layout(plan, only_lay(layout, flaws=()))
        )
        for wrong, right in ((ring + 0.02, ring + 0.005),):
            line = "flaw: damask: flaw 1 is not shown as it is in the plan"
            off = only_lay(layout, flaws=(LaidFlaw(wrong, kind),))
            assert line in told(check_layout(plan, off))
            near = only_lay(layout, flaws=(LaidFlaw(right, kind),))
            assert line not in told(check_layout(plan, near))
            hidden = only_lay(layout, flaws=(LaidFlaw(ring, kind, "allowance"),))
            assert line in told(check_layout(plan, hidden))


@pytest.mark.parametrize(
    ("leftover", "line"),
    [
        ((0.0, 310.0, 0.0, 350.0), "leftover: damask: (0.0, 310.0, 0.0, 350.0) is no rectangle"),
        ((0.0, 350.0, 9.0, 350.0), "leftover: damask: (0.0, 350.0, 9.0, 350.0) is no rectangle"),
        ((0.0, -0.02, 9.0, 9.0), "leftover: damask: it stands 0.020 mm over the edge of the lay"),
        ((-0.02, 0.0, 9.0, 9.0), "leftover: damask: it stands 0.020 mm over the edge of the lay"),
        ((0.0, 661.0, 500.02, 670.0),
         "leftover: damask: it stands 0.020 mm over the edge of the lay"),
        ((0.0, 661.0, 500.0, 680.02),
         "leftover: damask: it stands 0.020 mm over the edge of the lay"),
        ((0.0, 300.0, 100.0, 350.0),
         "leftover: damask: gore (copy 1): it enters what is said to be left over by 9.010 mm"),
        ((0.0, 661.0, 500.009, 680.009), None),
        ((-0.009, 661.0, 500.0, 680.0), None),
    ],
)  # fmt: skip
def test_a_leftover_that_is_none(leftover, line):
    """Empty, over an edge by two hundredths, or entered by a piece.

    By its corner of 10 and 50: twice the inradius is 10 + 50 - 50.990 = 9.010.
    """
    plan, layout = two_gores()
    found = told(check_layout(plan, only_lay(layout, leftover=leftover)))
    assert [line] == found[:1] if line else found == []


def test_a_lay_that_names_no_leftover_is_asked_nothing():
    """None is no rectangle, and no fault."""
    lay = two_gores()[1].lays[0]
    assert list(check_leftover(lay, [], [])) == []
    with pytest.raises(ValueError, match="zip"):
        list(check_leftover(replace(lay, leftover=(0.0, 0.0, 9.0, 9.0)), [], [("gore", 1)]))


def test_a_hand_marked_on_a_piece_that_has_none():
    """Where one hand only is asked, a letter would send the maker looking for the other."""
    plan, layout = two_gores()
    single = replace(plan, pieces=(replace(plan.pieces[0], mirrored=0),))
    right = layout.lays[0].placements[0]
    assert told(check_layout(single, relaid(layout, [right]))) == [
        f"hand: {ONE}it is marked hand 'R' but the plan asks for one hand only"
    ]
