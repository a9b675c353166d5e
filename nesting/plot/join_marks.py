"""Joins of pieced pieces on a plan: their stitching lines, and what they are sewn to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from matplotlib.axes import Axes

from ..model.layout import Placement
from ..model.seams import join_line
from .cloth import Window
from .fit import Label, extent
from .pieces import element_id, seen_part
from .style import INK

Join = tuple[str, str]
"""Name of a join on its placement, and the words for it on the plan."""

JOIN_SIGN = "heavy dashed: join, with the number of the part it is sewn to"
"""What the legend says of these marks."""

_SIZE = 5.0  # points
_DASHES = (0, (3.2, 1.2))
_SHARES = (0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85)  # of a join, tried for its words


def draw_joins(placement: Placement, joins: Sequence[Join], axes: Axes) -> None:
    """Draw the stitching line of every join of a piece, heavier than its other lines."""
    for name, _ in joins:
        line = join_line(placement, name)
        if line is not None:
            gid = f"{name} of {element_id(placement)}"
            axes.plot(*line.T, color=INK, lw=1.3, ls=_DASHES, zorder=3.1, gid=gid)


def join_labels(
    placement: Placement, joins: Sequence[Join], window: Window, mm_per_point: float
) -> Iterator[Label]:
    """Yield the words of every join, in points, along its line within the piece where it fits."""
    seen = seen_part(placement, window, 1.0 / mm_per_point)
    shapely.prepare(seen)
    for name, words in joins:
        line = join_line(placement, name)
        label = None if line is None else _along(line / mm_per_point, words, seen)
        if label is not None:
            yield label


def _along(line: np.ndarray, words: str, seen: shapely.Geometry) -> Label | None:
    """Return words beside a line where a region has room for them, near its middle if it can."""
    way = line[-1] - line[0]
    angle = (math.degrees(math.atan2(way[1], way[0])) + 90.0) % 180.0 - 90.0
    aside = np.array([-way[1], way[0]]) / float(np.hypot(*way))
    away = extent([words], _SIZE)[1] / 2 + 0.8
    for share in _SHARES:
        for side in (away, -away):
            x, y = line[0] + share * way + side * aside
            label = Label(float(x), float(y), angle, _SIZE, (words,))
            if seen.covers(label.box):
                return label
    return None
