"""Where joins may lie: levels across a piece, in the zones allowed, so that its parts fit."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from nesting.errors import InputError
from nesting.geometry.rings import as_points
from nesting.model.plan import Cloth, Piecing
from nesting.rules import joins
from nesting.rules.joins import Frame, frame_of, ways_to_join

from .garments import piece, rectangle


def panel(width=200.0, height=400.0, **fields):
    """Return an upright rectangle that may be pieced anywhere, joins without allowance."""
    fields.setdefault("piecing", Piecing(allowance=0.0))
    return piece(rectangle(width, height), "panel", **fields)


def levels(made, usable, widths=()):
    """Return the x of every join of the ways, drawn upright, way by way."""
    found = ways_to_join(made, Cloth("calico", usable), widths)
    return [tuple(round(line[0][0], 3) for line in way) for way in found]


def test_a_frame_turns_the_warp_along_x():
    """Upright, the warp runs up the page, so that what is right lies below."""
    frame = frame_of(panel())
    assert frame.region.bounds == pytest.approx((0, -200, 400, 0))
    assert (frame.zone, frame.angle) == (None, 90.0)
    across = frame_of(panel(grain="crosswise"))
    assert across.region.bounds == pytest.approx((0, 0, 200, 400))
    assert across.angle == 0.0


@pytest.mark.parametrize(("grain", "level"), [("lengthwise", -80.0), ("crosswise", 80.0)])
def test_a_level_is_a_line_of_the_file(grain, level):
    """Upright the level -80 is the line at x = 80; crosswise the level 80 lies at y = 80."""
    (x0, y0), (x1, y1) = frame_of(panel(grain=grain)).line(level)
    found = [(x0, y0), (x1, y1)]
    upright = [pytest.approx((80, 0), abs=1e-9), pytest.approx((80, 400), abs=1e-9)]
    level_ = [pytest.approx((0, 80), abs=1e-9), pytest.approx((200, 80), abs=1e-9)]
    assert found == (upright if grain == "lengthwise" else level_)


@pytest.mark.parametrize("grain", ["bias", "any"])
def test_off_the_straight_grain_there_is_no_join_along_the_warp(grain):
    """Said with the remedy, of the piece by name."""
    with pytest.raises(InputError) as caught:
        frame_of(panel(grain=grain))
    assert str(caught.value) == (
        f"piece 'panel': a piece on {grain} grain has no join along the warp; give the line of "
        "the join in piecing, or cut it lengthwise"
    )


def test_a_line_given_is_the_only_way():
    """Whatever the grain, the width and the zones."""
    line = ((0.0, 10.0), (5.0, 90.0))
    made = panel(grain="bias", piecing=Piecing(line=line))
    assert ways_to_join(made, Cloth("calico", 10.0)) == ((line,),)


def test_joins_lie_where_the_cloth_is_filled_then_evenly():
    """A panel of 200 on 150: at 150 from either side, halves, thirds of the cloth, then evenly.

    A join nearer to an edge than 50 would leave more than the 150 there are.
    """
    assert levels(panel(), 150.0) == [
        (50.0,),
        (150.0,),
        (125.0,),
        (75.0,),
        (145.0,),
        (100.0,),
        (55.0,),
    ]


def test_candidates_fit_beside_the_other_pieces():
    """On 1000, beside another of 880, there are 120: the join lies at 120 from either side."""
    without = levels(panel(), 1000.0)
    beside = levels(panel(), 1000.0, [880.0])
    assert {(80.0,), (120.0,)} <= set(beside)
    assert (120.0,) not in without
    # With 10 of allowance, 110 are left of the part itself.
    seamed = panel(piecing=Piecing(allowance=10.0))
    assert {(90.0,), (110.0,)} <= set(levels(seamed, 1000.0, [880.0]))
    # Beside one that leaves no more than the allowance there is no part.
    assert levels(seamed, 1000.0, [990.0]) == levels(seamed, 1000.0)
    assert levels(seamed, 1000.0, [1200.0]) == levels(seamed, 1000.0)


def test_joins_are_spread_evenly_where_nothing_else_decides():
    """On cloth of 1000 a panel of 200 may be joined from 10 to 190, and at quarters of that."""
    assert sorted(levels(panel(), 1000.0)) == [(10.0,), (55.0,), (100.0,), (145.0,), (190.0,)]


def test_parts_are_no_threads_and_joins_no_hair_apart():
    """No part is narrower than 10; candidates within a millimetre are one."""
    assert levels(panel(20.0), 1000.0) == []
    assert levels(panel(19.0), 1000.0) == []
    assert levels(panel(), 100.6) == [(99.4,), (100.6,)]
    assert levels(panel(), 100.4) == [(99.6,)]


def test_two_joins_come_after_one_and_only_where_allowed():
    """A panel of 250 on 100 needs two joins; with one allowed there is no way."""
    one = panel(250.0)
    assert levels(one, 100.0) == []
    two = replace(one, piecing=Piecing(allowance=0.0, most=2))
    found = levels(two, 100.0)
    assert found
    for first, second in (sorted(way) for way in found):
        assert first <= 100.001
        assert second - first <= 100.001
        assert 250 - second <= 100.001
    wide = levels(replace(panel(), piecing=Piecing(allowance=0.0, most=2)), 1000.0)
    counts = [len(way) for way in wide]
    assert counts == sorted(counts)
    assert set(counts) == {1, 2}
    assert len(wide) == 5 + 10


def test_no_more_ways_than_can_be_tried(monkeypatch):
    """The ways with the fewest joins come first, and then no more."""
    monkeypatch.setattr(joins, "MOST", 7)
    two = panel(piecing=Piecing(allowance=0.0, most=2))
    assert [len(way) for way in levels(two, 1000.0)] == [1] * 5 + [2] * 2


def test_a_part_counts_with_its_allowance():
    """200 on 110 with seams of 10: each part at most 100 bare, so the join is in the middle."""
    seamed = panel(piecing=Piecing(allowance=10.0))
    assert levels(seamed, 110.0) == [(100.0,)]
    assert levels(seamed, 109.0) == []


def test_joins_keep_within_their_zones():
    """The left 60 of the panel, or on a half the same on both sides of the fold."""
    left = as_points([(0, 0), (60, 0), (60, 400), (0, 400)])
    made = panel(piecing=Piecing(zones=(left,), allowance=0.0))
    found = [x for (x,) in levels(made, 1000.0)]
    assert min(found) == pytest.approx(10.0, abs=0.5)
    assert max(found) == pytest.approx(60.0, abs=0.5)
    half = piece(
        rectangle(200, 400), "back", mirror=((0, 0), (0, 400)),
        piecing=Piecing(zones=(as_points([(140, 0), (200, 0), (200, 400), (140, 400)]),),
                        allowance=0.0),
    )  # fmt: skip
    found = [x for (x,) in levels(half, 1000.0)]
    assert min(found) == pytest.approx(-190.0, abs=0.5)
    assert max(found) == pytest.approx(190.0, abs=0.5)
    assert min(map(abs, found)) == pytest.approx(140.0, abs=1.0)


def test_a_zone_must_hold_the_whole_of_a_join():
    """Half the height of a panel is no place for a join that runs all its height."""
    lower = as_points([(0, 0), (200, 0), (200, 200), (0, 200)])
    assert levels(panel(piecing=Piecing(zones=(lower,), allowance=0.0)), 1000.0) == []
    upper = as_points([(0, 200), (200, 200), (200, 400), (0, 400)])
    both = panel(piecing=Piecing(zones=(lower, upper), allowance=0.0))
    assert len(levels(both, 1000.0)) == 5


def test_a_zone_turns_with_its_piece():
    """Crosswise the joins run across the page, so a zone is a stretch of its height."""
    low = as_points([(0, 0), (200, 0), (200, 90), (0, 90)])
    made = panel(grain="crosswise", piecing=Piecing(zones=(low,), allowance=0.0))
    found = ways_to_join(made, Cloth("calico", 1000.0))
    heights = [line[0][1] for (line,) in found]
    assert min(heights) == pytest.approx(10, abs=1)
    assert max(heights) == pytest.approx(90, abs=1)
    assert all(line[0][1] == pytest.approx(line[1][1]) for (line,) in found)


def test_a_grazing_join_is_none():
    """A level line with less than a millimetre of piece on it joins nothing."""
    thin = Frame(shapely.Polygon([(0, 0), (0.5, 0), (0.5, 50), (100, 50), (100, 90), (0, 90)]),
                 None, 0.0)  # fmt: skip
    assert not thin.may_join(20.0)
    assert thin.may_join(70.0)
    assert not thin.may_join(-5.0)


def test_a_line_that_makes_more_joins_than_allowed_is_left_out():
    """A U joined across its legs takes two seams: only where two may be made."""
    legs = [(0, 0), (0, 300), (200, 300), (200, 200), (60, 200), (60, 100), (200, 100), (200, 0)]
    made = piece(np.array(legs[::-1], float), "fork", piecing=Piecing(allowance=0.0))
    assert all(x <= 60.5 for (x,) in levels(made, 1000.0))
    twice = replace(made, piecing=Piecing(allowance=0.0, most=2))
    assert any(len(way) == 1 and way[0] > 100 for way in levels(twice, 1000.0))


def test_two_separate_zones_share_the_even_candidates():
    """In proportion to their width: 30 and 90 of 120 get one and two besides their ends."""
    one = as_points([(20, 0), (50, 0), (50, 400), (20, 400)])
    other = as_points([(90, 0), (180, 0), (180, 400), (90, 400)])
    made = panel(piecing=Piecing(zones=(one, other), allowance=0.0))
    found = sorted(x for (x,) in levels(made, 1000.0))
    assert found == pytest.approx([20, 35, 50, 90, 120, 150, 180], abs=0.6)
