"""Seam allowances, against closed forms and shapely's mitred buffer."""

from math import cos, pi, sin, sqrt

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.geometry.rings import as_points, signed_area
from nesting.model.plan import EdgeAllowance
from nesting.rules.allowance import MITRE_LIMIT, add_allowance, shrink_cutout

from .garments import rectangle, star_outlines


def regular(sides: int, radius: float) -> np.ndarray:
    """Return a regular polygon by the distance of its corners."""
    return as_points(
        [
            (radius * cos(2 * pi * k / sides), radius * sin(2 * pi * k / sides))
            for k in range(sides)
        ]
    )


def same_area(ring, area):
    """Compare areas to the clipper's rounding, a millionth of a millimetre per mm of outline."""
    return signed_area(ring) == pytest.approx(area, abs=1e-2)


def test_nothing_added_nothing_changed():
    """Without allowance the outline itself comes back."""
    ring = rectangle(100, 200)
    assert add_allowance(ring, 0.0) is ring


def test_a_rectangle_keeps_its_corners():
    """Closed form: (w + 2a)(h + 2a), with four corners."""
    cut = add_allowance(rectangle(100, 200), 15.0)
    assert same_area(cut, 130 * 230)
    assert {tuple(p) for p in np.round(cut, 5)} == {(-15, -15), (115, -15), (115, 215), (-15, 215)}


@pytest.mark.parametrize("sides", [3, 4, 5, 8, 60])
def test_a_regular_polygon_grows_by_its_apothem(sides):
    """Closed form: the mitred offset of a regular polygon is one with its apothem longer by a."""
    radius, a = 100.0, 12.0
    apothem = radius * cos(pi / sides)
    area = sides * (apothem + a) ** 2 * np.tan(pi / sides)
    assert same_area(add_allowance(regular(sides, radius), a), area)


def test_an_inward_corner_stays_sharp():
    """An L loses nothing in its corner: area + perimeter x a + corners, in closed form."""
    ell = as_points([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])
    # Every outward corner adds a x a, the inward one takes a x a back.
    assert same_area(add_allowance(ell, 10.0), 6400 + 400 * 10 + 5 * 100 - 100)


def test_edges_of_their_own():
    """A skirt panel: hem 60, one side 25, the rest 15; the corners meet at right angles."""
    ring = rectangle(400, 900)
    cut = add_allowance(
        ring,
        15.0,
        [
            EdgeAllowance("hem", (0, 0), (400, 0), 60),
            EdgeAllowance("side", (400, 0), (400, 900), 25),
        ],
    )
    assert shapely.Polygon(cut).equals_exact(
        shapely.box(-15, -60, 425, 915).normalize(), 1e-5, normalize=True
    )


def test_a_stretch_that_ends_within_an_edge_ends_in_a_step():
    """Only the named stretch is deepened, square to the outline, in closed form."""
    ring = rectangle(400, 900)
    cut = add_allowance(ring, 10.0, [EdgeAllowance("vent", (100, 0), (250, 0), 40)])
    assert same_area(cut, 420 * 920 + 150 * 30)
    assert shapely.Polygon(cut).contains(shapely.Point(175, -39))
    assert not shapely.Polygon(cut).contains(shapely.Point(99, -11))


def test_a_stretch_may_pass_the_first_point_of_the_ring():
    """The stretch runs counter-clockwise, whatever point the ring begins with."""
    for shift in range(4):
        ring = as_points(np.roll(rectangle(400, 900), shift, axis=0))
        cut = add_allowance(ring, 0.0, [EdgeAllowance("edge", (0, 100), (100, 0), 20)])
        assert same_area(cut, 400 * 900 + 20 * 200 + 400)


def test_a_sharp_corner_is_cut_off():
    """Past four times the allowance the corner is cut square across, in closed form.

    The mitre of a corner of angle c reaches a / sin(c / 2).
    """
    a = 10.0
    for half_angle, cut_off in ((np.arcsin(1 / 3.99), False), (np.arcsin(1 / 4.01), True)):
        height = 500.0
        base = height * np.tan(half_angle)
        spike = as_points([(-base, 0), (base, 0), (0, height)])
        top = add_allowance(spike, a)[:, 1].max()
        reach = a * sin(half_angle) if cut_off else a / sin(half_angle)
        assert top == pytest.approx(height + reach, abs=1e-4)


def test_a_mitre_is_measured_by_the_larger_allowance():
    """Where 5 mm meet 20 mm at 100 degrees of corner, the offset lines still meet."""
    turn = np.radians(80)
    ring = as_points([(0, 0), (200, 0), (200 + 200 * cos(turn), 200 * sin(turn)), (0, 300)])
    cut = add_allowance(ring, 5.0, [EdgeAllowance("hem", (0, 0), (200, 0), 20)])
    # On the hem's line, 20 below; on the side's line, 5 to its right.
    x = 200 + (5 - 20 * cos(turn)) / sin(turn)
    assert np.hypot(*(cut - (x, -20)).T).min() < 1e-5


def test_a_shallow_corner_keeps_the_whole_hem():
    """Where the seam's line meets the hem short of its end, the hem keeps its whole depth."""
    turn = np.radians(30)
    side = (200 + 200 * cos(turn), 200 * sin(turn))
    cut = shapely.Polygon(
        add_allowance(
            as_points([(0, 0), (200, 0), side, (0, 300)]),
            15.0,
            [EdgeAllowance("hem", (0, 0), (200, 0), 60)],
        )
    )
    assert cut.buffer(1e-5).covers(shapely.box(0, -60, 200, 0))
    # The seam's line runs on to the side of the hem's strip, 15 / cos 30 below the corner.
    assert cut.exterior.distance(shapely.Point(200, -15 / cos(turn))) < 1e-5


@pytest.mark.parametrize("miss", [1.5, 30.0])
def test_a_stretch_off_the_outline_is_refused_with_the_distance(miss):
    """A point that misses the outline by more than a chalk line is named with its distance."""
    with pytest.raises(InputError, match=rf"edge 'hem'.*lies {miss} mm from the outline"):
        add_allowance(rectangle(400, 900), 0, [EdgeAllowance("hem", (0, -miss), (400, 0), 20)])
    add_allowance(rectangle(400, 900), 0, [EdgeAllowance("hem", (0, -0.9), (400, 0), 20)])


def test_a_stretch_of_no_length_is_refused():
    """From a point to itself could mean nothing or everything: asked, not guessed."""
    with pytest.raises(InputError, match="starts and ends at the same place"):
        add_allowance(rectangle(400, 900), 0, [EdgeAllowance("hem", (0, 0), (0, 0), 20)])


def test_a_bay_shut_in_by_its_allowances_is_refused():
    """A bottle-shaped bay whose neck is narrower than two allowances leaves no one outline."""
    bay = [(0, 0), (200, 0), (200, 200), (110, 200), (110, 150), (160, 150), (160, 50), (40, 50),
           (40, 150), (90, 150), (90, 200), (0, 200)]  # fmt: skip
    ring = as_points(bay)
    assert add_allowance(ring, 9.0) is not None
    with pytest.raises(InputError, match="closes a bay"):
        add_allowance(ring, 11.0)


def test_a_dart_narrower_than_its_allowances_closes():
    """The two allowances of a slim dart merge; the cut line runs straight on."""
    dart = as_points([(0, 0), (200, 0), (200, 200), (105, 200), (100, 100), (95, 200), (0, 200)])
    cut = shapely.Polygon(add_allowance(dart, 10.0))
    assert cut.equals_exact(shapely.box(-10, -10, 210, 210).normalize(), 1e-5, normalize=True)


def test_a_cutout_shrinks():
    """Closed form: a square hole of side s becomes one of side s - 2a; too small is refused."""
    hole = as_points([(0, 0), (0, 80), (80, 80), (80, 0)])
    (left,) = shrink_cutout(hole, 15.0)
    assert signed_area(left) == pytest.approx(-50 * 50, abs=1e-2)
    assert shrink_cutout(hole, 0.0) == (hole,)
    with pytest.raises(InputError, match="leaves nothing of a cutout"):
        shrink_cutout(hole, 40.0)


def test_a_waisted_cutout_falls_in_two():
    """A dumb-bell hole whose neck closes leaves its two ends."""
    bell = [(0, 0), (60, 0), (60, 25), (140, 25), (140, 0), (200, 0), (200, 60), (140, 60),
            (140, 35), (60, 35), (60, 60), (0, 60)]  # fmt: skip
    left = shrink_cutout(as_points(bell[::-1]), 8.0)
    assert sorted(signed_area(ring) for ring in left) == pytest.approx([-44 * 44] * 2, abs=1e-2)


def test_strips_that_share_a_side_leave_no_slit():
    """Where a deep stretch ends, rounding once left a slit of no width along the step."""
    ring = as_points(
        [(274, 0), (133, 70), (76, 110), (25, 203), (-102, 268), (-136, 121), (-113, 28),
         (-264, -65), (-163, -144), (-85, -225), (26, -215), (170, -246), (232, -122)]
    )  # fmt: skip
    cut = shapely.Polygon(
        add_allowance(ring, 10.0, [EdgeAllowance("side", (133, 70), (13, -216), 20)])
    )
    assert cut.is_valid
    # Out, in and out again by a hair: whatever has no width, slit or spike, is gone then.
    plain = cut
    for hair in (1e-3, -2e-3, 1e-3):
        plain = plain.buffer(hair, join_style="mitre")
    corners = shapely.points(np.array(cut.exterior.coords))
    assert shapely.distance(corners, plain.exterior).max() < 0.01


def mitres_within(ring: np.ndarray, limit: float) -> bool:
    """Tell whether no outward corner has a longer mitre than the limit."""
    along = np.roll(ring, -1, axis=0) - ring
    along /= np.hypot(*along.T)[:, None]
    cosine = (np.roll(along, 1, axis=0) * along).sum(axis=1)
    return bool((sqrt(2) / np.sqrt(np.maximum(1 + cosine, 1e-12)) < limit).all())


@given(ring=star_outlines(least=60.0), allowance=st.floats(1, 30))
def test_uniform_allowances_agree_with_shapely(ring, allowance):
    """Outside check: shapely's mitred buffer, where no corner has to be cut off.

    It smooths inward dents by up to a hundredth of the distance, so that much is allowed.
    """
    assume(mitres_within(ring, MITRE_LIMIT))
    ours = add_allowance(ring, allowance)
    theirs = shapely.Polygon(ring).buffer(allowance, join_style="mitre", mitre_limit=10)
    assume(not theirs.interiors)
    assert (
        shapely.hausdorff_distance(shapely.Polygon(ours).exterior, theirs.exterior)
        <= 0.01 * allowance * MITRE_LIMIT + 1e-5
    )


@given(
    ring=star_outlines(least=60.0),
    base=st.floats(0, 30),
    widths=st.lists(st.floats(0, 60), max_size=3),
    data=st.data(),
)
def test_the_cut_line_always_contains_the_outline(ring, base, widths, data):
    """With random allowances on random edges: simple, containing, and deep enough everywhere."""
    edges, depths = [], np.full(len(ring), base)
    for width in widths:
        k = data.draw(st.integers(0, len(ring) - 1))
        start, end = tuple(ring[k]), tuple(ring[(k + 1) % len(ring)])
        edges.append(EdgeAllowance(f"edge {k}", start, end, width))
        depths[k] = width
    try:
        cut = shapely.Polygon(add_allowance(ring, base, edges))
    except InputError:
        assume(False)
    assert cut.is_valid
    roomy = cut.buffer(1e-4)
    assert roomy.covers(shapely.Polygon(ring))
    for k, depth in enumerate(depths):
        a, b = ring[k], ring[(k + 1) % len(ring)]
        out = depth * np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))
        if depth > 0:
            assert roomy.covers(shapely.Polygon([a, b, b + out, a + out]))
    far = shapely.distance(shapely.points(np.array(cut.exterior.coords)), shapely.Polygon(ring))
    assert far.max() <= MITRE_LIMIT * depths.max() + 1e-4


def refused(call, *args):
    """Return what is said of a value that is refused."""
    with pytest.raises(InputError) as caught:
        call(*args)
    return str(caught.value)


def test_what_is_said_of_allowances_that_cannot_be_added():
    """Each with its remedy, to the word."""
    ring = rectangle(400, 900)
    assert refused(add_allowance, ring, 0, [EdgeAllowance("hem", (3, -7.04), (400, 0), 20)]) == (
        "edge 'hem': the point (3.0, -7.0) mm lies 7.0 mm from the outline; give a point on the "
        "outline, in the file's coordinates"
    )
    assert refused(add_allowance, ring, 0, [EdgeAllowance("hem", (0, 0), (0, 0), 20)]) == (
        "edge 'hem' starts and ends at the same place; give two points, in counter-clockwise "
        "order along the outline"
    )
    hole = as_points([(0, 0), (0, 80), (80, 80), (80, 0)])
    assert refused(shrink_cutout, hole, 40.0) == (
        "the allowance of 40 mm leaves nothing of a cutout; give a smaller allowance, or draw the "
        "opening as an internal line"
    )
    bay = as_points([(0, 0), (200, 0), (200, 200), (110, 200), (110, 150), (160, 150), (160, 50),
                     (40, 50), (40, 150), (90, 150), (90, 200), (0, 200)])  # fmt: skip
    assert refused(add_allowance, bay, 11.0) == (
        "the allowance of up to 11 mm closes a bay of the outline, so the cut line is no longer "
        "one simple outline; give a smaller allowance there, or draw the cut line"
    )


@pytest.mark.parametrize(("side", "closes"), [(0.9, True), (1.1, False)])
def test_a_trapped_gap_smaller_than_a_square_millimetre_is_closed(side, closes):
    """By the scissors: a bay whose end is left open by less is none."""
    # A neck 10 wide opens into a square; with 5 of allowance the square is ``side`` across.
    wide = 10 + side
    low, high = 100 - wide / 2, 100 + wide / 2
    bay = as_points([(0, 0), (200, 0), (200, 200), (104.9, 200), (104.9, 150), (high, 150),
                     (high, 150 - wide), (low, 150 - wide), (low, 150), (95.1, 150), (95.1, 200),
                     (0, 200)])  # fmt: skip
    if closes:
        assert add_allowance(bay, 5.0) is not None
    else:
        with pytest.raises(InputError):
            add_allowance(bay, 5.0)


def test_the_later_of_two_stretches_counts_where_they_overlap():
    """From 100 to 300 with 20, then from 200 to 400 with 50, on an edge of 500: closed form."""
    ring = rectangle(500, 300)
    edges = [
        EdgeAllowance("a", (100, 0), (300, 0), 20),
        EdgeAllowance("b", (200, 0), (400, 0), 50),
    ]
    assert same_area(add_allowance(ring, 0.0, edges), 500 * 300 + 100 * 20 + 200 * 50)
    assert same_area(add_allowance(ring, 0.0, edges[::-1]), 500 * 300 + 200 * 20 + 100 * 50)


def test_a_stretch_without_allowance_is_left_at_the_outline():
    """A selvage edge used as it is: 0 there, 10 elsewhere."""
    cut = add_allowance(rectangle(400, 900), 10.0, [EdgeAllowance("e", (0, 900), (0, 0), 0.0)])
    assert shapely.Polygon(cut).equals_exact(
        shapely.box(0, -10, 410, 910).normalize(), 1e-5, normalize=True
    )


def test_stretches_that_meet_within_a_hair_are_one_corner():
    """Where one ends and the next begins a millionth apart, no sliver lies between."""
    ring = rectangle(400, 900)
    edges = [
        EdgeAllowance("a", (0, 0), (200, 0), 30), EdgeAllowance("b", (200 + 5e-7, 0), (400, 0), 30)
    ]  # fmt: skip
    cut = add_allowance(ring, 0.0, edges)
    assert same_area(cut, 400 * 900 + 400 * 30)
    assert len(cut) == 4
    near_start = [EdgeAllowance("a", (0, 4e-7), (400, 0), 30)]
    assert same_area(add_allowance(ring, 0.0, near_start), 400 * 900 + 400 * 30)


def test_shallow_and_deep_edges_meet_on_the_deeper_strips_side():
    """At 150 degrees, 60 deep before and 15 after, and the other way round: closed forms."""
    turn = np.radians(30)
    ring = as_points([(0, 0), (200, 0), (200 + 200 * cos(turn), 200 * sin(turn)), (0, 300)])
    side = EdgeAllowance("side", (200, 0), tuple(ring[2]), 60)
    cut = shapely.Polygon(add_allowance(ring, 15.0, [side]))
    # The hem's line, 15 below, runs on to the side of the deep strip: 15 / cos 30 along its end.
    at = np.array([200, 0]) + 15 / cos(turn) * np.array([sin(turn), -cos(turn)])
    assert cut.exterior.distance(shapely.Point(at)) < 1e-5
    assert at[1] == pytest.approx(-15)
