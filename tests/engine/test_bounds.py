"""Bounds: never above any layout, and exact where the answer is known."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.engine import bound_stack
from nesting.engine.bound_levels import cross_sections, level_bound, level_shares
from nesting.engine.bound_stack import stack_bound
from nesting.engine.bounds import closed, proven_minimum
from nesting.engine.certain import CertainOverlap
from nesting.engine.scaled import scale_problem
from nesting.model.problem import Item, PlacementProblem, Shape
from tests.engine.proofs import pack_exactly, searched
from tests.shapes import box, end_for_end, one_way, star_rings

GORE = [[0, 0], [40, 0], [40, 12], [0, 24]]
TRAIN = np.array([[0, 0], [260, 0], [260, 25], [0, 95]], dtype=float)


def stacked(problem):
    """Return the bound of wide pieces one behind the other alone."""
    return stack_bound(CertainOverlap(scale_problem(problem)))


@pytest.mark.parametrize(
    ("problem", "length"),
    [
        # Household sewing texts of about 1915; one-way derived: at every level the two exceed 36.
        (one_way(36, (2, GORE)), 80),
        (end_for_end(36, (2, GORE)), 40),
        # Derived: the hem of one, 95, leaves 17 beside it, less than the narrow end of 25.
        (one_way(112, (1, TRAIN), (1, TRAIN[::-1] * [1, -1])), 520),
        # Derived: offset by d, a head-to-foot pair spans 120 - 70/260 d <= 112, so d = 29.714.
        (end_for_end(112, (2, TRAIN)), 260 + 8 * 260 / 70),
        # Forty in a row of their own, derived from two.
        (one_way(36, (40, GORE)), 1600),
        # The Workwoman's Guide (London, 1838), Plate 17 fig. 8: 84 nails, with collars 92.
        (one_way(13.5, (12, box(7.5, 7)), (12, box(3, 11)), (12, box(3, 3))), 84),
        (one_way(13.5, (12, box(7.5, 7)), (12, box(3, 11)), (12, box(3, 3)), (4, box(3, 8))), 92),
        # Derived: 30 + 30 > 50 across, so one behind the other.
        (one_way(50, (2, box(30, 40))), 80),
    ],
)
def test_known_answers_are_proven(problem, length):
    """The bound reaches the known least length to less than the tolerance of a proof."""
    minimum = proven_minimum(problem)
    assert minimum <= length * (1 + 1e-12)
    assert closed(length, minimum)


@pytest.mark.parametrize(
    ("n", "side", "width"), [(7, 3, 10), (12, 5, 20), (5, 2, 3.9), (5, 4, 13)]
)
def test_squares_from_a_strip(n, side, width):
    """Rows of floor(w / s) squares: ceil(n / floor(w / s)) x s (closed form)."""
    length = -(-n // (width // side)) * side
    minimum = proven_minimum(one_way(width, (n, box(side, side))))
    assert minimum <= length * (1 + 1e-12)
    assert closed(length, minimum)


def test_pieces_together_narrower_than_the_strip_give_no_stack():
    """Two pieces of 18 on a strip of 36 lie side by side: only the longer one counts."""
    problem = one_way(36, (1, box(18, 50)), (1, box(18, 40)))
    assert stacked(problem) <= 50
    assert proven_minimum(problem) == pytest.approx(50)


def test_many_kinds_take_a_weaker_sum(monkeypatch):
    """Where the orders are too many to try, the bound is lower, but still one behind the other."""
    pieces = [(2, box(19 + k, 40 + 3 * k)) for k in range(4)]
    problem = one_way(36, (2, GORE), *pieces)
    full = stacked(problem)
    # Derived: all ten, boxes wider than half the strip, one behind the other, less what the
    # gores' narrow ends let pass.
    assert full <= 2 * (40 + 40 + 43 + 46 + 49)
    monkeypatch.setattr(bound_stack, "MOST_STATES", 0)
    weaker = stacked(problem)
    assert 0.5 * full < weaker <= full


def test_one_narrower_piece_still_keeps_clear_of_the_wide_ones():
    """Of pieces 10 across one stands behind two of 30 on a strip of 36: 40 + 40 + 25 (derived).

    Two of them would lie side by side, so only one is counted.
    """
    assert stacked(one_way(36, (2, box(30, 40)), (1, box(10, 25)))) == pytest.approx(105)
    assert stacked(one_way(36, (2, box(30, 40)), (3, box(10, 25)))) == pytest.approx(105)


def test_a_sliver_thinner_than_rounding_proves_nothing():
    """A piece 1e-7 wide has no core; what the others prove holds all the same."""
    sliver = [[0, 0], [40, 0], [40, 1e-7]]
    problem = one_way(30, (1, sliver), (2, box(20, 40)))
    assert CertainOverlap(scale_problem(problem)).region(0, 1).is_empty
    assert proven_minimum(problem) == pytest.approx(80)


def test_a_notch_that_fits_exactly_is_not_lost():
    """A bar of the very width of a frame's slot slides right in: 30, although both are wide.

    The only offsets that work have no room at all, where a no-fit region is easily closed over.
    """
    frame = [[0, 0], [30, 0], [30, 10], [5, 10], [5, 20], [30, 20], [30, 30], [0, 30]]
    bar = box(10, 25)
    problem = one_way(30, (1, frame), (1, bar))
    assert stacked(problem) <= 30
    assert proven_minimum(problem) <= 30
    # A hair wider it no longer goes in; then it lies behind the frame.
    wider = one_way(30, (1, frame), (1, box(10.01, 25)))
    assert stacked(wider) == pytest.approx(55, abs=1e-3)


def test_cross_sections_cover_the_shape():
    """Their areas add up to the shape's own, holes left out (trapezium rule, exact here)."""
    hole = np.array([[2, 2], [2, 8], [8, 8], [8, 2]], dtype=float)
    for shape in (Shape(box(10, 10), (hole,)), Shape(np.array(GORE, dtype=float))):
        rows = cross_sections(shape)
        assert (rows[:, 0] * (rows[:, 1] + rows[:, 2]) / 2).sum() == pytest.approx(shape.area)


@given(star_rings(12), star_rings(12), st.floats(-1, 1), st.floats(-1, 1))
def test_certain_overlap_against_shapely(first, second, across, along):
    """Where two shapes overlap for certain their areas do; where hardly at all, it is not said."""
    shapes = (Shape(first), Shape(second))
    items = (Item("a", (0,)), Item("b", (1,)))
    scaled = scale_problem(PlacementProblem(shapes, items, 50_000.0))
    certain = CertainOverlap(scaled)
    fixed, moving = scaled.placed[0], scaled.placed[1]
    region = certain.region(fixed[0], moving[0])
    assume(not region.is_empty)
    low_x, low_y, high_x, high_y = region.bounds
    at = np.array(
        [
            (low_x + high_x) / 2 + across * (high_x - low_x) / 2,
            (low_y + high_y) / 2 + along * (high_y - low_y) / 2,
        ]
    )
    move = (at + fixed[1] - np.array(moving[1])) / scaled.scale
    there = shapely.affinity.translate(shapely.Polygon(second), *move)
    overlap = shapely.Polygon(first).intersection(there)
    if region.contains(shapely.Point(at)):
        assert overlap.area > 0
    else:
        assert overlap.buffer(-40 / scaled.scale).is_empty


@settings(max_examples=30)
@given(st.lists(st.tuples(star_rings(10), st.integers(1, 2)), min_size=1, max_size=3),
       st.sampled_from([21_000.0, 26_000.0, 35_000.0]))  # fmt: skip
def test_no_layout_is_shorter_than_proven(pieces, width):
    """On random polygons, often too wide to pass each other, search never beats the bound."""
    problem = end_for_end(width, *((count, ring) for ring, count in pieces))
    most = searched(problem, 6, seed=1) + 3e-6 * width
    assert proven_minimum(problem) <= most
    assert stacked(problem) <= most
    assert level_bound(problem, problem.area / width, 10 * most) <= most


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 4)), min_size=1, max_size=4),
       st.integers(5, 7))  # fmt: skip
def test_rectangles_against_brute_force(sizes, width):
    """Every place of every rectangle tried: the bound never passes the true least length."""
    problem = one_way(width, *((1, box(across, along)) for across, along in sizes))
    assert proven_minimum(problem) <= pack_exactly(sizes, width) * (1 + 1e-9)


@settings(max_examples=20)
@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 4)), min_size=1, max_size=4),
       st.integers(5, 7))  # fmt: skip
def test_needs_of_any_items_are_a_bound_of_these_alone(sizes, width):
    """Summed over the first items they never exceed the least length of just these."""
    problem = one_way(width, *((1, box(across, along)) for across, along in sizes))
    shares = level_shares(problem)
    for count in range(1, len(sizes) + 1):
        least = pack_exactly(sizes[:count], width)
        assert shares[:, :count].sum(axis=1).max() <= least * (1 + 1e-9)
    # The area spread over the width is one of the ways of counting.
    assert shares.sum(axis=1).max() >= problem.area / width * (1 - 1e-6)
