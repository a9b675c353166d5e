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

    Raises
    ------
    KeyboardInterrupt
        When a second signal came, also where that surfaced as another error: a library written
        in C that is interrupted while it is first loaded turns it into an error of its own.
    """
    came = given_up = False

    def first(_number: int, _frame: FrameType | None) -> None:
        nonlocal came
        came = True
        for number in before:
            signal.signal(number, at_once)
        if not quiet:
            say("ending with the best layout so far; once more to give up at once")

    def at_once(_number: int, _frame: FrameType | None) -> None:
        nonlocal given_up
        given_up = True
        raise KeyboardInterrupt

    before = {number: signal.signal(number, first) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield lambda: came
    except Exception:
        if given_up:
            raise KeyboardInterrupt from None
        raise
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
