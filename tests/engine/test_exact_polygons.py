"""A few irregular pieces by branch and bound: known answers, and proofs that never go too far."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.engine.bounds import closed
from nesting.engine.certain import CertainOverlap
from nesting.engine.exact_polygons import suits
from nesting.engine.regions import region_of
from nesting.engine.safe_program import least_value, weak_dual
from nesting.engine.scaled import scale_problem
from nesting.engine.solve import solve
from nesting.model.stop import Stop
from nesting.rules.compile import compile_lay
from tests.engine.proofs import in_a_row, proven, searched
from tests.engine.test_solve import checked
from tests.rules.garments import piece, plan_of, rectangle
from tests.shapes import box, end_for_end, one_way, star_rings

TANGRAM = [
    [(0, 0), (4, 0), (2, 2)],
    [(0, 0), (2, 2), (0, 4)],
    [(4, 4), (2, 4), (4, 2)],
    [(2, 2), (3, 1), (4, 2), (3, 3)],
    [(4, 0), (4, 2), (3, 1)],
    [(2, 2), (3, 3), (1, 3)],
    [(0, 4), (1, 3), (3, 3), (2, 4)],
]
GORE = [[0, 0], [40, 0], [40, 12], [0, 24]]
RIGHT = [[0, 0], [6, 0], [0, 4]]
FRAME = [[0, 0], [30, 0], [30, 10], [5, 10], [5, 20], [30, 20], [30, 30], [0, 30]]


@pytest.mark.parametrize(
    ("problem", "length"),
    [
        # Definition of the tangram: its pieces, already turned, fill the square of side 4.
        (one_way(4, *((1, piece) for piece in TANGRAM)), 4),
        # Household sewing texts of about 1915; one-way derived: at every level the two exceed 36.
        (end_for_end(36, (2, GORE)), 40),
        (one_way(36, (2, GORE)), 80),
        # Derived: two right triangles make a rectangle when one may be turned.
        (end_for_end(4, (2, RIGHT)), 6),
        # Derived: alike on a width of 6, the second is raised by 2 of its 4 and moved by 6 / 2.
        (one_way(6, (2, RIGHT)), 9),
        # Derived: a bar of the very width of the slot goes right in, one a little wider not.
        (one_way(30, (1, FRAME), (1, box(10, 25))), 30),
        (one_way(30, (1, FRAME), (1, box(10.01, 25))), 55),
        # Derived: two 30 x 40 rectangles that may lie any way on 50: one behind the other.
        (one_way(50, (2, box(40, 30))), 60),
    ],
)
def test_known_answers_are_found_and_proven(problem, length):
    """From a start in a row, without any other bound, branch and bound closes the gap."""
    parts = proven(problem, start=in_a_row(problem))
    assert parts.length == pytest.approx(length, rel=1e-6)
    assert parts.board.minimum <= length * (1 + 1e-9)
    assert closed(parts.length, parts.board.minimum)


@settings(max_examples=15)
@given(st.lists(star_rings(8), min_size=2, max_size=4), st.booleans(),
       st.sampled_from([21_000.0, 27_000.0]))  # fmt: skip
def test_search_never_beats_a_proof(rings, turn, width):
    """Two quite different methods on random polygons: what one proves the other respects."""
    problem = (end_for_end if turn else one_way)(width, *((1, ring) for ring in rings))
    parts = proven(problem, Stop(seconds=5), in_a_row(problem))
    # Layouts may overlap, or stand over the width, by less than a millionth of it.
    hair = 3e-6 * width
    assert parts.board.minimum <= parts.length + hair
    assert parts.board.minimum <= searched(problem, 8) + hair


@settings(max_examples=40)
@given(star_rings(9), star_rings(9), st.integers(0, 2**31))
def test_no_pair_slid_together_is_shorter_than_proven(first, second, seed):
    """One polygon slid along the strip until it meets the other, at many heights: no shorter."""
    width = 24_000.0
    problem = one_way(width, (1, first), (1, second))
    parts = proven(problem, Stop(seconds=20), in_a_row(problem))
    rng = np.random.default_rng(seed)
    a, b = shapely.Polygon(first), shapely.Polygon(second)
    for fixed, moving in ((a, b), (b, a)):
        for _attempt in range(6):
            low = rng.uniform(0, 1, 2)
            held = _at(fixed, 0.0, low[0] * (width - _across(fixed)))
            y = low[1] * (width - _across(moving))
            near, far = 0.0, held.bounds[2] + 1.0
            for _step in range(40):
                middle = (near + far) / 2
                apart = held.intersection(_at(moving, middle, y)).area == 0
                near, far = (near, middle) if apart else (middle, far)
            length = max(held.bounds[2], _at(moving, far, y).bounds[2])
            assert parts.board.minimum <= length * (1 + 1e-9)


def _across(polygon):
    return polygon.bounds[3] - polygon.bounds[1]


def _at(polygon, x, y):
    """Return a polygon moved so that its box begins at (x, y)."""
    low_x, low_y, _high_x, _high_y = polygon.bounds
    return shapely.affinity.translate(polygon, x - low_x, y - low_y)


@settings(max_examples=40)
@given(star_rings(9), star_rings(9))
def test_regions_hold_everything_that_is_free(first, second):
    """Whatever branch is taken, some branch still holds each free offset (shapely's random ones).

    A leaf is convex and keeps, up to rounding, to what is free.
    """
    scaled = scale_problem(one_way(30_000, (1, first), (1, second)))
    certain = CertainOverlap(scaled)
    s, t = scaled.choices[0][0], scaled.choices[1][0]
    far = certain.half(s)[0] + certain.half(t)[0]
    free = certain.free(s, t, -far, far)
    root = region_of(free)
    rng = np.random.default_rng(1)
    low_x, low_y, high_x, high_y = free.bounds
    points = rng.uniform((low_x, low_y), (high_x, high_y), (60, 2))
    inner = shapely.contains_xy(free.buffer(-3.0), points)
    level = [root]
    while level:
        for x, y in points[inner]:
            assert any((r.rows[:, :2] @ (x, y) >= r.rows[:, 2] - 1e-6).all() for r in level)
        tighter = [r.children() or (r,) for r in level]
        done = all(len(c) == 1 for c in tighter)
        level = [] if done else [r for c in tighter for r in c]
        if done:
            for x, y in points[~inner & ~shapely.contains_xy(free.buffer(3.0), points)]:
                held = [(r.rows[:, :2] @ (x, y) >= r.rows[:, 2] + 10.0).all() for r in tighter[0]]
                assert not any(held)


@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.integers(1, 8))
def test_any_multipliers_prove_a_bound(seed, n, m):
    """Weak duality: no feasible point costs less, whatever multipliers are taken."""
    rng = np.random.default_rng(seed)
    rows, cost = rng.normal(size=(m, n)), rng.normal(size=n)
    low, high = -rng.uniform(0, 3, n), rng.uniform(0, 3, n)
    inside = rng.uniform(low, high)
    demand = rows @ inside - rng.uniform(0, 1, m)
    bound = weak_dual(rng.uniform(0, 2, m), cost, rows, demand, low, high)
    assert bound <= cost @ inside
    answer = least_value(cost, rows, demand, low, high)
    assert answer is not None
    assert answer[0] <= cost @ inside
    # The solver's own multipliers leave next to nothing between the bound and its answer.
    assert answer[0] == pytest.approx(cost @ answer[1], abs=1e-6)


def test_pieces_that_may_be_turned_by_any_eighth():
    """Two 30 x 40 rectangles on a width of 50, any grain: 60, proven among 64 pairs of lies."""
    plan = plan_of(piece(rectangle(300, 400), as_drawn=2, grain="any"), width=500.0)
    result = checked(solve(compile_lay(plan, plan.cloths[0]).problem, stop=Stop(seconds=60)))
    assert result.length == pytest.approx(600, rel=1e-6)
    assert result.status == "proven best"


def test_only_small_problems_suit():
    """Nine pieces, or few with very many corners, are left to the search."""
    assert suits(CertainOverlap(scale_problem(one_way(9, (8, RIGHT)))))
    assert not suits(CertainOverlap(scale_problem(one_way(9, (9, RIGHT)))))
    angle = np.linspace(0, 2 * np.pi, 500, endpoint=False)
    disc = np.c_[np.cos(angle), np.sin(angle)]
    assert not suits(CertainOverlap(scale_problem(one_way(9, (1, disc)))))


def test_the_same_nodes_give_the_same_layout():
    """Without a clock the nodes are counted, so that a run can be repeated."""
    rng = np.random.default_rng(3)
    rings = [(1, np.array(RIGHT) * rng.uniform(0.8, 1.6)) for _ in range(5)]
    problem = end_for_end(8, *rings)
    runs = [solve(problem, stop=Stop(iterations=3)) for _ in range(2)]
    assert runs[0].layout == runs[1].layout
    assert runs[0].minimum == runs[1].minimum
