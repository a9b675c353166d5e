"""Shapes grown for the gap between cut lines."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry.rings import as_points, bounds, signed_area
from nesting.rules.gap import grow, within_box

from .garments import rectangle, star_outlines


def test_no_gap_no_growth():
    """Without a gap the outline itself comes back."""
    ring = rectangle(10, 20)
    assert grow(ring, (), 0.0) == (ring, ())


def test_a_rectangle_grows_to_a_rectangle_blunted_outside_the_round():
    """It holds the round offset, lies in the square one, and its box is exact."""
    grown = shapely.Polygon(grow(rectangle(100, 200), (), 10.0)[0])
    true = shapely.box(0, 0, 100, 200)
    assert grown.bounds == pytest.approx((-10, -10, 110, 210))
    assert grown.covers(true.buffer(10 - 1e-9, quad_segs=64))
    assert true.buffer(10 + 1e-9, join_style="mitre").covers(grown)


def test_a_hole_shrinks():
    """What remains of a cutout is what is a gap away from its edge."""
    hole = as_points([(40, 40), (40, 80), (80, 80), (80, 40)])
    _, holes = grow(rectangle(200, 200), (hole,), 5.0)
    assert signed_area(holes[0]) == pytest.approx(-30 * 30, rel=0.05)
    assert grow(rectangle(200, 200), (hole,), 25.0)[1] == ()


@settings(deadline=None)
@given(ring=star_outlines(), by=st.floats(0.5, 20))
def test_growth_holds_the_round_and_keeps_its_box(ring, by):
    """Any outline: the round offset inside, the box grown by exactly the distance."""
    outer, _ = grow(ring, (), by)
    grown = shapely.Polygon(outer)
    assert grown.is_valid
    assert grown.buffer(1e-6).covers(shapely.Polygon(ring).buffer(by * (1 - 1e-9), quad_segs=32))
    expected = np.array(bounds(ring)) + np.array([-by, -by, by, by])
    assert bounds(outer) == pytest.approx(tuple(expected), abs=1e-6)
    assert grown.area <= shapely.Polygon(ring).buffer(1.1 * by, join_style="round").area


def test_what_stands_over_the_box_is_cut_off():
    """A ring inside its box comes back itself; another is cut at the box."""
    ring = rectangle(100, 100)
    assert within_box(ring, (0, 0, 100, 100)) is ring
    cut = within_box(as_points([(0, 0), (100, -5), (100, 100), (0, 100)]), (0, 0, 100, 100))
    assert bounds(cut) == (0, 0, 100, 100)


def test_a_needle_still_holds_its_gap():
    """A point so sharp that its mitre would run off for metres is blunted outside the round."""
    needle = as_points([(0, 0), (3000, 1), (0, 2)])
    grown = shapely.Polygon(grow(needle, (), 5.0)[0])
    assert grown.covers(shapely.Polygon(needle).buffer(5 * (1 - 1e-9), quad_segs=32))
    assert grown.bounds == pytest.approx((-5, -5, 3005, 7))


def test_a_corner_cut_by_float_noise_is_kept_once():
    """A ring that stands out of its box by rounding only comes back with as many corners."""
    ring = as_points([(-1e-13, 5), (10, 0), (20, 10), (8, 20)])
    clipped = within_box(ring, (0.0, 0.0, 20.0, 20.0))
    assert clipped.shape == ring.shape


def test_corners_are_blunted_and_no_more():
    """A square grown by 10: between the round and the mitred one, in few points."""
    outer, _ = grow(rectangle(100, 100), (), 10.0)
    area = signed_area(outer)
    assert 120**2 - (4 - np.pi) * 100 < area < 120**2 - 60
    assert len(outer) <= 20
    assert signed_area(outer) > 0


def test_holes_of_a_square_millimetre_are_kept():
    """Of a hole of 12 a gap of 5 leaves 2 by 2; of one of 10.9 nothing that counts."""

    def hole(side):
        ring = as_points([(50, 50), (50, 50 + side), (50 + side, 50 + side), (50 + side, 50)])
        return grow(rectangle(200, 200), (ring,), 5.0)[1]

    (left,) = hole(12.0)
    assert signed_area(left) == pytest.approx(-4.0)
    assert hole(10.9) == ()
    assert len(hole(11.1)) == 1


def test_of_a_shape_cut_in_two_the_larger_part_is_kept():
    """A ring whose spike leaves the box and comes back."""
    hook = [(10, 4), (12, 4), (12, 1), (13, 1), (13, 5), (10, 5)]
    ring = as_points([(0, 0), (10, 0), *hook, (10, 9), (0, 9)])
    assert bounds(within_box(ring, (0, 0, 10, 9))) == (0, 0, 10, 9)
    fork = as_points([(0, 0), (30, 0), (30, 20), (20, 20), (20, 5), (10, 5), (10, 40), (0, 40)])
    cut = within_box(fork, (0, 10, 30, 40))
    assert bounds(cut) == (0, 10, 10, 40)
    assert signed_area(cut) == pytest.approx(300)


def test_straight_edges_move_by_the_distance_and_no_more():
    """Of a square standing on its corner too, where the box does not cut it off."""
    diamond = as_points([(0, -100), (100, 0), (0, 100), (-100, 0)])
    grown = shapely.Polygon(grow(diamond, (), 10.0)[0])
    normal = np.array([1.0, 1.0]) / np.sqrt(2)
    assert grown.contains(shapely.Point(np.array([50, 50]) + 9.99 * normal))
    assert not grown.contains(shapely.Point(np.array([50, 50]) + 10.01 * normal))
