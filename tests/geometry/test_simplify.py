"""Outward simplification: the true outline always stays inside."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.simplify import simplify_outward


@st.composite
def wavy_rings(draw):
    """Return a star-shaped ring of random waviness, as smooth as a drafted curve or as rough."""
    n = draw(st.integers(5, 200))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    angle = np.sort(rng.uniform(0, 2 * np.pi, n)) if draw(st.booleans()) else None
    t = np.linspace(0, 2 * np.pi, n, endpoint=False) if angle is None else angle
    radius = 300 + draw(st.floats(0, 200)) * np.sin(draw(st.integers(1, 9)) * t)
    radius = radius + rng.uniform(-1, 1, n) * draw(st.floats(0, 40))
    ring = np.c_[radius * np.cos(t), radius * np.sin(t)]
    polygon = shapely.Polygon(ring)
    if not polygon.is_valid or not polygon.exterior.is_ccw:
        ring = np.array(shapely.convex_hull(shapely.MultiPoint(ring)).exterior.coords)[-2::-1]
    return ring


@given(wavy_rings(), st.sampled_from([0.0, 0.1, 0.3, 2.0]))
def test_contains_the_ring_and_grows_no_more_than_allowed(ring, tolerance):
    """Shapely finds the original inside the result, and the result within the tolerance."""
    result = simplify_outward(ring, tolerance)
    original, grown = shapely.Polygon(ring), shapely.Polygon(result)
    assert grown.is_valid
    assert grown.exterior.is_ccw
    assert len(result) <= len(ring)
    assert original.difference(grown.buffer(1e-6)).is_empty
    assert grown.difference(original.buffer(1.001 * tolerance + 1e-6, quad_segs=64)).is_empty


def test_a_circle_of_2000_points_loses_most_of_them():
    """A circle needs about pi sqrt(r / 2 e) tangents for growth e (closed form: r / cos - r)."""
    t = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    result = simplify_outward(np.c_[300 * np.cos(t), 300 * np.sin(t)], 0.3)
    least = np.pi / np.arccos(300 / 300.3)
    assert least <= len(result) < 4 * least


def test_points_on_straight_lines_go_at_no_growth():
    """A square with extra points on its sides comes back with its four corners."""
    ring = np.array([[0, 0], [5, 0], [10, 0], [10, 10], [4, 10], [0, 10], [0, 3]], float)
    result = simplify_outward(ring, 0.0)
    assert sorted(map(tuple, result.tolist())) == [(0, 0), (0, 10), (10, 0), (10, 10)]


def test_a_clockwise_ring_is_refused():
    """The side that is outside would be the wrong one."""
    with pytest.raises(ValueError, match="counter-clockwise"):
        simplify_outward(np.array([[0, 0], [0, 1], [1, 0]], float), 0.1)
