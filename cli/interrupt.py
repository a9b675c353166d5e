"""Ctrl-C and the system's wish to end: keep the best layout instead of dying at once."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from .console import say


@contextmanager
def graceful_stop(*, quiet: bool) -> Iterator[Callable[[], bool]]:
    """Catch SIGINT and SIGTERM once and give a function that says whether one came.

    A second signal interrupts at once, without a layout.
    """
    came = False

    def first(number: int, _frame: FrameType | None) -> None:
        nonlocal came
        came = True
        signal.signal(number, at_once)
        if not quiet:
            say("ending with the best layout so far; once more to give up at once")

    def at_once(_number: int, _frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    before = {number: signal.signal(number, first) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield lambda: came
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
