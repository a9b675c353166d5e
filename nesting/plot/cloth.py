"""The cloth under the pieces: selvages, cut end, end of the lay, rulers and nap."""

from __future__ import annotations

from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, Rectangle

from ..model.layout import Lay
from ..units import length_text
from .fit import extent
from .rulers import draw_rulers
from .style import CONTINUED, FAINT, INK, PAPER, SELVAGE_HATCH, SMALL

NARROW, ROOMY = 170.0, 340.0
"""Points of a row up to which the end of the lay, and up to which nap and fold, are told on lines
of their own above it."""


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
    width = lay.usable_width
    draw_rulers(
        axes,
        units,
        (window.start, window.end),
        width,
        mm_per_point,
        across_from=width * wrong_side,
    )
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
        line = 0 if points > NARROW else 1
        both = ", both layers counted" if lay.reach < lay.length else ""
        words = f"end of the lay  {length_text(lay.length, units)}{both}"
        x, side = (lay.reach, "right") if line == 0 else (window.start, "left")
    else:
        x, line, words, side = window.end, 0, "continued", "right"
    axes.text(x, height(line), words, fontsize=SMALL, ha=side, va="bottom")
    if lay.nap == "one-way":
        if points > ROOMY:
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
