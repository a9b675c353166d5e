"""Positions on a strip: each fault by its words, and tolerances to the last digit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nesting.model.problem import (
    Domain,
    Item,
    Lattice,
    Obstacle,
    Phase,
    PlacementProblem,
    Position,
    Shape,
)
from nesting.verify import check_result
from nesting.verify.places import check_domains, check_obstacles

from ..handmade import rectangle
from .faults import told

TILE = Shape(np.array(rectangle(4, 3), dtype=float))
BAR = Shape(np.array(rectangle(1, 10), dtype=float))


def strip(*items, width=10.0, **fields):
    """Return a problem of tiles (shape 0) and bars (shape 1)."""
    return PlacementProblem((TILE, BAR), items, width, **fields)


ALONG = (Phase(),)


def lattices(*own, phases=ALONG, places=(), tolerance=1e-6):
    """Return what is said of tiles, each on lattices of its own, at these places."""
    items = [
        Item(f"tile {n}", (0,) * len(one), tuple(Domain(lattice=v) for v in one))
        for n, one in enumerate(own)
    ]
    problem = PlacementProblem((TILE,), tuple(items), 99.0, phases=phases)
    layout = [Position(0, x, y) for x, y in places]
    return told(check_domains(problem, layout, tolerance))


@pytest.mark.parametrize(
    ("layout", "length", "lines"),
    [
        ([(0, 0, 0), (1, 4, 0)], 5.0, []),
        ([(0, 0, 0)], 4.0, ["count: 2 items to place but 1 positions"]),
        ([(0, 0, 0), (1, math.nan, 0)], 4.0, ["edge: bar: it lies at (nan, 0)"]),
        ([(0, 0, math.inf), (1, 4, 0)], 5.0, ["edge: tile: it lies at (0, inf)"]),
        ([(1, 0, 0), (1, 4, 0)], 5.0,
         ["outline: tile: it takes shape 1, which is none of its own (0,)"]),
        ([(0, -0.5, 0), (1, 4, 0)], 5.0, ["edge: tile: it stands 0.5 over the edge of the strip"]),
        ([(0, 0, -0.25), (1, 4, 0)], 5.0,
         ["edge: tile: it stands 0.25 over the edge of the strip"]),
        ([(0, 0, 7.5), (1, 4, 0)], 5.0, ["edge: tile: it stands 0.5 over the edge of the strip"]),
        ([(0, 0, 0), (1, 3.75, 0)], 4.75,
         ["overlap: tile (copy 0): it overlaps item 1 (bar) by 0.25"]),
        ([(0, 0, 0), (1, 4, 0)], 6.0, ["length: length is given as 6.0 but is 5.0"]),
        ([(0, 0, 0), (1, 4, 0)], 4.5, ["length: length is given as 4.5 but is 5.0"]),
    ],
)  # fmt: skip
def test_each_fault_of_a_strip_is_told(layout, length, lines):
    """Number, numbers, shape, edges, overlap and length of a tile and a bar."""
    problem = strip(Item("tile", (0,)), Item("bar", (1,)))
    places = [Position(*one) for one in layout]
    assert told(check_result(problem, places, length, tolerance=1e-3)) == lines


@pytest.mark.parametrize("over", [0.009, 0.011])
def test_the_tolerance_of_the_strip_is_the_callers(over):
    """At every edge, in overlap and in length."""
    right = over < 0.01
    problem = strip(Item("tile", (0,)), Item("bar", (1,)))
    for layout, length in (
        ([(0, -over, 0), (1, 4, 0)], 5.0), ([(0, 0, -over), (1, 4, 0)], 5.0),
        ([(0, 0, 7 + over), (1, 4, 0)], 5.0), ([(0, 0, 0), (1, 4 - over, 0)], 5.0 - over),
        ([(0, 0, 0), (1, 4, 0)], 5.0 + over), ([(0, 0, 0), (1, 4, 0)], 5.0 - over),
    ):  # fmt: skip
        places = [Position(*one) for one in layout]
        assert (check_result(problem, places, length, tolerance=0.01) == ()) is right


def test_a_domain_ends_on_every_side():
    """To the tolerance and no farther; the words say where the item lies."""
    item = Item("tile", (0,), (Domain(x=(2.0, 5.0), y=(1.0, 3.0)),))
    problem = strip(item)
    for place, right in (
        ((1.9, 1.0), True), ((5.1, 3.0), True), ((2.0, 0.9), True), ((2.0, 3.1), True),
        ((1.8, 1.0), False), ((5.2, 1.0), False), ((2.0, 0.8), False), ((2.0, 3.2), False),
    ):  # fmt: skip
        lines = told(check_domains(problem, [Position(0, *place)], 0.11))
        x, y = place
        wanted = f"edge: tile: it lies at ({x:g}, {y:g}), outside its domain"
        assert lines == ([] if right else [wanted])


def test_a_shape_lies_in_one_of_its_own_domains():
    """Another shape's domain does not serve it; a shape without one may lie anywhere."""
    near, far = Domain(x=(0.0, 1.0)), Domain(x=(7.0, 8.0))
    item = Item("either", (0, 0, 1), (near, far, None))
    problem = strip(item, Item("bar", (1,)))
    for place, right in (((0, 0.5), True), ((0, 7.5), True), ((0, 4.0), False), ((1, 4.0), True)):
        shape, x = place
        lines = told(check_domains(problem, [Position(shape, x, 0.0), Position(1, 20, 0)], 1e-6))
        wanted = ["edge: either: it lies at (4, 0), outside its domain"]
        assert lines == ([] if right else wanted)


def test_an_item_out_of_its_domain_hides_no_other():
    """Each is told."""
    here = (Domain(x=(0.0, 1.0)),)
    problem = strip(Item("one", (0,), here), Item("two", (0,), here), Item("three", (0,), here))
    layout = [Position(0, 5, 0), Position(0, 0.5, 0), Position(0, 6, 0)]
    assert told(check_domains(problem, layout, 1e-6)) == [
        "edge: one: it lies at (5, 0), outside its domain",
        "edge: three: it lies at (6, 0), outside its domain",
    ]


@pytest.mark.parametrize(
    ("place", "right"),
    [
        ((2.0, 1.0), True), ((10.0, 1.0), True), ((-6.0, 1.0), True), ((6.0, 4.0), True),
        ((2.0, 7.0), True), ((-2.0, -2.0), True), ((2.0, 4.0), False), ((6.0, 1.0), False),
        ((2.0, 2.5), False), ((2.009, 1.0), True), ((2.011, 1.0), False), ((1.989, 1.0), False),
        ((2.0, 1.009), True), ((2.0, 1.011), False), ((2.0, 0.989), False),
    ],
)  # fmt: skip
def test_a_lattice_of_its_own_start(place, right):
    """From (2, 1), steps of 8 and 3, every other line moved by 4."""
    lattice = Lattice(2.0, 1.0, 8.0, 3.0, 4.0)
    lines = lattices((lattice,), places=[place], tolerance=0.01)
    x, y = place
    assert lines == (
        [] if right else [f"design: tile 0: it lies at ({x:g}, {y:g}), off its lattice"]
    )


def test_a_lattice_along_one_axis_leaves_the_other_free():
    """Stripes: only the distance across them counts."""
    along, across = Lattice(step_x=5.0), Lattice(y=1.0, step_y=5.0)
    assert lattices((along,), places=[(10.0, 3.3)]) == []
    assert len(lattices((along,), places=[(11.0, 5.0)])) == 1
    assert lattices((across,), places=[(3.3, 11.0)]) == []
    assert len(lattices((across,), places=[(5.0, 10.0)])) == 1


def test_one_lattice_of_several_is_enough():
    """Known or of unknown offset; a domain without a lattice serves anywhere."""
    one, two = Lattice(step_x=5.0), Lattice(1.0, step_x=7.0)
    assert lattices((one, two), places=[(8.0, 0.0)]) == []
    assert lattices((one, two), places=[(10.0, 0.0)]) == []
    assert len(lattices((one, two), places=[(9.0, 0.0)])) == 1
    free = Item("tile", (0, 0), (Domain(lattice=one), None))
    problem = PlacementProblem((TILE,), (free,), 99.0)
    assert told(check_domains(problem, [Position(0, 3.0, 0.0)], 1e-6)) == []
    either = (Lattice(step_x=5.0), Lattice(step_x=5.0, phase=0))
    other = (Lattice(step_x=5.0, phase=0),)
    assert lattices(either, other, places=[(10.0, 0.0), (3.0, 0.0)]) == []
    assert lattices(either, other, places=[(8.0, 0.0), (3.0, 0.0)]) == []
    assert len(lattices(either, other, places=[(9.0, 0.0), (3.0, 0.0)])) == 1


def test_a_phase_serves_the_most_and_the_others_are_told():
    """Of three on one offset one is off; of two that differ the first gives the offset."""
    on = (Lattice(step_x=7.0, phase=0),)
    lines = lattices(on, on, on, places=[(2.5, 0.0), (9.5, 4.0), (4.0, 8.0)])
    assert lines == ["design: tile 2: it lies at (4, 8), off its lattice"]
    lines = lattices(on, on, places=[(2.5, 0.0), (9.0, 4.0)])
    assert lines == ["design: tile 1: it lies at (9, 4), off its lattice"]


@pytest.mark.parametrize(
    ("phase", "places", "right"),
    [
        (Phase(True, False), [(2.5, 3.0), (9.5, 6.0)], True),
        (Phase(True, False), [(2.5, 4.0), (9.5, 7.0)], False),
        (Phase(False, True), [(7.0, 4.0), (14.0, 7.0)], True),
        (Phase(False, True), [(2.5, 4.0), (9.5, 7.0)], False),
        (Phase(True, True), [(2.5, 4.0), (9.5, 7.0)], True),
        (Phase(True, True), [(2.5, 4.0), (9.5, 8.0)], False),
        (Phase(True, True), [(2.5, 4.0), (9.0, 7.0)], False),
    ],
)
def test_an_offset_is_free_along_across_or_both(phase, places, right):
    """Steps of 7 along and 3 across; what is not free starts at nought."""
    on = (Lattice(step_x=7.0, step_y=3.0, phase=0),)
    assert (lattices(on, on, phases=(phase,), places=places) == []) is right


def test_lattices_start_apart_within_a_phase():
    """Two points of one piece design: starts of 1 and 3 are kept apart by 2."""
    one, two = (Lattice(1.0, 2.0, 7.0, 5.0, phase=0),), (Lattice(3.0, 1.0, 7.0, 5.0, phase=0),)
    both = (Phase(True, True),)
    assert lattices(one, two, phases=both, places=[(1.5, 2.5), (10.5, 6.5)]) == []
    assert len(lattices(one, two, phases=both, places=[(1.5, 2.5), (8.5, 6.5)])) == 1
    assert len(lattices(one, two, phases=both, places=[(1.5, 2.5), (10.5, 7.5)])) == 1


def test_a_half_drop_of_unknown_start_along_and_across():
    """The first piece may lie on an odd line: the second then on an even one, a half aside."""
    on = (Lattice(step_x=8.0, step_y=3.0, shear=4.0, phase=0),)
    both = (Phase(True, True),)
    assert lattices(on, on, phases=both, places=[(1.3, 0.4), (5.3, 3.4)]) == []
    assert lattices(on, on, phases=both, places=[(1.3, 0.4), (9.3, 6.4)]) == []
    assert len(lattices(on, on, phases=both, places=[(1.3, 0.4), (9.3, 3.4)])) == 1
    along = (Phase(True, False),)
    assert lattices(on, on, phases=along, places=[(1.3, 3.0), (5.3, 6.0)]) == []
    assert len(lattices(on, on, phases=along, places=[(1.3, 3.0), (9.3, 6.0)])) == 1


def test_different_steps_across_share_an_offset():
    """Repeats of 4 and 6 across meet every 2: 1 and 3 are served, 1 and 2 are not."""
    items = ((Lattice(step_y=4.0, phase=0),), (Lattice(step_y=6.0, phase=0),))
    across = (Phase(False, True),)
    assert lattices(*items, phases=across, places=[(0.0, 1.0), (0.0, 3.0)]) == []
    assert len(lattices(*items, phases=across, places=[(0.0, 1.0), (0.0, 2.0)])) == 1


def test_two_phases_are_two_offsets():
    """Each item is held to its own; one that may use either takes the one that serves."""
    a, b = Lattice(step_x=7.0, phase=0), Lattice(step_x=7.0, phase=1)
    two = (Phase(), Phase())
    places = [(1.0, 0.0), (2.0, 4.0), (8.0, 8.0)]
    assert lattices((a,), (b,), (a,), phases=two, places=places) == []
    assert len(lattices((a,), (b,), (b,), phases=two, places=places)) == 1
    assert lattices((a,), (b,), (b, a), phases=two, places=places) == []
    lines = lattices((a,), (b,), (a, b), phases=two, places=[(1.0, 0), (2.0, 0), (3.0, 0)])
    assert lines == ["design: tile 2: it lies at (3, 0), off its lattice"]


def test_a_lattice_that_is_known_is_lost_however_phases_are():
    """It is told beside those that no offset serves."""
    known, free = (Lattice(step_x=5.0),), (Lattice(step_x=7.0, phase=0),)
    lines = lattices(known, free, free, places=[(1.0, 0.0), (1.0, 4.0), (2.0, 8.0)])
    assert lines == [
        "design: tile 0: it lies at (1, 0), off its lattice",
        "design: tile 2: it lies at (2, 8), off its lattice",
    ]


def test_an_offset_along_may_come_from_a_later_item():
    """The first has a lattice across alone; the second and third fix the offset along."""
    across = (Lattice(step_y=3.0, phase=0),)
    along = (Lattice(step_x=7.0, phase=0),)
    places = [(0.7, 3.0), (2.5, 1.0), (9.5, 2.0)]
    assert lattices(across, along, along, places=places) == []
    assert len(lattices(across, along, along, places=[*places[:2], (9.0, 2.0)])) == 1
    both = (Phase(True, True),)
    turned = [(2.5, 0.7), (0.0, 1.0), (0.0, 4.0)]
    assert lattices(along, across, across, phases=both, places=turned) == []
    assert len(lattices(along, across, across, phases=both, places=[*turned[:2], (0, 5)])) == 1


@pytest.mark.parametrize(
    ("depth", "lines"),
    [(0.009, []), (0.25, ["flaw: tile (copy 1): it covers obstacle 1 by 0.25"])],
)
def test_an_obstacle_is_covered_by_depth(depth, lines):
    """Up to the tolerance it may be, and the words say which by how much."""
    flaw = Shape(np.array(rectangle(2, 2)) + np.array([20.0, 1.0]))
    far = Shape(np.array(rectangle(2, 2)) + np.array([90.0, 1.0]))
    problem = strip(
        Item("bar", (1,)), Item("tile", (0,)), obstacles=(Obstacle(far), Obstacle(flaw))
    )
    layout = [Position(1, 0.0, 0.0), Position(0, 16.0 + depth, 0.0)]
    assert told(check_result(problem, layout, 20.0 + depth, tolerance=0.01)) == lines


def test_spared_items_do_not_hide_those_behind_them():
    """The first may cover the flaw, the second may not; a hole in it is free."""
    ring = Shape(
        np.array(rectangle(6, 5)) + np.array([3.0, 0.0]),
        (np.array([(4.0, 1.0), (4.0, 4.0), (8.0, 4.0), (8.0, 1.0)]),),
    )
    held = Obstacle(ring, spares=frozenset({0}))
    problem = strip(Item("first", (0,)), Item("second", (0,)), obstacles=(held,))
    clear = [Position(0, 4.0, 6.0), Position(0, 4.0, 1.0)]
    assert told(check_result(problem, clear, 8.0, tolerance=1e-6)) == []
    over = [Position(0, 20.0, 6.0), Position(0, 4.5, 1.0)]
    assert told(check_result(problem, over, 24.0, tolerance=1e-6)) == [
        "flaw: second (copy 1): it covers obstacle 0 by 0.5"
    ]


def test_lines_that_lean_by_a_quarter():
    """A shear of 2 in 8 moves each line on, never back: the next starts at 2, not at 6."""
    known = Lattice(step_x=8.0, step_y=3.0, shear=2.0)
    assert lattices((known,), places=[(2.0, 3.0)]) == []
    assert lattices((known,), places=[(4.0, 6.0)]) == []
    assert len(lattices((known,), places=[(6.0, 3.0)])) == 1
    on = (Lattice(step_x=8.0, step_y=3.0, shear=2.0, phase=0),)
    assert lattices(on, on, places=[(1.3, 3.0), (3.3, 6.0)]) == []
    assert len(lattices(on, on, places=[(1.3, 3.0), (7.3, 6.0)])) == 1


def test_figures_that_do_not_belong_together_are_not_passed_over():
    """More items than positions is a fault of the caller, never half a check."""
    problem = strip(
        Item("tile", (0,)), Item("bar", (1,)),
        obstacles=(Obstacle(Shape(np.array(rectangle(2, 2)) + 50.0)),),
    )  # fmt: skip
    for check in (check_domains, check_obstacles):
        with pytest.raises(ValueError, match="zip"):
            list(check(problem, [Position(0, 0.0, 0.0)], 1e-6))
