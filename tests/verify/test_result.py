"""Positions on a strip: published exact placements accepted, spoilt ones refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nesting.model.plan import Cloth, Plan, PlanPiece
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
from nesting.verify import check_layout, check_result

from ..handmade import lay_on, layout_of, pattern, put, rectangle

# A. J. W. Duijvestijn, "Simple perfect squared square of lowest order", J. Combin. Theory B 25
# (1978) 240-243; sides as in OEIS A014530, places read off its Bouwkamp code (side: x, y).
SQUARED_SQUARE = {
    50: (0, 0), 35: (50, 0), 27: (85, 0), 8: (85, 27), 19: (93, 27), 15: (50, 35), 17: (65, 35),
    11: (82, 35), 6: (82, 46), 24: (88, 46), 29: (0, 50), 25: (29, 50), 9: (54, 50), 2: (63, 50),
    7: (63, 52), 18: (70, 52), 16: (54, 59), 42: (70, 70), 4: (29, 75), 37: (33, 75), 33: (0, 79),
}  # fmt: skip


def squared_square():
    """Return the order-21 squared square as a strip problem and its published placement."""
    sides = tuple(SQUARED_SQUARE)
    problem = PlacementProblem(
        tuple(Shape(np.array(rectangle(side, side), dtype=float)) for side in sides),
        tuple(Item(f"square {side}", (n,)) for n, side in enumerate(sides)),
        112.0,
    )
    return problem, [Position(n, *map(float, SQUARED_SQUARE[s])) for n, s in enumerate(sides)]


def test_the_published_squared_square_is_accepted():
    """An exact cover of 112 by 112 by 21 different squares leaves nothing to find."""
    problem, places = squared_square()
    assert sum(side**2 for side in SQUARED_SQUARE) == 112**2
    assert check_result(problem, places, 112.0, tolerance=1e-9) == ()


@pytest.mark.parametrize("which", range(21))
@pytest.mark.parametrize("step", [(0.1, 0.0), (-0.1, 0.0), (0.0, 0.1), (0.0, -0.1)])
def test_no_square_can_move_by_a_tenth(which, step):
    """In an exact cover every move is an overlap or leaves the square."""
    problem, places = squared_square()
    here = places[which]
    places[which] = Position(here.shape, here.x + step[0], here.y + step[1])
    findings = check_result(problem, places, 112.0, tolerance=0.01)
    assert {f.kind for f in findings} <= {"overlap", "edge", "length"}
    assert any(
        "by 0.1" in str(f) or "0.1 over" in str(f) or "is 112.1" in str(f) for f in findings
    )


def test_the_squared_square_as_a_garment():
    """The same through a plan in centimetres; one patch moved by 0.1 cm overlaps by 1 mm."""
    cloth = Cloth("canvas", 1120.0)
    pieces = tuple(
        PlanPiece(f"patch {side}", pattern(f"p{side}", rectangle(side * 10, side * 10)), "canvas")
        for side in SQUARED_SQUARE
    )
    plan = Plan("patchwork", "cm", (cloth,), pieces)

    def laid(moved=None):
        return layout_of(
            lay_on(
                cloth,
                [
                    put(piece, 1, 0, (10 * x + (side == moved), 10 * (y + side)))
                    for piece, (side, (x, y)) in zip(pieces, SQUARED_SQUARE.items(), strict=True)
                ],
            )
        )

    assert check_layout(plan, laid()) == ()
    findings = check_layout(plan, laid(moved=15))
    assert {f.kind for f in findings} == {"overlap"}
    assert any("patch 15 (copy 1): it overlaps patch 17" in str(f) for f in findings)
    assert any("by 1.000 mm" in str(f) for f in findings)


def test_holes_are_free_and_their_rims_are_not():
    """A square in the hole of a frame is right; half a unit aside it overlaps by a half."""
    frame = Shape(
        np.array(rectangle(10.0, 10.0), dtype=float),
        (np.array([(3.0, 3.0), (3.0, 7.0), (7.0, 7.0), (7.0, 3.0)]),),
    )
    square = Shape(np.array(rectangle(4.0, 4.0), dtype=float))
    problem = PlacementProblem((frame, square), (Item("frame", (0,)), Item("patch", (1,))), 10.0)
    right = [Position(0, 0, 0), Position(1, 3, 3)]
    assert check_result(problem, right, 10.0, tolerance=1e-9) == ()
    aside = [Position(0, 0, 0), Position(1, 3.5, 3)]
    (finding,) = check_result(problem, aside, 10.0, tolerance=1e-6)
    assert finding.kind == "overlap"
    assert "by 0.5" in str(finding)


def test_wrong_shape_wrong_number_and_wrong_length_are_refused():
    """An item in another's shape, too few positions, a flattering length, a place that is none."""
    problem, places = squared_square()
    swapped = [Position(1, 0.0, 0.0), *places[1:]]
    assert check_result(problem, swapped, 112.0, tolerance=1e-6)[0].kind == "outline"
    assert check_result(problem, places[1:], 112.0, tolerance=1e-6)[0].kind == "count"
    assert [f.kind for f in check_result(problem, places, 111.0, tolerance=1e-6)] == ["length"]
    assert [f.kind for f in check_result(problem, places, math.nan, tolerance=1e-6)] == ["length"]
    nowhere = [Position(0, math.nan, 0.0), *places[1:]]
    assert check_result(problem, nowhere, 112.0, tolerance=1e-6)[0].kind == "edge"


def tile(along=4.0, across=3.0, inner=None):
    """Return a rectangle with its corner at the origin."""
    within = None if inner is None else Shape(np.array(rectangle(*inner), dtype=float))
    return Shape(np.array(rectangle(along, across), dtype=float), inner=within)


def kinds(problem, *places):
    """Return what sorts of fault there are in positions of the first shape, with their length."""
    layout = [Position(0, x, y) for x, y in places]
    length = max(x for x, _y in places) + 4.0
    return [f.kind for f in check_result(problem, layout, length, tolerance=1e-6)]


def test_a_domain_holds_a_position_at_its_very_ends():
    """A position on the edge of its domain is right, one a thousandth beyond is not."""
    domain = Domain(x=(2.0, 5.0), y=(1.0, 1.0))
    problem = PlacementProblem((tile(),), (Item("front", (0,), (domain,)),), 10.0)
    assert kinds(problem, (2.0, 1.0)) == kinds(problem, (5.0, 1.0)) == []
    assert kinds(problem, (5.001, 1.0)) == kinds(problem, (3.0, 1.001)) == ["edge"]


def test_a_half_drop_moves_every_other_line():
    """On a lattice of 8 by 3 with a shear of 4 a place on an odd line starts at 4."""
    lattice = Lattice(step_x=8.0, step_y=3.0, shear=4.0)
    problem = PlacementProblem((tile(),), (Item("front", (0,), (Domain(lattice=lattice),)),), 10.0)
    assert kinds(problem, (8.0, 0.0)) == kinds(problem, (4.0, 3.0)) == kinds(problem, (0, 6)) == []
    for place in ((4.0, 0.0), (8.0, 3.0), (8.0, 1.0)):
        assert kinds(problem, place) == ["design"]


def test_a_phase_is_the_same_for_all_that_name_it():
    """Two pieces may both be off by 2.5 from a repeat of 7, not one of them by 2.5 alone."""
    on = (Domain(lattice=Lattice(step_x=7.0, phase=0)),)
    items = (Item("front", (0,), on), Item("back", (0,), on))
    problem = PlacementProblem((tile(),), items, 10.0, phases=(Phase(),))
    assert kinds(problem, (2.5, 0.0), (9.5, 4.0)) == []
    assert kinds(problem, (2.5, 0.0), (9.0, 4.0)) == ["design"]


def test_an_offset_along_is_found_from_any_line_of_a_half_drop():
    """A piece alone on its phase may start anywhere along, on an odd line as on an even one."""
    lattice = Lattice(step_x=8.0, step_y=3.0, shear=4.0, phase=0)
    item = Item("front", (0,), (Domain(lattice=lattice),))
    problem = PlacementProblem((tile(),), (item,), 10.0, phases=(Phase(),))
    assert kinds(problem, (1.3, 0.0)) == kinds(problem, (1.3, 3.0)) == []
    assert kinds(problem, (1.3, 2.0)) == ["design"]


def test_lattices_of_different_steps_may_share_a_phase():
    """Repeats of 4 and 6 meet every 2: an offset of 9 serves starts at 1 and 3, none 1 and 2."""
    items = tuple(
        Item(name, (0,), (Domain(lattice=Lattice(step_x=step, phase=0)),))
        for name, step in (("front", 4.0), ("back", 6.0))
    )
    problem = PlacementProblem((tile(),), items, 10.0, phases=(Phase(),))
    assert kinds(problem, (1.0, 0.0), (3.0, 4.0)) == []
    assert kinds(problem, (1.0, 0.0), (2.0, 4.0)) == ["design"]


def test_obstacles_bind_all_they_do_not_spare_and_inner_shapes_alone():
    """A piece over a flaw is refused, unless it is spared or only its allowance covers it."""
    flaw = tile(2.0, 2.0)
    for obstacle, expected in (
        (Obstacle(flaw), ["flaw"]),
        (Obstacle(flaw, spares=frozenset({0})), []),
        (Obstacle(flaw, inner=True), ["flaw"]),
    ):
        problem = PlacementProblem((tile(),), (Item("front", (0,)),), 10.0, (obstacle,))
        assert kinds(problem, (1.0, 0.0)) == expected
        assert kinds(problem, (2.0, 0.0)) == []
    far = Obstacle(Shape(flaw.outer + np.array([4.0, 0.0])), inner=True)
    hidden = PlacementProblem((tile(inner=(3.0, 3.0)),), (Item("front", (0,)),), 10.0, (far,))
    assert kinds(hidden, (1.0, 0.0)) == []
    assert kinds(hidden, (1.5, 0.0)) == ["flaw"]
