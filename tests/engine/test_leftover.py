"""The choice of leftover: as short as before, sound, and with more clean cloth in one piece."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.engine import leftover, solve
from nesting.engine.board import Found
from nesting.engine.construct import first_layout
from nesting.engine.leftover import MOST_ITEMS, choose_leftover, empty_rectangle
from nesting.engine.polish import flatten_parts
from nesting.engine.scaled import scale_problem
from nesting.engine.search import HAIR
from nesting.engine.separate import deepest_overlap
from nesting.engine.tables import build_tables
from nesting.model.problem import Position
from nesting.model.stop import Stop
from nesting.verify import check_result
from tests.shapes import box, end_for_end, one_way, star_rings


def area(rectangle):
    """Return the area of (x0, y0, x1, y1), 0 for None."""
    if rectangle is None:
        return 0.0
    return (rectangle[2] - rectangle[0]) * (rectangle[3] - rectangle[1])


def engine(problem):
    """Return what the choice of leftover works on."""
    scaled = scale_problem(problem)
    return scaled, build_tables(scaled), flatten_parts(scaled)


def laid(scaled, tables):
    """Return a plain bottom-left fill."""
    return first_layout(scaled, tables)


def rectangle_of(problem, scaled, found):
    """Return the largest empty rectangle of a layout in the problem's unit."""
    layout = scaled.positions(found.shape, found.x, found.y)
    return empty_rectangle(problem, layout, found.length / scaled.scale)


def test_a_small_piece_moves_out_of_the_middle():
    """Beside a piece 10 by 5 a square of 2 can leave 8 by 5 at most, wherever it began."""
    problem = one_way(10, (1, box(5, 10)), (1, box(2, 2)))
    start = (Position(0, 0.0, 0.0), Position(1, 4.0, 6.5))
    result = solve.solve(problem, stop=Stop(iterations=5), start=start)
    assert result.length == pytest.approx(10)
    assert area(result.leftover) == pytest.approx(40, rel=1e-6)
    assert check_result(problem, result.layout, result.length, tolerance=1e-5) == ()


def test_a_wide_piece_slides_to_an_edge():
    """Beside 10 by 4, a piece 6 by 3 half-way leaves 10 by 1.5; against an edge it leaves 10 by 3.

    No choice leaves more (closed form): 4 by 6 beside it is 24.
    """
    problem = one_way(10, (1, box(4, 10)), (1, box(3, 6)))
    start = (Position(0, 0.0, 0.0), Position(1, 2.0, 5.5))
    scaled, tables, parts = engine(problem)
    found = Found(10.0 * scaled.scale, *scaled.centres(start))
    chosen = choose_leftover(scaled, tables, parts, found, stopped=lambda: False)
    assert area(rectangle_of(problem, scaled, found)) == pytest.approx(15)
    assert area(rectangle_of(problem, scaled, chosen)) == pytest.approx(30, rel=1e-5)


@settings(max_examples=15, deadline=None)
@given(st.lists(star_rings(12), min_size=2, max_size=5), st.integers(1, 3), st.booleans())
def test_never_longer_never_overlapping_never_less(rings, copies, turned):
    """Random stars: the length is kept, the rectangle is clear and no smaller, by shapely too."""
    make = end_for_end if turned else one_way
    problem = make(30_000, *((copies, ring) for ring in rings))
    scaled, tables, parts = engine(problem)
    found = laid(scaled, tables)
    chosen = choose_leftover(scaled, tables, parts, found, stopped=lambda: False)
    assert chosen.length == found.length
    assert (chosen.x + tables.half[chosen.shape, 0]).max() <= found.length
    assert deepest_overlap(tables, chosen.shape, chosen.x, chosen.y) <= HAIR * scaled.width
    layout = scaled.positions(chosen.shape, chosen.x, chosen.y)
    end = max(problem.shapes[p.shape].box[2] + p.x for p in layout)
    assert check_result(problem, layout, end, tolerance=1e-6 * problem.width) == ()
    rectangle = rectangle_of(problem, scaled, chosen)
    assert area(rectangle) >= area(rectangle_of(problem, scaled, found))
    if rectangle is not None:
        inside = shapely.box(*rectangle).buffer(-1e-3)
        for position in layout:
            ring = problem.shapes[position.shape].outer + np.array([position.x, position.y])
            assert not shapely.Polygon(ring).intersects(inside) or inside.is_empty
    again = choose_leftover(scaled, tables, parts, found, stopped=lambda: False)
    for one, other in ((chosen.shape, again.shape), (chosen.x, again.x), (chosen.y, again.y)):
        assert np.array_equal(one, other)


def test_what_was_found_before_a_stop_is_kept():
    """Stopped after any number of looks, the layout is sound and never leaves less."""
    rng = np.random.default_rng(3)
    problem = one_way(100, *((1, box(*rng.integers(5, 40, 2))) for _ in range(8)))
    scaled, tables, parts = engine(problem)
    found = laid(scaled, tables)
    areas = []
    for looks in (0, 1, 3, 9, 10_000):
        left = iter([False] * looks)
        chosen = choose_leftover(
            scaled, tables, parts, found, stopped=lambda left=left: next(left, True)
        )
        assert deepest_overlap(tables, chosen.shape, chosen.x, chosen.y) <= HAIR * scaled.width
        areas.append(area(rectangle_of(problem, scaled, chosen)))
    assert areas == sorted(areas)
    assert areas[0] < areas[-1]


def test_an_interrupted_run_hands_over_what_it_has():
    """Broken off before it began, the start itself comes back, not rearranged."""
    problem = one_way(10, (1, box(5, 10)), (1, box(2, 2)))
    start = (Position(0, 0.0, 0.0), Position(1, 4.0, 6.5))
    result = solve.solve(
        problem, stop=Stop(iterations=5, target=1), start=start, interrupted=lambda: True
    )
    assert result.stop_reason == "interrupted"
    # Polishing may move it, but not towards a larger leftover: 8 by 5 would be 40.
    assert area(result.leftover) < 39


def test_ctrl_c_during_the_choice_keeps_the_layout(monkeypatch):
    """Ctrl-C while pieces are rearranged ends like any interruption, with the best layout."""

    def pressed(*_args, **_options):
        raise KeyboardInterrupt

    problem = one_way(10, (1, box(5, 10)), (1, box(2, 2)))
    solve.solve(problem, stop=Stop(iterations=1))  # compiled by now
    monkeypatch.setattr(solve, "choose_leftover", pressed)
    result = solve.solve(problem, stop=Stop(iterations=1))
    assert result.stop_reason == "interrupted"
    assert check_result(problem, result.layout, result.length, tolerance=1e-5) == ()


@pytest.mark.parametrize("limit", ["_MOST_PARTS", "_MOST_LINES"])
def test_outlines_of_very_many_parts_are_not_slid(monkeypatch, limit):
    """Beyond either named size no programme is set up, and pieces only go elsewhere whole."""

    def never(*_args):
        raise AssertionError

    monkeypatch.setattr(leftover, limit, -1)
    monkeypatch.setattr(leftover, "possible_moves", never)
    problem = one_way(10, (1, box(5, 10)), (1, box(2, 2)))
    start = (Position(0, 0.0, 0.0), Position(1, 4.0, 6.5))
    scaled, tables, parts = engine(problem)
    found = Found(10.0 * scaled.scale, *scaled.centres(start))
    chosen = choose_leftover(scaled, tables, parts, found, stopped=lambda: False)
    assert area(rectangle_of(problem, scaled, found)) == pytest.approx(20)
    assert area(rectangle_of(problem, scaled, chosen)) > 21


def test_very_many_items_are_left_as_they_are(monkeypatch):
    """Beyond the named number the layout itself is handed back, at no cost."""
    problem = one_way(10, (MOST_ITEMS + 1, box(1, 1)))
    scaled, tables, parts = engine(problem)
    found = laid(scaled, tables)
    monkeypatch.setattr(leftover, "_Mover", None)
    assert choose_leftover(scaled, tables, parts, found, stopped=lambda: False) is found


def test_the_result_tells_what_is_left_over():
    """Two gores one way on 36: in words, as data, and None where the cloth is full."""
    problem = one_way(10, (1, box(5, 10)))
    result = solve.solve(problem, stop=Stop(iterations=1))
    assert result.leftover == pytest.approx((0, 5, 10, 10))
    assert "10.000 x 5.000 left over from 0.000 along, 5.000 across" in result.summary()
    assert result.to_dict()["leftover"] == list(result.leftover)
    full = solve.solve(one_way(10, (1, box(10, 10))), stop=Stop(iterations=1))
    assert full.leftover is None
    assert full.to_dict()["leftover"] is None
    assert "left over" not in full.summary()
