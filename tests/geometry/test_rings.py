"""Rings: area, boxes and rigid motions against shapely and closed forms."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.rings import (
    as_points,
    bounds,
    counter_clockwise,
    mirrored_across_x,
    path_length,
    rotated,
    signed_area,
)
from tests.shapes import star_rings


@given(star_rings())
def test_area_and_box_agree_with_shapely(ring):
    """The shoelace sum is shapely's area, and reversing the ring changes its sign."""
    polygon = shapely.Polygon(ring)
    assert signed_area(ring) == pytest.approx(polygon.area, rel=1e-12)
    assert signed_area(ring[::-1]) == pytest.approx(-polygon.area, rel=1e-12)
    assert bounds(ring) == polygon.bounds
    assert signed_area(counter_clockwise(ring[::-1])) > 0


@given(star_rings(), st.floats(-720, 720))
def test_rotation_agrees_with_shapely_and_keeps_the_area(ring, degrees):
    """Turning about the origin is shapely's rotation; mirroring turns the area's sign."""
    turned = rotated(ring, degrees)
    expected = shapely.affinity.rotate(shapely.Polygon(ring), degrees, origin=(0, 0))
    assert np.allclose(turned, shapely.get_coordinates(expected)[:-1], atol=1e-6)
    assert signed_area(mirrored_across_x(ring)) == pytest.approx(-signed_area(ring), rel=1e-12)


@given(star_rings(), st.sampled_from([0, 45, 30, 12.5]))
def test_quarter_turns_are_exact(ring, degrees):
    """Shapes a quarter or half turn apart are the same to the last digit."""
    base = rotated(ring, degrees)
    assert np.array_equal(rotated(ring, degrees + 180), -base)
    assert np.array_equal(rotated(ring, degrees + 90), np.c_[-base[:, 1], base[:, 0]])


def test_path_length_and_bad_points():
    """A 3-4-5 path; points that are not finite pairs are refused."""
    assert path_length(as_points([[0, 0], [3, 4], [3, 5]])) == pytest.approx(6.0)
    with pytest.raises(ValueError, match="shape"):
        as_points([[1, 2, 3]])
    with pytest.raises(ValueError, match="finite"):
        as_points([[1, float("nan")]])
