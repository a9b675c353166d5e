"""Rectangles by constraint programming: published answers, brute force, and what it refuses."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.engine.bounds import closed, proven_minimum
from nesting.engine.rectangle_grid import grid_of, sums
from nesting.engine.scaled import scale_problem
from nesting.engine.solve import solve
from nesting.geometry.rings import rotated
from nesting.model.problem import Item, PlacementProblem, Shape
from nesting.model.stop import Stop
from tests.engine.proofs import in_a_row, pack_exactly, proven
from tests.engine.test_solve import checked
from tests.shapes import box, one_way

SHIRTS = ((12, box(7.5, 7)), (12, box(3, 11)), (12, box(3, 3)))
MORON = [(1, box(s, s)) for s in (1, 4, 7, 8, 9, 10, 14, 15, 18)]
ZERO_WASTE = "2x12 7x12 8x6 3x6 3x5 5x5 3x12 3x7 5x7 2x6 3x2 4x2 3x4 4x4 9x2 11x2"
DUIJVESTIJN = (2, 4, 6, 7, 8, 9, 11, 15, 16, 17, 18, 19, 24, 25, 27, 29, 33, 35, 37, 42, 50)


def turnable(width, *sizes):
    """Return a problem of single rectangles (across, along) that may be turned by 90 degrees."""
    shapes, items = [], []
    for k, (across, along) in enumerate(sizes):
        shapes += [Shape(box(across, along)), Shape(box(along, across))]
        items.append(Item(f"piece {k}", (2 * k, 2 * k + 1)))
    return PlacementProblem(tuple(shapes), tuple(items), float(width))


def zero_waste():
    """Return the sixteen rectangles of Hopper and Turton's first class."""
    sides = [map(float, size.split("x")) for size in ZERO_WASTE.split()]
    return one_way(20, *((1, box(across, along)) for across, along in sides))


@pytest.mark.parametrize(
    ("problem", "length"),
    [
        # The Workwoman's Guide (London, 1838), Plate 17 fig. 8: 84 nails, nothing wasted.
        (one_way(13.5, *SHIRTS), 84),
        # Moron 1925: the perfect rectangle of order 9, either way round.
        (one_way(33, *MORON), 32),
        (one_way(32, *MORON), 33),
        # Hopper and Turton, EJOR 128 (2001), class C1; list from memory, exact cover verified.
        (zero_waste(), 20),
    ],
)
def test_published_layouts_are_found_and_proven(problem, length):
    """From a start with everything in a row the constraint model alone finds the answer."""
    start = in_a_row(problem)
    result = checked(solve(problem, stop=Stop(seconds=240), start=start))
    assert result.length == pytest.approx(length, rel=1e-6)
    assert result.status == "proven best"
    assert result.iterations == 0


def test_six_shirts_in_inches_have_no_round_grid():
    """The same lay in millimetres, 84 nails of 57.15 mm: sides are decimals, the grid is found."""
    nail = 57.15
    rings = [(count, ring * nail) for count, ring in SHIRTS]
    result = checked(solve(one_way(13.5 * nail, *rings), stop=Stop(seconds=120)))
    assert result.length == pytest.approx(84 * nail, rel=1e-6)
    assert result.status == "proven best"


@pytest.mark.slow
def test_perfect_squared_square():
    """Duijvestijn, J. Combin. Theory B 25 (1978): 21 different squares fill 112 x 112."""
    problem = one_way(112, *((1, box(s, s)) for s in DUIJVESTIJN))
    result = checked(solve(problem, stop=Stop(seconds=600)))
    assert result.length == pytest.approx(112, rel=1e-6)
    assert result.status == "proven best"


@settings(max_examples=40)
@given(st.lists(st.tuples(st.integers(1, 5), st.integers(1, 4)), min_size=2, max_size=4),
       st.integers(5, 7), st.booleans(), st.sampled_from([1.0, 25.4 / 8, 114.3]))  # fmt: skip
def test_against_brute_force(sizes, width, turn, unit):
    """Every place of every rectangle tried: the same least length, whatever the unit."""
    kind = turnable if turn else lambda w, *s: one_way(w, *((1, box(a, b)) for a, b in s))
    scaled_sizes = [(a * unit, b * unit) for a, b in sizes]
    problem = kind(width * unit, *scaled_sizes)
    length = pack_exactly(sizes, width, turn=turn) * unit
    parts = proven(problem, start=in_a_row(problem))
    assert parts.length == pytest.approx(length, rel=1e-6)
    assert parts.board.minimum <= length * (1 + 1e-12)
    assert closed(parts.length, parts.board.minimum)


def test_a_width_off_the_grid_is_rounded_down():
    """Sides of 2 on a width of 5.9: what any two rows can fill is 4 steps of the grid of 2."""
    grid = grid_of(scale_problem(one_way(5.9, (3, box(2, 4)))))
    assert grid is not None
    assert grid.unit == pytest.approx(2)
    assert grid.width == 2
    assert {(lie.across, lie.along) for lies in grid.lies for lie in lies} == {(1, 2)}


def test_only_lies_that_fit_the_width_are_kept():
    """A rectangle of 3 x 8 on a width of 5 can only lie with its 3 across."""
    grid = grid_of(scale_problem(turnable(5, (3, 8))))
    assert grid is not None
    assert [(lie.across, lie.along) for lie in grid.lies[0]] == [(3, 8)]


@pytest.mark.parametrize(
    "problem",
    [
        one_way(10, (1, box(3, np.sqrt(2))), (1, box(1, 1))),
        one_way(10, (1, [[0, 0], [4, 0], [0, 3]]), (1, box(1, 1))),
        one_way(10, (1, rotated(box(2, 3), 45.0))),
        one_way(10, (90, box(2, 3))),
        PlacementProblem(
            (Shape(box(6, 6), (np.array([[1.0, 1], [1, 2], [2, 2], [2, 1]]),)),),
            (Item("frame", (0,)),),
            10.0,
        ),
    ],
    ids=["no common grid", "a triangle", "on the bias", "too many", "a hole"],
)
def test_what_is_not_for_the_grid(problem):
    """Anything but a moderate number of upright rectangles on one grid is left to others."""
    assert grid_of(scale_problem(problem)) is None


@given(st.lists(st.sets(st.integers(1, 9), min_size=1, max_size=2), max_size=5),
       st.integers(0, 30))  # fmt: skip
def test_sums_of_sides(choices, most):
    """The sums of at most one side of each, against plain enumeration."""
    reached = {0}
    for choice in choices:
        reached |= {before + side for before in reached for side in choice}
    assert sums(choices, most) == sorted(s for s in reached if s <= most)


def hard():
    """Return fourteen rectangles that leave gaps, so that the proof takes its time."""
    rng = np.random.default_rng(4)
    return one_way(23, *((1, box(*rng.integers(3, 14, 2).astype(float))) for _ in range(14)))


def test_the_same_work_gives_the_same_layout():
    """Without a clock CP-SAT stops after a fixed amount of work, at the same layout and bound."""
    problem = hard()
    runs = [proven(problem, Stop(iterations=4), in_a_row(problem)) for _ in range(2)]
    assert runs[0].length == runs[1].length
    assert runs[0].board.minimum == runs[1].board.minimum
    assert runs[0].board.minimum <= runs[0].length * (1 + 1e-9)


def test_an_interrupt_ends_the_proof():
    """Asked to end, the solver stops although its time is far from over."""
    problem = hard()
    calls = []

    def interrupted():
        calls.append(1)
        return len(calls) > 3

    parts = proven(problem, Stop(seconds=1e6), in_a_row(problem), interrupted)
    assert parts.board.reason == "interrupted"


def test_an_unreachable_length_is_proven_so():
    """Squares of 5 on a width of 9 need 5 each: a target of 14 for three is refused at once."""
    problem = one_way(9, (3, box(5, 5)))
    for stop in (Stop(seconds=60, target=14), Stop(seconds=60, useful=14)):
        result = solve(problem, stop=stop)
        assert result.stop_reason == "proven"
        assert result.minimum > 14
    assert solve(problem, stop=Stop(seconds=60, useful=15)).length == pytest.approx(15)


def test_a_target_only_the_exact_solver_can_refuse():
    """Four rectangles need 11, by brute force; the bounds say 9, and 10.5 is proven too short."""
    sizes = [(3, 4), (5, 4), (2, 4), (3, 3)]
    problem = one_way(6, *((1, box(across, along)) for across, along in sizes))
    assert pack_exactly(sizes, 6) == 11
    assert proven_minimum(problem) < 10
    result = solve(problem, stop=Stop(seconds=60, target=10.5))
    assert result.stop_reason == "proven"
    assert result.minimum == pytest.approx(11)
