"""The largest empty rectangle against closed forms, brute force on a lattice, and shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry.empty_rectangle import BANDS, largest_empty_rectangle
from tests.shapes import box, star_rings


def area(rectangle):
    """Return the area of (x0, y0, x1, y1)."""
    return (rectangle[2] - rectangle[0]) * (rectangle[3] - rectangle[1])


def at(ring, x, y):
    """Return a ring moved."""
    return np.asarray(ring, dtype=float) + np.array([x, y])


def test_an_empty_strip_is_all_free():
    """Nothing placed: the whole strip."""
    assert largest_empty_rectangle([], 3.0, 7.0) == (0.0, 0.0, 7.0, 3.0)


def test_a_full_strip_has_no_room():
    """A rectangle that fills the strip leaves nothing."""
    assert area(largest_empty_rectangle([box(3, 7)], 3.0, 7.0)) == 0.0


@pytest.mark.parametrize(
    ("corner", "free"),
    [((0, 0), (4, 0, 10, 6)), ((6, 0), (0, 0, 6, 6)), ((0, 3), (4, 0, 10, 6))],
)
def test_one_rectangle_in_a_corner(corner, free):
    """A piece 4 by 3 in a corner of a strip 10 by 6: the 6 by 6 beside it, closed form."""
    assert largest_empty_rectangle([at(box(3, 4), *corner)], 6.0, 10.0) == free


@given(st.lists(st.integers(1, 40), min_size=1, max_size=30))
def test_under_a_staircase(heights):
    """Columns one wide: the largest rectangle above a histogram, by trying every pair."""
    rings = [at(box(h, 1), k, 0) for k, h in enumerate(heights)]
    n, width = len(heights), 41.0
    wanted = max(
        (j - i) * (width - max(heights[i:j])) for i in range(n) for j in range(i + 1, n + 1)
    )
    found = largest_empty_rectangle(rings, width, float(n))
    assert area(found) == pytest.approx(wanted, rel=1e-12)


@given(
    st.lists(
        st.tuples(st.integers(0, 11), st.integers(0, 7), st.integers(1, 5), st.integers(1, 4)),
        max_size=9,
    )
)
def test_among_rectangles_it_is_the_largest(placed):
    """Boxes on a lattice of 12 by 8: no larger free rectangle exists, by trying them all."""
    covered = np.zeros((8, 12), dtype=bool)
    for x, y, dx, dy in placed:
        covered[y : y + dy, x : x + dx] = True
    wanted = max(
        (x1 - x0) * (y1 - y0) * (not covered[y0:y1, x0:x1].any())
        for x0 in range(12)
        for x1 in range(x0 + 1, 13)
        for y0 in range(8)
        for y1 in range(y0 + 1, 9)
    )
    # 0.37 is no binary fraction, so that levels are rounded numbers.
    rings = [0.37 * at(box(dy, dx), x, y) for x, y, dx, dy in placed]
    found = largest_empty_rectangle(rings, 0.37 * 8, 0.37 * 12)
    assert area(found) == pytest.approx(0.37**2 * wanted, rel=1e-9)


def test_a_hole_is_free_and_a_piece_in_it_is_not():
    """A frame 10 by 10 with a window 6 by 6; a strip of cloth laid in the window halves it."""
    frame, window = box(10, 10), at(box(6, 6), 2, 2)[::-1]
    assert largest_empty_rectangle([frame, window], 10.0, 10.0) == (2, 2, 8, 8)
    inlay = at(box(6, 1), 4, 2)
    assert largest_empty_rectangle([frame, window, inlay], 10.0, 10.0) == (5, 2, 8, 8)


def test_the_mouth_of_a_piece_is_free_whichever_way_it_opens():
    """The bay of a U of arms 2 wide, 6 by 8 inside, in all four directions."""
    u = np.array([[0, 0], [10, 0], [10, 10], [8, 10], [8, 2], [2, 2], [2, 10], [0, 10]]) - 5.0
    for turn in ([[1, 0], [0, 1]], [[0, -1], [1, 0]], [[-1, 0], [0, -1]], [[0, 1], [-1, 0]]):
        ring = u @ np.array(turn).T + 5.0
        found = largest_empty_rectangle([ring], 10.0, 10.0)
        assert area(found) == pytest.approx(48.0)


def test_beside_a_slope():
    """Above the diagonal of a square of 1 the best has half its sides: 1/4 (calculus)."""
    triangle = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]])
    found = largest_empty_rectangle([triangle], 1.0, 1.0)
    assert 0.25 * (1 - 1e-6) <= area(found) <= 0.25 * (1 + 1e-12)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(star_rings(), st.integers(-20, 60), st.integers(-15, 45)), max_size=6),
    st.integers(0, 2**32 - 1),
)
def test_no_piece_enters_it_and_none_larger_is_missed(placed, seed):
    """Random stars, some overlapping or over the edge, judged by shapely.

    The rectangle is inside the strip and clear of all stars; random rectangles that are free are
    no larger, once thinned by a band on either side as documented.
    """
    width, length = 30_000.0, 40_000.0
    rings = [at(ring, 1000 * x, 1000 * y) for ring, x, y in placed]
    x0, y0, x1, y1 = largest_empty_rectangle(rings, width, length)
    assert 0 <= x0 <= x1 <= length
    assert 0 <= y0 <= y1 <= width
    stars = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    inner = shapely.box(x0, y0, x1, y1).buffer(-1e-6)
    assert inner.is_empty or stars.intersection(inner).area == 0
    rng = np.random.default_rng(seed)
    corners = np.sort(rng.uniform(size=(4000, 2, 2)), axis=1) * [length, width]
    tried = shapely.box(*corners.reshape(-1, 4).T)
    free = corners[~shapely.intersects(tried, stars)]
    thinner = (free[:, 1] - free[:, 0]) - [0.0, 2 * width / BANDS]
    assert ((thinner.prod(axis=1) <= (x1 - x0) * (y1 - y0) + 1e-3) | (thinner[:, 1] < 0)).all()


@given(star_rings(), st.integers(0, 30), st.integers(0, 20))
def test_moving_everything_turned_about_changes_nothing(ring, x, y):
    """The strip turned by 180 degrees holds a rectangle of the same area but for the bands."""
    width, length = 30_000.0, 40_000.0
    one = at(ring, 1000 * x, 1000 * y)
    other = [length, width] - one
    areas = [area(largest_empty_rectangle([r], width, length)) for r in (one, other)]
    assert areas[0] == pytest.approx(areas[1], rel=0.02)
