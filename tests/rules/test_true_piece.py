"""The finished cut piece and how it lies."""

from math import hypot

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.rings import as_points, signed_area
from nesting.model.pattern import Notch
from nesting.model.plan import EdgeAllowance
from nesting.rules.orientation import Way
from nesting.rules.true_piece import cut_piece

from .garments import piece, rectangle, star_outlines

# A right triangle: its three corners tell every motion apart.
GORE = as_points([(0, 0), (60, 0), (0, 100)])


def corners(outline):
    """Return the corners as a set of rounded pairs."""
    return {(float(x), float(y)) for x, y in np.round(outline, 6) + 0.0}


def test_an_upright_piece_lies_with_its_top_along_the_cloth():
    """Grain up on the page becomes grain along +x, without any reflection."""
    laid = cut_piece(piece(GORE)).laid(Way(mirrored=False, turned=0.0))
    # Up becomes right, so what was right becomes down: the foot lies at x = 0.
    assert corners(laid.outline) == {(0, 60), (0, 0), (100, 60)}
    (x0, y0), (x1, y1) = laid.grain
    assert (x1 - x0, y1 - y0) == pytest.approx((1, 0))


@pytest.mark.parametrize(
    ("way", "expected"),
    [
        (Way(mirrored=False, turned=180.0), {(100, 0), (100, 60), (0, 0)}),
        (Way(mirrored=True, turned=0.0), {(0, 0), (0, 60), (100, 0)}),
        (Way(mirrored=True, turned=180.0), {(100, 60), (100, 0), (0, 60)}),
        (Way(mirrored=False, turned=90.0), {(0, 0), (60, 0), (0, 100)}),
        (Way(mirrored=True, turned=90.0), {(60, 0), (0, 0), (60, 100)}),
    ],
)
def test_every_motion_worked_by_hand(way, expected):
    """Reflection about the grain first, then the turn."""
    assert corners(cut_piece(piece(GORE)).laid(way).outline) == expected


def test_top_reverse_turns_the_arrow():
    """With the top at the other end the same piece lies the other way round."""
    reverse = cut_piece(piece(GORE, top="reverse")).laid(Way(mirrored=False, turned=0.0))
    plain = cut_piece(piece(GORE)).laid(Way(mirrored=False, turned=180.0))
    assert corners(reverse.outline) == corners(plain.outline)
    assert reverse.grain[1][0] > reverse.grain[0][0]


def test_without_a_grain_line_up_is_up():
    """A hand-made piece without grain stands upright."""
    way = Way(mirrored=False, turned=0.0)
    none = cut_piece(piece(GORE, grain_line=None)).laid(way)
    assert corners(none.outline) == corners(cut_piece(piece(GORE)).laid(way).outline)


def test_a_leaning_grain_line_is_laid_straight():
    """A rectangle drawn at 30 degrees lies straight when its grain does."""
    angle = np.radians(30)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    leaning = as_points(rectangle(60, 100) @ turn.T)
    up = tuple(float(v) for v in turn @ (0, 1))
    laid = cut_piece(piece(leaning, grain_line=((0, 0), up))).laid(Way(mirrored=False, turned=0.0))
    assert laid.size == pytest.approx((100, 60))


def test_the_order_is_half_then_allowance():
    """A half on the fold gets no allowance along the fold."""
    half = piece(rectangle(50, 100), mirror=((0, 0), (0, 100)), allowance=10.0)
    true = cut_piece(half)
    assert true.area == pytest.approx(120 * 120, abs=0.01)
    assert len(true.sew_lines) == 1
    assert shapely.Polygon(true.sew_lines[0]).area == pytest.approx(100 * 100)
    assert tuple(true.sew_lines[0][0]) == tuple(true.sew_lines[0][-1])


def test_a_hem_on_the_fold_is_deep_on_both_sides():
    """A stretch named on the half counts on its reflection too."""
    hem = EdgeAllowance("hem", (0, 0), (50, 0), 60.0)
    true = cut_piece(piece(rectangle(50, 100), mirror=((0, 0), (0, 100)), edges=(hem,)))
    assert true.area == pytest.approx(100 * 160, abs=0.01)


def test_cutouts_shrink_and_keep_their_stitching_line():
    """An opening has an allowance like any edge."""
    hole = as_points([(20, 20), (20, 60), (40, 60), (40, 20)])
    true = cut_piece(piece(rectangle(80, 100), cutouts=(hole,), allowance=5.0))
    assert true.area == pytest.approx(90 * 110 - 10 * 30, abs=0.01)
    assert [abs(signed_area(path[:-1])) for path in true.sew_lines] == pytest.approx([8000, 800])


def test_marks_go_with_the_piece():
    """Notch, drill hole, lines and named point keep their distance to the corners."""
    drawn = piece(
        GORE,
        notches=(Notch((0.0, 50.0), 0.0, 4.0), Notch((30.0, 0.0))),
        drill_holes=((10.0, 10.0),),
        internal_lines=(as_points([(10, 0), (10, 80)]),),
        stripe_lines=(as_points([(0, 5), (50, 5)]),),
        plaid_lines=(as_points([(5, 0), (5, 50)]),),
        points={"bust": (20.0, 30.0)},
    )
    laid = cut_piece(drawn).laid(Way(mirrored=True, turned=90.0))
    # By hand: x -> 60 - x, y stays.
    assert laid.notches[0].at == pytest.approx((60, 50))
    assert laid.notches[0].angle == pytest.approx(180)
    assert (laid.notches[0].depth, laid.notches[1].angle) == (4.0, None)
    assert laid.drill_holes[0] == pytest.approx((50, 10))
    assert laid.points["bust"] == pytest.approx((40, 30))
    assert laid.internal_lines[0] == pytest.approx(np.array([(50, 0), (50, 80)]))
    assert laid.stripe_lines[0] == pytest.approx(np.array([(60, 5), (10, 5)]))
    assert laid.plaid_lines[0] == pytest.approx(np.array([(55, 0), (55, 50)]))


@given(
    ring=star_outlines(),
    mirrored=st.booleans(),
    turned=st.sampled_from([45.0 * k for k in range(8)]),
    grain=st.tuples(st.floats(-1, 1), st.floats(-1, 1)).filter(lambda g: hypot(*g) > 0.1),
)
def test_a_laid_piece_is_congruent_and_its_arrow_points_where_it_says(
    ring, mirrored, turned, grain
):
    """Any outline, grain and way: area, perimeter and all distances kept, box at the origin."""
    drawn = piece(ring, grain_line=((0.0, 0.0), grain), points={"mark": (3.0, 4.0)})
    laid = cut_piece(drawn).laid(Way(mirrored=mirrored, turned=turned))
    assert signed_area(laid.outline) == pytest.approx(signed_area(ring), rel=1e-9)
    assert laid.outline.min(axis=0) == pytest.approx(np.zeros(2), abs=1e-9)
    (x0, y0), (x1, y1) = laid.grain
    angle = np.degrees(np.arctan2(y1 - y0, x1 - x0))
    assert abs((angle - turned + 180) % 360 - 180) < 1e-6
    before = np.sort(np.hypot(*(ring - (3.0, 4.0)).T))
    after = np.sort(np.hypot(*(laid.outline - laid.points["mark"]).T))
    assert after == pytest.approx(before, abs=1e-8)


def test_half_a_millimetre_is_an_allowance_too():
    """Drawn sew lines stay beside the outline, which becomes one of them."""
    seam = as_points([(10, 10), (10, 90)])
    true = cut_piece(piece(rectangle(50, 100), allowance=0.5, sew_lines=(seam,)))
    assert true.area == pytest.approx(51 * 101, abs=0.01)
    assert [len(line) for line in true.sew_lines] == [2, 5]


def test_without_a_grain_line_it_runs_up_the_middle():
    """From the foot to the top of the box, wherever the piece is drawn."""
    drawn = rectangle(60, 100) + np.array([30.0, 20.0])
    true = cut_piece(piece(drawn, grain_line=None))
    (x0, y0), (x1, y1) = true.laid(Way(False, 0.0)).grain
    assert (x0, y0, x1, y1) == pytest.approx((0, 30, 100, 30))
