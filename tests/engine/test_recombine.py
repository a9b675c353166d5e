"""A layout to begin with from two others, and which ends of lines are kept for that."""

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, affinity

from nesting.engine.board import ENDS, KIN, Found
from nesting.engine.lines import (
    BRED_STAY,
    CLOSE,
    JUDGED,
    LAST,
    PARENTS,
    PATIENT,
    ROOM,
    STAY,
    Lines,
)
from nesting.engine.recombine import EARLIEST, LATEST, ZONES, Recombination, half_turns
from nesting.engine.scaled import like_items, scale_problem
from nesting.model.problem import Item, Obstacle, PlacementProblem, Shape
from nesting.model.stop import Stop
from tests.engine.proofs import Parts
from tests.shapes import end_for_end, star

SEEDS = st.integers(0, 2**32 - 1)
COUNTS = st.integers(1, 5)


def drawn(seed, counts, layouts=2):
    """Return a problem of three kinds of pieces, its areas, random layouts, a generator."""
    random = np.random.default_rng(seed)
    kinds = [(count, star(random, 7, 2_000, 10_000)) for count in counts]
    scaled = scale_problem(end_for_end(30_000, *kinds))
    area = np.array([scaled.shapes[choice[0]].area for choice in scaled.choices])
    return scaled, area, [random_found(scaled, random) for _ in range(layouts)], random


def random_found(scaled, random):
    """Return a layout of items that all lie within it, overlapping as they like."""
    shape = np.array([random.choice(choice) for choice in scaled.choices])
    half = np.array([scaled.shapes[s].half for s in shape], dtype=float)
    length = scaled.width * random.uniform(2.0, 3.0)
    x = half[:, 0] + random.random(len(shape)) * (length - 2.0 * half[:, 0])
    y = half[:, 1] + random.random(len(shape)) * (scaled.width - 2.0 * half[:, 1])
    return Found(length, shape, x, y)


def turned(found, scaled):
    """Return a layout seen from its other end."""
    shape = half_turns(scaled)[found.shape]
    return Found(found.length, shape, found.length - found.x, scaled.width - found.y)


def pieces(like, shape, x, y):
    """Return what lies where, whichever of its like it is."""
    return sorted(zip(like.tolist(), shape.tolist(), x.round(3), y.round(3).tolist(), strict=True))


def left_of(scaled, found, at):
    """Return the area of all items left of a place, by shapely."""
    total = 0.0
    for s, x in zip(found.shape, found.x, strict=True):
        ring = scaled.shapes[s].rings[0] + np.array([x, 0.0])
        high = scaled.width
        half_plane = Polygon([(-9e9, -high), (at, -high), (at, high), (-9e9, high)])
        total += Polygon(ring).intersection(half_plane).area
    return total


@given(SEEDS, st.tuples(COUNTS, COUNTS, COUNTS))
def test_each_piece_lies_as_in_one_of_the_two(seed, counts):
    """Up to some place all is as in one; every other item lies as one like it in the other."""
    scaled, area, layouts, random = drawn(seed, counts)
    like = like_items(scaled)
    foreseen, shape, x, y = Recombination(scaled, area).join(layouts, set(), random)
    assert all(shape[i] in choice for i, choice in enumerate(scaled.choices))
    views = [*layouts, *(turned(found, scaled) for found in layouts)]
    explained = False
    for first in views:
        kept = np.isclose(x, first.x, atol=1e-3) & np.isclose(y, first.y, atol=1e-3)
        kept &= shape == first.shape
        sure = first.x < EARLIEST * first.length
        if not kept[sure].all() or kept[first.x > LATEST * first.length + 1.0].any():
            continue
        for second in views:
            shift = foreseen - second.length
            theirs = pieces(like, second.shape, second.x + shift, second.y)
            mine = pieces(like[~kept], shape[~kept], x[~kept], y[~kept])
            explained |= all(
                any(a[:2] == b[:2] and np.allclose(a[2:], b[2:], atol=0.01) for b in theirs)
                for a in mine
            )
    assert explained


@given(SEEDS, st.tuples(COUNTS, COUNTS, COUNTS))
def test_both_parts_have_the_area_of_all_pieces(seed, counts):
    """The length foreseen is that at which the one's part and the other's hold everything."""
    scaled, area, layouts, random = drawn(seed, counts)
    foreseen, *_ = Recombination(scaled, area).join(layouts, set(), random)
    views = [*layouts, *(turned(found, scaled) for found in layouts)]
    smallest = np.inf
    for first in views:
        for second in views:
            # Somewhere between the first cut and the last both add up to all items.
            for at in np.linspace(EARLIEST, LATEST, 60) * first.length:
                other = at + second.length - foreseen
                both = left_of(scaled, first, at) - left_of(scaled, second, other)
                smallest = min(smallest, abs(both))
        if smallest < 0.01 * area.sum():
            break
    assert smallest < 0.02 * area.sum()


def test_the_denser_halves_are_joined():
    """Squares close to each other at one end and apart at the other: both dense ends meet."""
    square = np.array([(0, 0), (10, 0), (10, 10), (0, 10)], dtype=float)
    scaled = scale_problem(end_for_end(10.0, (8, square)))
    area = np.array([scaled.shapes[choice[0]].area for choice in scaled.choices])
    unit = scaled.scale
    at = np.array([5, 15, 25, 35, 52, 69, 86, 103], dtype=float) * unit
    found = Found(108.0 * unit, np.zeros(8, dtype=np.int64), at, np.full(8, 5.0 * unit))
    random = np.random.default_rng(0)
    foreseen, _shape, x, _y = Recombination(scaled, area).join([found], set(), random)
    assert foreseen == pytest.approx(80.0 * unit, rel=0.02)
    assert np.sort(x) == pytest.approx(np.arange(5.0, 80.0, 10.0) * unit, abs=2.0 * unit)


def test_no_two_are_joined_twice():
    """Nor as seen from the other end; at last nothing is left to join."""
    scaled, area, layouts, random = drawn(3, (2, 3, 1))
    recombination, used = Recombination(scaled, area), set()
    lengths = []
    while (joined := recombination.join(layouts, used, random)) is not None:
        lengths.append(joined[0])
    # Four views, each with three others, in each zone; a join and the same one seen from the
    # other end are used up together, and some are their own.
    pairs = {join[:4] for join in used}
    assert len(used) == 4 * 3 * ZONES
    assert len(pairs) == 4 * 3
    assert len(used) / 2 <= len(lengths) <= len(used)
    assert len(set(lengths)) == len(lengths)


def test_turning_is_for_pieces_that_may_be_turned():
    """Each shape becomes itself turned by half; not with obstacles or a nap."""
    random = np.random.default_rng(5)
    ring = np.asarray(star(random, 7, 2_000, 10_000), dtype=float)
    shapes = (Shape(ring), Shape(-ring))
    both, one = Item("both", (0, 1)), Item("one", (0,))
    plain = scale_problem(PlacementProblem(shapes, (both,), 30_000.0))
    for s, t in enumerate(half_turns(plain)):
        here, there = (Polygon(plain.shapes[k].rings[0]) for k in (s, t))
        assert affinity.rotate(here, 180, origin=(0, 0)).symmetric_difference(there).area == 0.0
    napped = scale_problem(PlacementProblem(shapes, (both, one), 30_000.0))
    assert half_turns(napped) is None
    flaw = Obstacle(Shape(0.1 * ring + 5_000.0))
    flawed = PlacementProblem(shapes, (both,), 30_000.0, obstacles=(flaw,))
    assert half_turns(scale_problem(flawed)) is None


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
    """Then mostly from two ends, a little longer than foreseen, as long as joins are left."""
    parts, lines = started()
    best = parts.board.best
    for k in range(PARENTS):
        assert {lines.beginning(best)[0] for _ in range(20)} == {ROOM * best.length}
        parts.board.keep_end(Found((1.0 + 0.01 * k) * best.length, best.shape, best.x, best.y))
    recombination = Recombination(parts.scaled, np.ones(parts.scaled.count))
    random, used, possible = np.random.default_rng(2), set(), []
    while (joined := recombination.join(parts.board.ends, used, random)) is not None:
        possible.append(CLOSE * joined[0])
    lengths = [lines.beginning(best)[0] for _ in range(200)]
    bred = [length for length in lengths if length != ROOM * best.length]
    assert 0 < len(bred) <= len(possible) + ZONES
    assert len(parts.board.joined) == len(used)
    assert lengths[-20:] == [ROOM * best.length] * 20


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


def test_a_line_begun_from_two_ends_is_left_sooner():
    """What begins near to where it can come to is not waited for as long."""
    parts, lines = started()
    best = parts.board.best
    for k in range(PARENTS):
        parts.board.keep_end(Found((1.0 + 0.01 * k) * best.length, best.shape, best.x, best.y))
    while lines.beginning(best)[0] == ROOM * best.length:
        continue
    lines.begin(joined=True)
    lines.swept = BRED_STAY
    assert not lines.stalled(1.0)
    lines.swept += 1
    assert lines.stalled(1.0)


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
