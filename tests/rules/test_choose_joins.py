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
