"""What the workers of one run share: the best layout, the clock, and when to stop."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from ..model.events import OnEvent, Phase, Progress
from ..model.problem import Position
from ..model.result import StopReason
from ..model.stop import Stop
from .bounds import closed


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A feasible layout in units: its length, and each item's shape and centre."""

    length: float
    shape: IntArray
    x: FloatArray
    y: FloatArray


Join: TypeAlias = tuple[Found, bool, Found, bool, int]
"""Two layouts, each with whether it is turned, and the zone in which they are joined."""

ENDS = 10
"""Shortest ends of lines kept, to begin new lines with."""

SAME = 1e-5
"""Share of the length by which two layouts differ that are most likely not the same."""

KIN = 1e-3
"""Share of the length by which two ends differ that are most likely not much the same."""


class RunOverError(Exception):
    """The run must end before the search has begun."""


class Board:
    """The best layout so far and the limits of the run, safe to use from several threads.

    Counters live here, not in the stop rule. ``clock`` returns seconds and never runs backward.
    ``positions`` turns a layout into positions of the problem's own shapes, for those who listen.
    """

    def __init__(
        self,
        stop: Stop,
        *,
        scale: float,
        minimum: float,
        clock: Callable[[], float],
        start: float,
        on_event: OnEvent | None,
        interrupted: Callable[[], bool] | None,
        positions: Callable[[Found], tuple[Position, ...]] | None = None,
    ) -> None:
        self._lock = threading.Lock()
        self._stop = stop
        self._scale = scale
        self._clock = clock
        self._start = start
        self._on_event = on_event
        self._interrupted = interrupted
        self._positions = positions
        self._since_gain = 0
        self.minimum = self._told_minimum = minimum
        self.iterations = 0
        self.best: Found | None = None
        self.ends: tuple[Found, ...] = ()
        self.joined: set[Join] = set()
        self.history: list[tuple[float, float]] = []
        self.reason: StopReason | None = None

    @property
    def seconds(self) -> float:
        """Seconds since the run began."""
        return self._clock() - self._start

    def offer(self, found: Found, phase: Phase) -> bool:
        """Take a layout if it is shorter than the best; tell whether it was."""
        with self._lock:
            if self.best is not None and found.length >= self.best.length:
                return False
            self.best = found
            self._since_gain = 0
            self.history.append((self.seconds, found.length / self._scale))
        self.tell(phase, found)
        return True

    def keep_end(self, found: Found) -> None:
        """Keep a layout that a worker could not better, if it is among the shortest such.

        Of those nearly as long as each other, and so most likely much the same, one is kept.
        """
        with self._lock:
            kin = [end for end in self.ends if is_among(found, [end], KIN)]
            shortest = min([found, *kin], key=lambda end: end.length)
            kept = [shortest, *(end for end in self.ends if end not in kin)]
            self.ends = tuple(sorted(kept, key=lambda end: end.length)[:ENDS])

    def count(self) -> None:
        """Count one attempt to separate the pieces."""
        with self._lock:
            self.iterations += 1
            self._since_gain += 1

    def tell(self, phase: Phase, found: Found | None = None) -> None:
        """Send a progress event, with the layout just found if there is one."""
        if self._on_event is None:
            return
        best = self.best if found is None else found
        length = None if best is None else best.length / self._scale
        layout = () if found is None or self._positions is None else self._positions(found)
        self._on_event(
            Progress(phase, self.seconds, length, self.minimum, self.iterations, layout)
        )

    def raise_minimum(self, length: float) -> None:
        """Take note that no layout is shorter than a length, in the problem's unit."""
        with self._lock:
            self.minimum = max(self.minimum, length)
            # A proof may creep up in thousands of steps; not every one is news.
            news = self.minimum > 1.001 * self._told_minimum
            if news:
                self._told_minimum = self.minimum
        if news:
            self.tell("proving")

    def interrupt(self) -> None:
        """End the run at the next look at the clock."""
        self.reason = "interrupted"

    def asked_to_stop(self) -> bool:
        """Ask whether the run is interrupted, whatever has ended its search."""
        if self._interrupted is not None and self._interrupted():
            self.interrupt()
        return self.reason == "interrupted"

    def spent(self) -> float:
        """Return the share of the budget that is used up, the largest of all limits."""
        shares = [0.0]
        if self._stop.seconds is not None:
            shares.append(self.seconds / self._stop.seconds)
        if self._stop.iterations is not None:
            shares.append(self.iterations / self._stop.iterations)
        if self._stop.without_gain is not None:
            shares.append(self._since_gain / self._stop.without_gain)
        return max(shares)

    def seconds_left(self, share: float) -> float | None:
        """Return a share of the time left; None where the run has no time limit."""
        if self._stop.seconds is None:
            return None
        return max(0.0, share * (self._stop.seconds - self.seconds))

    def attempts_left(self) -> int:
        """Return how many attempts may still be made, or made without a gain."""
        limits = []
        if self._stop.iterations is not None:
            limits.append(self._stop.iterations - self.iterations)
        if self._stop.without_gain is not None:
            limits.append(self._stop.without_gain - self._since_gain)
        return max(0, min(limits, default=0))

    def over(self) -> bool:
        """Tell whether the run must end, and remember why."""
        if self.reason is not None or self.asked_to_stop():
            return True
        stop, best = self._stop, self.best
        length = None if best is None else best.length / self._scale
        if length is not None and (
            closed(length, self.minimum) or stop.out_of_reach(self.minimum)
        ):
            self.reason = "proven"
        elif length is not None and stop.target is not None and length <= stop.target:
            self.reason = "target"
        elif stop.iterations is not None and self.iterations >= stop.iterations:
            self.reason = "iterations"
        elif stop.without_gain is not None and self._since_gain >= stop.without_gain:
            self.reason = "no gain"
        elif stop.seconds is not None and self.seconds >= stop.seconds:
            self.reason = "time"
        return self.reason is not None

    def look(self) -> None:
        """Raise ``RunOverError`` where the run must end."""
        if self.over():
            raise RunOverError


def is_among(found: Found, known: Sequence[Found], share: float = SAME) -> bool:
    """Tell whether a layout is as long as one that is known, and so most likely the same."""
    return any(abs(found.length - other.length) <= share * found.length for other in known)
