"""The edge of an owned piece of cloth: drawn to its end, and shaded where it has no cloth."""

from __future__ import annotations

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from ..model.layout import Lay
from .cloth import Window
from .style import ABSENT, INK


def draw_panel(lay: Lay, axes: Axes, window: Window) -> None:
    """Draw what one row shows of a panel's edge; nothing where the lay is on no panel."""
    if lay.panel_outline is None:
        return
    edge = shapely.Polygon(lay.panel_outline)
    row = shapely.box(window.start, 0.0, window.end, lay.usable_width)
    for part in shapely.get_parts(shapely.difference(row, edge)):
        if part.geom_type == "Polygon":
            axes.add_patch(PathPatch(_path(part), fc=ABSENT, ec="none", zorder=1.1))
    axes.add_patch(
        PathPatch(
            _path(edge), fc="none", ec=INK, lw=1.4, zorder=1.6,
            gid=f"edge of {lay.panel_name or f'panel {lay.panel}'}",
        )
    )  # fmt: skip


def _path(polygon: shapely.Polygon) -> Path:
    rings = (polygon.exterior, *polygon.interiors)
    return Path.make_compound_path(*(Path(np.array(ring.coords), closed=True) for ring in rings))
