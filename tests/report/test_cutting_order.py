"""The cutting order: folded before open, large before small, and no needless walking."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from nesting.model.layout import Placement
from nesting.report.cutting_order import cutting_order, cutting_passes

from ..handmade import DAMASK, lay_on, rectangle, two_gores


def box(x, y, length, width, **fields):
    """Return a rectangle that lies with one corner at (x, y)."""
    outline = np.array(rectangle(length, width), dtype=float) + np.array([x, y])
    return Placement("box", 1, False, 0.0, outline, ((x, y), (x + 1, y)), **fields)


boxes = st.lists(
    st.builds(
        box,
        st.integers(0, 5000),
        st.integers(0, 500),
        st.integers(10, 2000),
        st.integers(10, 600),
        layers=st.sampled_from([1, 2]),
        on_fold=st.booleans(),
    ),
    max_size=12,
)


def lay_of(placements):
    """Return a lay that holds these placements; nothing else of it matters here."""
    return replace(lay_on(DAMASK, [box(0, 0, 10, 10)]), placements=tuple(placements))


@given(boxes)
def test_every_piece_is_cut_once(placements):
    """The order is a permutation of the placements."""
    assert sorted(cutting_order(lay_of(placements))) == list(range(len(placements)))


@given(boxes)
def test_what_lies_double_comes_first(placements):
    """Once the cloth is opened out it is not folded again."""
    lay = lay_of(placements)
    double = [p.layers > 1 or p.on_fold for p in (lay.placements[n] for n in cutting_order(lay))]
    assert double == sorted(double, reverse=True)


@given(boxes)
def test_the_largest_is_among_the_first_of_its_stretch(placements):
    """Nothing cut on the first walk of a stretch is less than half the longest or largest."""
    lay = lay_of(placements)
    for walk in cutting_passes(lay):
        if walk.large:
            here = [p for p in placements if (p.layers > 1 or p.on_fold) is walk.double]
            most = max(np.ptp(p.outline, axis=0).prod() for p in here)
            longest = max(np.ptp(p.outline[:, 0]) for p in here)
            for n in walk.placements:
                along, across = np.ptp(placements[n].outline, axis=0)
                assert 2 * along * across >= most or 2 * along >= longest


@given(boxes)
def test_no_walk_turns_back(placements):
    """On one walk the pieces follow each other along the cloth, one way or the other."""
    for walk in cutting_passes(lay_of(placements)):
        starts = [placements[n].outline[:, 0].min() for n in walk.placements]
        ends = [placements[n].outline[:, 0].max() for n in walk.placements]
        assert starts == sorted(starts) or ends == sorted(ends, reverse=True)


def test_large_pieces_going_out_small_ones_coming_back():
    """Three widths of a skirt are cut going out, the cuffs between them on the way back."""
    lay = lay_of(
        [
            box(0, 600, 100, 50),
            box(0, 0, 1000, 500),
            box(2100, 0, 1000, 500),
            box(1050, 0, 1000, 500),
            box(2000, 600, 100, 50),
        ]
    )
    assert cutting_order(lay) == (1, 3, 2, 4, 0)


def test_a_wide_piece_counts_as_large_as_a_long_one():
    """A sash two metres long, then a cape that is shorter but larger, and last what is neither."""
    lay = lay_of([box(2100, 0, 100, 50), box(3000, 0, 400, 900), box(0, 0, 2000, 100)])
    assert cutting_order(lay) == (2, 1, 0)


def test_nothing_to_cut_has_no_order():
    """A lay without placements has an empty order, and an unfolded one needs no folding."""
    assert cutting_order(lay_of([])) == ()
    lay = two_gores()[1].lays[0]
    assert lay.folding is None
    assert sorted(cutting_order(lay)) == [0, 1]
