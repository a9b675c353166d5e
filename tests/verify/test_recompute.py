"""Completion and allowances in the check, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from nesting.model.pattern import Notch
from nesting.model.plan import EdgeAllowance, PlanPiece
from nesting.verify.recompute import cut_piece

from ..handmade import pattern, rectangle

RIGHT_TRIANGLE = [(0.0, 0.0), (400.0, 0.0), (0.0, 300.0)]


def same(region, expected, tolerance=1e-6):
    """Tell whether two regions cover the same ground."""
    return region.symmetric_difference(expected).area < tolerance


def test_no_allowance_leaves_the_outline():
    """Without allowance the outline is the cut line, and no sew line is invented."""
    cut = cut_piece(PlanPiece("t", pattern("t", RIGHT_TRIANGLE), "c"))
    assert same(cut.region, Polygon(RIGHT_TRIANGLE))
    assert cut.sew.is_empty


def test_a_rectangle_grows_into_a_rectangle():
    """Mitred corners of a rectangle stay square: 100 x 200 with 15 mm is 130 x 230."""
    cut = cut_piece(PlanPiece("t", pattern("t", rectangle(100, 200)), "c", allowance=15.0))
    assert same(cut.region, box(-15, -15, 115, 215))
    assert cut.sew.length == pytest.approx(600.0)


def test_a_triangle_grows_about_its_incentre():
    """Mitred allowance of a 3-4-5 triangle is the triangle with inradius r + d (closed form)."""
    cut = cut_piece(PlanPiece("t", pattern("t", RIGHT_TRIANGLE), "c", allowance=20.0))
    # inradius (300 + 400 - 500) / 2 = 100, so everything scales by 120 / 100 about (100, 100)
    grown = [(100 + 1.2 * (x - 100), 100 + 1.2 * (y - 100)) for x, y in RIGHT_TRIANGLE]
    assert same(cut.region, Polygon(grown))


def test_a_hem_is_deeper_than_the_seams():
    """Hem 60 and seams 15 on a rectangle: 130 wide, 15 above and 60 below."""
    hem = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 60.0)
    piece = PlanPiece("t", pattern("t", rectangle(100, 200)), "c", allowance=15.0, edges=(hem,))
    assert same(cut_piece(piece).region, box(-15, -60, 115, 215))


def test_a_stretch_may_end_in_the_middle_of_an_edge():
    """A pocket slot from 20 to 60 along the foot steps out squarely."""
    slot = EdgeAllowance("slot", (20.0, 0.0), (60.0, 0.0), 30.0)
    piece = PlanPiece("t", pattern("t", rectangle(100, 200)), "c", edges=(slot,))
    assert same(cut_piece(piece).region, box(0, 0, 100, 200).union(box(20, -30, 60, 0)))


def test_a_stretch_may_pass_the_first_point():
    """Counter-clockwise from the left edge round the corner to the foot."""
    around = EdgeAllowance("round", (0.0, 50.0), (40.0, 0.0), 10.0)
    piece = PlanPiece("t", pattern("t", rectangle(100, 200)), "c", edges=(around,))
    expected = box(0, 0, 100, 200).union(box(-10, -10, 0, 50)).union(box(-10, -10, 40, 0))
    assert same(cut_piece(piece).region, expected)


@pytest.mark.parametrize(("half_angle", "bevelled"), [(15.0, False), (14.0, True)])
def test_sharp_corners_are_cut_square_beyond_four(half_angle, bevelled):
    """A mitre is 1/sin(half the corner) allowances long: 3.86 at 15 degrees, 4.13 at 14."""
    slope, d = math.radians(half_angle), 10.0
    reach = 200.0
    corners = [(0.0, 0.0), (reach, -reach * math.tan(slope)), (reach, reach * math.tan(slope))]
    region = cut_piece(PlanPiece("t", pattern("t", corners), "c", allowance=d)).region
    tip = region.bounds[0]
    assert tip == pytest.approx(-d * math.sin(slope) if bevelled else -d / math.sin(slope))


def test_an_inward_corner_loses_length():
    """The inner corner of an L keeps square: area closed form (outer frame less the notch)."""
    ell = [(0, 0), (200, 0), (200, 80), (90, 80), (90, 300), (0, 300)]
    region = cut_piece(PlanPiece("t", pattern("t", ell), "c", allowance=10.0)).region
    assert same(region, box(-10, -10, 210, 90).union(box(-10, -10, 100, 310)))


def test_a_cutout_shrinks_by_the_allowance():
    """A 100 x 60 opening stitched at its edge is cut 80 x 40; its drawn edge is a sew line."""
    hole = np.array(rectangle(100, 60))[::-1] + 50.0
    piece = pattern("t", rectangle(300, 300), cutouts=(hole,))
    cut = cut_piece(PlanPiece("t", piece, "c", allowance=10.0))
    assert same(cut.region, box(-10, -10, 310, 310) - box(60, 60, 140, 100))
    assert cut.sew.length == pytest.approx(1200 + 320)


def test_a_cutout_with_an_inward_corner_is_mitred():
    """In an L-shaped opening the corner that stands into it is cut square, closed form."""
    ell = np.array([(0, 0), (200, 0), (200, 80), (90, 80), (90, 300), (0, 300)])[::-1] + 50.0
    piece = pattern("t", rectangle(400, 400), cutouts=(ell,))
    region = cut_piece(PlanPiece("t", piece, "c", allowance=10.0)).region
    left = box(60, 60, 240, 120).union(box(60, 60, 130, 340))
    assert same(region, box(-10, -10, 410, 410) - left)


def test_a_deep_hem_at_a_slanting_side_keeps_its_whole_depth():
    """The seam's line runs on to the side of the hem (a corner of 120 degrees, worked by hand)."""
    slope = math.tan(math.radians(30))
    ring = [(0.0, 0.0), (100.0, 0.0), (100.0 + 200 * slope, 200.0), (0.0, 200.0)]
    hem = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 60.0)
    piece = PlanPiece("t", pattern("t", ring), "c", allowance=15.0, edges=(hem,))
    region = cut_piece(piece).region
    x0, y0, _, y1 = region.bounds
    assert (x0, y0, y1) == pytest.approx((-15.0, -60.0, 215.0))
    foot = region.intersection(box(-50, -60, 200, -59.999)).bounds
    # The seam line, 15 mm outside the side, meets the hem line at y = -60.
    tip = 100 + 15 / math.cos(math.radians(30)) - 60 * slope
    assert foot[2] == pytest.approx(max(tip, 100.0))


def test_a_circle_grows_into_a_circle():
    """A 720-gon of radius 100 with 15 mm lies between the circles it touches."""
    angles = np.radians(np.arange(720) / 2)
    ring = 100 * np.column_stack([np.cos(angles), np.sin(angles)])
    region = cut_piece(PlanPiece("t", pattern("t", ring), "c", allowance=15.0)).region
    apothem = 100 * math.cos(math.pi / 720) + 15
    assert region.area == pytest.approx(720 * apothem**2 * math.tan(math.pi / 720), rel=1e-9)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(-300, 300), st.integers(-300, 300)), min_size=3, max_size=9),
    st.floats(1, 40),
)
def test_the_allowance_is_at_least_so_wide_everywhere(points, width):
    """Any convex outline: each edge gets its full allowance, and corners reach 4 at most."""
    hull = Polygon([*points, points[0]]).convex_hull
    assume(isinstance(hull, Polygon) and hull.area > 100)
    ring = np.array(hull.exterior.coords[:-1])
    if not hull.exterior.is_ccw:
        ring = ring[::-1]
    region = cut_piece(PlanPiece("t", pattern("t", ring), "c", allowance=width)).region
    square = hull.buffer(width, join_style="mitre", mitre_limit=1e9)
    assert region.difference(square).area < 1e-6 * square.area
    assert region.difference(hull.buffer(4.001 * width, quad_segs=64)).area < 1e-3
    for (x0, y0), (x1, y1) in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        length = math.hypot(x1 - x0, y1 - y0)
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        out = ((y1 - y0) / length, (x0 - x1) / length)
        tip = (middle[0] + out[0] * width, middle[1] + out[1] * width)
        assert region.exterior.distance(Polygon([tip, tip, tip]).exterior) < 1e-6


def half(mirror=((0.0, 0.0), (0.0, 300.0)), **fields):
    """Return a half drawn to the right of the y axis."""
    ring = [(0, 0), (120, 0), (80, 200), (0, 300)]
    return pattern("half", ring, mirror=mirror, **fields)


def test_a_half_is_completed():
    """The kite from a half: twice the area, symmetrical, with one outline."""
    region = cut_piece(PlanPiece("t", half(), "c")).region
    assert same(region, Polygon([(120, 0), (80, 200), (0, 300), (-80, 200), (-120, 0)]))
    assert not region.interiors


def test_a_half_drawn_a_hair_off_its_fold_is_completed_whole():
    """Drawing programs round: 0.02 mm off the mirror line leaves neither slit nor step."""
    ring = [(0.02, 0), (120, 0), (80, 200), (-0.02, 300)]
    piece = pattern("half", ring, mirror=((0.0, 0.0), (0.0, 300.0)))
    region = cut_piece(PlanPiece("t", piece, "c")).region
    whole = [(120, 0), (80, 200), (-0.02, 300), (-80, 200), (-120, 0), (0.02, 0)]
    assert same(region, Polygon(whole))
    assert not region.interiors


def test_the_hem_of_a_half_is_the_hem_of_the_whole():
    """An allowance on an edge of the half holds on its reflection; the fold gets none."""
    hem = EdgeAllowance("hem", (0.0, 0.0), (120.0, 0.0), 50.0)
    box_half = pattern("t", rectangle(120, 300), mirror=((0.0, 0.0), (0.0, 300.0)))
    region = cut_piece(PlanPiece("t", box_half, "c", allowance=10.0, edges=(hem,))).region
    assert same(region, box(-130, -50, 130, 310))


def test_marks_of_a_half_are_doubled_but_not_on_the_fold():
    """Notches, drill holes, sew lines and cutouts appear on both sides, once on the fold."""
    piece = half(
        notches=(Notch((120.0, 0.0), 135.0), Notch((0.0, 300.0), 270.0)),
        drill_holes=((50.0, 50.0), (0.0, 100.0)),
        sew_lines=(np.array([(0.0, 10.0), (110.0, 10.0)]),),
        cutouts=(np.array([(20.0, 20.0), (20.0, 40.0), (40.0, 40.0), (40.0, 20.0)]),),
    )
    cut = cut_piece(PlanPiece("t", piece, "c"))
    assert [(n.at, n.angle) for n in cut.notches] == [
        ((120.0, 0.0), 135.0), ((0.0, 300.0), 270.0), (pytest.approx((-120.0, 0.0)), 45.0)
    ]  # fmt: skip
    assert cut.drills == ((50.0, 50.0), (0.0, 100.0), pytest.approx((-50.0, 50.0)))
    assert cut.sew.length == pytest.approx(220.0)
    assert len(cut.region.interiors) == 2
    assert cut.region.area == pytest.approx(2 * (120 * 200 - 40 * 200 / 2 + 80 * 100 / 2 - 400))


@given(st.floats(0, 360), st.booleans(), st.floats(-300, 300), st.floats(-300, 300))
def test_lying_keeps_every_distance_and_points_the_top(turned, mirrored, x, y):
    """Reflection and turning are rigid; the grain arrow points where it is told to."""
    piece = PlanPiece(
        "t", half(grain=((10.0, 10.0), (40.0, 50.0))), "c", points={"p": (x, y), "q": (7.0, 9.0)}
    )
    cut = cut_piece(piece)
    laid = cut.lying(mirrored=mirrored, turned=turned)
    assert math.cos(math.radians(laid.grain_angle - turned)) == pytest.approx(1.0)
    assert math.dist(laid.points["p"], laid.points["q"]) == pytest.approx(
        math.dist(cut.points["p"], cut.points["q"])
    )
    assert laid.region.area == pytest.approx(cut.region.area)
    assert laid.region.exterior.is_ccw == (cut.region.exterior.is_ccw != mirrored)
