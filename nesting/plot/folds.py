"""Folded cloth on the marker: where it lies double, its folds, and where it is opened out."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from ..model.layout import LaidFold, Lay
from ..units import length_text
from .cloth import NARROW, ROOMY, Window
from .style import CONTINUED, FAINT, FOLD, INK, PAPER, SMALL


def draw_folds(
    lay: Lay,
    axes: Axes,
    window: Window,
    units: str,
    mm_per_point: float,
    *,
    wrong_side: bool = False,
) -> None:
    """Draw what one row shows of the folds; nothing where the cloth lies open.

    With ``wrong_side`` the lay was turned over (``turned_over``).
    """
    folding = lay.folding
    if folding is None:
        return
    end = _folded_until(lay)
    start, stop = window.start, min(window.end, end)
    if start < stop and folding.kind != "crosswise":
        _no_cloth(lay, folding, axes, (start, stop), mm_per_point, wrong_side=wrong_side)
    for x0, y0, x1, y1 in folding.double:
        left, right = max(x0, window.start), min(x1, window.end)
        if left >= right:
            continue
        axes.add_patch(
            Rectangle(
                (left, y0), right - left, y1 - y0,
                fc=FAINT, alpha=0.08, ec="none", zorder=0.7, gid="double",
            )
        )  # fmt: skip
        axes.text(
            right - 3.0 * mm_per_point, (y0 + y1) / 2, "double", fontsize=SMALL, rotation=90,
            ha="right", va="center", color=FAINT, zorder=1.2, clip_on=True,
        )  # fmt: skip
    for (x0, y0), (x1, y1) in folding.edges:
        if x0 == x1 and window.holds(x0):
            axes.plot([x0, x1], [y0, y1], color=INK, lw=2.2, ls=FOLD, zorder=3.6, gid="fold")
        elif y0 == y1 and start < stop:
            axes.plot([start, stop], [y0, y1], color=INK, lw=2.2, ls=FOLD, zorder=3.6, gid="fold")
            _on_line((start + stop) / 2, y0, "fold", axes)
    if folding.end is not None and window.holds(end):
        _opened_out(lay, axes, window, units, mm_per_point)


def _folded_until(lay: Lay) -> float:
    folding = lay.folding
    return lay.reach if folding is None or folding.end is None else folding.end


def _no_cloth(
    lay: Lay,
    folding: LaidFold,
    axes: Axes,
    stretch: tuple[float, float],
    mm_per_point: float,
    *,
    wrong_side: bool,
) -> None:
    """Wipe out what the folded cloth does not reach; draw the edges of its upper layer."""
    (start, stop), width = stretch, lay.usable_width
    # Worked out as the cloth lies right side up, then turned over with it.
    if wrong_side:
        high = width - min(y0 for _, y0, _, _ in folding.double)
    else:
        high = max(y1 for _, _, _, y1 in folding.double)
    parts = [(high, lay.usable_width + lay.selvage + mm_per_point)]
    if folding.kind == "middle":
        parts.append((-lay.selvage - mm_per_point, 0.0))
    # Both ends of the cloth are drawn over its whole width: what shows of them goes as well.
    reach = 1.5 * mm_per_point
    for below, above in parts:
        low, top = (width - above, width - below) if wrong_side else (below, above)
        axes.add_patch(
            Rectangle(
                (start - reach, low),
                stop - start + 2 * reach,
                top - low,
                fc=PAPER,
                ec="none",
                zorder=2.05,
                clip_on=False,
            )
        )
    inner = {
        "partial": ("folded-in selvage", high - lay.usable_width + high),
        "middle": ("selvages meet", high / 2),
    }
    if folding.kind in inner:
        words, y = inner[folding.kind]
        y = width - y if wrong_side else y
        axes.plot([start, stop], [y, y], color=FAINT, lw=0.9, ls=CONTINUED, zorder=3.5, gid=words)
        _on_line(start + 0.75 * (stop - start), y, words, axes)


def _on_line(x: float, y: float, words: str, axes: Axes) -> None:
    axes.text(
        x, y, words, fontsize=SMALL, ha="center", va="center", zorder=3.8, clip_on=False,
        bbox={"fc": PAPER, "ec": "none", "pad": 0.6},
    )  # fmt: skip


def _opened_out(lay: Lay, axes: Axes, window: Window, units: str, mm_per_point: float) -> None:
    """Draw where the folded part ends, and say it above the cloth."""
    end = _folded_until(lay)
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    axes.plot([end, end], [low, high], color=INK, lw=1.2, ls=FOLD, zorder=3.6, gid="fold ends")
    words = f"folded to {length_text(end, units)}, then a single layer"
    points = (window.end - window.start) / mm_per_point
    if points > ROOMY:
        line, x, side = 1, end, "left" if end - window.start < window.end - end else "right"
    else:  # above the end of the lay and the nap, which have lines of their own there
        line = 1 + (points <= NARROW) + (lay.nap == "one-way")
        x, side = window.start, "left"
    axes.text(
        x, high + (3.0 + 9.0 * line) * mm_per_point, words, fontsize=SMALL, va="bottom", ha=side,
    )  # fmt: skip
