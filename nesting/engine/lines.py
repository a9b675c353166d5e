"""Lines of layouts, each made from the one before: when to leave one, how to begin the next."""

from __future__ import annotations

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Board, Found
from .halving import Halving
from .recombine import Recombination
from .scaled import ScaledProblem

LAST = 0.9
"""Share of the run after which no line is begun anew."""

ROOM = 1.12
"""Length, as a share of the best, in which a line is begun from random places."""

CLOSE = 1.01
"""Length, as a share of that foreseen, in which one is begun from two ends of lines."""

BRED = 0.75
"""Share of lines begun from two ends of lines, once there are ``PARENTS``."""

PARENTS = 2
"""Ends of lines from which on they are recombined."""

STAY = 18_000
"""Sweeps without a gain that a line is granted, however many pieces there are."""

BRED_STAY = 9_000
"""As many for a line begun from two ends, which soon comes to where it can."""

PATIENT = 2
"""Times as many that the first worker grants, whose attempts take longer."""

JUDGED = 10_000
"""Sweeps after which a line is first compared with others; then after twice as many."""

DOUBLINGS = 5
"""Times that it is compared."""

HALF = 0.5
"""Share of the lines before it among which a line has to be to go on."""


class Lines:
    """The line that one worker follows, and those it has left.

    The first worker is ``patient``. ``area`` is that of each item, ``random`` the worker's own
    stream. ``swept`` counts the sweeps of this line, ``gained`` those up to its last gain;
    ``joined`` tells whether its layout is the best of all, which other workers may shorten too.
    """

    def __init__(
        self,
        scaled: ScaledProblem,
        board: Board,
        area: FloatArray,
        random: np.random.Generator,
        *,
        patient: bool,
    ) -> None:
        self._scaled = scaled
        self._board = board
        self._area = area
        self._random = random
        self._patient = patient
        self._recombination = Recombination(scaled, area)
        self._bred = False
        self._left = Halving(tuple(JUDGED << k for k in range(DOUBLINGS)), HALF)
        self.begin(joined=False)

    def begin(self, *, joined: bool) -> None:
        """Count from nothing."""
        self.swept = self.gained = 0
        self.joined = joined
        self._left.begin()

    def gain(self, *, joined: bool) -> None:
        """Take note of a shorter layout."""
        self.gained = self.swept
        self.joined = self.joined or joined

    @property
    def may_begin(self) -> bool:
        """Whether there is time for another line."""
        return self._board.spent() < LAST

    def stalled(self, length: float) -> bool:
        """Tell whether this line, which has come to a length, is to be left.

        That is so where it has gained nothing for long, or where it is the worker's own and longer
        than most before it were at its age.
        """
        if not self.may_begin:
            return False
        idle = self.swept - self.gained
        granted = BRED_STAY if self._bred else STAY
        if idle > (PATIENT * granted if self._patient else granted):
            return True
        return not self.joined and self._left.leaves(self.swept, length)

    def beginning(self, best: Found) -> tuple[float, IntArray, FloatArray, FloatArray]:
        """Return a length and where to put every entry, overlapping: from two ends or nothing."""
        board = self._board
        self._bred = False
        if len(board.ends) >= PARENTS and self._random.random() < BRED:
            joined = self._recombination.join(board.ends, board.joined, self._random)
            if joined is not None:
                self._bred = True
                return CLOSE * joined[0], *joined[1:]
        return self._scattered(best)

    def _scattered(self, best: Found) -> tuple[float, IntArray, FloatArray, FloatArray]:
        """Put all items to random places, in any of their shapes."""
        length = ROOM * best.length
        count = self._scaled.count
        shape, x, y = best.shape.copy(), best.x.copy(), best.y.copy()
        for i, choices in enumerate(self._scaled.choices):
            shape[i] = choices[int(self._random.integers(len(choices)))]
        x[:count] = self._random.random(count) * length
        y[:count] = self._random.random(count) * self._scaled.width
        return length, shape, x, y
