"""The cloth under the pieces: selvages, cut end, end of the lay, rulers and nap."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle
from matplotlib.ticker import FixedLocator, FuncFormatter, MultipleLocator, NullLocator

from ..model.layout import Lay
from ..units import MM_PER, length_text
from .fit import extent
from .style import CONTINUED, FAINT, INK, PAPER, SELVAGE_HATCH, SMALL

_CLOSEST_MARKS = 2.4  # points between marks of a ruler that the eye tells apart


@dataclass(frozen=True, slots=True)
class Ruler:
    """Marks of a ruler: the unit's name, its length, how many to a number, and the marks between.

    The first of ``marks`` that can be told apart on the drawing is used.
    """

    name: str
    mm: float
    numbered: float
    marks: tuple[float, ...]

    @staticmethod
    def of(units: str) -> Ruler:
        """Return the ruler a maker who works in these units would lay beside the cloth."""
        if units in {"in", "yd"}:
            return Ruler("in", MM_PER["in"], 6, (0.125, 0.25, 0.5, 1, 3))
        return Ruler("cm", MM_PER["cm"], 10, (0.5, 1, 5))


@dataclass(frozen=True, slots=True)
class Window:
    """The stretch of cloth drawn on one row, from ``start`` to ``end`` along the cloth (mm)."""

    start: float
    end: float

    def holds(self, x: float) -> bool:
        """Tell whether a place along the cloth is on this row."""
        return self.start <= x <= self.end


def shown_length(lay: Lay) -> float:
    """Return how far along the cloth is drawn: to the end of the lay, or of an owned panel."""
    if lay.panel_outline is None:
        return lay.reach
    return max(lay.length, float(lay.panel_outline[:, 0].max()))


def draw_cloth(
    lay: Lay,
    axes: Axes,
    window: Window,
    units: str,
    mm_per_point: float,
    *,
    wrong_side: bool = False,
) -> None:
    """Draw everything of a lay but its pieces; the axes then measure in millimetres.

    Seen from the wrong side, the near selvage is drawn above and the ruler across counts down.
    """
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    length = window.end - window.start
    axes.add_patch(
        Rectangle((window.start, low), length, high - low, fc=PAPER, ec="none", zorder=0)
    )
    _selvages(lay, axes, window, mm_per_point, wrong_side=wrong_side)
    _rulers(axes, Ruler.of(units), window, lay.usable_width, mm_per_point)
    if wrong_side:
        _count_down(axes, Ruler.of(units), lay.usable_width)
    if window.holds(0.0):
        axes.plot([0, 0], [low, high], color=INK, lw=2.2, zorder=1.5, gid="squared cut end")
    else:
        axes.plot([window.start] * 2, [low, high], color=FAINT, lw=0.8, ls=CONTINUED)
    if window.holds(lay.reach):
        axes.plot(
            [lay.reach] * 2, [low, high], color=INK, lw=1.6, ls=CONTINUED, gid="end of the lay"
        )
    else:
        axes.plot([window.end] * 2, [low, high], color=FAINT, lw=0.8, ls=CONTINUED)
    _words_above(lay, axes, window, units, mm_per_point)


def _words_above(lay: Lay, axes: Axes, window: Window, units: str, mm_per_point: float) -> None:
    """Name cut end, nap and end of the lay above the cloth, on more lines where it is short."""
    points = (window.end - window.start) / mm_per_point
    high = lay.usable_width + lay.selvage

    def height(line: int) -> float:
        return high + (3.0 + 9.0 * line) * mm_per_point

    if window.holds(0.0):
        axes.text(0.0, height(0), _start_words(lay), fontsize=SMALL, ha="left", va="bottom")
    if window.holds(lay.reach):
        line = 0 if points > 170.0 else 1
        both = ", both layers counted" if lay.reach < lay.length else ""
        words = f"end of the lay  {length_text(lay.length, units)}{both}"
        x, side = (lay.reach, "right") if line == 0 else (window.start, "left")
    else:
        x, line, words, side = window.end, 0, "continued", "right"
    axes.text(x, height(line), words, fontsize=SMALL, ha=side, va="bottom")
    if lay.nap == "one-way":
        if points > 340.0:
            _nap(axes, window.start + 75.0 * mm_per_point, height(0), mm_per_point)
        else:
            _nap(axes, window.start, height(line + 1), mm_per_point)


def _folded_away(lay: Lay, edge: str, window: Window) -> bool:
    """Tell whether an edge of the cloth is folded in where a row ends."""
    folding = lay.folding
    if folding is None or (folding.end is not None and window.end > folding.end):
        return False
    return folding.kind == "middle" or (folding.kind != "crosswise" and edge == "far")


def _start_words(lay: Lay) -> str:
    """Return what the cloth begins with: its squared end, or a fold across it."""
    folds = () if lay.folding is None else lay.folding.edges
    return "fold" if any(a[0] == b[0] == 0.0 for a, b in folds) else "squared cut end"


def _selvages(
    lay: Lay, axes: Axes, window: Window, mm_per_point: float, *, wrong_side: bool
) -> None:
    length = window.end - window.start
    named = "selvage" if lay.selvage > 0 else "edge"
    below, above = ("far", "near") if wrong_side else ("near", "far")
    for edge, inner, outward in ((below, 0.0, -1.0), (above, lay.usable_width, 1.0)):
        outer = inner + outward * lay.selvage
        if lay.selvage > 0:
            axes.add_patch(
                Rectangle(
                    (window.start, min(inner, outer)), length, lay.selvage,
                    fc=PAPER, ec=FAINT, lw=0.0, hatch=SELVAGE_HATCH, zorder=0.5,
                    gid=f"{edge} selvage",
                )
            )  # fmt: skip
        axes.plot([window.start, window.end], [outer] * 2, color=INK, lw=1.2, zorder=1)
        axes.plot([window.start, window.end], [inner] * 2, color=FAINT, lw=0.6, zorder=1)
        if not _folded_away(lay, edge, window):
            axes.text(
                window.end + 4.0 * mm_per_point, (inner + outer) / 2, f"{edge} {named}",
                fontsize=SMALL, ha="left", va="center", color=FAINT,
            )  # fmt: skip


def _rulers(axes: Axes, ruler: Ruler, window: Window, width: float, mm_per_point: float) -> None:
    def told(mm: float, _place: object = None) -> str:
        return f"{mm / ruler.mm:g}"

    for axis, shown in ((axes.xaxis, window.end - window.start), (axes.yaxis, width)):
        # As many numbers as stand apart: at most about thirty along any side.
        apart = ruler.numbered * ruler.mm
        while shown / apart > 30:
            apart *= 2
        axis.set_major_locator(MultipleLocator(apart))
        finest = next(
            (m for m in ruler.marks if m * ruler.mm >= _CLOSEST_MARKS * mm_per_point), None
        )
        if finest is not None:
            axis.set_minor_locator(MultipleLocator(finest * ruler.mm))
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


def _count_down(axes: Axes, ruler: Ruler, width: float) -> None:
    """Let the ruler across count from the near selvage, which is drawn above."""
    apart, least = ruler.numbered * ruler.mm, ruler.numbered * ruler.mm
    while width / apart > 30:
        apart += least
    places = [width - k * apart for k in range(int(width / apart) + 1)]
    axes.yaxis.set_major_locator(FixedLocator(places))
    axes.yaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_major_formatter(
        FuncFormatter(lambda y, _place=None: f"{(width - y) / ruler.mm:g}")
    )


def _nap(axes: Axes, x: float, y: float, mm_per_point: float) -> None:
    """Say and show which way the tops point, starting at a place above the cloth."""
    words = "one-way cloth, all tops this way"
    axes.text(x, y, words, fontsize=SMALL, ha="left", va="bottom")
    start, level = x + (extent([words], SMALL)[0] + 1.0) * mm_per_point, y + 4.0 * mm_per_point
    axes.add_patch(
        FancyArrowPatch(
            (start, level), (start + 30.0 * mm_per_point, level),
            arrowstyle="simple,head_length=7,head_width=7,tail_width=2.4",
            fc=PAPER, ec=INK, lw=0.8, clip_on=False, shrinkA=0, shrinkB=0, gid="nap",
        )
    )  # fmt: skip
