"""Rulers along and across the cloth, graded like wooden ones: the finer a mark, the shorter."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
import numpy.typing as npt
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from ..units import MM_PER, tape_unit
from .style import INK, SMALL

Marks = npt.NDArray[np.float64]

CLOSEST = 0.6 * 72.0 / 25.4
"""Points between marks that a printed page still shows apart: 0.6 mm, a draughtsman's least."""

_LONGEST, _SHORTEST = 5.0, 1.8  # points
_MOST_NUMBERS = 30


@dataclass(frozen=True, slots=True)
class Ruler:
    """A ruler's unit, its length (mm), the units from number to number, and its marks.

    ``marks`` are the distances of its marks in units, the finest first, each a multiple of the
    one before it.
    """

    name: str
    mm: float
    numbered: float
    marks: tuple[float, ...]

    @staticmethod
    def of(units: str) -> Ruler:
        """Return the ruler a maker who works in these units would lay beside the cloth."""
        if tape_unit(units) == "in":
            return Ruler("in", MM_PER["in"], 6, (0.125, 0.25, 0.5, 1, 3))
        return Ruler("cm", MM_PER["cm"], 10, (0.1, 0.5, 1, 5))

    def shown(self, mm_per_point: float) -> tuple[float, ...]:
        """Return the marks that stand far enough apart to be drawn, the finest first."""
        return tuple(m for m in self.marks if m * self.mm >= CLOSEST * mm_per_point)

    def apart(self, length: float) -> float:
        """Return the units from number to number so that a side bears at most about thirty."""
        apart = self.numbered
        while length / (apart * self.mm) > _MOST_NUMBERS:
            apart *= 2
        return apart

    def told(self, mm_per_point: float) -> str:
        """Return the unit and the finest mark in words: ``in, a mark every 1/4``."""
        shown = self.shown(mm_per_point)
        if not shown:
            return self.name
        finest = f"{Fraction(shown[0])}" if self.name == "in" else f"{shown[0]:g}"
        return f"{self.name}, a mark every {finest}"


def draw_rulers(
    axes: Axes,
    units: str,
    along: tuple[float, float],
    width: float,
    mm_per_point: float,
    *,
    across_from: float = 0.0,
) -> None:
    """Draw both rulers outside of axes that measure in millimetres.

    Parameters
    ----------
    units
        The maker's unit.
    along
        Where the ruler along the cloth starts and ends.
    width
        How far the ruler across reaches, from 0.
    mm_per_point
        Millimetres of cloth to a point of paper: decides which marks can be told apart.
    across_from
        Where the ruler across counts from, 0 or ``width``.
    """
    ruler = Ruler.of(units)
    low_x, low_y = axes.get_xlim()[0], axes.get_ylim()[0]
    numbers = ruler.apart(along[1] - along[0]), ruler.apart(width)
    lines: list[Marks] = []
    for axis, apart, zero, (start, end) in (
        (axes.xaxis, numbers[0], 0.0, along),
        (axes.yaxis, numbers[1], across_from, (0.0, width)),
    ):
        axis.set_major_locator(FixedLocator(_places(apart * ruler.mm, zero, start, end).tolist()))
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(
            FuncFormatter(lambda mm, _place=None, zero=zero: f"{abs(mm - zero) / ruler.mm:g}")
        )
        axis.set_tick_params(
            which="major", length=_LONGEST + 1.0, width=0.6, labelsize=SMALL, pad=2
        )
        for level, places in _graded(ruler, zero, start, end, mm_per_point):
            out = level * mm_per_point
            if axis is axes.xaxis:
                lines += [np.array([(x, low_y), (x, low_y - out)]) for x in places]
            else:
                lines += [np.array([(low_x, y), (low_x - out, y)]) for y in places]
    axes.add_collection(
        LineCollection(
            lines, colors=INK, linewidths=0.3, clip_on=False, gid="marks of the rulers"
        ),
        autolim=False,
    )
    told = ruler.told(mm_per_point)
    axes.set_xlabel(f"along the cloth, {told}", fontsize=SMALL, labelpad=2)
    axes.set_ylabel(f"across, {ruler.name}", fontsize=SMALL, labelpad=2)
    for side, spine in axes.spines.items():
        spine.set_visible(side in {"left", "bottom"})
        spine.set_linewidth(0.6)
    axes.spines["left"].set_bounds(0.0, width)
    axes.spines["bottom"].set_bounds(*along)


def _graded(
    ruler: Ruler, zero: float, start: float, end: float, mm_per_point: float
) -> Iterator[tuple[float, Marks]]:
    """Yield the length of the marks of each fineness, in points, and their places (mm)."""
    shown = ruler.shown(mm_per_point)
    for n, mark in enumerate(shown):
        share = (n + 1) / len(shown)
        yield (
            _SHORTEST + share * (_LONGEST - _SHORTEST),
            _places(mark * ruler.mm, zero, start, end),
        )


def _places(apart: float, zero: float, start: float, end: float) -> Marks:
    """Return the multiples of a distance from ``zero`` between start and end, both included."""
    first = math.ceil((start - zero) / apart - 1e-9)
    last = math.floor((end - zero) / apart + 1e-9)
    found: Marks = zero + apart * np.arange(first, last + 1, dtype=np.float64)
    return found
