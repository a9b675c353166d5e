"""The flaws of the cloth: hatched where they lie, and named."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..model.layout import LaidFlaw, Lay
from .cloth import Window
from .fit import Label, fit_inside, lead_out, lead_start
from .pieces import draw_label
from .style import FLAW_HATCH, INK, PAPER, SMALL


def draw_flaws(lay: Lay, axes: Axes, window: Window, mm_per_point: float) -> Iterator[Label]:
    """Draw the flaws that one row shows, over the pieces, since an allowance may lie on one.

    Yields their labels, in points. A name stands in its flaw, or beside it with a lead; names of
    flaws that lie close together keep off each other.
    """
    room = _in_points(shapely.box(window.start, 0.0, window.end, lay.usable_width), mm_per_point)
    pieces = _in_points(
        shapely.union_all([Polygon(p.outline, p.cutouts) for p in lay.placements]), mm_per_point
    )
    seen = [
        (flaw, part)
        for flaw in lay.flaws
        if not (
            part := _in_points(Polygon(flaw.outline), mm_per_point).intersection(room)
        ).is_empty
    ]
    taken = [part for _, part in seen]
    for flaw, part in seen:
        _draw(flaw, axes)
        others = [other for other in taken if other is not part]
        label, start = _label(flaw, part, room, pieces, others)
        taken.append(label.box)
        draw_label(label, axes, mm_per_point, PAPER, start)
        yield label


def _draw(flaw: LaidFlaw, axes: Axes) -> None:
    ring = np.vstack([flaw.outline, flaw.outline[:1]])
    axes.add_patch(
        PathPatch(
            Path(ring, closed=True), fc="none", ec=INK, lw=0.7, hatch=FLAW_HATCH, zorder=2.6,
            gid=f"flaw: {flaw.kind or 'unnamed'}",
        )
    )  # fmt: skip


def _label(
    flaw: LaidFlaw,
    part: BaseGeometry,
    room: BaseGeometry,
    pieces: BaseGeometry,
    others: Sequence[BaseGeometry],
) -> tuple[Label, tuple[float, float] | None]:
    """Return the label of a flaw, and where its lead ends if it stands beside the flaw."""
    words = flaw.kind or "flaw"
    inside = fit_inside(part, [[words]], (SMALL,))
    if inside is not None:
        return inside, None
    avoid = shapely.union_all(list(others))
    beside = lead_out(part, words, SMALL, room=room, others=pieces, labels=avoid)
    return beside, lead_start(part)


def _in_points(shape: BaseGeometry, mm_per_point: float) -> BaseGeometry:
    return affinity.scale(shape, 1 / mm_per_point, 1 / mm_per_point, origin=(0.0, 0.0))
