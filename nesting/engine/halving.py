"""Which attempts to give up early: those that at a mark overlap more than most before them.

(Successive halving: Karnin, Koren and Somekh 2013; a rule of the same kind that compares with
earlier attempts: Golovin et al. 2017.)
"""

from __future__ import annotations

from collections import deque

import numpy as np

MARKS = (100, 200, 400, 800, 1600)
"""Sweeps after which an attempt is compared with those before it."""

REMEMBERED = 20
"""Latest attempts that reached a mark: those to compare with."""

LEAST = 5
"""Attempts that pass a mark in any case, so that there is something to compare with."""

KEPT = 0.6
"""Share of the attempts before it among which an attempt has to be to pass a mark."""


class Halving:
    """What the latest attempts had come to at each mark, the less the better.

    ``marks`` are the ages in sweeps at which it is compared, ``kept`` is the share among which
    one has to be to go on.
    """

    def __init__(self, marks: tuple[int, ...] = MARKS, kept: float = KEPT) -> None:
        self._marks = marks
        self._kept = kept
        self._seen = [deque[float](maxlen=REMEMBERED) for _ in marks]
        self.begin()

    def begin(self) -> None:
        """Follow another attempt, from its first sweep."""
        self._passed = 0

    def leaves(self, age: int, reached: float) -> bool:
        """Tell whether the attempt followed has come to a mark where it is worse than most."""
        mark = self._passed
        if mark == len(self._marks) or age < self._marks[mark]:
            return False
        self._passed += 1
        return self.gives_up(mark, reached)

    def gives_up(self, mark: int, reached: float) -> bool:
        """Tell whether an attempt is worse than most; remember it for those that follow.

        ``mark`` is an index into the marks, ``reached`` the least it has come to.
        """
        seen = self._seen[mark]
        worse = len(seen) >= LEAST and reached > np.quantile(seen, self._kept)
        seen.append(reached)
        return bool(worse)
