"""What the engine tells while it works; it never prints."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, TypeAlias

from .problem import Position

Phase = Literal[
    "comparing", "compiling", "preparing", "first", "proving", "searching", "tightening", "done"
]


@dataclass(frozen=True, slots=True)
class Progress:
    """One step of a run.

    ``seconds`` since entering ``solve``; ``length`` is the best feasible length so far (None
    before the first layout), ``minimum`` the proven least length, ``iterations`` the attempts
    made. Lengths are in the problem's own unit. ``layout`` has the positions of a layout shorter
    than those before it, one per item; it is empty where the step brought none.
    """

    phase: Phase
    seconds: float
    length: float | None = None
    minimum: float | None = None
    iterations: int = 0
    layout: tuple[Position, ...] = ()


OnEvent: TypeAlias = Callable[[Progress], None]
