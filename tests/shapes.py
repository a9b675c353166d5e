"""Random polygons for property-based tests, and small problems with known answers."""

import numpy as np
import shapely
from hypothesis import strategies as st

from nesting.model.problem import Item, PlacementProblem, Shape


def star(rng, corners, low, high):
    """Return a random ring around the origin, usually not convex, with integer corners."""
    angle = (np.arange(corners) + rng.uniform(0.1, 0.9, corners)) * 2 * np.pi / corners
    radius = rng.uniform(low, high, corners)
    return np.rint(np.c_[radius * np.cos(angle), radius * np.sin(angle)])


@st.composite
def star_rings(draw, most=24):
    """Return a simple counter-clockwise ring with integer corners of up to 10,000."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    ring = star(rng, draw(st.integers(3, most)), 2_000, 10_000)
    polygon = shapely.Polygon(ring)
    return ring if polygon.is_valid and polygon.exterior.is_ccw else star(rng, 7, 5_000, 6_000)


def box(across, along):
    """Return a rectangle, ``along`` the strip by ``across`` it."""
    return np.array([[0, 0], [along, 0], [along, across], [0, across]], dtype=float)


def one_way(width, *pieces):
    """Return a problem whose pieces (count, ring) may not be turned."""
    shapes, items = [], []
    for number, (count, ring) in enumerate(pieces):
        shapes.append(Shape(np.asarray(ring, dtype=float)))
        items += [Item(f"piece {number}", (number,))] * count
    return PlacementProblem(tuple(shapes), tuple(items), float(width))


def end_for_end(width, *pieces):
    """Return a problem whose pieces (count, ring) may be turned by 180 degrees."""
    shapes, items = [], []
    for number, (count, corners) in enumerate(pieces):
        ring = np.asarray(corners, dtype=float)
        shapes += [Shape(ring), Shape(-ring)]
        items += [Item(f"piece {number}", (2 * number, 2 * number + 1))] * count
    return PlacementProblem(tuple(shapes), tuple(items), float(width))
