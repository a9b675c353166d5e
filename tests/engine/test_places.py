"""Random problems with domains, lattices, phases, obstacles and inner shapes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.engine.places import GROUND, find_ground, place_near
from nesting.engine.scaled import scale_problem
from nesting.engine.solve import solve
from nesting.engine.tables import build_tables
from nesting.errors import NoLayoutError
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

from .test_rules_of_place import alike, box

WIDTH = 60.0
SIZES = st.floats(4.0, 30.0).map(lambda v: round(v, 3))


@st.composite
def shapes(draw):
    """Draw a trapezoid or an L about any origin, sometimes with an inner shape."""
    a, b, c = draw(SIZES), draw(SIZES), draw(SIZES)
    if draw(st.booleans()):
        ring = [[0, 0], [a, 0], [min(a, b), c], [0, c]]
    else:
        ring = [[0, 0], [a, 0], [a, c / 2], [a / 3, c / 2], [a / 3, c], [0, c]]
    at = np.array([draw(st.integers(-20, 20)), draw(st.integers(-20, 20))])
    inner = box(0.6 * min(a, b) / 3, c / 3, *at) if draw(st.booleans()) else None
    return Shape(np.array(ring, dtype=float) + at, inner=inner)


@st.composite
def domains(draw, shape, phases):
    """Draw where a shape may lie: anywhere, or with limits, pinned, on a lattice or several."""
    kind = draw(st.sampled_from(["free", "pinned", "limits", "along", "across", "both", "drop"]))
    low_y, high_y = shape.box[1], shape.box[3]
    room = WIDTH - (high_y - low_y)
    at = draw(st.floats(0.0, room)) - low_y
    if kind == "free":
        return None
    if kind == "pinned":
        return Domain(y=(at, at))
    if kind == "limits":
        return Domain(x=(draw(st.floats(-10.0, 30.0)), math.inf), y=(at, math.inf))
    phase = draw(st.sampled_from([None, *range(phases)]))
    # What shares a phase shares a design, and so its repeats.
    repeats = {0: (7.3, 2.5), 1: (16.0, 5.0)}
    along = st.sampled_from([3.0, 7.3, 16.0])
    across = st.sampled_from([0.5, 2.5, room / 3 + 0.1])
    repeat = repeats.get(phase) or (draw(along), draw(across))
    step_x = 0.0 if kind == "across" else repeat[0]
    step_y = 0.0 if kind == "along" else repeat[1]
    shear = 0.5 * step_x if kind == "drop" else 0.0
    x = draw(st.floats(-5.0, 5.0))
    return Domain(lattice=Lattice(x, at, step_x, step_y, shear, phase))


@st.composite
def problems(draw):
    """Draw a problem of two to six items."""
    forms = draw(st.lists(shapes(), min_size=1, max_size=3))
    phases = tuple(draw(st.lists(st.sampled_from([Phase(), Phase(True, True)]), max_size=2)))
    items = []
    for k in range(draw(st.integers(2, 6))):
        own = draw(st.lists(st.integers(0, len(forms) - 1), min_size=1, max_size=2))
        items.append(
            Item(
                f"piece {k}", tuple(own), tuple(draw(domains(forms[s], len(phases))) for s in own)
            )
        )
    obstacles = []
    for _ in range(draw(st.integers(0, 3))):
        x, y = draw(st.floats(0.0, 80.0)), draw(st.floats(-5.0, WIDTH))
        spared = draw(st.frozensets(st.integers(0, len(items) - 1), max_size=2))
        wall = draw(st.booleans())
        shape = box(3.0, WIDTH, x, 0.0) if wall else box(8.0, 6.0, x, y)
        obstacles.append(Obstacle(shape, spared, draw(st.booleans())))
    return PlacementProblem(tuple(forms), tuple(items), WIDTH, tuple(obstacles), phases)


@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(problems(), st.integers(0, 3))
def test_every_layout_keeps_all_rules(problem, seed):
    """The independent check, which knows the rules by its own code, accepts every layout.

    And the same seed with a limit of attempts gives the same layout again.
    """
    try:
        result = solve(problem, stop=Stop(iterations=4), seed=seed)
    except NoLayoutError:
        return
    found = check_result(problem, result.layout, result.length, tolerance=1e-5 * WIDTH)
    assert found == ()
    assert result.minimum <= result.length
    again = solve(problem, stop=Stop(iterations=4), seed=seed)
    assert (again.layout, again.minimum) == (result.layout, result.minimum)


@given(
    st.floats(0.0, 50.0), st.floats(0.0, 30.0), st.floats(0.5, 20.0), st.floats(0.0, 5.0),
    st.sampled_from([0.0, 2.0, 4.3]),
)  # fmt: skip
def test_the_nearest_place_is_on_the_lattice_and_near(x, y, step_x, start, step_y):
    """A place is a whole number of steps from the lattice's point, and nearer than a step."""
    lattice = Lattice(start, 1.0, step_x, step_y)
    problem = PlacementProblem((box(8, 6),), alike(1, Domain(lattice=lattice)), 40.0)
    scaled = scale_problem(problem)
    tables = build_tables(scaled)
    entries = scaled.entries([0], np.zeros((1, 2)))
    ground = np.empty(GROUND)
    assert find_ground(tables, entries[1], entries[2], 0, 100.0 * scaled.scale, ground)
    centre = np.array(scaled.placed[0][1])
    at = place_near(ground, *(np.array([x, y]) * scaled.scale + centre))
    (found,) = scaled.positions(np.array([0]), np.array([at[0]]), np.array([at[1]]))
    steps = (found.x - start) / step_x
    assert steps == pytest.approx(round(steps), abs=1e-9)
    assert abs(found.x - x) <= step_x * (0.5 + 1e-6) or found.x - step_x < 0.0
    if step_y:
        assert (found.y - 1.0) / step_y == pytest.approx(round((found.y - 1.0) / step_y), abs=1e-9)
    else:
        assert found.y == pytest.approx(y, abs=1e-6)


def test_an_item_without_any_place_is_named():
    """A domain off the strip, or a lattice whose lines all miss it, leaves no place."""
    above = Domain(y=(50.0, 60.0))
    problem = PlacementProblem((box(8, 6),), alike(1, above), 40.0)
    with pytest.raises(NoLayoutError, match="piece 0: it has no place"):
        solve(problem, stop=Stop(iterations=1))


def test_what_cannot_be_parted_is_said():
    """Two that must lie on one and the same place have no layout."""
    here = Domain(x=(5.0, 5.0), y=(5.0, 5.0))
    problem = PlacementProblem((box(8, 6),), alike(2, here), 40.0)
    with pytest.raises(NoLayoutError, match="no layout was found"):
        solve(problem, stop=Stop(iterations=5))


def test_a_heap_is_parted_where_no_fill_succeeds():
    """Where every piece may only lie early, the order of a fill can shut one out; all fit."""
    early = Domain(x=(0.0, 20.0))
    small = Domain(x=(0.0, 0.0))
    items = (Item("wide", (0,), (early,)), Item("strip", (1,), (small,)), Item("last", (1,)))
    problem = PlacementProblem((box(10, 40), box(6, 38)), items, 40.0)
    result = solve(problem, stop=Stop(iterations=40))
    assert check_result(problem, result.layout, result.length, tolerance=1e-5) == ()
    assert result.layout[1].x == 0.0
