"""Overlap, distance and congruence, on shapes whose figures are plain."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import MultiLineString, Polygon, box

from nesting.verify.apart import overlap_depth, overlaps, too_near
from nesting.verify.congruence import (
    as_lines,
    farthest,
    misfit,
    move_onto,
    nearest_pairs,
    ring_polygon,
)


@pytest.mark.parametrize(
    ("shared", "depth"),
    [
        (box(0, 0, 100, 0.25), 0.25),
        (box(0, 0, 3, 100), 3.0),
        (Polygon([(0, 0), (400, 0), (0, 300)]), 200.0),
        (Polygon(), 0.0),
    ],
)
def test_depth_is_that_of_the_widest_circle(shared, depth):
    """Of a strip its width, of a 3-4-5 triangle twice its inradius, of nothing none."""
    assert overlap_depth(shared) == pytest.approx(depth, rel=1e-4)


def test_overlapping_pairs_are_told_once_in_order():
    """By their numbers and depth; a pair that only touches is none, nor one of another height."""
    shapes = [box(0, 0, 10, 10), box(9, 0, 20, 10), box(20, 0, 30, 10), box(7, 4, 12, 5),
              box(0, 50, 30, 60)]  # fmt: skip
    found = list(overlaps(shapes, 0.01))
    assert [(i, j) for i, j, _ in found] == [(0, 1), (0, 3), (1, 3)]
    assert [depth for _, _, depth in found] == [pytest.approx(1.0, rel=1e-4)] * 3
    assert list(overlaps([], 0.01)) == []


@pytest.mark.parametrize(("depth", "count"), [(0.0095, 0), (0.0105, 1)])
def test_overlap_up_to_the_tolerance_passes(depth, count):
    """Judged by depth, whichever of two shapes comes first."""
    one, other = box(0, 0, 10, 100), box(10 - depth, 0, 20, 100)
    assert len(list(overlaps([one, other], 0.01))) == count
    assert len(list(overlaps([other, one], 0.01))) == count


def test_pairs_nearer_than_the_gap_are_told():
    """In every direction, also corner to corner; a gap just kept is none too near."""
    middle = box(0, 0, 10, 10)
    for other, distance in (
        (box(13, 0, 20, 10), 3.0), (box(-20, 0, -3, 10), 3.0), (box(0, 13, 10, 20), 3.0),
        (box(0, -20, 10, -3), 3.0), (box(13, 14, 20, 20), 5.0),
    ):  # fmt: skip
        assert list(too_near([middle, other], distance)) == []
        (found,) = too_near([middle, other], distance + 0.001)
        assert found == (0, 1, distance)
    assert list(too_near([], 5.0)) == []
    third = box(5, 16, 9, 20)
    assert list(too_near([middle, box(12, 0, 20, 10), third], 7.0)) == [
        (0, 1, 2.0), (0, 2, 6.0), (1, 2, pytest.approx(math.hypot(3.0, 6.0))),
    ]  # fmt: skip


def test_paths_become_lines():
    """A path of one point draws nothing."""
    lines = as_lines([[(0, 0), (3, 4)], [(1, 1)], [], np.zeros((0, 2)), [(0, 0), (1, 0), (1, 1)]])
    assert [line.length for line in lines.geoms] == [5.0, 2.0]


def test_rings_become_polygons():
    """Holes are left out of the area."""
    square = [(0, 0), (10, 0), (10, 10), (0, 10)]
    assert ring_polygon(square).area == 100.0
    assert ring_polygon(square, [[(1, 1), (1, 3), (3, 3), (3, 1)]]).area == 96.0


def test_lines_are_as_far_apart_as_their_farthest_points():
    """Both ways, at ends and at middles; nothing and something are infinitely apart."""
    line = MultiLineString([[(0, 0), (10, 0)]])
    none = MultiLineString()
    assert farthest(line, MultiLineString([[(0, 3), (10, 3)]])) == 3.0
    assert farthest(line, MultiLineString([[(0, 0), (14, 0)]])) == 4.0
    assert farthest(MultiLineString([[(0, 0), (14, 0)]]), line) == 4.0
    assert farthest(none, none) == 0.0
    assert farthest(line, none) == farthest(none, line) == math.inf
    gone = MultiLineString([[(0, 0), (4, 0)], [(6, 0), (10, 0)]])
    assert farthest(line, gone) == farthest(gone, line) == 1.0
    two = MultiLineString([[(0, 0), (10, 0)], [(0, 7), (10, 7)]])
    assert farthest(two, line) == farthest(line, two) == 7.0


def test_a_shape_moved_is_brought_back():
    """The movement between centres of area; a misfit is what remains once they coincide."""
    here, there = box(0, 0, 10, 4), box(5, 7, 15, 11)
    assert move_onto(here, there) == (5.0, 7.0)
    assert misfit(here, there) == pytest.approx(0.0)
    assert misfit(here, box(0, 0, 12, 4)) == pytest.approx(1.0)
    assert misfit(box(0, 0, 12, 4), here) == pytest.approx(1.0)
    holed = Polygon(here.exterior.coords, [[(1, 1), (1, 2), (2, 2)]])
    assert misfit(holed, there) == misfit(there, holed) == pytest.approx(0.0)


def test_points_are_compared_with_the_nearest():
    """In any order, both ways; none and some are infinitely apart."""
    assert nearest_pairs([(0, 0), (5, 0)], [(5, 0), (0, 2)]) == 2.0
    assert nearest_pairs([(0, 0)], [(0, 0), (3, 4)]) == 5.0
    assert nearest_pairs([(0, 0), (3, 4)], [(0, 0)]) == 5.0
    assert nearest_pairs([], []) == 0.0
    assert nearest_pairs([], [(0, 0)]) == nearest_pairs([(0, 0)], []) == math.inf
