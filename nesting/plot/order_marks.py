"""The order of cutting on a plan: in a circle on each piece, the step that cuts it."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from matplotlib.axes import Axes
from matplotlib.patches import Circle
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from .fit import extent
from .style import INK, PAPER

_SIZE = 5.4  # points
_RIM = 1.2  # points kept free around the circle


@dataclass(frozen=True, slots=True)
class OrderMark:
    """A step's number in a circle: its middle and radius in points, from the cloth's origin."""

    x: float
    y: float
    radius: float
    step: int

    @property
    def box(self) -> BaseGeometry:
        """What the circle covers."""
        return shapely.Point(self.x, self.y).buffer(self.radius)


def order_mark(step: int, free: BaseGeometry, near: tuple[float, float]) -> OrderMark | None:
    """Return the mark wholly within a free region, as near as can be to a place, or None."""
    radius = extent([str(step)], _SIZE)[0] / 2
    radius = max(radius, 4.6)
    middles = free.buffer(-(radius + _RIM))
    if middles.is_empty:
        return None
    at, _ = nearest_points(middles, shapely.Point(near))
    return OrderMark(float(at.x), float(at.y), radius, step)


def draw_order_mark(mark: OrderMark, axes: Axes, mm_per_point: float) -> None:
    """Draw a mark on axes that measure in millimetres."""
    at = mark.x * mm_per_point, mark.y * mm_per_point
    axes.add_patch(Circle(at, mark.radius * mm_per_point, fc=PAPER, ec=INK, lw=0.7, zorder=5.2))
    axes.text(
        *at, str(mark.step), fontsize=_SIZE, fontweight="bold", ha="center", va="center_baseline",
        color=INK, zorder=5.4, clip_on=True,
    )  # fmt: skip
