"""Joining of lines that meet end to end, and the gathering of notes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.readers.drawn import DrawnPath, Notes, join_chains

from .drawings import apart, rings


def line(*points, layer="a"):
    """Return an open path through the points."""
    return DrawnPath(np.array(points, dtype=float), False, layer, "LINE")


@settings(max_examples=50, deadline=None)
@given(rings(), st.randoms(use_true_random=False), st.floats(0, 0.02))
def test_a_ring_cut_into_lines_is_joined_again(ring, random, noise):
    """In any order, drawn either way, ends rounded: one closed path, the same ring."""
    edges = list(zip(ring, np.roll(ring, -1, axis=0), strict=True))
    shaken = [
        [[c + random.uniform(-noise, noise) for c in end] for end in random.sample(edge, 2)]
        for edge in edges
    ]
    random.shuffle(shaken)
    joined = join_chains([line(*edge) for edge in shaken], within=0.06)
    assert len(joined) == 1
    assert joined[0].closed
    assert len(joined[0].points) == len(ring)
    assert apart(joined[0].points, ring) <= noise * np.sqrt(2) + 1e-9


def test_an_open_chain_grows_at_both_ends():
    """The middle drawn first, the others either way round: one open path in order."""
    for before in (line((0, 0), (1, 0)), line((1, 0), (0, 0))):
        for after in (line((2, 0), (3, 0)), line((3, 0), (2, 0))):
            (joined,) = join_chains([line((1, 0), (2, 0)), before, after], within=0.05)
            assert not joined.closed
            assert joined.points.tolist() == [[0, 0], [1, 0], [2, 0], [3, 0]]


def test_lines_farther_apart_stay_apart():
    """A gap just over the tolerance is a gap."""
    joined = join_chains([line((0, 0), (1, 0)), line((1.06, 0), (2, 0))], within=0.05)
    assert [path.points.tolist() for path in joined] == [[[0, 0], [1, 0]], [[1.06, 0], [2, 0]]]


def test_the_nearest_end_wins():
    """Of two lines starting within the tolerance, the one that starts nearer is joined."""
    joined = join_chains(
        [line((0, 0), (1, 0)), line((1.04, 0), (2, 9)), line((1.01, 0), (2, 0))], within=0.05
    )
    assert joined[0].points.tolist() == [[0, 0], [1, 0], [2, 0]]


def test_a_closed_path_passes_through():
    """What is closed takes no part."""
    ring = DrawnPath(np.array([[0.0, 0], [1, 0], [1, 1]]), True, "a", "CIRCLE")
    assert join_chains([ring, line((0, 0), (5, 5))], within=0.05)[0] is ring


@pytest.mark.parametrize("count", [4000])
def test_thousands_of_lines_are_joined(count):
    """A curve exploded into thousands of short lines is one outline again."""
    angles = np.linspace(0, 2 * np.pi, count, endpoint=False)
    ring = 1000 * np.column_stack([np.cos(angles), np.sin(angles)])
    edges = zip(ring[::-1], np.roll(ring[::-1], -1, axis=0), strict=True)
    joined = join_chains([line(*edge) for edge in edges], within=0.05)
    assert [path.closed for path in joined] == [True]
    assert len(joined[0].points) == count


def test_the_same_note_is_said_once_with_its_count():
    """Forty hidden lines are one note."""
    notes = Notes("f.dxf")
    for _ in range(40):
        notes.unread("layer X", "hidden  LINE")
    notes.add("assumed", "gore", "once")
    assert [str(note) for note in notes.as_tuple()] == [
        "f.dxf: layer X: unread: hidden LINE (40 times)",
        "f.dxf: gore: assumed: once",
    ]
