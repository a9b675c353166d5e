"""What the check says of pieces off their place of the design or off a border, word for word."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from nesting.model.layout import LaidRepeat
from nesting.model.plan import (
    Border,
    Cloth,
    EdgeAllowance,
    Match,
    Motif,
    Panel,
    PlanPiece,
    Repeat,
)
from nesting.verify.border import check_border
from nesting.verify.design import check_design, start_on_design
from nesting.verify.recompute import cut_piece

from ..handmade import lay_on, pattern, put, rectangle
from .faults import told

PANEL = PlanPiece(
    "panel", pattern("panel", rectangle(50, 200)), "damask", 9,
    points={"rose": (25.0, 100.0), "bud": (10.0, 40.0)},
)  # fmt: skip
"""Its rose lies 100 farther along and 25 nearer the selvage than its place."""


def roses(*places, repeat, laid, on=(0.0, 0.0), centred=False):
    """Return what is said of panels whose roses lie at these places."""
    piece = replace(PANEL, motif=Motif("rose", on, centred))
    cloth = Cloth("damask", 900.0, repeat=repeat)
    placed = [put(piece, n, 0.0, (x - 100, y + 25)) for n, (x, y) in enumerate(places, start=1)]
    lay = lay_on(cloth, placed, repeat=laid)
    return told(check_design(lay, cloth, {"panel": piece}, ()))


def off(copy, by, piece="panel", point="rose"):
    """Return the line about a point off its place."""
    return (
        f"design: damask: {piece} (copy {copy}): its point {point!r} lies {by:.3f} mm from its "
        "place of the repeat"
    )


HALF = (Repeat(100.0, 60.0, "half", (None, 30.0)), LaidRepeat(100.0, 60.0, "half", (20.0, 30.0)))
PLAIN = (Repeat(100.0, 60.0, "none", (20.0, 30.0)), LaidRepeat(100.0, 60.0, "none", (20.0, 30.0)))


@pytest.mark.parametrize(
    ("design", "place", "by"),
    [
        (PLAIN, (220.0, 30.0), 0.0), (PLAIN, (220.0, 90.0), 0.0), (PLAIN, (120.0, 150.0), 0.0),
        (PLAIN, (170.0, 90.0), 50.0), (PLAIN, (220.0, 60.0), 30.0), (PLAIN, (225.0, 92.0), 5.0),
        (PLAIN, (222.0, 95.0), 5.0), (PLAIN, (219.0, 90.0), 1.0), (PLAIN, (220.0, 88.5), 1.5),
        (HALF, (220.0, 30.0), 0.0), (HALF, (170.0, 90.0), 0.0), (HALF, (220.0, 150.0), 0.0),
        (HALF, (220.0, 90.0), 50.0), (HALF, (170.0, 150.0), 50.0), (HALF, (172.0, 91.0), 2.0),
        (HALF, (170.0, 210.0), 0.0), (HALF, (270.0, 211.0), 1.0),
    ],
)  # fmt: skip
def test_a_rose_off_its_place(design, place, by):
    """How far, along or across, whichever is more; on a half drop columns alternate."""
    repeat, laid = design
    assert roses(place, repeat=repeat, laid=laid) == ([off(1, by)] if by else [])


@pytest.mark.parametrize(
    ("on", "place", "by"),
    [
        ((30.0, 10.0), (150.0, 40.0), 0.0), ((30.0, 10.0), (120.0, 30.0), 30.0),
        ((None, 10.0), (123.0, 100.0), 0.0), ((None, 10.0), (123.0, 103.0), 3.0),
        ((30.0, None), (150.0, 77.0), 0.0), ((30.0, None), (200.0, 77.0), 50.0),
    ],
)  # fmt: skip
def test_a_place_within_the_repeat_or_free_on_one_axis(on, place, by):
    """What is free is not looked at; on a half drop a point free across keeps no column."""
    assert roses(place, repeat=PLAIN[0], laid=PLAIN[1], on=on) == ([off(1, by)] if by else [])
    if on[1] is None:
        lines = roses(place, repeat=HALF[0], laid=HALF[1], on=on)
        assert lines == ([off(1, by)] if by else [])


def test_an_axis_of_the_design_comes_twice_a_repeat():
    """Across, half a repeat will do where the point is on an axis; not where columns drop."""
    for y, by in ((30.0, 0.0), (60.0, 0.0), (90.0, 0.0), (45.0, 15.0), (62.0, 2.0)):
        lines = roses((120.0, y), repeat=PLAIN[0], laid=PLAIN[1], centred=True)
        assert lines == ([off(1, by)] if by else [])
    for place, by in (((120.0, 30.0), 0.0), ((170.0, 90.0), 0.0), ((120.0, 60.0), 50.0)):
        lines = roses(place, repeat=HALF[0], laid=HALF[1], centred=True)
        assert len(lines) == bool(by)


def test_every_panel_is_told_by_itself():
    """Two of three are off; a tenth of a millimetre is not."""
    places = [(121.0, 30.0), (220.09, 90.0), (320.0, 88.0)]
    assert roses(*places, repeat=PLAIN[0], laid=PLAIN[1]) == [off(1, 1.0), off(3, 2.0)]


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        ({"along": 100.02}, "its repeat along is given as 100.020 mm; in the plan it is "
         "100.000 mm"),
        ({"across": 59.98}, "its repeat across is given as 59.980 mm; in the plan it is "
         "60.000 mm"),
        ({"drop": "none"}, "its repeat is given with drop 'none'; in the plan it is 'half'"),
        ({"offset": (math.inf, 30.0)}, "its design starts at inf along"),
        ({"offset": (20.0, math.nan)}, "its design starts at nan across"),
        ({"offset": (20.0, 30.02)}, "its design is laid as starting at 30.020 mm across; in the "
         "plan it starts at 30.000 mm"),
        ({"offset": (20.0, 29.98)}, "its design is laid as starting at 29.980 mm across; in the "
         "plan it starts at 30.000 mm"),
        ({"along": 100.009, "across": 60.009, "offset": (77.0, 30.009)}, None),
    ],
)  # fmt: skip
def test_the_repeat_is_the_plans(fields, line):
    """To the hundredth; where it starts along a bolt is the layout's own to say."""
    laid = replace(HALF[1], **fields)
    cloth = Cloth("damask", 900.0, repeat=HALF[0])
    lay = lay_on(cloth, [put(PANEL, 1, 0.0, (0.0, 60.0))], repeat=laid)
    found = told(check_design(lay, cloth, {"panel": PANEL}, ()))
    assert found == ([f"design: damask: {line}"] if line else [])


def test_a_motif_whose_design_or_point_is_not_said():
    """Neither can be judged, and both are told."""
    assert roses((120.0, 30.0), repeat=PLAIN[0], laid=None) == [
        "design: damask: panel (copy 1): it has a motif, but the layout does not say where the "
        "design lies"
    ]
    piece = replace(PANEL, motif=Motif("tulip", (0.0, 0.0)))
    cloth = Cloth("damask", 900.0, repeat=PLAIN[0])
    lay = lay_on(cloth, [put(piece, 1, 0.0, (20.0, 55.0))], repeat=PLAIN[1])
    assert told(check_design(lay, cloth, {"panel": piece}, ())) == [
        "design: damask: panel (copy 1): it has a motif, but the layout does not say where point "
        "'tulip' lies"
    ]


def test_cloth_without_a_repeat_asks_for_nothing():
    """Nor does a piece the plan does not know, or one without a motif."""
    piece = replace(PANEL, motif=Motif("rose", (0.0, 0.0)))
    lay = lay_on(Cloth("damask", 900.0), [put(piece, 1, 0.0, (3.0, 55.0))])
    match = Match((("panel", "rose"), ("panel", "bud")), "along")
    assert told(check_design(lay, Cloth("damask", 900.0), {"panel": piece}, (match,))) == []
    cloth = Cloth("damask", 900.0, repeat=PLAIN[0])
    assert told(check_design(lay, cloth, {}, ())) == []
    assert told(check_design(lay, cloth, {"panel": PANEL}, ())) == []


def matched(
    axis, *places, repeat=PLAIN[0], turned=0.0, points=(("panel", "rose"), ("cuff", "tip"))
):
    """Return what is said of panels and, last, a cuff matched to them."""
    cuff = PlanPiece("cuff", pattern("cuff", rectangle(50, 200)), "damask",
                     points={"tip": (25.0, 100.0)})  # fmt: skip
    pieces = [PANEL] * (len(places) - 1) + [cuff]
    placed = [
        put(piece, n, turned if piece is cuff else 0.0, (x - 100, y + 25))
        for n, (piece, (x, y)) in enumerate(zip(pieces, places, strict=True), start=1)
    ]
    cloth = Cloth("damask", 900.0, repeat=repeat)
    lay = lay_on(cloth, placed)
    match = Match(points, axis)
    return told(check_design(lay, cloth, {"panel": PANEL, "cuff": cuff}, (match,)))


def apart(copy, by):
    """Return the line about a cuff that meets the design apart from the first panel."""
    return (
        f"design: damask: cuff (copy {copy}): its point 'tip' meets the design {by:.3f} mm apart "
        "from panel:rose (copy 1)"
    )


@pytest.mark.parametrize(
    ("axis", "repeat", "by", "told_off"),
    [
        ("along", PLAIN[0], (300.0, 17.0), 0.0), ("along", PLAIN[0], (303.0, 17.0), 3.0),
        ("along", PLAIN[0], (297.0, 17.0), 3.0), ("across", PLAIN[0], (17.0, 120.0), 0.0),
        ("across", PLAIN[0], (17.0, 124.0), 4.0), ("both", PLAIN[0], (100.0, 180.0), 0.0),
        ("both", PLAIN[0], (102.0, 184.0), 4.0), ("both", PLAIN[0], (105.0, 184.0), 5.0),
        ("both", HALF[0], (150.0, 60.0), 0.0), ("both", HALF[0], (150.0, 61.0), 1.0),
        ("both", HALF[0], (100.0, 60.0), 50.0), ("both", HALF[0], (50.0, 180.0), 0.0),
        ("along", HALF[0], (100.0, 60.0), 0.0), ("along", HALF[0], (150.0, 60.0), 50.0),
        ("along", Repeat(0.0, 60.0), (33.0, 10.0), 0.0),
        ("both", Repeat(0.0, 60.0), (33.0, 62.0), 2.0),
        ("across", Repeat(100.0, 0.0), (33.0, 10.0), 0.0),
        ("both", Repeat(100.0, 0.0), (203.0, 10.0), 3.0),
    ],
)  # fmt: skip
def test_points_meet_the_design_alike(axis, repeat, by, told_off):
    """Along, across or both, however many repeats apart; the greater of both is told."""
    lines = matched(axis, (120.0, 90.0), (120.0 + by[0], 90.0 + by[1]), repeat=repeat)
    assert lines == ([apart(2, told_off)] if told_off else [])


def test_each_is_compared_with_the_first():
    """The second panel is off, the cuff is not."""
    lines = matched("along", (120.0, 90.0), (222.0, 200.0), (320.0, 300.0))
    assert lines == [
        "design: damask: panel (copy 2): its point 'rose' meets the design 2.000 mm apart from "
        "panel:rose (copy 1)"
    ]
    assert matched("along", (120.0, 90.0), (320.099, 300.0)) == []
    assert matched("along", (120.0, 90.0), (322.0, 300.0), points=(("panel", "rose"),)) == []
    lost = (("panel", "rose"), ("cuff", "tulip"))
    assert matched("along", (120.0, 90.0), (322.0, 300.0), points=lost) == []


@pytest.mark.parametrize(
    ("turned", "right"),
    [(0.0, True), (45.0, True), (315.0, True), (90.0, True), (270.0, False), (180.0, False),
     (135.0, False), (225.0, False), (84.5, True), (95.5, True), (96.0, False), (275.5, False),
     (276.0, True)],
)  # fmt: skip
def test_a_matched_piece_lies_with_the_design(turned, right):
    """Its top may lean, and lie crosswise one way; not against it."""
    cuff = PlanPiece("cuff", pattern("cuff", rectangle(50, 200)), "damask", 2,
                     points={"tip": (0.0, 0.0)})  # fmt: skip
    cloth = Cloth("damask", 900.0, repeat=PLAIN[0])
    placed = [put(cuff, 1, 0.0, (20.0, 300.0)), put(cuff, 2, turned, (420.0, 600.0))]
    found = told(
        check_design(
            lay_on(cloth, placed), cloth, {"cuff": cuff}, (Match((("cuff", "tip"),), "along"),)
        )
    )
    line = (
        "design: damask: cuff (copy 2): it is matched to cuff:tip (copy 1), but its top points "
        "against the design"
    )
    assert found == ([] if right else [line])


@pytest.mark.parametrize(
    ("cloth", "motif", "start"),
    [
        ({}, Motif("rose", (0.0, 0.0)), 100.0),
        ({}, Motif("rose", (30.0, None)), 100.0),
        ({}, Motif("rose", (None, 0.0)), 0.0),
        ({}, None, 0.0),
        ({"length": 900.0}, Motif("rose", (0.0, 0.0)), 0.0),
        ({"panels": (Panel("a", 900.0, 900.0),)}, Motif("rose", (0.0, 0.0)), 0.0),
        ({"repeat": PLAIN[0]}, Motif("rose", (0.0, 0.0)), 0.0),
        ({"repeat": None}, Motif("rose", (0.0, 0.0)), 0.0),
        ({"name": "wool"}, Motif("rose", (0.0, 0.0)), 0.0),
    ],
)
def test_reaching_the_first_place_of_a_design(cloth, motif, start):
    """A whole repeat where cloth is bought whose design starts nobody knows where."""
    silk = replace(Cloth("damask", 900.0, repeat=HALF[0]), **cloth)
    plain = replace(PANEL, name="plain")
    pieces = {"plain": plain, "panel": replace(PANEL, motif=motif)}
    assert start_on_design(silk, pieces) == start


SKIRT = PlanPiece(
    "breadth", pattern("breadth", rectangle(150, 80)), "calico", grain="crosswise",
    edges=(EdgeAllowance("hem", (0.0, 0.0), (150.0, 0.0), 20.0),
           EdgeAllowance("waist", (150.0, 80.0), (0.0, 80.0), 10.0)),
    border=Border("hem", 30.0, "either"),
)  # fmt: skip
CUT = [(0, -20), (150, -20), (150, 90), (0, 90)]


def bordered(turned, y, cut=CUT, piece=SKIRT, mirrored=False, **border):
    """Return what is said of a breadth with its border, its hem at y across on cloth of 200."""
    piece = replace(piece, border=replace(piece.border, **border))
    placed = put(piece, 1, turned, (200.0, y), cut_line=cut, mirrored=mirrored)
    lay = lay_on(Cloth("calico", 200.0), [placed])
    return told(check_border(placed, lay, piece, cut_piece(piece)))


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize(
    ("turned", "y", "border", "text"),
    [
        (90.0, 30.0, {}, ""), (90.0, 30.09, {}, ""), (90.0, 29.91, {}, ""),
        (90.0, 30.11, {}, "lies 0.110 mm from its place at the near selvage"),
        (90.0, 25.0, {}, "lies 5.000 mm from its place at the near selvage"),
        (90.0, 30.0, {"selvage": "near"}, ""),
        (90.0, 30.0, {"selvage": "far"}, "faces the near selvage, not the border's"),
        (270.0, 170.0, {}, ""), (270.0, 170.0, {"selvage": "far"}, ""),
        (270.0, 173.0, {}, "lies 3.000 mm from its place at the far selvage"),
        (270.0, 170.0, {"selvage": "near"}, "faces the far selvage, not the border's"),
        (90.0, 30.0, {"distance": 0.0}, "lies 30.000 mm from its place at the near selvage"),
        (0.0, 170.0, {}, "runs 150.000 mm out of the selvage"),
    ],
)  # fmt: skip
def test_a_border_along_its_selvage(turned, y, border, text, mirrored):
    """Side, distance to the tenth, and straightness are told of the edge as drawn."""
    line = f"design: calico: breadth (copy 1): its edge 'hem' {text}"
    lines = bordered(turned, y, mirrored=mirrored, **border)
    if text.startswith("runs"):
        assert lines == [line]
    else:
        assert lines == ([line] if text else [])


def test_the_edge_of_the_border_is_the_one_that_is_named():
    """The waist lies 80 above the hem, and faces the other selvage."""
    assert bordered(90.0, 30.0, edge="waist", distance=90.0) == []
    assert bordered(90.0, 30.0, edge="waist", distance=89.0) == [
        "design: calico: breadth (copy 1): its edge 'waist' lies 1.000 mm from its place at the "
        "far selvage"
    ]


def test_an_edge_within_a_chalk_line_of_straight_passes():
    """1.1 mm out of the selvage along its length is right, a little more is not."""
    for rise, right in ((1.05, True), (1.15, False)):
        ring = [(0, 0), (150, rise), (150, 80), (0, 80)]
        hem = EdgeAllowance("hem", (0.0, 0.0), (150.0, rise), 0.0)
        piece = replace(SKIRT, pattern=pattern("b", ring), edges=(hem,))
        lines = bordered(90.0, 30.0, cut=ring, piece=piece)
        assert [f"runs {rise:.3f} mm" in line for line in lines] == [True] * (not right)


def test_the_border_of_a_half_runs_over_both_its_sides():
    """Completed about its mirror line, the whole hem is straight, or told not to be."""
    ring = [(0, 0), (75, 0), (75, 80), (0, 80)]
    hem = EdgeAllowance("hem", (0.0, 0.0), (75.0, 0.0), 0.0)
    half = replace(
        SKIRT, pattern=pattern("b", ring, mirror=((0.0, 0.0), (0.0, 80.0))), edges=(hem,)
    )
    whole = [(-75, 0), (75, 0), (75, 80), (-75, 80)]
    assert bordered(90.0, 30.0, cut=whole, piece=half) == []
    assert len(bordered(90.0, 32.0, cut=whole, piece=half)) == 1
    slope = [(0, 3), (75, 0), (75, 80), (0, 80)]
    hem = EdgeAllowance("hem", (0.0, 3.0), (75.0, 0.0), 0.0)
    bent = replace(
        half, pattern=pattern("b", slope, mirror=((0.0, 3.0), (0.0, 80.0))), edges=(hem,)
    )
    whole = [(-75, 0), (0, 3), (75, 0), (75, 80), (-75, 80)]
    assert "runs 3.000 mm" in bordered(90.0, 30.0, cut=whole, piece=bent)[0]


def test_a_piece_without_a_border_is_asked_nothing():
    """Nor is one whose outline is none."""
    plain = replace(SKIRT, border=None)
    placed = put(plain, 1, 90.0, (200.0, 3.0), cut_line=CUT)
    lay = lay_on(Cloth("calico", 200.0), [placed])
    assert list(check_border(placed, lay, plain, cut_piece(plain))) == []
    broken = replace(placed, outline=placed.outline[[0, 2, 1, 3]])
    assert list(check_border(broken, lay, SKIRT, cut_piece(SKIRT))) == []
