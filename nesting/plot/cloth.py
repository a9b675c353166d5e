"""The cloth under the pieces: selvages, cut end, end of the lay, rulers and nap."""

from __future__ import annotations

import math
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle
from matplotlib.ticker import FuncFormatter, MultipleLocator

from ..model.layout import Lay
from ..units import MM_PER, length_text
from .style import CONTINUED, FAINT, INK, PAPER, SELVAGE_HATCH, SMALL


@dataclass(frozen=True, slots=True)
class Ruler:
    """Marks of a ruler: the unit's name, its length, and how many to a number and to a mark."""

    name: str
    mm: float
    numbered: float
    marked: float

    @staticmethod
    def of(units: str) -> Ruler:
        """Return the ruler a maker who works in these units would lay beside the cloth."""
        if units in {"in", "yd"}:
            return Ruler("in", MM_PER["in"], 6, 1)
        return Ruler("cm", MM_PER["cm"], 10, 5)


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of cloth drawn on one row, from ``start`` to ``end`` along the cloth (mm)."""

    start: float
    end: float

    def holds(self, x: float) -> bool:
        """Tell whether a place along the cloth is on this row."""
        return self.start <= x <= self.end


def draw_cloth(lay: Lay, axes: Axes, window: Window, units: str, mm_per_point: float) -> None:
    """Draw everything of a lay but its pieces; the axes then measure in millimetres."""
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    far = min(window.end, max(lay.length, window.start))
    axes.add_patch(
        Rectangle(
            (window.start, low),
            window.end - window.start,
            high - low,
            fc=PAPER,
            ec="none",
            zorder=0,
        )
    )
    _selvages(lay, axes, window, mm_per_point)
    _rulers(axes, Ruler.of(units), window, lay.usable_width)
    above = high + 3.0 * mm_per_point
    if window.holds(0.0):
        axes.plot([0, 0], [low, high], color=INK, lw=2.2, zorder=1.5, gid="squared cut end")
        axes.text(0, above, "squared cut end", fontsize=SMALL, ha="left", va="bottom")
    else:
        axes.plot([window.start] * 2, [low, high], color=FAINT, lw=0.8, ls=CONTINUED)
    if window.holds(lay.length):
        axes.plot([far, far], [low, high], color=INK, lw=1.6, ls=CONTINUED, gid="end of the lay")
        told = f"end of the lay  {length_text(lay.length, units)}"
        room = (far - window.start) / mm_per_point > 190.0
        axes.text(
            far, above, told, fontsize=SMALL, ha="right" if room else "left", va="bottom"
        ).set_position((far if room else max(far, window.start + 70 * mm_per_point), above))
    else:
        axes.plot([window.end] * 2, [low, high], color=FAINT, lw=0.8, ls=CONTINUED)
        axes.text(window.end, above, "continued", fontsize=SMALL, ha="right", va="bottom")
    if lay.nap == "one-way":
        _nap(axes, window, above, mm_per_point)


def _selvages(lay: Lay, axes: Axes, window: Window, mm_per_point: float) -> None:
    length = window.end - window.start
    for edge, base, inner in (
        ("near", -lay.selvage, 0.0),
        ("far", lay.usable_width, lay.usable_width),
    ):
        if lay.selvage > 0:
            axes.add_patch(
                Rectangle(
                    (window.start, base), length, lay.selvage,
                    fc=PAPER, ec=FAINT, lw=0.0, hatch=SELVAGE_HATCH, zorder=0.5,
                    gid=f"{edge} selvage",
                )
            )  # fmt: skip
        outer = inner - lay.selvage if edge == "near" else inner + lay.selvage
        axes.plot([window.start, window.end], [outer] * 2, color=INK, lw=1.2, zorder=1)
        axes.plot([window.start, window.end], [inner] * 2, color=FAINT, lw=0.6, zorder=1)
    named = "selvage" if lay.selvage > 0 else "edge"
    middle = (window.start + window.end) / 2
    above = lay.usable_width + lay.selvage + 3.0 * mm_per_point
    axes.text(middle, above, f"far {named}", fontsize=SMALL, ha="center", va="bottom", color=FAINT)
    # The ruler has the line below the cloth, so the near edge is named on the line after it.
    axes.annotate(
        f"near {named}",
        (1.0, 0.0),
        (0.0, -19.0),
        xycoords="axes fraction",
        textcoords="offset points",
        fontsize=SMALL,
        ha="right",
        va="top",
        color=FAINT,
    )


def _rulers(axes: Axes, ruler: Ruler, window: Window, width: float) -> None:
    def told(mm: float, _place: object = None) -> str:
        return f"{mm / ruler.mm:g}"

    for axis, extent in ((axes.xaxis, window.end - window.start), (axes.yaxis, width)):
        # As many numbers as stand apart: at most about thirty along any side.
        apart = ruler.numbered * ruler.mm
        while extent / apart > 30:
            apart *= 2
        axis.set_major_locator(MultipleLocator(apart))
        if extent / (ruler.marked * ruler.mm) < 300:
            axis.set_minor_locator(MultipleLocator(ruler.marked * ruler.mm))
        axis.set_major_formatter(FuncFormatter(told))
        axis.set_tick_params(which="major", length=5, width=0.6, labelsize=SMALL, pad=2)
        axis.set_tick_params(which="minor", length=2.5, width=0.4)
    axes.set_xlabel(f"along the cloth, {ruler.name}", fontsize=SMALL, labelpad=2)
    axes.set_ylabel(f"across, {ruler.name}", fontsize=SMALL, labelpad=2)
    for side, spine in axes.spines.items():
        spine.set_visible(side in {"left", "bottom"})
        spine.set_linewidth(0.6)
    axes.spines["left"].set_bounds(0.0, width)
    axes.spines["bottom"].set_bounds(window.start, window.end)


def _nap(axes: Axes, window: Window, above: float, mm_per_point: float) -> None:
    x = window.start + 75.0 * mm_per_point
    y = above + 3.5 * mm_per_point
    axes.add_patch(
        FancyArrowPatch(
            (x, y), (x + 34.0 * mm_per_point, y),
            arrowstyle="simple,head_length=7,head_width=7,tail_width=2.4",
            fc=PAPER, ec=INK, lw=0.8, clip_on=False, shrinkA=0, shrinkB=0, gid="nap",
        )
    )  # fmt: skip
    axes.text(
        x + 37.0 * mm_per_point, above, "one-way: all tops", fontsize=SMALL, ha="left", va="bottom"
    )


def ticks_end(length: float, units: str) -> float:
    """Return the length rounded up to the next mark of the ruler, in millimetres."""
    mark = Ruler.of(units).marked * Ruler.of(units).mm
    return math.ceil(length / mark) * mark
