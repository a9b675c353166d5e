"""A layout to begin with from two others, and which ends of lines are kept for that."""

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from nesting.engine.board import ENDS, KIN, Found
from nesting.engine.lines import CLOSE, JUDGED, LAST, PARENTS, PATIENT, ROOM, STAY, Lines
from nesting.engine.recombine import EARLIEST, LATEST, recombine
from nesting.engine.scaled import like_items
from nesting.model.problem import Item, PlacementProblem
from nesting.model.stop import Stop
from tests.engine.proofs import Parts
from tests.shapes import end_for_end, star

ITEMS = st.integers(2, 14)
SEEDS = st.integers(0, 2**32 - 1)


def random_found(random, count, length):
    """Return a layout whose places and shapes are drawn, as is its order."""
    places = random.uniform(0.0, length, (2, count))
    return Found(length, random.integers(0, 9, count), *places)


def drawn(seed, count):
    """Return two layouts of three kinds of items, their kinds and areas, and a generator."""
    random = np.random.default_rng(seed)
    like = random.integers(0, 3, count)
    area = random.uniform(1.0, 5.0, 3)[like]
    return (
        random_found(random, count, 100.0),
        random_found(random, count, 90.0),
        like,
        area,
        random,
    )


def pieces(like, shape, x, y):
    """Return what lies where, whichever of its like it is."""
    return sorted(zip(like.tolist(), shape.tolist(), x.round(9), y.tolist(), strict=True))


@given(SEEDS, ITEMS)
def test_each_piece_lies_as_in_one_of_the_two(seed, count):
    """Before the cut all is as in the first; the others lie as others like them in the second."""
    first, second, like, area, random = drawn(seed, count)
    shape, x, y = recombine(first, second, like, area, 96.0, random)
    kept = (x == first.x) & (y == first.y) & (shape == first.shape)
    assert kept[first.x < EARLIEST * first.length].all()
    assert not kept[first.x >= LATEST * first.length].any()
    theirs = pieces(like, second.shape, second.x + 6.0, second.y)
    others = pieces(like[~kept], shape[~kept], x[~kept], y[~kept])
    assert len(set(others)) == len(others)
    assert set(others) <= set(theirs)
    # Of the second's pieces of a kind those nearest its end are taken.
    for kind in range(3):
        own = np.sort(second.x[like == kind] + 6.0)
        taken = np.sort(x[~kept & (like == kind)])
        assert np.allclose(taken, own[len(own) - len(taken) :])


@given(SEEDS, ITEMS)
def test_two_of_the_same_give_the_same(seed, count):
    """A layout combined with itself is itself, but for which of like pieces is which."""
    first, _, like, area, random = drawn(seed, count)
    child = recombine(first, first, like, area, first.length, random)
    assert pieces(like, *child) == pieces(like, first.shape, first.x, first.y)


def started():
    """Return parts of a run and what its second worker knows of lines."""
    rng = np.random.default_rng(5)
    stars = [(1, star(rng, 7, 2_000, 10_000)) for _ in range(6)]
    parts = Parts(end_for_end(30_000, *stars), Stop(iterations=100))
    area = np.ones(parts.scaled.count)
    return parts, Lines(parts.scaled, parts.board, area, np.random.default_rng(1), patient=False)


def test_like_items_may_take_the_same_shapes():
    """Items are alike by what they may be, not by name or place in the list."""
    rng = np.random.default_rng(5)
    shapes = end_for_end(30_000, (1, star(rng, 7, 2_000, 10_000)), (1, star(rng, 7, 900, 9_000)))
    one, other = shapes.items
    items = (one, other, Item("third", one.shapes), Item("fourth", one.shapes[:1]))
    scaled = Parts(PlacementProblem(shapes.shapes, items, 30_000.0), Stop(iterations=1)).scaled
    like = like_items(scaled)
    assert like[0] == like[2]
    assert len(set(like.tolist())) == 3


def test_lines_begin_at_random_until_there_are_parents():
    """Then mostly from two ends, a little longer than the longer of them."""
    parts, lines = started()
    best = parts.board.best
    for k in range(1, PARENTS + 1):
        lengths = {lines.beginning(best)[0] for _ in range(20)}
        assert lengths == {ROOM * best.length}
        parts.board.keep_end(Found((1.0 + 0.01 * k) * best.length, best.shape, best.x, best.y))
    ends = [end.length for end in parts.board.ends]
    possible = {CLOSE * max(pair) for pair in itertools.combinations(ends, 2)}
    lengths = [lines.beginning(best)[0] for _ in range(100)]
    bred = [length for length in lengths if length in possible]
    assert 50 < len(bred) < 95
    assert {length for length in lengths if length not in possible} == {ROOM * best.length}


@given(st.lists(st.floats(100.0, 110.0), min_size=1, max_size=40))
def test_ends_kept_differ_and_are_the_shortest(lengths):
    """The shortest of all is kept; no two are kin; there are never more than so many."""
    parts, _ = BOARD
    parts.board.ends = ()
    nothing = np.zeros(0)
    for length in lengths:
        parts.board.keep_end(Found(length, nothing.astype(int), nothing, nothing))
    kept = [end.length for end in parts.board.ends]
    assert kept == sorted(kept)
    assert kept[0] == min(lengths)
    assert len(kept) <= ENDS
    assert all(b - a > KIN * a * 0.99 for a, b in itertools.pairwise(kept))


def test_a_line_is_left_once_it_has_gained_nothing_for_long():
    """The first worker waits longer; at the end of the run nobody leaves."""
    parts, lines = started()
    lines.begin(joined=True)
    lines.swept = STAY
    assert not lines.stalled(1.0)
    lines.swept += 1
    assert lines.stalled(1.0)
    lines.gain(joined=False)
    assert lines.joined
    assert not lines.stalled(1.0)
    rng = np.random.default_rng(1)
    patient = Lines(parts.scaled, parts.board, np.ones(parts.scaled.count), rng, patient=True)
    patient.swept = PATIENT * STAY
    assert not patient.stalled(1.0)
    patient.swept += 1
    assert patient.stalled(1.0)
    parts.board.iterations = int(LAST * 100) + 1
    assert not patient.stalled(1.0)


def test_a_line_of_ones_own_is_left_where_most_were_shorter_at_its_age():
    """Lines shared with others are not judged."""
    _, lines = started()
    young = JUDGED + 1
    for joined, judged in ((False, True), (True, False)):
        for k in range(10):
            lines.begin(joined=joined)
            lines.swept = lines.gained = young
            assert not lines.stalled(100.0 - k)
        lines.begin(joined=joined)
        lines.swept = lines.gained = young
        assert lines.stalled(101.0) == judged
        assert not lines.stalled(101.0)  # once at each age


BOARD = started()
