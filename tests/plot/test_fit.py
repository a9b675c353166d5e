"""Words lie inside what they name."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, Polygon, box

from nesting.plot.fit import extent, fit_inside, lead_out, lead_start


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(10, 120), min_size=3, max_size=12),
    st.text(st.characters(codec="latin-1", exclude_categories=["C"]), min_size=1, max_size=20),
)
def test_a_label_never_leaves_its_region(reaches, name):
    """In any star-shaped region, whatever is written is written inside, or not at all."""
    turn = 2 * math.pi / len(reaches)
    region = Polygon(
        [(r * math.cos(n * turn), r * math.sin(n * turn)) for n, r in enumerate(reaches)]
    )
    label = fit_inside(region, [[name, "copy 1"], [name]], (8.0, 6.0))
    if label is not None:
        assert region.buffer(1e-6).covers(label.box)
        assert label.lines[0] == name


def test_large_upright_and_full_come_first():
    """With room for everything the first wording stands upright in the largest size."""
    label = fit_inside(box(0, 0, 300, 300), [["collar", "copy 1"], ["collar"]], (8.0, 6.0))
    assert (label.size, label.angle, label.lines) == (8.0, 0.0, ("collar", "copy 1"))


def test_a_narrow_piece_is_written_along():
    """A tall strip takes its words turned by 90 degrees."""
    assert fit_inside(box(0, 0, 14, 200), [["waistband"]], (8.0,)).angle == 90.0


def test_nothing_fits_into_nothing():
    """An empty or too small region has no label."""
    assert fit_inside(Polygon(), [["a"]], (8.0,)) is None
    assert fit_inside(box(0, 0, 3, 3), [["a"]], (8.0,)) is None


def test_wider_words_take_more_room():
    """Width grows with the words and the size, height with the lines."""
    assert extent(["wide words"], 8.0)[0] > extent(["i"], 8.0)[0]
    assert extent(["a", "b"], 8.0)[1] > extent(["a"], 8.0)[1]


def test_a_number_goes_to_free_cloth_near_by():
    """Free cloth on the right is taken rather than the neighbour on the left."""
    own, neighbour = box(0, 0, 6, 6), box(-80, -80, -1, 80)
    label = lead_out(
        own, "7", 6.0, room=box(-100, -100, 100, 100), others=neighbour, labels=MultiPolygon()
    )
    assert not label.box.intersects(neighbour)
    assert not label.box.intersects(own)
    assert label.box.distance(own) < 15


def test_a_number_without_free_cloth_lies_on_a_neighbour_off_its_label():
    """Shut in on all sides it still finds a place, never on another label."""
    room = box(-40, -40, 40, 40)
    own = box(-3, -3, 3, 3)
    labels = box(5, -40, 40, 40)
    label = lead_out(own, "7", 6.0, room=room, others=room.difference(own), labels=labels)
    assert room.covers(label.box)
    assert not label.box.intersects(labels)
    assert own.covers(Point(lead_start(own)))
