"""Domains, lattices, phases and obstacles: closed forms, proven."""

from __future__ import annotations

import numpy as np
import pytest

from nesting.engine.solve import solve
from nesting.model.problem import (
    Domain,
    Item,
    Lattice,
    Obstacle,
    Phase,
    PlacementProblem,
    Shape,
)
from nesting.model.stop import Stop
from nesting.verify import check_result


def box(along, across, x=0.0, y=0.0):
    """Return a rectangle whose corner nearest the origin is (x, y)."""
    corners = [[0, 0], [along, 0], [along, across], [0, across]]
    return Shape(np.array(corners, dtype=float) + np.array([x, y]))


def alike(count, domain=None):
    """Return items that all take the first shape, in one domain or anywhere."""
    domains = () if domain is None else (domain,)
    return tuple(Item(f"piece {k}", (0,), domains) for k in range(count))


def best(problem, **limits):
    """Return the result of a short run, checked."""
    result = solve(problem, stop=Stop(iterations=20, **limits), seed=1)
    found = check_result(problem, result.layout, result.length, tolerance=1e-6 * problem.width)
    assert found == ()
    return result


def on_repeat(start, step, **more):
    """Return the domain of a piece that starts on a multiple of a repeat along."""
    return Domain(lattice=Lattice(x=start, step_x=step, **more))


def test_full_widths_on_a_half_drop():
    """Four of 150 on a repeat of 64, two of them on its half: starts 0, 160, 320, 480."""
    items = (*alike(2, on_repeat(0.0, 64.0)), *alike(2, on_repeat(32.0, 64.0)))
    result = best(PlacementProblem((box(150, 100),), items, 100.0))
    assert result.status == "proven best"
    assert result.length == pytest.approx(630.0, rel=1e-9)
    assert sorted(p.x for p in result.layout) == [0.0, 160.0, 320.0, 480.0]


def test_full_widths_on_a_repeat():
    """All four of 150 on a repeat of 64 take three whole multiples of 192, and 150."""
    result = best(PlacementProblem((box(150, 100),), alike(4, on_repeat(0.0, 64.0)), 100.0))
    assert result.status == "proven best"
    assert result.length == pytest.approx(3 * 192 + 150, rel=1e-9)


def test_a_shared_phase_chooses_the_order():
    """Notches at 100 and 98 of two pieces of 104 meet a repeat of 16: 214; the other way 218."""
    items = tuple(
        Item(name, (0,), (on_repeat(-notch, 16.0, phase=0),))
        for name, notch in (("front", 100.0), ("back", 98.0))
    )
    problem = PlacementProblem((box(104, 60),), items, 70.0, phases=(Phase(),))
    result = best(problem)
    assert result.status == "proven best"
    assert result.length == pytest.approx(214.0, rel=1e-9)
    front, back = result.layout
    assert ((front.x + 100.0) - (back.x + 98.0)) % 16.0 == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("begins", "hem_may_hide", "length"),
    [(90.0, False, 290.0), (95.0, False, 200.0), (90.0, True, 195.0)],
)
def test_panels_round_a_flaw(begins, hem_may_hide, length):
    """Four of 65 x 95 on 140, a flaw 10 long in the middle: the last 6 of a panel may hide it.

    A flaw from 90 on leaves room before it for none; from 95 on, for two; and a hem that hides
    it lets the two reach over its first 5.
    """
    panel = Shape(box(95, 65).outer, inner=box(89, 65))
    flaw = Obstacle(box(10, 20, begins, 60), inner=hem_may_hide)
    result = best(PlacementProblem((panel,), alike(4), 140.0, (flaw,)))
    assert result.status == "proven best"
    assert result.length == pytest.approx(length, rel=1e-9)


def panels(count):
    """Return walls, seams and faded edges of panels of 198 x 120, one behind the other."""
    return tuple(
        Obstacle(box(along, across, k * 199.0 + x, y))
        for k in range(count)
        for along, across, x, y in ((198, 3, 0, 58.5), (198, 20, 0, 0), (1, 120, 198, 0))
    )


def test_gores_on_old_panels():
    """Six of 36 x 96 need both panels of 198, four on the first; one is proven too few."""
    shapes, items = (box(96, 36),), alike(6)
    both = best(PlacementProblem(shapes, items, 120.0, panels(2)))
    assert both.status == "proven best"
    assert both.length == pytest.approx(199.0 + 96.0, rel=1e-9)
    one = best(PlacementProblem(shapes, items, 120.0, panels(1)), useful=198.0)
    assert one.minimum > 198.0


def test_three_side_by_side():
    """Three of 45 x 50 lie side by side on 140."""
    result = best(PlacementProblem((box(50, 45),), alike(3), 140.0))
    assert result.status == "proven best"
    assert result.length == pytest.approx(50.0, rel=1e-9)
