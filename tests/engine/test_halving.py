"""Attempts that overlap more than most before them are given up, and only those."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from nesting.engine.halving import KEPT, LEAST, MARKS, REMEMBERED, Halving


def test_the_first_attempts_pass_whatever_they_overlap():
    """Nothing is judged before there is something to judge it by."""
    halving = Halving()
    assert not any(halving.gives_up(0, 10.0 * k) for k in range(LEAST))


@given(st.lists(st.floats(0.0, 1e6), min_size=LEAST, max_size=3 * REMEMBERED), st.floats(0.0, 1e6))
def test_an_attempt_passes_among_the_better_share_of_the_latest(before, overlap):
    """What is given up has most of the latest below it; what passes has not."""
    halving = Halving()
    for earlier in before:
        halving.gives_up(2, earlier)
    better = np.mean(np.array(before[-REMEMBERED:]) < overlap)
    given_up = halving.gives_up(2, overlap)
    # The share is only as exact as one attempt more or less among those remembered.
    if given_up:
        assert better >= KEPT - 1.0 / LEAST
    else:
        assert better <= KEPT + 1.0 / LEAST


def test_each_mark_remembers_its_own():
    """Overlaps at one mark say nothing of those at another."""
    halving = Halving()
    for _ in range(REMEMBERED):
        halving.gives_up(0, 1.0)
    assert halving.gives_up(0, 2.0)
    assert not any(halving.gives_up(mark, 2.0) for mark in range(1, len(MARKS)))


def test_no_share_is_given_up_of_attempts_that_are_all_alike():
    """No attempt is worse than one just like it."""
    halving = Halving()
    assert not any(halving.gives_up(1, 3.0) for _ in range(5 * REMEMBERED))
