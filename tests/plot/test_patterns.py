"""Placements taken back to pattern pieces."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LinearRing

from nesting.errors import InputError
from nesting.model.layout import LaidFold
from nesting.model.plan import Cloth, PlanPiece
from nesting.plot.patterns import as_laid, one_of_each, side_by_side

from ..handmade import GORE, lay_on, pattern, put, rectangle, two_gores


@given(
    turned=st.sampled_from([0.0, 45.0, 90.0, 180.0, 215.5, 315.0]),
    mirrored=st.booleans(),
    at=st.tuples(st.floats(800, 900), st.floats(800, 900)),
)
def test_a_piece_stands_as_drawn_however_it_lies(turned, mirrored, at):
    """Turned back, turned over and moved, the gore is the drawing again, marks and all."""
    piece = PlanPiece("gore", GORE, "damask")
    lay = lay_on(Cloth("damask", 900.0), [put(piece, 1, turned, at, mirrored=mirrored)])
    (found,) = one_of_each(lay)
    assert LinearRing(found.outline).hausdorff_distance(LinearRing(GORE.outline)) < 1e-6
    assert LinearRing(found.outline).is_ccw
    np.testing.assert_allclose(found.grain, GORE.grain, atol=1e-6)
    np.testing.assert_allclose(found.drill_holes, GORE.drill_holes, atol=1e-6)
    np.testing.assert_allclose(found.sew_lines, GORE.sew_lines, atol=1e-6)
    for one, other in zip(found.notches, GORE.notches, strict=True):
        np.testing.assert_allclose(one.at, other.at, atol=1e-6)
        assert (one.angle is None) == (other.angle is None)
        if other.angle is not None:
            assert one.angle == pytest.approx(other.angle)


def test_counts_are_those_of_the_lay():
    """A right and a left make one of each hand; cut through two layers, both at once."""
    _, layout = two_gores()
    (lay,) = layout.lays
    (gore,) = one_of_each(lay)
    assert gore.quantity == (1, 1)
    assert [p.quantity for p in as_laid(lay)] == [(1, 0), (1, 0)]


def test_a_half_on_the_fold_keeps_its_mirror_line():
    """The edge that lies on the fold is the line about which the piece opens out."""
    piece = PlanPiece("back", pattern("back", rectangle(200, 500)), "damask")
    placed = replace(put(piece, 1, 0.0, (0.0, 200.0)), on_fold=True)
    fold = LaidFold("lengthwise", (((0.0, 0.0), (600.0, 0.0)),))
    lay = replace(lay_on(Cloth("damask", 900.0), [placed]), folding=fold)
    (found,) = one_of_each(lay)
    assert found.may_fold
    assert sorted(found.mirror) == [(200.0, 0.0), (200.0, 500.0)]


def test_side_by_side_nothing_overlaps():
    """Pieces set in a row stand apart, each with its foot on the ground."""
    row = side_by_side([pattern(str(k), rectangle(100 * k, 50)) for k in (1, 2, 3)])
    spans = [(p.outline[:, 0].min(), p.outline[:, 0].max()) for p in row]
    assert all(b[0] - a[1] >= 19.9 for a, b in pairwise(spans))
    assert {float(p.outline[:, 1].min()) for p in row} == {0.0}


def test_a_piece_that_is_not_there_is_refused_by_name():
    """The error tells which pieces there are."""
    _, layout = two_gores()
    with pytest.raises(InputError, match=r"no piece 'sleeve' lies on 'damask'.*gore"):
        one_of_each(layout.lays[0], ["sleeve"])
