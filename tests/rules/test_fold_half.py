"""Halves as they are cut on a fold, marks and all; pairs that may be cut at one stroke."""

import numpy as np
import pytest

from nesting.geometry.rings import as_points, signed_area
from nesting.model.pattern import Notch
from nesting.rules.compile import compile_lay
from nesting.rules.fold import Folding
from nesting.rules.fold_half import half_piece
from nesting.rules.fold_pairs import is_own_reflection, pieces_on_fold
from nesting.rules.orientation import Way
from nesting.rules.tilt import leans
from nesting.rules.true_piece import cut_piece

from .garments import piece, plan_of, rectangle

MARKS = {
    "cutouts": (as_points([(40, 100), (40, 140), (70, 140), (70, 100)]),),
    "sew_lines": (as_points([(0, 20), (100, 20)]),),
    "internal_lines": (as_points([(0, 50), (90, 60)]), as_points([(0, 0), (0, 200)])),
    "stripe_lines": (as_points([(10, 10), (10, 190)]),),
    "plaid_lines": (as_points([(0, 30), (100, 30)]),),
    "notches": (Notch((100.0, 50.0), 180.0), Notch((0.0, 0.0), 90.0)),
    "drill_holes": ((60.0, 60.0), (0.0, 100.0)),
}


def halved(mirror=((0, 0), (0, 200)), **fields):
    """Return a half, 100 by 200 on a fold, and it as it is to be cut."""
    made = piece(rectangle(100, 200), mirror=mirror, **fields)
    return half_piece(made, cut_piece(made))


def ends(path):
    """Return the ends of a path in order, rounded."""
    return sorted(map(tuple, np.round(np.asarray(path)[[0, -1]], 4) + 0.0))


def test_a_half_keeps_its_marks_and_those_on_the_fold():
    """Upright, the page's right lies below: the half is what lies from y = -100 to 0."""
    half = halved(**MARKS)
    true = half.piece
    assert half.inward == (0.0, -1.0)
    assert true.area == pytest.approx(100 * 200 - 40 * 30)
    assert signed_area(true.outline) == pytest.approx(20000)
    assert {tuple(p) for p in np.round(true.outline, 6) + 0.0} == {
        (0, 0), (200, 0), (200, -100), (0, -100),
    }  # fmt: skip
    (hole,) = true.cutouts
    assert signed_area(hole) == pytest.approx(-1200)
    assert hole.min(axis=0) == pytest.approx([100, -70])
    assert [ends(line) for line in true.sew_lines] == [[(20, -100), (20, 0)]]
    assert [ends(line) for line in true.internal_lines] == [
        [(50, 0), (60, -90)], [(0, 0), (200, 0)],
    ]  # fmt: skip
    assert [ends(line) for line in true.stripe_lines] == [[(10, -10), (190, -10)]]
    assert [ends(line) for line in true.plaid_lines] == [[(30, -100), (30, 0)]]
    assert [notch.at for notch in true.notches] == [
        pytest.approx((50, -100)), pytest.approx((0, 0)),
    ]  # fmt: skip
    assert true.drill_holes == (pytest.approx((60, -60)), pytest.approx((100, 0)))


@pytest.mark.parametrize(
    ("mirror", "inward", "low"),
    [
        (((0, 0), (0, 200)), (0.0, -1.0), (0, -100)),
        (((100, 0), (100, 200)), (0.0, 1.0), (0, -100)),
        (((0, 0), (100, 0)), (1.0, 0.0), (0, -100)),
        (((100, 200), (0, 200)), (-1.0, 0.0), (0, -100)),
    ],
)
def test_on_whichever_edge_the_fold_is(mirror, inward, low):
    """The half drawn comes back, with the direction from the fold into it."""
    half = halved(mirror)
    assert half.inward == inward
    assert half.piece.outline.min(axis=0) == pytest.approx(low)
    assert half.piece.area == pytest.approx(20000)


def test_no_allowance_along_the_fold():
    """10 all round but on the fold: 110 by 220, its edge exactly straight."""
    half = halved(allowance=10.0)
    assert half.piece.area == pytest.approx(110 * 220, abs=0.01)
    assert half.piece.outline.max(axis=0)[1] == 0.0
    assert np.count_nonzero(half.piece.outline[:, 1] == 0.0) == 2


@pytest.mark.parametrize(
    ("mirror", "outline"),
    [(((0, 0), (0.02, 200)), None), (((0, 0), (50, 200)), [(0, 0), (100, 0), (50, 200)])],
)
def test_a_fold_line_off_the_grain_is_no_fold(mirror, outline):
    """Along the grain or square to it to a hundredth of a millimetre, or it cannot lie there."""
    made = piece(outline or [(0, 0), (100, 0), (100, 200), (0.02, 200)], mirror=mirror)
    assert half_piece(made, cut_piece(made)) is None
    straight = piece([(0, 0), (100, 0), (100, 200), (0.009, 200)], mirror=((0, 0), (0.009, 200)))
    assert half_piece(straight, cut_piece(straight)) is not None


@pytest.mark.parametrize(
    ("way", "inward"),
    [
        (Way(False, 0.0), (0, -1)), (Way(False, 180.0), (0, 1)), (Way(True, 0.0), (0, 1)),
        (Way(True, 180.0), (0, -1)), (Way(False, 90.0), (1, 0)), (Way(True, 90.0), (-1, 0)),
    ],
)  # fmt: skip
def test_where_a_laid_half_looks(way, inward):
    """The vector from the fold into it turns with it, and its box starts at the origin."""
    laid, found = halved().laid(way)
    assert found == pytest.approx(inward)
    assert laid.outline.min(axis=0) == pytest.approx([0, 0])


def reflected(**fields):
    """Tell whether a rectangle with such marks is its own reflection."""
    return is_own_reflection(cut_piece(piece(rectangle(100, 300), **fields)))


@pytest.mark.parametrize("kind", ["sew_lines", "internal_lines", "stripe_lines", "plaid_lines"])
def test_lines_of_every_kind_tell_left_from_right(kind):
    """In the middle or on both sides alike they do not."""
    assert not reflected(**{kind: (as_points([(20, 10), (20, 200)]),)})
    assert reflected(**{kind: (as_points([(50, 10), (50, 200)]),)})
    both = (as_points([(20, 10), (20, 200)]), as_points([(80, 10), (80, 200)]))
    assert reflected(**{kind: both})


def test_marks_tell_left_from_right():
    """Notches, drill holes and cutouts; on both sides alike they do not."""
    assert not reflected(notches=(Notch((0.0, 40.0), 0.0),))
    assert reflected(notches=(Notch((0.0, 40.0), 0.0), Notch((100.0, 40.0), 180.0)))
    assert not reflected(notches=(Notch((0.0, 40.0), 0.0), Notch((100.0, 41.0), 180.0)))
    assert not reflected(drill_holes=((30.0, 40.0), (70.0, 40.0), (30.0, 90.0)))
    assert reflected(drill_holes=((30.0, 40.0), (70.0, 40.0)))
    hole = [(10, 10), (10, 40), (40, 40), (40, 10)]
    other = [(60, 10), (60, 40), (90, 40), (90, 10)]
    assert not reflected(cutouts=(as_points(hole),))
    assert reflected(cutouts=(as_points(hole), as_points(other)))


@pytest.mark.parametrize(("off", "own"), [(0.002, True), (0.02, False)])
def test_a_reflection_counts_to_less_than_the_check_allows(off, own):
    """Five thousandths of a millimetre; a side that far out makes a left and a right."""
    outline = [(0, 0), (100, 0), (100 + off, 300), (0, 300)]
    assert is_own_reflection(cut_piece(piece(outline))) is own
    assert reflected(drill_holes=((50.0 + off / 2, 40.0),)) is own


GORE = [(0, 0), (240, 0), (120, 400), (0, 400)]


def pairs(kind="lengthwise", outline=GORE, *, cut=False, sides="differ", nap="none", **fields):
    """Return the pairs of a piece on a fold, and the ways in which the lower of each may lie."""
    plan = plan_of(piece(outline, **fields), sides=sides, nap=nap)
    whole = compile_lay(plan, plan.cloths[0])
    (found,) = pieces_on_fold(whole, Folding(kind, 1000.0, cut=cut))
    return found.pairs, sorted(tuple(laid.way) for laid in found.double)


def test_a_left_and_a_right_are_cut_at_one_stroke():
    """In order: the first of each, then the second; one that is over stays single."""
    assert pairs(as_drawn=2, mirrored=3)[0] == ((0, 2), (1, 3))
    assert pairs(as_drawn=3, mirrored=1)[0] == ((0, 3),)
    assert pairs(as_drawn=3, mirrored=0) == ((), [])


def test_two_alike_are_a_pair_where_sides_or_piece_are_alike():
    """A rectangle is its own reflection; on cloth alike on both sides any two are a pair."""
    rectangle_ = rectangle(240, 400)
    assert pairs(outline=rectangle_, as_drawn=5, mirrored=0)[0] == ((0, 1), (2, 3))
    assert pairs(outline=rectangle_, as_drawn=1, mirrored=4)[0] == ((0, 1), (2, 3))
    assert pairs(sides="alike", as_drawn=4, mirrored=1)[0] == ((0, 4), (1, 2))


def test_how_the_lower_of_a_pair_may_lie():
    """As the plan lets it lie, and so that the upper lies rightly too."""
    both = [(False, 0.0), (False, 180.0), (True, 0.0), (True, 180.0)]
    assert pairs(as_drawn=1, mirrored=1)[1] == both
    assert pairs(as_drawn=1, mirrored=1, nap="one-way")[1] == [(False, 0.0), (True, 0.0)]
    # On a crosswise fold the top of the upper layer is turned round.
    assert pairs("crosswise", as_drawn=1, mirrored=1)[1] == both
    assert pairs("crosswise", as_drawn=1, mirrored=1, turn=False) == ((), [])
    turned = pairs("crosswise", as_drawn=1, mirrored=1, turn=False, cut=True)
    assert turned[1] == [(False, 0.0), (True, 0.0)]


def test_on_the_bias_both_of_a_pair_lean_as_they_should():
    """The reflected one the other way: on a lengthwise fold so it does, on a crosswise one not."""
    assert pairs(as_drawn=1, mirrored=1, grain="bias", outline=rectangle(60, 100))[1]
    found = pairs("crosswise", GORE, as_drawn=1, mirrored=1, grain="bias", turn=False)
    assert found == ((), [])


def test_leans_worked_by_hand():
    """A trapeze with one side 3 degrees off the grain: it is narrowest or shortest there."""
    off = 400 * np.tan(np.radians(3.0))
    outline = [(0, 0), (100, 0), (100, 400), (off, 400)]
    made = piece(outline, tilt=10.0)
    assert leans(cut_piece(made), made) == (0.0, -10.0, 10.0, pytest.approx(3.0))
    # With a slanting foot and head it is shortest where these lie square.
    slant = piece([(0, 0), (100, 6), (100, 406), (0, 400)], tilt=10.0)
    across = -np.degrees(np.arctan2(6, 100))
    assert leans(cut_piece(slant), slant) == (0.0, -10.0, 10.0, pytest.approx(across))
    none = piece(rectangle(100, 300), tilt=5.0)
    assert leans(cut_piece(none), none) == (0.0, -5.0, 5.0)
    hardly = piece(as_points(_turned(rectangle(100, 300), 4.97)), tilt=5.0)
    assert leans(cut_piece(hardly), hardly) == (0.0, -5.0, 5.0)


def _turned(ring, degrees):
    """Return a ring turned counter-clockwise."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return ring @ np.array([[c, s], [-s, c]])


@pytest.mark.parametrize("angle", [2.0, -2.0])
def test_a_crooked_strip_leans_to_be_straight(angle):
    """Turned by an angle, it is shortest and narrowest when turned back by it."""
    made = piece(as_points(_turned(rectangle(100, 300), angle)), tilt=5.0)
    assert leans(cut_piece(made), made) == (0.0, -5.0, 5.0, pytest.approx(-angle))


def test_the_lower_of_a_pair_may_lean_as_the_upper_does():
    """A tilt of 3: nought, both ends of it, for either hand, and turned end for end."""
    leaning = pairs(as_drawn=1, mirrored=1, tilt=3.0, nap="one-way", outline=[
        (0, 0), (240, 0), (200, 30), (0, 400)])[1]  # fmt: skip
    assert [way for way in leaning if not way[0]] == [
        (False, 0.0), (False, 3.0), (False, 357.0),
    ]  # fmt: skip
    assert [way for way in leaning if way[0]] == [(True, 0.0), (True, 3.0), (True, 357.0)]


def test_either_hand_may_lie_below():
    """However many there are of each."""
    both = [(False, 0.0), (False, 180.0), (True, 0.0), (True, 180.0)]
    assert pairs(as_drawn=2, mirrored=1)[1] == both
    assert pairs(as_drawn=1, mirrored=3)[1] == both
