"""How far a cutting plan is reduced, and which stretches of cloth go on which row."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ..errors import InputError

FIT = "fit"
"""The name of the scale that brings a lay on to one page, as large as can be."""

_ROUNDED = 0.5  # a fitted scale is one to a multiple of this
_LARGEST = 2.0  # one to at least this
_MOST_ROWS = 8
_SCALE = re.compile(r"^\s*1\s*[:/]\s*(\d+(?:[.,]\d+)?)\s*$")


@dataclass(frozen=True, slots=True)
class Room:
    """What a page has for rows of cloth, millimetres of paper.

    ``along`` is the length of a row; ``up`` the height for all rows; ``row`` what each row takes
    besides the width of the cloth; ``overlap`` what neighbouring rows show alike (mm of cloth).
    """

    along: float
    up: float
    row: float
    overlap: float


@dataclass(frozen=True, slots=True)
class Reduction:
    """A lay reduced: one to ``times``, in ``windows`` (start, end, mm of cloth) on ``pages``."""

    times: float
    windows: tuple[tuple[float, float], ...]
    rows_on_page: int

    @property
    def told(self) -> str:
        """The scale in words: ``1:12.5``."""
        return f"1:{self.times:g}"

    def pages(self) -> tuple[tuple[tuple[float, float], ...], ...]:
        """Return the windows page by page."""
        n = self.rows_on_page
        return tuple(self.windows[k : k + n] for k in range(0, len(self.windows), n))


def parse_scale(text: str) -> float | None:
    """Return how many times smaller, or None for a fitted scale.

    Raises
    ------
    InputError
        If it is neither ``fit`` nor one to a number from 1 to 100.
    """
    if text.strip().lower() == FIT:
        return None
    match = _SCALE.match(text)
    times = float(match[1].replace(",", ".")) if match else 0.0
    if not 1.0 <= times <= 100.0:
        raise InputError(
            f"{text!r} is not a scale of a plan", remedy="write 1:10, 1:20, another, or fit"
        )
    return times


def reduction(length: float, width: float, room: Room, times: float | None) -> Reduction:
    """Return how cloth of this length and width is drawn; fitted where ``times`` is None.

    Raises
    ------
    InputError
        If at the scale asked for the cloth is wider than the page.
    """
    if times is None:
        times = _fitted(length, width, room)
    fits = int((room.up + 1e-6) / (width / times + room.row))
    if fits < 1:
        least = math.ceil(width / (room.up - room.row))
        raise InputError(
            f"at 1:{times:g} the cloth is {width / times:.0f} mm wide on paper and the page has "
            f"room for {room.up - room.row:.0f} mm",
            remedy=f"choose --scale 1:{least} or fit, or a larger --paper",
        )
    shown = room.along * times
    if length <= shown:
        return Reduction(times, ((0.0, length),), fits)
    step = shown - room.overlap
    rows = math.ceil((length - room.overlap) / step - 1e-9)
    # All rows alike long, so that the last is no stub.
    each = (length + (rows - 1) * room.overlap) / rows
    windows = tuple(
        (k * (each - room.overlap), k * (each - room.overlap) + each) for k in range(rows)
    )
    return Reduction(times, windows, fits)


def _fitted(length: float, width: float, room: Room) -> float:
    """Return the least reduction, rounded up, at which everything is on one page."""
    best = math.inf
    for rows in range(1, _MOST_ROWS + 1):
        high = room.up / rows - room.row
        if high <= 0.0:
            break
        each = (length + (rows - 1) * room.overlap) / rows
        best = min(best, max(width / high, each / room.along))
    return max(_LARGEST, math.ceil(best / _ROUNDED - 1e-9) * _ROUNDED)
