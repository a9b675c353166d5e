"""The least length of true outlines, and the problem they make, in closed forms."""

from math import pi

import numpy as np
import pytest
import shapely

from nesting.geometry.rings import as_points, signed_area
from nesting.model.plan import EdgeAllowance, Flaw
from nesting.rules.bound import least_length, true_problem
from nesting.rules.compile import compile_lay

from .garments import piece, plan_of, rectangle


def compiled(*pieces, **cloth):
    """Compile pieces on a cloth 100 wide."""
    plan = plan_of(*pieces, **({"width": 100.0} | cloth))
    return compile_lay(plan, plan.cloths[0])


def round_(width, height, margin):
    """Return the area within a margin of a rectangle, its corners round."""
    return width * height + 2 * margin * (width + height) + pi * margin**2


def test_the_longest_piece_the_way_it_is_shortest():
    """A band of 90 by 40 of any grain is 40 long at least, and so is the lay."""
    assert least_length(compiled(piece(rectangle(40, 0.5)), width=1000.0)) == 0.5
    assert least_length(compiled(piece(rectangle(40, 90)), width=1000.0)) == 90.0
    free = compiled(piece(rectangle(40, 90), grain="any"), width=1000.0)
    assert least_length(free) == pytest.approx(40.0)


def test_the_area_over_the_width():
    """Three of 60 by 100 on 100 cover 180 of its length; a cutout is not covered."""
    assert least_length(compiled(piece(rectangle(60, 100), as_drawn=3))) == pytest.approx(180.0)
    assert least_length(compiled(piece(rectangle(0.5, 0.4)))) == pytest.approx(0.4)
    hole = as_points([(10, 10), (10, 60), (50, 60), (50, 10)])
    holed = piece(rectangle(60, 100), as_drawn=3, cutouts=(hole,))
    assert least_length(compiled(holed)) == pytest.approx(3 * (6000 - 2000) / 100)


def test_half_a_gap_around_every_piece_counts():
    """Its corners round, as shapely's chords lie inside them; less one gap at the end."""
    gapped = compiled(piece(rectangle(60, 100), as_drawn=4), gap=10.0)
    least = least_length(gapped)
    exact = 4 * round_(60, 100, 5.0) / 110 - 10
    assert exact - 0.2 < least <= exact


def test_the_true_problem_without_a_gap_is_that_of_the_cut_lines():
    """Its shapes are the pieces to the last point, and numbered as the engine's."""
    angles = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    disc = as_points(np.column_stack([40 * np.cos(angles), 40 * np.sin(angles)]))
    hole = as_points([(-5, -5), (-5, 5), (5, 5), (5, -5)])
    lay = compiled(piece(disc, cutouts=(hole,), turn=False), piece(rectangle(60, 100), name="b"))
    true = true_problem(lay)
    assert not lay.exact
    assert [len(shape.outer) for shape in true.shapes] == [200, 4]
    assert true.shapes[0].area == pytest.approx(shapely.Polygon(disc).area - 100)
    (opening,) = true.shapes[0].holes
    assert signed_area(opening) == pytest.approx(-100)
    assert (true.items, true.width) == (lay.problem.items, 100.0)
    assert all(shape.inner is None for shape in true.shapes)


def test_the_true_problem_keeps_half_a_gap_round():
    """Within the engine's shapes, which are blunted outside the round."""
    hole = as_points([(20, 20), (20, 80), (50, 80), (50, 20)])
    lay = compiled(piece(rectangle(70, 100), turn=False, cutouts=(hole,)), gap=1.0)
    (true,), (engine,) = true_problem(lay).shapes, lay.problem.shapes
    assert true.box == pytest.approx((-0.5, -0.5, 100.5, 70.5))
    assert signed_area(true.outer) == pytest.approx(round_(70, 100, 0.5), abs=0.02)
    assert signed_area(true.outer) <= round_(70, 100, 0.5)
    (opening,) = true.holes
    assert signed_area(opening) == pytest.approx(-29 * 59)
    assert shapely.Polygon(engine.outer).buffer(1e-9).covers(shapely.Polygon(true.outer))


def test_the_true_problem_has_true_net_pieces():
    """Where an allowance may hide a flaw, its inner shapes are the net pieces, holes and all."""
    hem = EdgeAllowance("hem", (0, 0), (60, 0), 30.0)
    hole = as_points([(20, 20), (20, 80), (50, 80), (50, 20)])
    flaw = Flaw(rectangle(5, 5), hide="allowance")
    made = piece(rectangle(60, 100), edges=(hem,), cutouts=(hole,), turn=False)
    (shape,) = true_problem(compiled(made, flaws=(flaw,))).shapes
    assert shape.area == pytest.approx(60 * 130 - 1800)
    assert signed_area(shape.inner.outer) == pytest.approx(6000)
    assert [signed_area(ring) for ring in shape.inner.holes] == pytest.approx([-1800])
