"""Cleaning and judging of outlines."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.geometry.rings import signed_area
from nesting.readers.outline import (
    clean_cutout,
    clean_outline,
    is_closed,
    is_straight,
    open_outline_error,
)

from .drawings import apart, rings

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])


def refusal(points, judge=clean_outline):
    """Return the line in which the points are refused."""
    with pytest.raises(InputError) as caught:
        judge(np.array(points, dtype=float), file="gore.dxf", item="side gore")
    line = str(caught.value)
    assert line.startswith("gore.dxf: side gore: ")
    assert "\n" not in line
    assert caught.value.remedy
    return line


@settings(max_examples=50, deadline=None)
@given(rings(), st.booleans(), st.booleans())
def test_an_outline_keeps_its_shape_and_runs_counter_clockwise(ring, backwards, closed):
    """Whichever way round and whether or not the first point is repeated, the area is kept."""
    drawn = ring[::-1] if backwards else ring
    drawn = np.vstack([drawn, drawn[:1]]) if closed else drawn
    cleaned = clean_outline(drawn, file="f", item="i")
    assert cleaned.repairs == ()
    assert signed_area(cleaned.ring) > 0
    assert shapely.Polygon(cleaned.ring).symmetric_difference(
        shapely.Polygon(ring)
    ).area == pytest.approx(0.0, abs=1e-3)
    assert np.hypot(*(cleaned.ring[0] - cleaned.ring[-1])) > 0
    assert not cleaned.ring.flags.writeable


@settings(max_examples=50, deadline=None)
@given(rings(), st.integers(1, 5), st.integers(1, 3))
def test_needless_points_are_dropped(ring, between, repeats):
    """Points halved into straight edges and points repeated leave no trace, corners stay."""
    steps = np.linspace(0, 1, between + 1)[:-1, None]
    after = np.roll(ring, -1, axis=0)
    dense = np.vstack([a + steps * (b - a) for a, b in zip(ring, after, strict=True)])
    plain = clean_outline(ring, file="f", item="i").ring
    cleaned = clean_outline(np.repeat(dense, repeats, axis=0), file="f", item="i").ring
    assert len(cleaned) == len(plain)
    assert apart(cleaned, plain) <= 1e-6


def test_a_finely_drawn_circle_keeps_its_area():
    """Points 0.02 mm apart bend less than the tolerance each, and must not all be dropped."""
    angles = np.linspace(0, 2 * np.pi, 31416, endpoint=False)
    circle = 100 * np.column_stack([np.cos(angles), np.sin(angles)])
    cleaned = clean_outline(circle, file="f", item="i").ring
    assert signed_area(cleaned) == pytest.approx(np.pi * 100**2, rel=1e-6)


def test_a_cutout_runs_clockwise_and_may_be_small():
    """A buttonhole of 3 mm is no slip of the drawing."""
    cleaned = clean_cutout(SQUARE * 0.03, file="f", item="i")
    assert signed_area(cleaned.ring) == pytest.approx(-9.0)


def test_a_hair_is_cut_off_and_told():
    """A slit drawn into the outline and back encloses nothing; the place is told."""
    drawn = np.insert(SQUARE, 1, [[50.0, 0.0], [50.0, 6.0], [50.0, 0.0]], axis=0)
    cleaned = clean_outline(drawn, file="f", item="i")
    assert sorted(cleaned.ring.tolist()) == sorted(SQUARE.tolist())
    assert cleaned.repairs == ("a hair of no width at (50.00, 6.00) mm was cut off the outline",)


def test_a_bow_tie_is_refused_where_it_crosses():
    """The edges of this bow tie cross at (50, 50)."""
    line = refusal([[0, 0], [100, 100], [100, 0], [0, 100]])
    assert "crosses itself at (50.00, 50.00) mm" in line


def test_an_outline_touching_itself_is_refused_where():
    """Two triangles joined at one point are two pieces."""
    line = refusal([[0, 0], [100, 0], [50, 50], [100, 100], [0, 100], [50, 50]])
    assert "touches itself at (50.00, 50.00) mm" in line


@pytest.mark.parametrize(
    "points",
    [
        [[0, 0], [100, 0]],
        [[0, 0], [100, 0], [200, 0]],
        [[0, 0], [100, 0], [100, 0.04], [0, 0.04]],
        [[7, 7]] * 5 + [[17, 7]],
    ],
)
def test_an_outline_of_no_area_is_refused(points):
    """A line there and back, or a sliver thinner than the joint of two lines, is no piece."""
    assert "encloses no area" in refusal(points)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_a_coordinate_that_is_no_number_is_refused_by_its_place(bad):
    """The third point is named, with what stands there."""
    drawn = SQUARE.copy()
    drawn[2, 1] = bad
    assert f"point 3 of the outline is (100.0, {bad})" in refusal(drawn)


def test_sizes_are_bounded_and_named():
    """Under 5 mm in both directions or over 20 m in any is refused; the bounds pass."""
    assert "4.99 x 4.99 mm, under the 5 mm allowed" in refusal(SQUARE * 0.0499)
    assert "20010 x 100 mm, over the 20 m allowed" in refusal(SQUARE * [200.1, 1.0])
    for scale in ([0.05, 0.02], [200.0, 1.0]):
        cleaned = clean_outline(SQUARE * scale, file="f", item="i")
        assert signed_area(cleaned.ring) == pytest.approx(1e4 * scale[0] * scale[1])


def test_an_open_outline_is_told_by_both_ends_and_the_gap():
    """The gap of 3-4-5 is 5 mm."""
    error = open_outline_error(np.array([[0.0, 0], [9, 0], [9, 9], [3, 4]]), file="f", item="gore")
    assert str(error) == (
        "f: gore: the outline is open: its ends at (0.00, 0.00) and (3.00, 4.00) mm lie 5.00 mm "
        "apart, over the 0.05 mm allowed; join the two ends in the drawing"
    )


def test_closed_and_straight_are_told_apart():
    """A path closes within the joint; a zigzag is not straight."""
    assert is_closed(np.vstack([SQUARE, [[0.03, 0.04]]]))
    assert not is_closed(np.vstack([SQUARE, [[0.03, 0.05]]]))
    assert is_straight(np.array([[0.0, 0.0], [50.0, 50.0], [20.0, 20.0]]))
    assert not is_straight(SQUARE[:3])
