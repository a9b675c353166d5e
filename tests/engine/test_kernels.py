"""Kernels against shapely, and once as plain Python."""

import os
import subprocess
import sys

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from nesting.engine.kernels import cost_at, pair_depth, random_state, uniform
from nesting.engine.scaled import TOUCH, scale_problem
from nesting.engine.tables import build_tables
from nesting.model.problem import Item, PlacementProblem, Shape
from tests.benchmarks.pieces import drafted_lay
from tests.shapes import star_rings


def tables_of(*rings, width=50_000.0):
    """Return the scaled problem and tables of one item per ring."""
    shapes = tuple(Shape(np.asarray(ring, dtype=float)) for ring in rings)
    items = tuple(Item(str(i), (i,)) for i in range(len(rings)))
    scaled = scale_problem(PlacementProblem(shapes, items, width))
    return scaled, build_tables(scaled)


def placed(scaled, index, dx=0.0, dy=0.0):
    """Return a scaled shape moved, for shapely."""
    shape = scaled.shapes[scaled.choices[index][0]]
    polygon = shapely.Polygon(shape.rings[0], shape.rings[1:])
    return shapely.affinity.translate(polygon, dx, dy)


@given(star_rings(), star_rings(), st.floats(-1, 1), st.floats(-1, 1))
def test_depth_and_way_out_against_shapely(first, second, across, along):
    """Depth is positive just where the areas overlap, and the way out ends in a mere touch.

    It is also the shortest way: no shorter move in sixteen directions parts the two.
    """
    scaled, tables = tables_of(first, second)
    t, s = scaled.choices[0][0], scaled.choices[1][0]
    box = tables.pair[t, s]
    dx = (box[0] + box[2]) / 2 + across * (box[2] - box[0]) / 2
    dy = (box[1] + box[3]) / 2 + along * (box[3] - box[1]) / 2
    depth, wx, wy = pair_depth(tables, t, s, dx, dy)
    fixed, moving = placed(scaled, 0), placed(scaled, 1, dx, dy)
    overlap = fixed.intersection(moving).area
    size = fixed.length + moving.length
    if depth == 0.0:
        assert overlap <= TOUCH * size
        return
    assert overlap > 0.0
    assert depth == pytest.approx(np.hypot(wx, wy))
    out = shapely.affinity.translate(moving, wx, wy)
    assert fixed.intersection(out).area <= TOUCH * size
    for angle in np.arange(16) * np.pi / 8:
        step = 0.95 * depth - 2 * TOUCH
        if step > 0:
            short = shapely.affinity.translate(moving, step * np.cos(angle), step * np.sin(angle))
            assert fixed.intersection(short).area > 0.0


@given(star_rings(), star_rings(), st.floats(-1, 1), st.floats(-1, 1))
def test_exchanging_the_two_turns_the_way_round(first, second, across, along):
    """The depth of b on a at p is that of a on b at -p."""
    scaled, tables = tables_of(first, second)
    t, s = scaled.choices[0][0], scaled.choices[1][0]
    dx, dy = across * tables.pair[t, s, 2], along * tables.pair[t, s, 3]
    depth, wx, wy = pair_depth(tables, t, s, dx, dy)
    other, vx, vy = pair_depth(tables, s, t, -dx, -dy)
    assert other == pytest.approx(depth, abs=1e-6 * abs(tables.pair[t, s, 2]))
    assert np.hypot(wx, wy) == pytest.approx(np.hypot(vx, vy), abs=1.0)


def test_a_shape_and_its_half_turn_share_tables():
    """Turned by 180 degrees on both sides, the no-fit polygon is only negated."""
    ring = np.array([[0, 0], [7, 1], [5, 6], [1, 4]], dtype=float)
    scaled, tables = tables_of(ring, -ring)
    assert len(tables.first_edge) - 1 == 2  # for four ordered pairs
    assert (tables.pair[0, 0, 6:] == tables.pair[1, 1, 6:]).all()
    assert len(scaled.shapes) == 2


def test_cost_adds_weighted_depths_and_gives_up_at_the_bound():
    """Two overlaps of a 4 x 4 square, depths 1 and 2, weights 3 and 5: 3 + 10 = 13."""
    square = np.array([[0, 0], [4, 0], [4, 4], [0, 4]], dtype=float)
    scaled, tables = tables_of(square, square, square)
    unit = scaled.scale
    shape = np.zeros(3, dtype=np.int64)
    x = np.array([0.0, 3.0 * unit, -2.0 * unit])
    y = np.array([0.0, 0.5 * unit, 0.0])
    near = np.array([1, 2], dtype=np.int64)
    weight = np.array([1.0, 3.0, 5.0])
    call = (tables, shape, x, y, weight, near, 0, 2, 0, 0.0, 0.0)
    assert cost_at(*call, np.inf) == pytest.approx(13 * unit)
    assert cost_at(*call, 2 * unit) == pytest.approx(3 * unit)


def test_random_numbers_are_even_and_repeatable():
    """Same seed and stream, same numbers; mean and variance of the uniform distribution."""
    first = random_state(1, 2)
    numbers = np.array([uniform(first) for _ in range(20_000)])
    again = random_state(1, 2)
    assert [uniform(again) for _ in range(5)] == numbers[:5].tolist()
    assert uniform(random_state(1, 3)) != numbers[0]
    assert numbers.min() >= 0.0
    assert numbers.max() < 1.0
    assert numbers.mean() == pytest.approx(0.5, abs=0.01)
    assert numbers.var() == pytest.approx(1 / 12, abs=0.005)


def test_the_same_with_compilation_switched_off():
    """Interpreted, a small problem is solved to the same length as compiled."""
    code = (
        "from tests.engine.test_solve import gores; from nesting.engine.solve import solve;"
        "from nesting.model.stop import Stop;"
        "r = solve(gores(True), stop=Stop(iterations=2), seed=3); print(repr(r.length))"
    )
    lengths = []
    for off in ("0", "1"):
        environment = {**os.environ, "NUMBA_DISABLE_JIT": off}
        done = subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True, text=True, check=True, env=environment, timeout=300,
        )  # fmt: skip
        lengths.append(float(done.stdout))
    assert lengths[0] == pytest.approx(lengths[1], rel=1e-9)


@pytest.mark.parametrize("draft", range(10, 20))
def test_nearly_the_same_shape_overlaps_itself(draft):
    """A band and its reflection, equal but for rounding, overlap when laid on each other.

    The no-fit polygon of two such shapes once had spikes a unit wide, next to which the nearest
    corner's answer was that the place lies outside; two waistbands lay on top of each other.
    """
    pieces = drafted_lay(200, 50, 60, 0).shapes[4 * draft : 4 * draft + 4]
    scaled, tables = tables_of(*(shape.outer for shape in pieces), width=1400.0)
    for (t,) in scaled.choices:
        for (s,) in scaled.choices:
            least = min(shape.half[1] for shape in scaled.shapes)
            for dx in (-2.0, 0.0, 2.0):
                assert pair_depth(tables, t, s, dx, 0.0)[0] > 0.1 * least


@pytest.mark.parametrize("moved", [(0.0, 0.0), (0.0, 1.0), (0.0, -1.0), (1.0, 0.0)])
def test_rounding_at_a_corner_that_hardly_turns_hides_no_overlap(moved):
    """Over itself this outline lies nearest to a corner that is straight but for rounding.

    Seen from there it would be outside, were only the corner asked; it overlaps by its width.
    """
    ring = np.array(
        [
            [32810749, -23787426],
            [32810749, 22878770],
            [-32158203, 23787426],
            [-32810749, -22869644],
        ]
    )
    scaled, tables = tables_of(2 * ring, width=2.0**28)
    assert scaled.scale == 1.0
    depth, *_way = pair_depth(tables, 0, 0, *moved)
    # The width between the two long sides, which slant by 1.4 %.
    assert depth == pytest.approx(2 * 46_661_626, rel=1e-3)
