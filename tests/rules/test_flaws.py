"""Flaws as obstacles, net pieces, and the lay that may not be moved to the start."""

import numpy as np
import pytest

from nesting.geometry.rings import as_points, signed_area
from nesting.model.plan import Cloth, EdgeAllowance, Flaw, Plan
from nesting.rules.compile import compile_lay
from nesting.rules.flaws import flaw_obstacles, net_rings
from nesting.rules.to_layout import lay_from
from nesting.rules.true_piece import cut_piece

from .garments import piece, rectangle, result_of


def flaw(x0, x1, y0, y1, **fields):
    """Return a flaw that fills a box."""
    return Flaw(as_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), **fields)


def boxes(obstacles):
    """Return the box of every obstacle, and whether it binds inner shapes only."""
    return [(obstacle.shape.box, obstacle.inner) for obstacle in obstacles]


def test_a_flaw_is_an_obstacle_where_it_lies():
    """Nothing is grown or moved on cloth without a gap."""
    assert boxes(flaw_obstacles([flaw(10, 20, 30, 40)], 100.0)) == [((10, 30, 20, 40), False)]


def test_a_gap_moves_a_flaw_as_it_moves_the_pieces():
    """A piece at x is a shape at x + gap / 2, so a flaw at x is an obstacle there too."""
    found = flaw_obstacles([flaw(10, 20, 30, 40)], 100.0, gap=4.0)
    assert boxes(found) == [((12, 32, 22, 42), False)]


def test_what_lies_in_a_selvage_is_no_obstacle():
    """A flaw is cut off at the edge of the strip, and left away where nothing remains."""
    found = flaw_obstacles([flaw(0, 10, -5, 5), flaw(0, 10, 99.9, 120), flaw(3, 9, 101, 110)], 100)
    assert boxes(found) == [((0, 0, 10, 5), False), ((0, 99.9, 10, 100), False)]


def test_flaws_that_overlap_are_one():
    """Two halves of a torn corner make a single obstacle, of their common area."""
    (one,) = flaw_obstacles([flaw(0, 10, 0, 10), flaw(5, 15, 0, 10)], 100.0)
    assert one.shape.area == pytest.approx(150.0)


def test_the_two_sorts_of_flaws_stay_apart():
    """What an allowance may hide binds the inner shapes only."""
    found = flaw_obstacles([flaw(0, 9, 0, 9), flaw(20, 30, 0, 9, hide="allowance")], 100.0)
    assert [inner for _, inner in boxes(found)] == [False, True]


def test_the_net_piece_is_the_drawn_outline_inside_the_allowance():
    """A hem alone is enough: 100 by 200 drawn, 30 of hem added at the foot."""
    hem = EdgeAllowance("hem", (0, 0), (100, 0), 30.0)
    (net,) = net_rings(cut_piece(piece(rectangle(100, 200), edges=(hem,))))
    assert signed_area(net) == pytest.approx(100 * 200)


def test_a_closed_sew_line_of_the_file_is_the_net_piece():
    """A piece drawn to its cut line may carry its stitching line (D6673 layer 14)."""
    sewn = as_points([(10, 10), (90, 10), (90, 190), (10, 190), (10, 10)])
    (net,) = net_rings(cut_piece(piece(rectangle(100, 200), sew_lines=(sewn,))))
    assert signed_area(net) == pytest.approx(80 * 180)


@pytest.mark.parametrize(
    "line",
    [[(10, 10), (90, 10)], [(-50, 10), (90, 10), (90, 190), (-50, 10)]],
    ids=["open", "outside"],
)
def test_without_a_closed_sew_line_all_of_a_piece_is_seen(line):
    """An open line, or one that is not within the piece, hides nothing."""
    assert net_rings(cut_piece(piece(rectangle(100, 200), sew_lines=(as_points(line),)))) == ()


def test_a_cutout_opens_to_its_sew_line():
    """The turnings round an opening may hide a flaw as those of the outer edge may."""
    opening = as_points([(40, 40), (40, 60), (60, 60), (60, 40)])
    true = cut_piece(piece(rectangle(100, 100), cutouts=(opening,), allowance=5.0))
    outer, hole = net_rings(true)
    assert signed_area(outer) == pytest.approx(100 * 100)
    assert signed_area(hole) == pytest.approx(-20 * 20)
    assert sum(map(signed_area, true.cutouts)) == pytest.approx(-10 * 10)


def flawed(*flaws, **cloth):
    """Return the compiled lay of one 100 by 200 piece with a hem on cloth with these flaws."""
    hem = EdgeAllowance("hem", (0, 0), (100, 0), 30.0)
    made = piece(rectangle(100, 200), edges=(hem,))
    calico = Cloth("calico", 300.0, flaws=flaws, **cloth)
    return compile_lay(Plan("test", "cm", (calico,), (made,)), calico)


def test_shapes_have_inner_shapes_only_where_something_may_be_hidden():
    """The engine is told of net pieces only where they count."""
    strict = flawed(flaw(0, 9, 0, 9))
    assert all(shape.inner is None for shape in strict.problem.shapes)
    hidden = flawed(flaw(0, 9, 0, 9, hide="allowance"))
    assert all(shape.inner.area == pytest.approx(20000) for shape in hidden.problem.shapes)
    assert hidden.exact


def test_a_piece_stays_where_the_flaws_leave_it():
    """A lay that begins after a flaw is not moved to the cut end, where the flaw is."""
    compiled = flawed(flaw(0, 40, 0, 300), gap=4.0)
    lay = lay_from(compiled, result_of(compiled, [(0, 44.0, 2.0)]))
    assert lay.length == pytest.approx(42 + 230)
    (laid,) = lay.flaws
    assert (laid.outline == compiled.cloth.flaws[0].outline).all()


def test_nothing_left_over_holds_a_flaw():
    """The largest clean rectangle is sought between pieces and flaws."""
    compiled = flawed(flaw(100, 110, 200, 210))
    lay = lay_from(compiled, result_of(compiled, [(0, 0.0, 0.0)]))
    x0, y0, x1, y1 = lay.leftover
    assert not (x0 < 105 < x1 and y0 < 205 < y1)
    assert np.prod([x1 - x0, y1 - y0]) == pytest.approx(120 * 200)


def test_a_ring_of_a_stain_keeps_its_hole():
    """Two flaws that surround clean cloth: an obstacle with a hole, clockwise."""
    u = as_points([(10, 10), (60, 10), (60, 60), (50, 60), (50, 20), (20, 20), (20, 60), (10, 60)])
    (one,) = flaw_obstacles([Flaw(u), flaw(15, 55, 50, 60)], 100.0)
    assert one.shape.area == pytest.approx(50 * 50 - 30 * 30)
    assert signed_area(one.shape.outer) == pytest.approx(2500)
    (hole,) = one.shape.holes
    assert signed_area(hole) == pytest.approx(-900)


def test_a_flaw_too_small_to_see_is_none():
    """A thousandth of a square millimetre left of one in the selvage is rounding."""
    assert flaw_obstacles([flaw(0, 1, 99.9991, 120)], 100.0) == ()
    assert len(flaw_obstacles([flaw(0, 1, 99.9989, 120)], 100.0)) == 1


def test_a_flaw_at_the_end_of_a_gapped_strip_is_whole():
    """The strip reaches a gap beyond the last flaw, none of which is cut off."""
    ((box, _),) = boxes(flaw_obstacles([flaw(10, 20, 30, 40)], 100.0, gap=50.0))
    assert box == (35, 55, 45, 65)
    assert flaw_obstacles((), 100.0) == ()


@pytest.mark.parametrize(("off", "closed"), [(0.9e-6, True), (2e-6, False)])
def test_a_sew_line_is_closed_where_its_ends_meet(off, closed):
    """To a millionth of a millimetre; a line there and back is none."""
    line = as_points([(10, 10), (90, 10), (90, 190), (10, 190), (10, 10 + off)])
    rings = net_rings(cut_piece(piece(rectangle(100, 200), sew_lines=(line,))))
    assert bool(rings) is closed
    flat = as_points([(10, 10), (90, 10), (10, 10)])
    assert net_rings(cut_piece(piece(rectangle(100, 200), sew_lines=(flat,)))) == ()


@pytest.mark.parametrize(("over", "within"), [(0.009, True), (0.011, False)])
def test_a_sew_line_lies_within_its_cut_line(over, within):
    """To a hundredth of a millimetre; of several the largest counts."""
    line = as_points([(-over, 10), (90, 10), (90, 190), (-over, 190), (-over, 10)])
    small = as_points([(20, 20), (20, 40), (40, 40), (20, 20)])
    rings = net_rings(cut_piece(piece(rectangle(100, 200), sew_lines=(line, small))))
    assert len(rings) == within
    if within:
        assert signed_area(rings[0]) == pytest.approx((90 + over) * 180)


def test_of_sew_lines_round_a_cutout_the_smallest_counts():
    """A facing's line farther out is no opening; a cutout without a line is its own."""
    opening = as_points([(40, 40), (40, 60), (60, 60), (60, 40)])

    def square(by):
        ring = [(40 - by, 40 - by), (60 + by, 40 - by), (60 + by, 60 + by), (40 - by, 60 + by)]
        return as_points([*ring, ring[0]])

    outer = as_points([(5, 5), (95, 5), (95, 95), (5, 95), (5, 5)])
    for lines in ((outer, square(4), square(9)), (square(9), square(4), outer)):
        made = piece(rectangle(100, 100), cutouts=(opening,), sew_lines=lines)
        net, hole = net_rings(cut_piece(made))
        assert signed_area(net) == pytest.approx(90 * 90)
        assert signed_area(hole) == pytest.approx(-28 * 28)
    bare = piece(rectangle(100, 100), cutouts=(opening,), sew_lines=(outer,))
    assert signed_area(net_rings(cut_piece(bare))[1]) == pytest.approx(-400)
    same = piece(rectangle(100, 100), cutouts=(opening,), sew_lines=(outer, square(0)))
    assert signed_area(net_rings(cut_piece(same))[1]) == pytest.approx(-400)


def test_a_sew_line_a_hair_inside_of_its_cutout_is_its_opening():
    """To a hundredth of a millimetre, as drawn lines miss each other."""
    opening = as_points([(40, 40), (40, 60), (60, 60), (60, 40)])
    outer = as_points([(5, 5), (95, 5), (95, 95), (5, 95), (5, 5)])
    for off, side in ((0.005, 19.99), (0.02, 20.0)):
        low, high = 40 + off, 60 - off
        line = as_points([(low, low), (high, low), (high, high), (low, high), (low, low)])
        made = piece(rectangle(100, 100), cutouts=(opening,), sew_lines=(outer, line))
        assert signed_area(net_rings(cut_piece(made))[1]) == pytest.approx(-(side**2))
