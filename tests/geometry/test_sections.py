"""Cross-sections of polygons, against shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.sections import area_left_of, least_section, section_length

from ..rules.garments import star_outlines
from ..shapes import star

GORE = np.array([(0.0, 0.0), (100.0, 20.0), (100.0, 40.0), (0.0, 60.0)])
HOLE = np.array([(20.0, 25.0), (20.0, 35.0), (40.0, 35.0), (40.0, 25.0)])


def test_a_hole_is_no_part_of_a_section():
    """At 30 the gore is 60 - 0.4 x 30 wide, its hole 10."""
    assert section_length([GORE, HOLE], np.array([30.0, 50.0])) == pytest.approx([38.0, 40.0])


@pytest.mark.parametrize(("low", "high", "least"), [(0, 100, 20), (0, 10, 56), (10, 50, 34)])
def test_the_least_section_of_a_gore(low, high, least):
    """It narrows evenly from 60 to 20; a hole from 20 to 40 takes 10 off."""
    assert least_section([GORE, HOLE], low, high) == pytest.approx(least)


@given(ring=star_outlines(), shares=st.tuples(st.floats(0.01, 0.99), st.floats(0.01, 0.99)))
def test_sections_are_those_shapely_measures(ring, shares):
    """No line in the range is shorter than the least section, and the least is reached."""
    shape = shapely.Polygon(ring)
    x0, y0, x1, y1 = shape.bounds
    low, high = sorted(x0 + (x1 - x0) * np.array(shares))
    lines = np.linspace(low, high, 31)
    cuts = [shapely.LineString([(x, y0 - 1), (x, y1 + 1)]).intersection(shape) for x in lines]
    measured = np.array([cut.length for cut in cuts])
    assert section_length([ring], lines) == pytest.approx(measured, abs=1e-6)
    assert least_section([ring], low, high) <= measured.min() + 1e-6


@given(st.integers(0, 2**32 - 1), st.floats(-1.2, 1.2))
def test_area_left_of_a_line_is_shapelys(seed, share):
    """Whichever way the rings run, with a hole or without."""
    random = np.random.default_rng(seed)
    outline, hole = star(random, 9, 500, 1_000), star(random, 5, 100, 400)
    at = share * 1_000.0
    clipped = shapely.Polygon(outline, [hole]).intersection(
        shapely.Polygon([(-2e3, -2e3), (at, -2e3), (at, 2e3), (-2e3, 2e3)])
    )
    for rings in ((outline, hole), (outline[::-1], hole)):
        area = area_left_of([np.asarray(ring) for ring in rings], np.array([at]))
        assert area[0] == pytest.approx(clipped.area, rel=1e-9, abs=1e-3)
