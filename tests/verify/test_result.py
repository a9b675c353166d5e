"""Positions on a strip: published exact placements accepted, spoilt ones refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.model.problem import Item, PlacementProblem, Position, Shape
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
