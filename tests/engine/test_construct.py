"""The layouts to begin with: sound by shapely, whatever time there is to make them."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.engine.construct import fills
from nesting.engine.kernels import cost_at
from nesting.engine.scaled import scale_problem
from nesting.engine.shelves import shelves
from nesting.engine.solve import solve
from nesting.engine.tables import build_tables
from nesting.model.problem import Item, PlacementProblem, Shape
from nesting.model.stop import Stop
from tests.benchmarks.pieces import drafted_lay
from tests.shapes import box, end_for_end, one_way, star_rings

from .test_solve import checked


class Laid:
    """Just what ``checked`` asks of a result, of a layout in units."""

    minimum = 0.0

    def __init__(self, scaled, found):
        self.problem = scaled.problem
        self.layout = scaled.positions(found.shape, found.x, found.y)
        self.length = found.length / scaled.scale


@pytest.fixture(scope="module")
def hundred():
    """Return a hundred garment pieces of 30 vertices, scaled, and their tables."""
    scaled = scale_problem(drafted_lay(100, 10, 30, seed=2))
    return scaled, build_tables(scaled)


def test_a_hundred_pieces_are_laid_soundly(hundred):
    """Every fill is a layout, and far denser than the pieces' boxes in rows."""
    scaled, tables = hundred
    boxes = checked(Laid(scaled, shelves(scaled)))
    lengths = [checked(Laid(scaled, found)).length for found in fills(scaled, tables)]
    assert len(lengths) == 4
    assert max(lengths) < 0.95 * boxes.length


def test_no_piece_could_lie_nearer_the_start(hundred):
    """No place tried at random, free of all other pieces, ends before the piece where it lies.

    Bottom-left fill puts every piece where it ends first among what lay there before it; so the
    last one, at least, may find nothing better.
    """
    scaled, tables = hundred
    found = next(fills(scaled, tables))
    last = int(np.argsort([-scaled.shapes[c[0]].area for c in scaled.choices], kind="stable")[-1])
    others = np.array([j for j in range(len(found.x)) if j != last])
    ones = np.ones(len(found.x))
    end = found.x[last] + tables.half[found.shape[last], 0]
    rng = np.random.default_rng(0)
    for s in scaled.choices[last]:
        half = tables.half[s]
        for _ in range(5_000):
            x = half[0] + rng.random() * (end - 2.0 * half[0]) * 0.999
            y = half[1] + rng.random() * (scaled.width - 2.0 * half[1])
            place = (s, x, y, np.inf)
            where = (found.shape, found.x, found.y, ones, others, 0, len(others))
            assert cost_at(tables, *where, *place) > 0.0


@settings(max_examples=25)
@given(st.lists(st.tuples(star_rings(8), st.integers(1, 5)), min_size=1, max_size=5))
def test_boxes_in_rows_never_overlap(pieces):
    """Whatever the pieces, the layout that needs no preparation is sound."""
    scaled = scale_problem(end_for_end(25_000, *((count, ring) for ring, count in pieces)))
    checked(Laid(scaled, shelves(scaled)))


def test_boxes_in_rows_by_hand():
    """Boxes 4, 3 and 2 long, all 5 wide, on a strip of 10: rows of 4 and 2, length 6."""
    scaled = scale_problem(one_way(10, (1, box(5, 4)), (1, box(5, 3)), (1, box(5, 2))))
    assert checked(Laid(scaled, shelves(scaled))).length == 6


def test_a_lie_too_wide_for_the_strip_is_not_taken():
    """A band that fits only across lies across, also before there are tables."""
    band = box(2, 9)
    turned = box(9, 2)
    problem = PlacementProblem((Shape(band), Shape(turned)), (Item("band", (0, 1)),), 5.0)
    scaled = scale_problem(problem)
    assert checked(Laid(scaled, shelves(scaled))).length == pytest.approx(9)


@pytest.mark.parametrize("looks", [1, 2, 5, 12])
def test_interrupted_while_preparing(looks):
    """However early the run is told to end, what comes back is a sound layout, and soon."""
    asked = itertools.count(1)
    problem = drafted_lay(60, 30, 30, seed=1)
    result = solve(problem, stop=Stop(seconds=300), interrupted=lambda: next(asked) >= looks)
    assert result.stop_reason == "interrupted"
    assert result.iterations == 0
    assert next(asked) <= looks + 8
    checked(result)


def test_the_clock_is_looked_at_while_preparing():
    """A limit shorter than the preparation is kept."""
    ticks = itertools.count()
    problem = drafted_lay(60, 30, 30, seed=1)
    result = solve(problem, stop=Stop(seconds=5), clock=lambda: float(next(ticks)))
    assert result.stop_reason == "time"
    assert result.seconds < 12
    checked(result)


def test_ctrl_c_while_preparing_keeps_the_boxes(monkeypatch):
    """Ctrl-C during the preparation ends the run like ``interrupted``."""

    def press(*_arguments, **_more):
        raise KeyboardInterrupt

    monkeypatch.setattr("nesting.engine.prepare.build_tables", press)
    result = solve(drafted_lay(12, 3, 12, seed=1), stop=Stop(seconds=300))
    assert result.stop_reason == "interrupted"
    checked(result)


def test_something_is_shown_at_once():
    """The first length told of comes before the tables; later ones are never longer."""
    seen = []
    solve(drafted_lay(60, 30, 30, seed=1), stop=Stop(iterations=1), on_event=seen.append)
    shown = [event for event in seen if event.length is not None]
    first = next(event for event in shown if event.phase == "first")
    assert shown[0].phase == "preparing"
    assert shown[0].seconds < first.seconds
    lengths = [event.length for event in shown]
    assert lengths == sorted(lengths, reverse=True)
    assert lengths[-1] < lengths[0]
