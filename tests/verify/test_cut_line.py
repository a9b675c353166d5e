"""Allowances and completion, each corner and mark by closed form."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LinearRing, LineString, MultiLineString, Polygon, box

from nesting.model.pattern import Notch
from nesting.model.plan import EdgeAllowance, PlanPiece
from nesting.verify.allowance import add_allowance, narrowed, stretch_between
from nesting.verify.recompute import cut_piece, reflected

from ..handmade import pattern, rectangle

SQUARE = np.array(rectangle(100, 100), dtype=float)


def lengths(stretch):
    """Return the coordinates of the lines of a stretch, to the thousandth."""
    return [[(round(x, 3), round(y, 3)) for x, y in line.coords] for line in stretch.lines]


def alike(region, *parts):
    """Tell whether a region is the union of these."""
    whole = parts[0]
    for part in parts[1:]:
        whole = whole.union(part)
    return region.symmetric_difference(whole).area < 1e-4


def test_stretches_run_counter_clockwise():
    """From start to end, round corners, past the first point, or on nothing at all."""
    stretch = stretch_between(SQUARE, (20.0, 0.0), (100.0, 30.0), 7.0)
    assert lengths(stretch) == [[(20, 0), (100, 0), (100, 30)]]
    assert stretch.allowance == 7.0
    over = stretch_between(SQUARE, (0.0, 30.0), (20.0, 0.0), 7.0)
    assert lengths(over) == [[(0, 30), (0, 0)], [(0, 0), (20, 0)]]
    assert lengths(stretch_between(SQUARE, (0.0, 30.0), (0.0, 0.0), 7.0)) == [[(0, 30), (0, 0)]]
    assert lengths(stretch_between(SQUARE, (0.0, 0.0), (0.5, 0.0), 7.0)) == [[(0, 0), (0.5, 0)]]
    round_ = stretch_between(SQUARE, (50.0, 0.0), (50.0, 0.0), 7.0)
    assert sum(line.length for line in round_.lines) == pytest.approx(400.0)


def grown(ring, allowance, *edges):
    """Return the region inside the cut line; edges as (start, end, allowance)."""
    ring = np.asarray(ring, dtype=float)
    stretches = tuple(stretch_between(ring, *edge) for edge in edges)
    return add_allowance(Polygon(ring), allowance, stretches)


def test_nothing_added_leaves_the_shape_and_fills_its_holes():
    """The holes are the caller's."""
    holed = Polygon(SQUARE, [[(10, 10), (10, 20), (20, 20), (20, 10)]])
    assert add_allowance(holed, 0.0, ()).equals(Polygon(SQUARE))
    assert alike(add_allowance(holed, 5.0, ()), box(-5, -5, 105, 105))


def test_edges_with_and_without():
    """One edge alone, two that meet, and one left bare among others."""
    foot = ((0.0, 0.0), (100.0, 0.0), 30.0)
    side = ((100.0, 0.0), (100.0, 100.0), 10.0)
    square = box(0, 0, 100, 100)
    assert alike(grown(SQUARE, 0.0, foot), square, box(0, -30, 100, 0))
    assert alike(
        grown(SQUARE, 0.0, foot, side), square, box(0, -30, 110, 0), box(100, 0, 110, 100)
    )
    bare = (*foot[:2], 0.0)
    assert alike(grown(SQUARE, 10.0, bare), box(-10, 0, 110, 110))
    assert alike(grown(SQUARE, 10.0, foot, side, bare), box(-10, 0, 110, 110))
    assert alike(grown(SQUARE, 10.0, bare, foot), box(-10, -30, 110, 110))


def test_a_clockwise_shape_grows_alike():
    """The allowance is outside whichever way the ring is drawn."""
    region = add_allowance(Polygon(SQUARE[::-1]), 5.0, ())
    assert alike(region, box(-5, -5, 105, 105))


def test_a_short_stretch_steps_out_on_its_own():
    """Half a millimetre of a seam may have an allowance of its own."""
    region = grown(SQUARE, 0.0, ((50.0, 0.0), (50.5, 0.0), 8.0))
    assert alike(region, box(0, 0, 100, 100), box(50, -8, 50.5, 0))


@pytest.mark.parametrize(
    ("w0", "w1", "patch"),
    [
        (10.0, 10.0, [(100, 0), (100, -10), (110, -10), (110, 0)]),
        (30.0, 5.0, [(100, 0), (100, -30), (105, -30), (105, 0)]),
        (0.0, 10.0, [(100, 0), (110, 0), (110, -0.0)]),
    ],
)
def test_a_square_corner_is_filled_square(w0, w1, patch):
    """Two strips of their own depths meet in a rectangle."""
    region = grown(SQUARE, 0.0, ((0, 0), (100, 0), w0), ((100, 0), (100, 100), w1))
    parts = [box(0, 0, 100, 100), box(0, -w0, 100, 0), box(100, 0, 100 + w1, 100)]
    if w0 and w1:
        parts.append(Polygon(patch))
    assert alike(region, *parts)


def corner_of(degrees, w0, w1, reach=400.0):
    """Return the cut line's region at a corner so wide, at the origin, foot along +x.

    The foot comes first and has the allowance ``w1``; the side that ends there has ``w0``.
    """
    turn = math.radians(degrees)
    top = (reach * math.cos(turn), reach * math.sin(turn))
    ring = [(0.0, 0.0), (reach, 0.0), top]
    return grown(ring, 0.0, (top, (0.0, 0.0), w0), ((0.0, 0.0), (reach, 0.0), w1)), top


@pytest.mark.parametrize("degrees", [40.0, 60.0, 89.0, 120.0, 150.0])
def test_corners_of_any_angle_are_mitred(degrees):
    """The outer lines meet 1/sin(half the corner) allowances from it."""
    region, _ = corner_of(degrees, 10.0, 10.0)
    away = 10.0 / math.sin(math.radians(degrees / 2))
    bisector = math.radians(degrees / 2 + 180.0)
    tip = (away * math.cos(bisector), away * math.sin(bisector))
    assert min(math.dist(tip, at) for at in region.exterior.coords) < 1e-6


def test_where_one_side_is_so_deep_that_the_other_ends_at_it():
    """At a corner of 120 degrees a foot 100 deep: the side's 20 end on the foot's own edge.

    The foot's end runs straight down from the corner; the side's line, 20 outside, meets it
    20 / cos 60 = 40 below the corner.
    """
    region, _ = corner_of(120.0, 20.0, 100.0)
    corners = [(round(x, 6), round(y, 6)) for x, y in region.exterior.coords]
    assert (0.0, -100.0) in corners
    assert (0.0, -40.0) in corners
    other, top = corner_of(120.0, 100.0, 20.0)
    assert other.area == pytest.approx(region.area)
    square = (top[1] / 400.0, -top[0] / 400.0)
    outward = (-square[0], -square[1])
    tip, foot = ((round(outward[0] * w, 6), round(outward[1] * w, 6)) for w in (100.0, 40.0))
    corners = [(round(x, 6), round(y, 6)) for x, y in other.exterior.coords]
    assert tip in corners
    assert foot in corners


def test_an_inward_corner_gets_no_patch():
    """Nor does one that is hardly a corner."""
    ell = [(0, 0), (200, 0), (200, 80), (90, 80), (90, 300), (0, 300)]
    region = grown(ell, 0.0, ((200.0, 80.0), (90.0, 80.0), 10.0), ((90.0, 80.0), (90, 300), 6.0))
    shape = box(0, 0, 200, 80).union(box(0, 0, 90, 300))
    assert alike(region, shape, box(90, 80, 200, 90), box(90, 80, 96, 300))
    straight = [(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)]
    assert alike(grown(straight, 10.0), box(-10, -10, 110, 110))


def test_a_cutout_closes_from_its_edge():
    """What is left open; a slit closes, a square millimetre at most, a dumbbell parts in two."""
    (left,) = narrowed(LinearRing(rectangle(100, 60)), 10.0)
    assert alike(Polygon(left), box(10, 10, 90, 50))
    (left,) = narrowed(LinearRing(rectangle(100, 60)[::-1]), 10.0)
    assert alike(Polygon(left), box(10, 10, 90, 50))
    assert narrowed(LinearRing(rectangle(100, 20)), 10.0) == []
    assert narrowed(LinearRing(rectangle(21.0, 20.9)), 10.0) == []
    assert len(narrowed(LinearRing(rectangle(21.2, 21.2)), 10.0)) == 1
    bar = [(0, 0), (60, 0), (60, 25), (90, 25), (90, 0), (150, 0), (150, 60), (90, 60), (90, 35),
           (60, 35), (60, 60), (0, 60)]  # fmt: skip
    halves = sorted(narrowed(LinearRing(bar), 10.0), key=lambda ring: ring.bounds)
    assert alike(Polygon(halves[0]), box(10, 10, 50, 50))
    assert alike(Polygon(halves[1]), box(100, 10, 140, 50))


def test_points_near_the_mirror_line_stay_on_it():
    """Within 0.05 mm; others go to the other side, whichever way the line runs."""
    shape = LineString([(0.04, 0.0), (0.06, 10.0), (5.0, 20.0)])
    for mirror in (((0.0, -9.0), (0.0, 50.0)), ((0.0, 50.0), (0.0, -9.0))):
        found = list(reflected(shape, mirror).coords)
        assert found == [
            pytest.approx((0.04, 0.0)), pytest.approx((-0.06, 10.0)), pytest.approx((-5.0, 20.0))
        ]  # fmt: skip
    slanting = reflected(LineString([(10.0, 0.0), (30.0, 10.0)]), ((0.0, 0.0), (1.0, 1.0)))
    assert list(slanting.coords) == [pytest.approx((0.0, 10.0)), pytest.approx((10.0, 30.0))]
    aside = reflected(LineString([(7.0, 0.0), (9.0, 4.0)]), ((5.0, 3.0), (5.0, 9.0)))
    assert list(aside.coords) == [pytest.approx((3.0, 0.0)), pytest.approx((1.0, 4.0))]


MARKED = pattern(
    "half", [(5, 0), (125, 0), (85, 200), (5, 300)], mirror=((5.0, 0.0), (5.0, 300.0)),
    grain=((20.0, 10.0), (20.0, 90.0)),
    notches=(Notch((125.0, 0.0), 135.0), Notch((5.0, 300.0), 270.0), Notch((45.0, 0.0))),
    drill_holes=((55.0, 50.0), (5.0, 100.0)),
    sew_lines=(np.array([(5.0, 10.0), (115.0, 10.0)]),),
    internal_lines=(np.array([(15.0, 20.0), (15.0, 50.0)]),),
    stripe_lines=(np.array([(15.0, 60.0), (35.0, 60.0)]),),
    plaid_lines=(np.array([(15.0, 70.0), (55.0, 70.0)]),),
)  # fmt: skip


def coords(lines):
    """Return the ends of lines, rounded."""
    return [tuple((round(x, 6), round(y, 6)) for x, y in line.coords) for line in lines.geoms]


def test_every_mark_of_a_half_is_reflected():
    """About x = 5; what lies on the mirror line is its own reflection."""
    cut = cut_piece(PlanPiece("half", MARKED, "silk"))
    assert coords(cut.sew) == [((5, 10), (115, 10)), ((5, 10), (-105, 10))]
    assert coords(cut.internal) == [((15, 20), (15, 50)), ((-5, 20), (-5, 50))]
    assert coords(cut.stripe) == [((15, 60), (35, 60)), ((-5, 60), (-25, 60))]
    assert coords(cut.plaid) == [((15, 70), (55, 70)), ((-5, 70), (-45, 70))]
    assert [(n.at, n.angle) for n in cut.notches] == [
        ((125.0, 0.0), 135.0), ((5.0, 300.0), 270.0), ((45.0, 0.0), None),
        (pytest.approx((-115.0, 0.0)), pytest.approx(45.0)),
        (pytest.approx((-35.0, 0.0)), None),
    ]  # fmt: skip
    assert cut.drills == ((55.0, 50.0), (5.0, 100.0), pytest.approx((-45.0, 50.0)))
    assert cut.grain == ((20.0, 10.0), (20.0, 90.0))
    assert cut.grain_drawn
    assert cut.grain_angle == pytest.approx(90.0)


def test_a_slanting_mirror_line_turns_the_notches():
    """About the diagonal a notch pointing along the page points up it."""
    drawn = pattern(
        "half", [(7, 30), (107, 30), (107, 130)], mirror=((7.0, 30.0), (107.0, 130.0)),
        notches=(Notch((57.0, 30.0), 10.0),),
    )  # fmt: skip
    other = cut_piece(PlanPiece("half", drawn, "silk")).notches[1]
    assert other.at == pytest.approx((7.0, 80.0))
    assert other.angle == pytest.approx(80.0)


def test_a_piece_lies_turned_and_reflected_with_all_its_marks():
    """Grain up the page, lying mirrored with its top to 90 degrees: x changes its sign."""
    cut = cut_piece(PlanPiece("half", MARKED, "silk", points={"tip": (85.0, 200.0)}))
    laid = cut.lying(mirrored=True, turned=90.0)
    assert laid.points["tip"] == pytest.approx((-85.0, 200.0))
    assert coords(laid.internal)[0] == ((-15, 20), (-15, 50))
    assert laid.notches[0].angle % 360.0 == pytest.approx(45.0)
    assert laid.drills[0] == pytest.approx((-55.0, 50.0))
    turned = cut.lying(mirrored=False, turned=0.0)
    assert turned.points["tip"] == pytest.approx((200.0, -85.0))
    assert turned.notches[0].angle % 360.0 == pytest.approx(45.0)
    assert turned.grain == (pytest.approx((10.0, -20.0)), pytest.approx((90.0, -20.0)))
    moved = cut.shifted(7.0, -3.0)
    assert moved.points["tip"] == (92.0, 197.0)
    assert moved.notches[0].angle == 135.0
    assert moved.grain == ((27.0, 7.0), (27.0, 87.0))
    assert moved.region.bounds == tuple(
        a + b for a, b in zip(cut.region.bounds, (7.0, -3.0, 7.0, -3.0), strict=True)
    )


def test_without_a_grain_line_the_top_is_up_the_page():
    """And down it where the plan reverses the top."""
    bare = replace(MARKED, grain=None)
    cut = cut_piece(PlanPiece("half", bare, "silk"))
    assert (cut.grain_drawn, cut.grain_angle) == (False, pytest.approx(90.0))
    cut = cut_piece(PlanPiece("half", bare, "silk", top="reverse"))
    assert cut.grain_angle == pytest.approx(-90.0)
    cut = cut_piece(PlanPiece("half", MARKED, "silk", top="reverse"))
    assert cut.grain == ((20.0, 90.0), (20.0, 10.0))


def test_what_was_drawn_becomes_a_sew_line():
    """Where an edge alone has an allowance a cutout stays as it is, and is no sew line."""
    hole = np.array(rectangle(60, 40))[::-1] + 20.0
    drawn = pattern("t", rectangle(100, 200), cutouts=(hole,))
    hem = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 30.0)
    cut = cut_piece(PlanPiece("t", drawn, "silk", edges=(hem,)))
    assert alike(cut.region, box(0, -30, 100, 200) - box(20, 20, 80, 60))
    assert [line.length for line in cut.sew.geoms] == [600.0]
    all_round = cut_piece(PlanPiece("t", drawn, "silk", allowance=5.0))
    assert sorted(line.length for line in all_round.sew.geoms) == [200.0, 600.0]
    assert alike(all_round.region, box(-5, -5, 105, 205) - box(25, 25, 75, 55))
    plain = cut_piece(PlanPiece("t", drawn, "silk", edges=(replace(hem, allowance=0.0),)))
    assert plain.sew.is_empty
    assert isinstance(plain.sew, MultiLineString)


def test_pieces_of_a_half_that_meet_at_a_point_keep_the_larger():
    """A half that leaves its mirror line is completed to the part that is joined."""
    drawn = pattern(
        "half", [(10, 0), (100, 0), (100, 50), (10, 50)], mirror=((0.0, 0.0), (0.0, 50.0))
    )
    assert cut_piece(PlanPiece("half", drawn, "silk")).region.area == pytest.approx(4500.0)


def test_half_a_millimetre_is_an_allowance():
    """However narrow: all round, and on one edge."""
    half = cut_piece(PlanPiece("t", pattern("t", rectangle(100, 200)), "silk", allowance=0.5))
    assert alike(half.region, box(-0.5, -0.5, 100.5, 200.5))
    assert half.sew.length == 600.0
    hem = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 0.5)
    foot = cut_piece(PlanPiece("t", pattern("t", rectangle(100, 200)), "silk", edges=(hem,)))
    assert alike(foot.region, box(0, -0.5, 100, 200))
