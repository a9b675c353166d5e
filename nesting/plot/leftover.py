"""The largest piece of cloth left over, lightly drawn between the pieces."""

from __future__ import annotations

import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Rectangle
from shapely import affinity

from ..model.layout import Lay
from ..units import whole_text
from .cloth import Window
from .fit import LEADING, Label, fit_inside
from .style import FAINT, INTERNAL, PAPER, SMALL

LEAST = 150.0
"""Millimetres along and across from which a leftover is worth drawing: a pocket, a collar."""


def draw_leftover(
    lay: Lay, axes: Axes, window: Window, units: str, mm_per_point: float
) -> Label | None:
    """Draw what one row shows of the leftover; return its label, in points, where one fits."""
    if lay.leftover is None:
        return None
    x0, y0, x1, y1 = lay.leftover
    start, end = max(x0, window.start), min(x1, window.end)
    if min(x1 - x0, y1 - y0) < LEAST or start >= end:
        return None
    axes.add_patch(
        Rectangle(
            (x0, y0), x1 - x0, y1 - y0,
            fc="none", ec=FAINT, lw=0.6, ls=INTERNAL, zorder=1.2, gid="left over",
        )
    )  # fmt: skip
    seen = affinity.scale(
        shapely.box(start, y0, end, y1), 1 / mm_per_point, 1 / mm_per_point, origin=(0.0, 0.0)
    )
    size = f"{whole_text(x1 - x0, units)} by {whole_text(y1 - y0, units)}"
    label = fit_inside(seen, [[f"left over, {size}"], ["left over", size]], (SMALL,))
    if label is not None:
        axes.text(
            label.x * mm_per_point, label.y * mm_per_point, "\n".join(label.lines),
            fontsize=label.size, rotation=label.angle, ha="center", va="center",
            rotation_mode="anchor", linespacing=LEADING, color=FAINT, clip_on=True, zorder=1.4,
            parse_math=False, bbox={"fc": PAPER, "ec": "none", "pad": 0.4},
        )  # fmt: skip
    return label
