"""Which way to cut every piece that may be pieced, chosen for all of them together.

A way of cutting a piece changes what room there is for the others, so that two joins may save
cloth where neither does by itself. OR-tools' CP-SAT knows of every part how much length it needs
on lines across the cloth at least, and proposes the combination whose proven length, with what
its joins have to save, is least; where that is no less than the best lay found, nothing better
is left.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, prod

import numpy as np
from ortools.sat.python import cp_model

from ..geometry.rings import FloatArray

_UNIT = 0.01  # mm to the whole number
_RANKS = 1000  # whole numbers to the unit, for choosing among equals
_EFFORT = 2.0  # of the solver's own measure, which does not depend on the machine


@dataclass(frozen=True, slots=True, eq=False)
class Needs:
    """What things to be cut need of a cloth's length, whatever lies beside them, mm.

    ``sums`` are lengths by several ways of counting, one each, in the same order for all things
    compared: by each, no lay of several things is shorter than the sum of theirs. Nor is it
    shorter than ``longest``, the longest of them.
    """

    sums: FloatArray
    longest: float

    def with_others(self, *others: Needs) -> Needs:
        """Return what these things need together with others."""
        return Needs(
            np.sum([self.sums, *(other.sums for other in others)], axis=0),
            max([self.longest, *(other.longest for other in others)]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """One way of cutting all copies of a piece: its needs, and what its joins have to save."""

    needs: Needs
    price: float


Combination = tuple[int, ...]
"""For every piece the number of its option."""


class Combinations:
    """Proposes combinations of options, the one with the least proven cost first.

    Parameters
    ----------
    others
        What all other pieces need.
    options
        For every piece its options; among combinations proven alike, those with early options
        come first.
    """

    def __init__(self, others: Needs, options: Sequence[Sequence[Option]]) -> None:
        self.count = prod(map(len, options))
        self.none_better = False
        self._options = options
        self._others = others
        self._model = model = cp_model.CpModel()
        self._takes = [[model.new_bool_var("") for _ in own] for own in options]
        flat = [
            (take, option)
            for takes, own in zip(self._takes, options, strict=True)
            for take, option in zip(takes, own, strict=True)
        ]
        for takes in self._takes:
            model.add_exactly_one(takes)
        everything = others.with_others(*(option.needs for _, option in flat))
        length = model.new_int_var(
            _whole(others.longest), max(1, _whole(everything.sums.max() + everything.longest)), ""
        )
        for k, already in enumerate(others.sums):
            model.add(
                length >= _whole(already) + sum(_whole(o.needs.sums[k]) * t for t, o in flat)
            )
        for take, option in flat:
            model.add(length >= _whole(option.needs.longest) * take)
        self._cost = length + sum(_whole(option.price) * take for take, option in flat)
        ranks = sum(rank * take for takes in self._takes for rank, take in enumerate(takes))
        model.minimize(_RANKS * self._cost + ranks)

    def rule_out(self, combination: Combination) -> None:
        """Propose a combination no more."""
        self._model.add_bool_or(
            takes[k].negated() for takes, k in zip(self._takes, combination, strict=True)
        )

    def next(self, below: float) -> Combination | None:
        """Return the combination whose proven cost is least, if that is below a cost, mm.

        None where there is none; ``none_better`` then tells whether that is proven.
        """
        self._model.add(self._cost < _whole(below))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_deterministic_time = _EFFORT
        status = solver.solve(self._model)
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            self.none_better = status == cp_model.INFEASIBLE
            return None
        return tuple(
            next(k for k, take in enumerate(takes) if solver.boolean_value(take))
            for takes in self._takes
        )

    def least(self, combination: Combination) -> float:
        """Return the proven cost of a combination, mm."""
        taken = [own[k] for own, k in zip(self._options, combination, strict=True)]
        needs = self._others.with_others(*(option.needs for option in taken))
        return max(float(needs.sums.max()), needs.longest) + sum(o.price for o in taken)


def _whole(length: float) -> int:
    """Return a length in whole units, rounded down, so that what is proven stays proven."""
    return floor(length / _UNIT)
