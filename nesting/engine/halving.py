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
    """The overlap that the latest attempts still had at each mark."""

    def __init__(self) -> None:
        self._seen = [deque[float](maxlen=REMEMBERED) for _ in MARKS]

    def gives_up(self, mark: int, overlap: float) -> bool:
        """Tell whether an attempt is worse than most; remember it for those that follow.

        ``mark`` is an index into ``MARKS``, ``overlap`` the least the attempt has come to.
        """
        seen = self._seen[mark]
        worse = len(seen) >= LEAST and overlap > np.quantile(seen, KEPT)
        seen.append(overlap)
        return bool(worse)
