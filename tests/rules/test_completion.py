"""A half becomes a whole."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from nesting.errors import InputError
from nesting.geometry.rings import as_points, signed_area
from nesting.model.pattern import Notch
from nesting.model.plan import EdgeAllowance
from nesting.rules.completion import complete, complete_edges

from .garments import pattern

FRONT = as_points([(0, 0), (200, 0), (220, 300), (150, 600), (90, 620), (60, 540), (0, 500)])
CENTRE = ((0.0, 0.0), (0.0, 500.0))


def front(**fields):
    """Return half a bodice front on the fold at x = 0."""
    return pattern(FRONT, mirror=CENTRE, **fields)


def test_a_piece_drawn_whole_comes_back_as_it_is():
    """Without a mirror line there is nothing to do."""
    whole = pattern(FRONT)
    assert complete(whole) is whole


def test_the_whole_is_the_half_and_its_reflection():
    """Compared with shapely's own reflection and union."""
    whole = complete(front())
    half = shapely.Polygon(FRONT)
    other = affinity.scale(half, -1, 1, origin=(0, 0))
    assert shapely.Polygon(whole.outline).equals(half.union(other))
    assert whole.mirror is None
    assert signed_area(whole.outline) == pytest.approx(2 * half.area)


def test_every_mark_is_reflected_once():
    """Marks on the fold stay single; all others appear on both sides."""
    whole = complete(
        front(
            sew_lines=(as_points([(190, 10), (140, 590)]),),
            internal_lines=(as_points([(0, 0), (0, 500)]), as_points([(50, 100), (90, 400)])),
            stripe_lines=(as_points([(0, 200), (200, 200)]),),
            plaid_lines=(as_points([(30, 0), (30, 500)]),),
            notches=(Notch((200.0, 0.0), 90.0), Notch((0.0, 500.0)), Notch((100.0, 0.0), 80.0)),
            drill_holes=((80.0, 300.0), (0.0, 250.0)),
        )
    )
    assert [tuple(map(tuple, path)) for path in whole.sew_lines] == [
        ((190, 10), (140, 590)),
        ((-190, 10), (-140, 590)),
    ]
    assert len(whole.internal_lines) == 3
    assert (len(whole.stripe_lines), len(whole.plaid_lines)) == (2, 2)
    assert [(notch.at, notch.angle) for notch in whole.notches] == [
        ((200, 0), 90.0),
        ((0, 500), None),
        ((100, 0), 80.0),
        ((-200, 0), 90.0),
        ((-100, 0), 100.0),
    ]
    assert whole.drill_holes == ((80, 300), (0, 250), (-80, 300))


def test_an_opening_on_the_fold_becomes_a_cutout():
    """Half a cape with a bite for the head out of its fold has a hole in the middle when whole."""
    cape = [(0, 0), (300, 0), (300, 800), (0, 800), (0, 500), (60, 450), (60, 410), (0, 400)]
    whole = complete(pattern(cape, mirror=((0, 0), (0, 800))))
    assert len(whole.cutouts) == 1
    assert signed_area(whole.cutouts[0]) == pytest.approx(-2 * (60 * 40 + 60 * 50 / 2 + 60 * 5))
    assert shapely.Polygon(whole.outline).bounds == (-300, 0, 300, 800)


def test_a_stretch_of_the_hem_runs_on_over_the_fold():
    """The reflected stretch runs counter-clockwise too: into the fold, then out of it."""
    hem = EdgeAllowance("hem", (0.0, 0.0), (200.0, 0.0), 60.0)
    drawn, other = complete_edges(front(), [hem])
    assert drawn is hem
    assert (other.start, other.end, other.allowance) == ((-200, 0), (0, 0), 60.0)


@pytest.mark.parametrize(
    ("start", "end", "covered"),
    [
        ((200, 0), (0, 0), "500.0"),  # the ends of the hem the wrong way round
        ((60, 540), (200, 0), "500.0"),  # from the neck over the whole fold to the hem
        ((0, 300), (200, 0), "300.0"),  # from the middle of the fold
        ((150, 600), (0, 120), "380.0"),  # into the fold
        ((0, 400), (0, 100), "300.0"),  # nothing but fold
    ],
)
def test_a_stretch_over_the_fold_is_refused(start, end, covered):
    """The fold is no edge of the whole: the stretch, how much of the fold, and what to do."""
    edge = EdgeAllowance("hem", start, end, 60.0)
    with pytest.raises(InputError, match=rf"'hem' runs {covered} mm over .*fold.*counter-clockw"):
        complete_edges(front(), [edge])
    assert complete_edges(pattern(FRONT), [edge]) == (edge,)  # drawn whole, it is an edge


@pytest.mark.parametrize("outline", [FRONT, np.roll(FRONT, 3, axis=0)])
def test_a_stretch_may_end_at_the_fold_but_for_a_chalk_line(outline):
    """Both ends of the fold, met or missed by less than a millimetre, wherever the ring starts."""
    half = pattern(outline, mirror=CENTRE)
    for start, end in (((0.0, 0.6), (200.0, 0.0)), ((150.0, 600.0), (0.0, 499.5))):
        edge = EdgeAllowance("edge", start, end, 60.0)
        assert complete_edges(half, [edge])[0] is edge


@pytest.mark.parametrize(
    ("mirror", "said"),
    [
        (((-50, 0), (-50, 500)), "not an edge of the outline"),
        (((100, -10), (100, 700)), "crosses its mirror line"),
        (((0, 0), (0, 0)), "no length"),
        (((-100, 620), (300, 620)), "not an edge of the outline"),
    ],
)
def test_a_mirror_line_that_is_no_edge_is_refused(mirror, said):
    """Away from the outline, across it, of no length, touching one corner: each by name."""
    with pytest.raises(InputError, match=said):
        complete(pattern(FRONT, mirror=mirror))


@given(
    xs=st.lists(st.floats(10, 400), min_size=2, max_size=8),
    angle=st.floats(0, 360),
    shift=st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)),
)
def test_completion_doubles_the_area_wherever_the_fold_lies(xs, angle, shift):
    """Random halves on a fold turned and moved anywhere: simple, twice the area, symmetric."""
    side = [(x, 50.0 * (k + 1)) for k, x in enumerate(xs)]
    top = 50.0 * (len(xs) + 1)
    half = shapely.Polygon([(0, 0), *side, (0, top)])
    half = affinity.translate(affinity.rotate(half, angle, origin=(0, 0)), *shift)
    ring = np.array(half.exterior.coords[:-1])
    if signed_area(ring) < 0:
        ring = ring[::-1]
    ends = half.exterior.coords[0], half.exterior.coords[len(xs) + 1]
    whole = complete(pattern(ring, mirror=ends))
    polygon = shapely.Polygon(whole.outline)
    assert polygon.is_valid
    assert whole.cutouts == ()
    assert polygon.area == pytest.approx(2 * half.area, rel=1e-9)
    assert polygon.buffer(1e-6).covers(half)


EDGE = "draw the mirror line along the edge that lies on the fold"


@pytest.mark.parametrize(
    ("mirror", "said"),
    [
        (
            ((-50, 0), (-50, 500)),
            "the mirror line is not an edge of the outline: the outline keeps 50.0 mm away from "
            f"it or only touches it; {EDGE}",
        ),
        (
            ((100, -10), (100, 700)),
            "the outline crosses its mirror line: it reaches 100.0 mm to one side and 120.0 mm to "
            f"the other; {EDGE}",
        ),
        (
            ((0, 0), (0, 0.05)),
            "its mirror line has no length; draw it along the edge that lies on the fold",
        ),
    ],
)
def test_a_mirror_line_is_refused_with_its_measures(mirror, said):
    """How far away or across, and the remedy, to the word."""
    with pytest.raises(InputError) as caught:
        complete(pattern(FRONT, mirror=mirror))
    assert str(caught.value) == said


def test_what_is_said_of_a_stretch_over_the_fold():
    """Its name, how much, why and what to do."""
    with pytest.raises(InputError) as caught:
        complete_edges(front(), [EdgeAllowance("hem", (200, 0), (0, 0), 60.0)])
    assert str(caught.value) == (
        "edge 'hem' runs 500.0 mm over the edge that lies on the fold, which has no allowance; "
        "swap its two ends, since it runs counter-clockwise from the first to the second, or end "
        "it where the fold begins: the other half gets the same"
    )


@pytest.mark.parametrize(("over", "refused"), [(0.99, False), (1.01, True)])
def test_a_stretch_may_run_a_chalk_line_over_the_fold(over, refused):
    """At its first end and at its last alike."""
    for start, end in (((0.0, over), (200.0, 0.0)), ((150.0, 600.0), (0.0, 500.0 - over))):
        edge = EdgeAllowance("edge", start, end, 60.0)
        if refused:
            with pytest.raises(InputError):
                complete_edges(front(), [edge])
        else:
            assert len(complete_edges(front(), [edge])) == 2


@pytest.mark.parametrize(("over", "refused"), [(0.04, False), (0.06, True)])
def test_an_outline_crosses_its_fold_from_a_twentieth_of_a_millimetre(over, refused):
    """As ends of lines join; less is a line drawn a hair off, told as such or taken as it is."""
    off = as_points([(0, 0), (200, 0), (200, 400), (0, 400), (-over, 300)])
    with pytest.raises(InputError) as caught:
        complete(pattern(off, mirror=((0, 0), (0, 400))))
    assert ("crosses its mirror line" in str(caught.value)) is refused


def test_cutouts_of_a_half_are_there_twice():
    """Each clockwise, in its place and its reflection's."""
    hole = as_points([(50, 100), (50, 150), (100, 150), (100, 100)])
    whole = complete(front(cutouts=(hole,)))
    assert [signed_area(ring) for ring in whole.cutouts] == pytest.approx([-2500, -2500])
    assert sorted(ring.min(axis=0).tolist() for ring in whole.cutouts) == [[-100, 100], [50, 100]]


def test_a_fold_at_any_angle_reflects_marks():
    """About the line y = x, a point changes its coordinates, an angle a becomes 90 - a."""
    ring = as_points([(0, 0), (300, 300), (0, 300)])
    half = pattern(
        ring, mirror=((0, 0), (300, 300)), drill_holes=((50.0, 200.0),),
        notches=(Notch((0.0, 100.0), 20.0, 4.0),),
        sew_lines=(as_points([(10, 100), (20, 200)]), as_points([(100, 100), (200, 200)])),
    )  # fmt: skip
    whole = complete(half)
    assert whole.drill_holes[1] == pytest.approx((200, 50))
    assert whole.notches[1] == Notch(
        (pytest.approx(100), pytest.approx(0)), pytest.approx(70), 4.0
    )
    assert len(whole.sew_lines) == 3
    assert whole.sew_lines[2] == pytest.approx(np.array([(100, 10), (200, 20)]))
    assert signed_area(whole.outline) == pytest.approx(300 * 300)


@pytest.mark.parametrize(("off", "count"), [(0.049, 1), (0.051, 2)])
def test_a_mark_near_the_fold_is_its_own_reflection(off, count):
    """As near as ends of lines join; farther off it is there twice."""
    at = (off, 250.0)
    whole = complete(front(drill_holes=(at,), notches=(Notch(at),)))
    assert (len(whole.drill_holes), len(whole.notches)) == (count, count)
