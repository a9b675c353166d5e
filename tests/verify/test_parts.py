"""Pieces made of parts, on paper: each part by itself, and what is wrong with a join."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from nesting.model.pattern import Notch
from nesting.model.plan import Match, Piecing, Plan, PlanPiece
from nesting.verify.piecing import with_parts
from nesting.verify.recompute import cut_piece

from ..handmade import layout_of, pattern, rectangle
from .faults import told
from .pieced import CALICO, JOINED, MAIN, PANEL, WEDGE


def parts_of(piece, joining, **cloth):
    """Return the cut pieces, by name, and findings on the joins, nothing being laid."""
    plan = Plan("t", "cm", (replace(CALICO, **cloth),), (piece,))
    empty = replace(layout_of(), joinings=(joining,))
    return with_parts(plan, empty, {piece.name: cut_piece(piece)})


def test_every_part_is_worked_out_with_its_own_marks():
    """Allowances stand on the join alone; marks go with the part on which they lie."""
    plan, found, findings = parts_of(PANEL, JOINED)
    assert findings == []
    assert [piece.name for piece in plan.pieces] == ["panel, main part", "panel, wedge"]
    assert sorted(found) == ["panel, main part", "panel, wedge"]
    for part in (MAIN, WEDGE):
        cut, drawn = found[part.name], part.pattern
        wanted = Polygon(drawn.outline)
        assert cut.region.symmetric_difference(wanted).area < 1e-3
        assert [cut.grain_drawn, cut.grain_angle] == [False, pytest.approx(90.0)]
        assert {key: pytest.approx(at) for key, at in cut.points.items()} == part.points
        assert cut.drills == drawn.drill_holes
        assert [n.at for n in cut.notches] == [pytest.approx(n.at) for n in drawn.notches]
        assert [n.angle for n in cut.notches] == [pytest.approx(n.angle) for n in drawn.notches]
        assert [line.length for line in cut.sew.geoms] == [pytest.approx(450.0)]
        lengths = [line.length for line in cut.internal.geoms]
        assert lengths == [pytest.approx(180.0 if part is MAIN else 80.0, abs=1e-3)]
        assert cut.stripe.is_empty
        assert cut.plaid.is_empty


@pytest.mark.parametrize(
    ("height", "wanted"),
    [
        (59.0, []),
        (60.0, [20.0]),
        (599.0, [599.0 / 3]),
        (600.0, [150.0, 300.0]),
        (900.0, [225.0, 450.0]),
    ],
)
@pytest.mark.parametrize("top", ["as drawn", "reverse"])
def test_notches_on_a_join_by_its_length(height, wanted, top):
    """None under 6 cm; one at a third from the foot; from 60 cm two, at a quarter and a half."""
    band = PlanPiece(
        "band", pattern("band", rectangle(100, height)), "calico", piecing=Piecing(), top=top
    )
    joining = replace(
        JOINED, piece="band", inside=((20.0, 5.0), (90.0, 5.0)),
        lines=(((50.0, 0.0), (50.0, 9.0)),),
    )  # fmt: skip
    _, found, findings = parts_of(band, joining)
    assert findings == []
    at = [height - y if top == "reverse" else y for y in wanted]
    for name, angle in (("panel, main part", 180.0), ("panel, wedge", 0.0)):
        notches = found[name].notches
        assert [n.at for n in notches] == [pytest.approx((50.0, y)) for y in at]
        assert [n.angle % 360.0 for n in notches] == [pytest.approx(angle)] * len(at)
        assert [(n.depth, n.kind) for n in notches] == [
            (n.depth, n.kind) for n in [Notch((0.0, 0.0), 0.0)] * len(at)
        ]


def test_a_slanting_join_has_its_notches_square_to_it():
    """A join from the foot's left to the top's right of a 300 by 400 panel is 500 long."""
    band = PlanPiece(
        "band", pattern("band", rectangle(300, 400)), "calico",
        piecing=Piecing(line=((0.0, 0.0), (300.0, 400.0))),
    )  # fmt: skip
    joining = replace(
        JOINED, piece="band", inside=((20.0, 300.0), (280.0, 100.0)),
        lines=(((0.0, 0.0), (300.0, 400.0)),),
    )  # fmt: skip
    _, found, findings = parts_of(band, joining)
    assert findings == []
    slope = np.degrees(np.arctan2(4.0, 3.0))
    for name, square in (("panel, main part", slope + 90.0), ("panel, wedge", slope + 270.0)):
        (notch,) = found[name].notches
        assert notch.at == pytest.approx((100.0, 400.0 / 3))
        assert notch.angle == pytest.approx(square)
        assert found[name].points["join 1"] == pytest.approx((150.0, 200.0))
        assert found[name].region.area == pytest.approx(60000.0 + 5000.0, abs=0.1)


def test_a_level_join_counts_its_notch_from_the_side():
    """Square to the grain neither end is nearer the top: the notch lies at a third."""
    band = PlanPiece("band", pattern("band", rectangle(300, 400)), "calico", piecing=Piecing())
    joining = replace(
        JOINED, piece="band", inside=((20.0, 100.0), (20.0, 300.0)),
        lines=(((0.0, 200.0), (9.0, 200.0)),),
    )  # fmt: skip
    _, found, _ = parts_of(band, joining)
    low, high = (found[name].notches[0] for name in JOINED.parts)
    assert low.at == pytest.approx((200.0, 200.0))
    assert high.at == low.at
    assert (low.angle, high.angle) == (pytest.approx(270.0), pytest.approx(90.0))
    assert found["panel, main part"].region.symmetric_difference(box(0, 0, 300, 210)).area < 1e-3
    assert found["panel, wedge"].region.symmetric_difference(box(0, 190, 300, 400)).area < 1e-3


BAND = PlanPiece(
    "band", pattern("band", rectangle(300, 100)), "calico", piecing=Piecing(most=2),
    points={"left": (0.0, 50.0), "seam": (200.0, 100.0)},
)  # fmt: skip
IN_THREE = replace(
    JOINED, piece="band", parts=("a", "b", "c"),
    inside=((150.0, 50.0), (50.0, 50.0), (250.0, 50.0)),
    lines=(((100.0, 0.0), (100.0, 9.0)), ((200.0, 0.0), (200.0, 9.0))),
)  # fmt: skip


def test_three_parts_of_two_joins():
    """Joins at 100 and 200 of 300: the middle part has an allowance on both its sides."""
    plan, found, findings = parts_of(BAND, IN_THREE)
    assert findings == []
    for name, wanted, points in (
        ("a", box(90, 0, 210, 100), {"seam", "join 1", "join 2"}),
        ("b", box(0, 0, 110, 100), {"left", "join 1"}),
        ("c", box(190, 0, 300, 100), {"seam", "join 2"}),
    ):
        assert found[name].region.symmetric_difference(wanted).area < 1e-3
        assert set(found[name].points) == points
    assert len(found["a"].notches) == 2
    assert plan.matches == ()
    once = replace(BAND, piecing=Piecing(most=1))
    _, found, findings = parts_of(once, IN_THREE)
    assert told(findings) == ["join: band: it has 2 joins; the plan allows 1"]
    assert list(found) == ["band"]


def test_where_the_design_runs_on_the_parts_are_matched_at_their_joins():
    """Each join ties the parts that have it, along and across."""
    band = replace(BAND, piecing=Piecing(most=2, match=True))
    plan, _, _ = parts_of(band, IN_THREE)
    assert plan.matches == (
        Match((("a", "join 1"), ("b", "join 1")), "both"),
        Match((("a", "join 2"), ("c", "join 2")), "both"),
    )


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"piece": "sleeve"}, "sleeve: it is cut in parts, which the plan does not allow"),
        ({"parts": ("a", "a")}, "panel: its parts are not named each once"),
        ({"parts": ("a",)}, "panel: its parts are not named each once"),
        ({"parts": ("a", "b", "c")}, "panel: its parts are not named each once"),
        ({"allowance": 10.011}, "panel: its joins have 10.011 mm, the plan asks 10 mm"),
        ({"allowance": 9.0}, "panel: its joins have 9 mm, the plan asks 10 mm"),
        ({"inside": ((60.0, 200.0), (80.0, 9.0))}, "panel: its parts are not those that its "
         "join lines make"),
        ({"inside": ((60.0, 200.0), (350.0, 9.0))}, "panel: its parts are not those that its "
         "join lines make"),
        ({"parts": ("a",), "inside": ((60.0, 200.0),)}, "panel: its parts are not those that its "
         "join lines make"),
    ],
)  # fmt: skip
def test_a_joining_that_does_not_divide_the_piece_is_refused(change, words):
    """Names, points inside, allowance: what is said of the joins is told to be wrong."""
    _, found, findings = parts_of(PANEL, replace(JOINED, **change))
    assert [(f.kind, str(f)) for f in findings] == [("join", words)]
    assert list(found) == ["panel"]


def test_an_allowance_within_a_hundredth_passes():
    """The tolerance of lengths holds for it."""
    assert parts_of(PANEL, replace(JOINED, allowance=10.009))[2] == []


@pytest.mark.parametrize(
    ("x", "words"),
    [
        (200.0, []),
        (200.009, []),
        (202.5, ["join: panel: its join lies 2.50 mm off the line the plan gives"]),
        (197.0, ["join: panel: its join lies 3.00 mm off the line the plan gives"]),
    ],
)
def test_a_join_lies_on_the_line_that_the_plan_gives(x, words):
    """Measured square to the line, whichever two points of it are told."""
    piece = replace(PANEL, piecing=Piecing(line=((200.0, 0.0), (200.0, 400.0))))
    joining = replace(JOINED, lines=(((x, 7.0), (x, 1000.0)),))
    assert told(parts_of(piece, joining)[2]) == words


def test_a_join_askew_to_its_line_is_told_by_its_farther_end():
    """On the line at one point, 4 mm off it at the other."""
    piece = replace(PANEL, piecing=Piecing(line=((200.0, 0.0), (200.0, 400.0))))
    for lines in ((((200.0, 0.0), (204.0, 400.0)),), (((204.0, 400.0), (200.0, 0.0)),)):
        (finding,) = parts_of(piece, replace(JOINED, lines=lines))[2]
        assert str(finding) == "panel: its join lies 4.00 mm off the line the plan gives"


@pytest.mark.parametrize(
    ("zones", "words"),
    [
        ((box(150, -50, 350, 500),), []),
        ((box(150, -50, 350, 200), box(150, 190, 350, 500)), []),
        ((box(150, 0, 350, 449.5),), []),
        ((box(150, 0, 350, 440),),
         ["join: panel: a join lies up to 10.0 mm outside where joins are allowed"]),
        ((box(150, -50, 350, 200), box(150, 240, 350, 500)),
         ["join: panel: a join lies up to 20.0 mm outside where joins are allowed"]),
        ((box(240, 0, 350, 500),),
         ["join: panel: a join lies up to 40.0 mm outside where joins are allowed"]),
        ((box(150, 30, 350, 500),),
         ["join: panel: a join lies up to 30.0 mm outside where joins are allowed"]),
    ],
)  # fmt: skip
def test_joins_lie_where_the_plan_allows_them(zones, words):
    """In one zone or in several that meet; a chalk line over the edge passes, no more."""
    rings = tuple(np.array(zone.exterior.coords[:-1]) for zone in zones)
    piece = replace(PANEL, piecing=Piecing(zones=rings))
    assert told(parts_of(piece, JOINED)[2]) == words


@pytest.mark.parametrize(
    ("mirror", "at"),
    [
        (((0.0, 0.0), (0.0, 400.0)), ((-80.0, 5.0), (-80.0, 9.0))),
        (((0.0, 400.0), (0.0, 0.0)), ((-80.0, 9.0), (-80.0, 5.0))),
    ],
)
def test_a_zone_of_a_half_holds_on_its_other_side_too(mirror, at):
    """A half 100 wide, joins allowed from 60 to 100 of it: at 80 to the left, not at 40."""
    half = PlanPiece(
        "half", pattern("half", rectangle(100, 400), mirror=mirror), "calico",
        piecing=Piecing(zones=(np.array(rectangle(40, 400)) + np.array([60.0, 0.0]),)),
    )  # fmt: skip
    joining = replace(JOINED, piece="half", inside=((0.0, 200.0), (-95.0, 200.0)), lines=(at,))
    _, found, findings = parts_of(half, joining)
    assert findings == []
    assert found["panel, wedge"].region.symmetric_difference(box(-100, 0, -70, 400)).area < 1e-3
    inner = replace(joining, lines=(((-40.0, 0.0), (-40.0, 9.0)),))
    assert "20.0 mm outside where" in str(parts_of(half, inner)[2][0])


def test_a_line_along_an_edge_is_no_join():
    """It divides nothing and sews nothing; the other one does."""
    joining = replace(JOINED, lines=(*JOINED.lines, ((300.0, 0.0), (300.0, 9.0))))
    _, found, findings = parts_of(PANEL, joining)
    assert findings == []
    assert sorted(found) == ["panel, main part", "panel, wedge"]


def test_a_line_through_two_legs_makes_two_joins():
    """A fork of two legs cut across below its crotch: three parts, two joins, each its own."""
    fork = [(0, 0), (100, 0), (100, 300), (200, 300), (200, 0), (300, 0), (300, 500), (0, 500)]
    piece = PlanPiece("fork", pattern("fork", fork), "calico", piecing=Piecing(most=2))
    joining = replace(
        JOINED, piece="fork", parts=("yoke", "left", "right"),
        inside=((150.0, 400.0), (50.0, 50.0), (250.0, 50.0)),
        lines=(((0.0, 100.0), (9.0, 100.0)),),
    )  # fmt: skip
    _, found, findings = parts_of(piece, joining)
    assert findings == []
    assert found["left"].region.symmetric_difference(box(0, 0, 100, 110)).area < 1e-3
    assert found["right"].region.symmetric_difference(box(200, 0, 300, 110)).area < 1e-3
    assert found["yoke"].region.area == pytest.approx(2 * 100 * 200 + 300 * 200 + 2 * 100 * 10)
    assert [len(found[name].points) for name in joining.parts] == [2, 1, 1]


def shifted(points, by=(20000.0, -9000.0)):
    """Return points moved on the page."""
    return tuple((x + by[0], y + by[1]) for x, y in points)


def test_wherever_the_panel_is_drawn_on_its_page():
    """Moved far from the origin the parts and the line allowed are the same, moved."""
    drawn = replace(
        PANEL.pattern,
        outline=PANEL.pattern.outline + np.array([20000.0, -9000.0]),
        grain=shifted(PANEL.pattern.grain),
        notches=(), drill_holes=(), internal_lines=(),
    )  # fmt: skip
    line = shifted(((200.0, 30.0), (200.0, 400.0)))
    piece = replace(PANEL, pattern=drawn, points={}, piecing=Piecing(line=line))
    joining = replace(
        JOINED, inside=shifted(JOINED.inside), lines=tuple(shifted(one) for one in JOINED.lines)
    )
    _, found, findings = parts_of(piece, joining)
    assert findings == []
    for part in (MAIN, WEDGE):
        wanted = Polygon(shifted(part.pattern.outline))
        cut = found[part.name]
        assert cut.region.symmetric_difference(wanted).area < 1e-3
        (notch,) = cut.notches
        assert notch.at == pytest.approx(shifted(((200.0, 150.0),))[0])
        assert cut.points["join 1"] == pytest.approx(shifted(((200.0, 225.0),))[0])
    off = replace(joining, lines=(shifted(((205.0, 0.0), (205.0, 9.0))),))
    assert told(parts_of(piece, off)[2]) == [
        "join: panel: its join lies 5.00 mm off the line the plan gives"
    ]


def test_a_zone_is_reflected_in_a_slanting_mirror_line():
    """A half below the diagonal through (10, 20): a zone to its right holds above it too."""
    ring = np.array([(10, 20), (410, 20), (410, 420)], dtype=float)
    zone = np.array([(210, 0), (420, 0), (420, 430), (210, 430)], dtype=float)
    half = PlanPiece(
        "half", pattern("half", ring, mirror=((10.0, 20.0), (410.0, 420.0))), "calico",
        piecing=Piecing(zones=(zone,)),
    )  # fmt: skip
    joining = replace(
        JOINED, piece="half", inside=((100.0, 50.0), (100.0, 415.0)),
        lines=(((0.0, 400.0), (9.0, 400.0)),),
    )  # fmt: skip
    assert told(parts_of(half, joining)[2]) == []
    low = replace(joining, lines=(((0.0, 100.0), (9.0, 100.0)),), inside=((100, 90), (100, 150)))
    assert "outside where joins" in told(parts_of(half, low)[2])[0]


def test_a_joining_that_fails_hides_no_other():
    """The second piece is divided although the first is not."""
    band = replace(PANEL, name="band")
    plan = Plan("t", "cm", (CALICO,), (PANEL, band))
    parts = ("band, main part", "band, wedge")
    right = replace(JOINED, piece="band", parts=parts)
    wrong = replace(JOINED, inside=((60.0, 200.0), (80.0, 9.0)))
    layout = replace(layout_of(), joinings=(wrong, right))
    true = {piece.name: cut_piece(piece) for piece in plan.pieces}
    parted, found, findings = with_parts(plan, layout, true)
    assert len(findings) == 1
    assert sorted(found) == [*parts, "panel"]
    assert [piece.name for piece in parted.pieces] == ["panel", *parts]
