"""SVG shapes against closed forms: arcs, circles, ellipses, Beziers, rounded rectangles."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import tolerances
from nesting.geometry.rings import signed_area
from nesting.readers.svg import read_svg

from .drawings import svg

PAGE = 'width="2000mm" height="2000mm" viewBox="0 0 2000 2000"'


def outline(folder, shape, head=PAGE):
    """Return the outline of the one shape on a page."""
    (piece,) = read_svg(svg(folder, shape, head)).pieces
    return piece.outline


def within(points, curve):
    """Return how far a flattened ring departs from points lying densely on the true curve."""
    return shapely.LinearRing(curve).hausdorff_distance(shapely.LinearRing(points))


def test_a_circle(tmp_path):
    """Every point on it, every chord within a tenth."""
    ring = outline(tmp_path, '<circle id="a" cx="1000" cy="1000" r="900"/>')
    away = ring - (1000, -1000)
    assert np.hypot(*away.T) == pytest.approx(900.0, abs=1e-6)
    middles = (away + np.roll(away, 1, axis=0)) / 2
    assert (900 - np.hypot(*middles.T)).max() <= tolerances.FLATTEN


@pytest.mark.parametrize(("large", "sweep"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_arcs_of_a_path(tmp_path, large, sweep):
    """SVG 1.1, 8.3.8: of the circles of radius r through both ends the flags choose the arc.

    Chord 100, r 100: the short arc spans 60 degrees, the long one 300; segment area
    r^2 (angle - sin angle) / 2. Positive sweep turns from +x to +y, clockwise on the page.
    """
    ring = outline(tmp_path, f'<path id="a" d="M 500 500 A 100 100 0 {large} {sweep} 600 500 z"/>')
    angle = math.radians(300 if large else 60)
    area = 100**2 * (angle - math.sin(angle)) / 2
    assert signed_area(ring) == pytest.approx(area, abs=tolerances.FLATTEN * 100 * angle)
    above = ring[:, 1].max() + 500 > 1
    assert above == bool(sweep)


@settings(max_examples=30, deadline=None)
@given(st.floats(20, 900), st.floats(20, 900), st.floats(-180, 180), st.floats(-50, 50))
def test_turned_and_skewed_ellipses(tmp_path_factory, rx, ry, turn, skew):
    """Two half arcs under a skew: the image of every point of the ellipse, within a tenth."""
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    ends = f"{rx * c:.12g} {rx * s:.12g} A {rx} {ry} {turn} 1 1 {-rx * c:.12g} {-rx * s:.12g}"
    path = f"M {ends} A {rx} {ry} {turn} 1 1 {rx * c:.12g} {rx * s:.12g} z"
    shape = f'<path id="a" transform="translate(1000 1000) skewX({skew})" d="{path}"/>'
    ring = outline(tmp_path_factory.mktemp("svg"), shape)
    t = np.linspace(0, 2 * math.pi, 8001)[:-1]
    x, y = rx * np.cos(t) * c - ry * np.sin(t) * s, rx * np.cos(t) * s + ry * np.sin(t) * c
    true = np.column_stack([x + math.tan(math.radians(skew)) * y + 1000, -(y + 1000)])
    assert within(ring, true) <= tolerances.FLATTEN + 1e-3


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 2000), min_size=6, max_size=6), st.booleans())
def test_beziers(tmp_path_factory, values, cubic):
    """Bernstein polynomials, evaluated densely; the straight line back closes the piece."""
    ends = [(0.0, 900.0), (1500.0, 900.0)]
    (x1, y1), (x2, y2) = values[:2], values[2:4]
    y1, y2 = 900 + abs(y1) / 2 + 50, 900 + abs(y2) / 2 + 50
    t = np.linspace(0, 1, 4001)[:, None]
    if cubic:
        data = f"C {x1} {y1} {x2} {y2} 1500 900"
        controls = np.array([ends[0], (x1, y1), (x2, y2), ends[1]])
        weights = np.hstack([(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3])
    else:
        data = f"Q {x1} {y1} 1500 900"
        controls = np.array([ends[0], (x1, y1), ends[1]])
        weights = np.hstack([(1 - t) ** 2, 2 * t * (1 - t), t**2])
    curve = weights @ controls
    if not shapely.LinearRing(curve).is_simple:
        return
    ring = outline(tmp_path_factory.mktemp("svg"), f'<path id="a" d="M 0 900 {data} z"/>')
    assert within(ring, curve * (1, -1)) <= tolerances.FLATTEN + 1e-3


def test_a_rounded_rectangle(tmp_path):
    """Area w h - (4 - pi) rx ry."""
    ring = outline(tmp_path, '<rect id="a" x="1" y="2" width="400" height="300" rx="50" ry="20"/>')
    area = 400 * 300 - (4 - math.pi) * 50 * 20
    assert signed_area(ring) == pytest.approx(area, abs=tolerances.FLATTEN * 2 * math.pi * 50)


def test_flattening_follows_the_scale(tmp_path):
    """A circle of 1 unit on a page of 1 m to the unit is 1 m in radius, and flattened so."""
    ring = outline(
        tmp_path,
        '<circle id="a" cx="1" cy="1" r="1"/>',
        'width="2000mm" height="2000mm" viewBox="0 0 2 2"',
    )
    middles = (ring + np.roll(ring, 1, axis=0)) / 2 - (1000, -1000)
    assert (1000 - np.hypot(*middles.T)).max() <= tolerances.FLATTEN
    assert len(ring) < 1000


def test_shorthand_path_commands(tmp_path):
    """Relative and absolute, h, v, s and t, numbers run together: SVG 1.1, 8.3."""
    ring = outline(tmp_path, '<path id="a" d="m10-10h100v50.5.0l-100,0Z"/>')
    corners = [tuple(np.round(corner, 6)) for corner in ring]
    assert sorted(corners) == [(10, -40.5), (10, 10), (110, -40.5), (110, 10)]
