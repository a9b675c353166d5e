"""How the effort asked for is divided: shares of it, and how much of the time is spent."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

from .model.stop import Stop

LEAST_SECONDS = 0.1
"""The least time a search gets, however small its share."""


class Effort:
    """The effort on one plan, and how much of its time is spent by everything done for it.

    Reading the clock rather than adding up searches, it counts what comes before and after each
    of them too. Without a limit in seconds nothing is ever used up.
    """

    def __init__(self, stop: Stop, clock: Callable[[], float] = time.monotonic) -> None:
        self.stop = stop
        self._clock = clock
        self._began = clock()
        self._ends = stop.seconds or 0.0

    @property
    def spent(self) -> float:
        """Seconds since the beginning, without what was left out."""
        return self._clock() - self._began

    @property
    def left(self) -> float:
        """Seconds that are left."""
        return max(self._ends - self.spent, 0.0)

    def leave_out(self, seconds: float) -> None:
        """Take no notice of time that was spent just now."""
        self._began += seconds

    def part(self, share: float) -> Callable[[], bool]:
        """Begin a part that may take a share of the time; return what tells when that is over."""
        if self.stop.seconds is None:
            return lambda: False
        ends = self.spent + share * self.stop.seconds
        return lambda: self.spent >= ends

    def keep(self, share: float) -> float:
        """See to it that a share of the time is left, if need be beyond what was asked.

        Returns
        -------
        float
            The share that is left.
        """
        if self.stop.seconds is None:
            return 1.0
        self._ends = max(self._ends, self.spent + share * self.stop.seconds)
        return self.left / self.stop.seconds


def scaled(stop: Stop, share: float) -> Stop:
    """Return a share of an effort, never quite nothing."""
    seconds = None if stop.seconds is None else max(share * stop.seconds, LEAST_SECONDS)
    iterations = None if stop.iterations is None else max(1, round(share * stop.iterations))
    return replace(stop, seconds=seconds, iterations=iterations)
