"""The choice of joins for several pieces together, against trying every combination."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.rules.choose_joins import Combinations, Needs, Option

lengths = st.integers(0, 500).map(float)
needs = st.builds(
    lambda sums, longest: Needs(np.array(sums), longest), st.tuples(lengths, lengths), lengths
)
option = st.builds(Option, needs, lengths)


@settings(max_examples=25)
@given(needs, st.lists(st.lists(option, min_size=1, max_size=4), min_size=1, max_size=3))
def test_combinations_come_in_the_order_of_their_proven_cost(others, options):
    """All of them, the least first, and then the proof that none is left."""
    combinations = Combinations(others, options)
    found = []
    while (combination := combinations.next(1e6)) is not None:
        found.append(combination)
        combinations.rule_out(combination)
    assert combinations.none_better
    every = list(product(*(range(len(own)) for own in options)))
    assert sorted(found) == sorted(every)
    assert combinations.count == len(every)

    def cost(combination):
        taken = [own[k] for own, k in zip(options, combination, strict=True)]
        sums = others.sums + sum(o.needs.sums for o in taken)
        longest = max(others.longest, *(o.needs.longest for o in taken))
        return max(*sums, longest) + sum(o.price for o in taken)

    costs = [cost(combination) for combination in found]
    assert costs == sorted(costs)
    assert [combinations.least(c) for c in found] == pytest.approx(costs)


def test_what_is_proven_no_better_is_not_proposed():
    """Of costs 10 and 20, below 15 only the first comes; below 10 none, and that is proven."""
    two = [Option(Needs(np.array([length]), 0.0), 0.0) for length in (20.0, 10.0)]
    combinations = Combinations(Needs(np.array([0.0]), 0.0), [two])
    assert combinations.next(15.0) == (1,)
    assert combinations.next(10.0) is None
    assert combinations.none_better


def test_needs_add_up_and_the_longest_counts_once():
    """Sums by every way of counting; the longest of all."""
    one = Needs(np.array([1.0, 5.0]), 7.0)
    both = one.with_others(Needs(np.array([2.0, 1.0]), 9.0), Needs(np.array([4.0, 0.5]), 3.0))
    assert both.sums.tolist() == [7.0, 6.5]
    assert both.longest == 9.0
    assert one.with_others().sums.tolist() == [1.0, 5.0]


def test_of_combinations_alike_the_earlier_options_come_first():
    """And a hundredth of a millimetre decides before that."""
    alike = [Option(Needs(np.array([length]), 0.0), 0.0) for length in (10.0, 10.0, 9.98)]
    others = Needs(np.array([5.0]), 0.0)
    combinations = Combinations(others, [alike, alike])
    found = []
    for _ in range(4):
        found.append(combinations.next(1e6))
        combinations.rule_out(found[-1])
    assert found[0] == (2, 2)
    assert sorted(found[1:3]) == [(0, 2), (2, 0)]
    assert combinations.least((0, 0)) == pytest.approx(25.0)


def test_the_longest_thing_and_the_price_of_joins_count():
    """However small the sums are."""
    long = Option(Needs(np.array([1.0]), 50.0), 0.0)
    dear = Option(Needs(np.array([1.0]), 2.0), 30.0)
    combinations = Combinations(Needs(np.array([3.0]), 20.0), [[long, dear]])
    assert combinations.least((0,)) == 50.0
    assert combinations.least((1,)) == 50.0
    assert combinations.next(50.0) is None
    assert combinations.none_better
    again = Combinations(Needs(np.array([3.0]), 20.0), [[long, dear]])
    assert again.next(50.01) == (0,)
