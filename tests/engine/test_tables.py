"""Tables of pairs: what they share, what each cell lists, and how items are found near a place."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.engine.columns import FEW, column_range, make_columns, sort_items
from nesting.engine.grids import GRID, join_grids, make_grids
from nesting.engine.kernels import pair_depth
from nesting.engine.scaled import scale_problem
from nesting.engine.tables import KnownPairs, build_tables
from nesting.geometry.nofit import no_fit_polygon
from nesting.model.problem import Item, PlacementProblem, Shape
from tests.benchmarks.pieces import drafted_lay
from tests.shapes import star_rings


def problem_of(*rings):
    """Return a problem of one item per ring."""
    shapes = tuple(Shape(np.asarray(ring, dtype=float)) for ring in rings)
    return PlacementProblem(shapes, tuple(Item(str(i), (i,)) for i in range(len(rings))), 50_000.0)


def lies(ring):
    """Return a ring as drawn, turned by 180 degrees, reflected, and both."""
    reflected = ring[::-1] * (1.0, -1.0)
    return ring, -ring, reflected, -reflected


def test_reflections_and_half_turns_share_polygons():
    """Of the 64 ordered pairs of two drafts in four lies each, 12 are worked out.

    A draft and itself, or one and the other: in each of these three cases only the lie of the
    one as seen from the other matters, and there are four of these.
    """
    scaled = scale_problem(drafted_lay(4, 2, 12, seed=0))
    tables = build_tables(scaled)
    assert len(scaled.shapes) == 8
    assert len(tables.first_edge) - 1 == 12


def test_kept_polygons_make_the_same_tables(monkeypatch):
    """With polygons kept from the same pieces on another width, nothing is worked out again."""
    known = KnownPairs()
    problem = drafted_lay(4, 2, 12, seed=0)
    wider = PlacementProblem(problem.shapes, problem.items, problem.width + 1.0)
    build_tables(scale_problem(problem), known=known)
    monkeypatch.setattr("nesting.engine.tables.no_fit_polygon", None)
    kept = build_tables(scale_problem(wider), known=known)
    monkeypatch.undo()
    for ours, theirs in zip(kept, build_tables(scale_problem(wider)), strict=True):
        assert np.array_equal(ours, theirs)


@given(star_rings(), star_rings(), st.floats(-1, 1), st.floats(-1, 1), st.integers(0, 7))
def test_shared_polygons_answer_like_their_own(first, second, across, along, lie):
    """The depth in any lie of the two is that found with tables made for this lie alone."""
    a, b = lies(first)[lie % 4], lies(second)[lie // 2]
    scaled = scale_problem(problem_of(*lies(first), *lies(second)))
    alone = scale_problem(problem_of(a, b))
    every, own = build_tables(scaled), build_tables(alone)
    t, s = scaled.choices[lie % 4][0], scaled.choices[4 + lie // 2][0]
    u, v = alone.choices[0][0], alone.choices[1][0]
    dx, dy = across * own.pair[u, v, 2], along * own.pair[u, v, 3]
    depth, wx, wy = pair_depth(own, u, v, dx, dy)
    ratio = scaled.scale / alone.scale
    shared, sx, sy = pair_depth(every, t, s, ratio * dx, ratio * dy)
    assert shared == pytest.approx(ratio * depth, abs=16.0)
    assert shared == pytest.approx(np.hypot(sx, sy))
    if depth > 0.0 and shared > 0.0:
        assert pair_depth(every, t, s, ratio * (dx + wx), ratio * (dy + wy))[0] <= 32.0


def test_every_cell_lists_the_nearest_edge():
    """At random places the nearest edge of all is among those of its cell, unless far outside."""
    scaled = scale_problem(drafted_lay(8, 4, 40, seed=3))
    shapes = scaled.shapes
    polygon = no_fit_polygon(shapes[0], shapes[-1])
    grids = make_grids([polygon])
    edges = grids.edges
    start = np.stack([edges["x"], edges["y"]], axis=1).astype(float)
    along = np.stack([edges["along_x"], edges["along_y"]], axis=1).astype(float)
    low, high = grids.box[0, :2], grids.box[0, 2:]
    rng = np.random.default_rng(1)
    listed = 0
    for _ in range(2_000):
        share = rng.random(2)
        place = low + share * (high - low)
        t = np.clip(((place - start) * along).sum(axis=1) / (along**2).sum(axis=1), 0.0, 1.0)
        nearest = int(np.argmin(np.hypot(*(place - start - t[:, None] * along).T)))
        column, row = (share * GRID).astype(int)
        cell = row * GRID + column
        runs = grids.runs[grids.cells[cell] : grids.cells[cell + 1]].astype(int)
        if len(runs):
            listed += 1
            # Where a corner is nearest, either edge that ends there will do.
            near = {(nearest + k) % len(edges) for k in (-1, 0, 1)}
            assert any(i <= k < j for i, j in runs for k in near)
    assert listed > 1_000


def test_blocks_and_threads_make_no_difference():
    """Tables made in one go, in blocks, or in two threads are the same."""
    scaled = scale_problem(drafted_lay(40, 10, 20, seed=4))
    one, two = build_tables(scaled), build_tables(scaled, workers=2)
    for left, right in zip(one, two, strict=True):
        assert (left == right).all()
    polygons = [no_fit_polygon(a, b) for a in scaled.shapes[:5] for b in scaled.shapes[:5]]
    whole = make_grids(polygons)
    parts = [make_grids(polygons[:7]), make_grids(polygons[7:8]), make_grids(polygons[8:])]
    for left, right in zip(whole, join_grids(parts), strict=True):
        assert left.dtype == right.dtype
        assert (left == right).all()
    assert parts == []


@pytest.mark.parametrize("count", [1, FEW, FEW + 1, 400])
def test_columns_hold_all_that_comes_near(count):
    """Of many items those within reach are found, each once; the largest of a column first."""
    rng = np.random.default_rng(count)
    area, x = rng.random(count), rng.uniform(0.0, 30.0, count)
    columns = make_columns(area, longest=1.0)
    left_out = count // 2 if count > 1 else -1
    sort_items(columns, x, 30.0, left_out)
    most = 0
    for place in (-1.0, 0.0, 7.3, 29.9, 31.0):
        first, stop = column_range(columns.start, columns.span, place, 0.4)
        by_size, by_index = columns.by_size[first:stop], columns.by_index[first:stop]
        near = np.flatnonzero(np.abs(x - place) < 0.9)
        assert set(near) - {left_out} <= set(by_size)
        assert sorted(by_size) == sorted(by_index)
        assert len(set(by_size)) == len(by_size)
        assert left_out not in by_size
        most = max(most, stop - first)
    if count > 2 * FEW:
        assert most < count / 5
    for c in range(len(columns.filled)):
        held = columns.by_size[columns.start[c] : columns.start[c + 1]]
        assert (np.diff(area[held]) <= 0).all()
        assert (np.diff(columns.by_index[columns.start[c] : columns.start[c + 1]]) > 0).all()


def test_cutouts_in_another_order_make_no_other_shape():
    """Two rectangles with the same two cutouts overlap where they lie on each other.

    Were they two shapes of one outline, their pair would be left out and pass for parted.
    """
    outer = np.array([[0, 0], [600, 0], [600, 300], [0, 300]], dtype=float)
    hole = np.array([[50, 50], [50, 90], [90, 90], [90, 50]], dtype=float)
    holes = (hole, hole + np.array([300.0, 20.0]))
    shapes = (Shape(outer, holes), Shape(outer, holes[::-1]))
    problem = PlacementProblem(shapes, (Item("a", (0,)), Item("b", (1,))), 800.0)
    scaled = scale_problem(problem)
    tables = build_tables(scaled)
    (first,), (second,) = scaled.choices
    assert first == second
    depth, *_way = pair_depth(tables, first, second, 0.0, 0.0)
    assert depth / scaled.scale == pytest.approx(300.0, abs=1e-3)
