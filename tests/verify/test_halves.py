"""Halves on the fold: what of a whole piece is on the drawn side, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from nesting.model.pattern import Notch
from nesting.model.plan import EdgeAllowance, PlanPiece
from nesting.verify.halves import drawn_half
from nesting.verify.recompute import cut_piece

from ..handmade import pattern

RING = [(0, 0), (150, 0), (120, 500), (0, 480)]


def half(mirror=((0.0, 0.0), (0.0, 480.0)), **fields):
    """Return a back drawn as its right half, with every sort of mark."""
    drawn = pattern(
        "back", RING, mirror=mirror,
        notches=(Notch((150.0, 0.0), 135.0), Notch((0.0, 480.0), 270.0)),
        drill_holes=((50.0, 60.0), (0.0, 100.0)),
        sew_lines=(np.array([(0.0, 20.0), (140.0, 20.0)]),),
        internal_lines=(np.array([(30.0, 300.0), (90.0, 300.0)]),),
        stripe_lines=(np.array([(0.0, 200.0), (80.0, 200.0)]),),
        plaid_lines=(np.array([(10.0, 100.0), (10.0, 150.0)]),),
    )  # fmt: skip
    return PlanPiece("back", drawn, "silk", points={"nape": (0.0, 480.0), "hip": (140.0, 90.0)},
                     **fields)  # fmt: skip


def lengths(lines):
    """Return the lengths of lines, to the hundredth."""
    return [round(line.length, 2) for line in lines.geoms]


@pytest.mark.parametrize("mirror", [((0.0, 0.0), (0.0, 480.0)), ((0.0, 480.0), (0.0, 0.0))])
def test_the_drawn_side_of_a_whole(mirror):
    """The half as drawn comes back, with the marks on its own side and on its fold, once each."""
    piece = half(mirror)
    found = drawn_half(piece, cut_piece(piece))
    assert found.region.symmetric_difference(Polygon(RING)).area < 1e-2
    assert [n.at for n in found.notches] == [(150.0, 0.0), (0.0, 480.0)]
    assert found.drills == ((50.0, 60.0), (0.0, 100.0))
    assert lengths(found.sew) == [140.0]
    assert lengths(found.internal) == [60.0]
    assert lengths(found.stripe) == [80.0]
    assert lengths(found.plaid) == [50.0]
    assert found.points == piece.points


@pytest.mark.parametrize("by", [(0.0, 0.0), (700.0, -300.0), (-900.0, 40.0)])
@pytest.mark.parametrize("turn", [0.0, 37.0, 180.0, 271.0])
def test_wherever_the_half_is_drawn(by, turn):
    """Moved and turned on its page, with an allowance: the mirror line gets none."""
    cosine, sine = np.cos(np.radians(turn)), np.sin(np.radians(turn))

    def at(points):
        return np.asarray(points, dtype=float) @ np.array([[cosine, sine], [-sine, cosine]]) + by

    ring = at(RING)
    drawn = pattern("back", ring, mirror=(tuple(at((0, 0))), tuple(at((0, 480)))))
    hem = EdgeAllowance("hem", tuple(ring[0]), tuple(ring[1]), 40.0)
    piece = PlanPiece("back", drawn, "silk", allowance=10.0, edges=(hem,))
    whole = cut_piece(piece)
    found = drawn_half(piece, whole)
    assert found.region.area == pytest.approx(whole.region.area / 2, rel=1e-6)
    assert found.region.buffer(1e-6).covers(Polygon(ring))
    assert found.region.distance(Polygon(at([(-1, 0), (-9, 0), (-9, 400), (-1, 400)]))) > 0.99


def test_points_a_hair_over_the_mirror_line_belong_to_it():
    """Within 0.05 mm they stay, beyond they are the other side's."""
    piece = half()
    whole = replace(
        cut_piece(piece),
        notches=(Notch((-0.049, 90.0), None), Notch((-0.051, 90.0), None)),
        drills=((-0.049, 10.0), (-0.051, 10.0), (0.049, 10.0)),
    )
    found = drawn_half(piece, whole)
    assert [n.at for n in found.notches] == [(-0.049, 90.0)]
    assert found.drills == ((-0.049, 10.0), (0.049, 10.0))


def test_a_whole_piece_has_no_half():
    """Nothing is made of what is drawn whole."""
    piece = PlanPiece("back", pattern("back", RING), "silk")
    assert drawn_half(piece, cut_piece(piece)) is None
