"""The repeat of the design, lightly drawn over the cloth, and the points placed by it."""

from __future__ import annotations

import math
from collections.abc import Iterator

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from ..model.layout import LaidRepeat, Lay, Placement
from .cloth import Window
from .style import DESIGN, INK

_NEAREST = 9.0  # points between two lines of the grid; of a smaller repeat only some are drawn

Line = tuple[tuple[float, float], tuple[float, float]]


def draw_design(lay: Lay, axes: Axes, window: Window, mm_per_point: float) -> None:
    """Draw the repeat as far as one row shows it, and a ring round every point placed by it.

    Lines lie where a repeat starts. Of a half drop each column is drawn by itself, between the
    middles of its neighbours, so that every other one is half a repeat farther along.
    """
    if lay.repeat is not None:
        lines = list(_grid(lay.repeat, window, lay.usable_width, _NEAREST * mm_per_point))
        axes.add_collection(
            LineCollection(lines, colors=DESIGN, linewidths=0.45, zorder=2.3, gid="repeat"),
            autolim=False,
        )
    for placement in lay.placements:
        for x, y in _held(placement):
            if window.holds(x):
                axes.plot(
                    [x], [y], "o", color=INK, mfc="none", ms=6.0, mew=0.7, zorder=3.3,
                    clip_on=False, gid="placed on the design",
                )  # fmt: skip


def _held(placement: Placement) -> Iterator[tuple[float, float]]:
    for name in placement.held:
        if name in placement.points:
            yield placement.points[name]


def _grid(repeat: LaidRepeat, window: Window, width: float, nearest: float) -> Iterator[Line]:
    x0, y0 = repeat.offset
    along = _shown(repeat.along, nearest)
    if repeat.drop == "none" or not repeat.across:
        for x in _between(x0, along, window.start, window.end):
            yield (x, 0.0), (x, width)
        for y in _between(y0, _shown(repeat.across, nearest), 0.0, width):
            yield (window.start, y), (window.end, y)
        return
    half = repeat.across / 2.0
    first = math.floor((-half - y0) / repeat.across)
    for column in range(first, math.ceil((width + half - y0) / repeat.across) + 1):
        y = y0 + column * repeat.across
        low, high = max(0.0, y - half), min(width, y + half)
        if low >= high:
            continue
        if low > 0.0:
            yield (window.start, low), (window.end, low)
        start = x0 + (repeat.along / 2.0 if column % 2 else 0.0)
        for x in _between(start, along, window.start, window.end):
            yield (x, low), (x, high)


def _shown(step: float, nearest: float) -> float:
    """Return the step from one line drawn to the next: whole repeats, at least ``nearest``."""
    return step * max(1, math.ceil(nearest / step)) if step else 0.0


def _between(start: float, step: float, low: float, high: float) -> Iterator[float]:
    if step:
        n = math.ceil((low - start) / step)
        while start + n * step <= high:
            yield start + n * step
            n += 1
