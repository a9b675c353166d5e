"""Relative positions at which two shapes overlap for certain, whatever rounding did.

A proof may rule a position out only if the true shapes overlap there. So each rounded shape is
shrunk a little, by more than rounding can have moved its edges: what is left lies inside the true
shape, and where two such cores overlap, so do the shapes. Exact fits, which have no room at all
in a no-fit polygon, become narrow gaps and are never lost.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import shapely

from ..geometry.convex import IntArray, convex_parts, twice_area, without_straight_points
from ..geometry.nofit import no_fit_polygon
from .scaled import ScaledProblem, ScaledShape

CORE = 4.0
"""Units by which a shape is shrunk: its corners were rounded by up to 1.42, those of the core by
0.71; of the 3.7 units that two shapes have left, the rounding of a no-fit region takes 1 and that
of its free cells 0.71."""

ROOM = 4.0
"""Units added to the strip's true width where a proof needs it: two roundings of a shape."""


class CertainOverlap:
    """Certain no-fit regions of pairs of shapes, made when first asked for, then kept."""

    def __init__(self, scaled: ScaledProblem) -> None:
        self.scaled = scaled
        self.width = scaled.problem.width * scaled.scale + ROOM
        # Shapes that differ only in where they may lie overlap alike.
        first: dict[int, int] = {}
        self._same = [first.setdefault(kind.polygon, s) for s, kind in enumerate(scaled.kinds)]
        self._cores: dict[int, list[_Core]] = {}
        self._regions: dict[tuple[int, int], shapely.Geometry] = {}

    def half(self, s: int) -> tuple[float, float]:
        """Return half the box of a shape in units, a hair less than the true one."""
        x, y = self.scaled.shapes[s].half
        return x - 1.0, y - 1.0

    def opposites(self) -> list[int]:
        """Return for each shape the index of the same shape turned by 180 degrees, or -1.

        Only of use on an empty strip without domains, where no two shapes are alike.
        """
        own = self.scaled.shapes[: len(self.scaled.kinds)]
        shapes = [shapely.Polygon(s.rings[0], s.rings[1:]).normalize() for s in own]
        turned = [shapely.transform(shape, np.negative).normalize() for shape in shapes]
        return [
            next((k for k, shape in enumerate(shapes) if shape.equals_exact(other, 0.0)), -1)
            for other in turned
        ]

    def region(self, fixed: int, moving: int) -> shapely.Geometry:
        """Return the centre offsets (moving less fixed) at which the two overlap for certain.

        A polygon, several or none; its boundary does not belong to it.
        """
        fixed, moving = self._same[fixed], self._same[moving]
        key = (fixed, moving)
        if key not in self._regions:
            if (moving, fixed) in self._regions:
                other = self._regions[moving, fixed]
                self._regions[key] = shapely.transform(other, np.negative)
            else:
                found = [
                    _polygon(no_fit_polygon(ours, theirs).rings)
                    for ours in self._core(fixed)
                    for theirs in self._core(moving)
                ]
                self._regions[key] = shapely.union_all(found)
        return self._regions[key]

    def depth(self, fixed: int, moving: int, dx: float, dy: float) -> float:
        """Return how deep in the certain region an offset lies, in units; 0 outside."""
        region = self.region(fixed, moving)
        low_x, low_y, high_x, high_y = region.bounds
        if not (low_x < dx < high_x and low_y < dy < high_y):
            return 0.0
        point = shapely.Point(dx, dy)
        return float(region.boundary.distance(point)) if region.contains(point) else 0.0

    def span(self, fixed: int, moving: int) -> float:
        """Return how far apart across the strip two centres can be, in units; may be negative."""
        return self.width - self.half(fixed)[1] - self.half(moving)[1]

    def free(self, fixed: int, moving: int, low: float, high: float) -> shapely.Geometry:
        """Return the offsets, with x from low to high, that the strip's width does not rule out.

        Every offset of a layout whose x lies between the two is among them.
        """
        across = max(self.span(fixed, moving), 0.0) + ROOM
        window = shapely.box(low, -across, high, across)
        return window.difference(self.region(fixed, moving))

    def _core(self, s: int) -> list[_Core]:
        if s not in self._cores:
            self._cores[s] = _core(self.scaled.shapes[s])
        return self._cores[s]


class _Core(NamedTuple):
    """A connected piece of what is left of a shape when it is shrunk: rings and convex parts."""

    rings: tuple[IntArray, ...]
    parts: tuple[IntArray, ...]


def _core(shape: ScaledShape) -> list[_Core]:
    """Return a shape shrunk by ``CORE``, or a part of that, which proves less but as truly."""
    polygon = shapely.Polygon(shape.rings[0], shape.rings[1:])
    shrunk = polygon.buffer(-CORE, join_style="mitre")
    if not _deep(polygon, shrunk):
        shrunk = polygon.buffer(-CORE, quad_segs=16)
    cores: list[_Core] = []
    for piece in shapely.get_parts(shapely.orient_polygons(shrunk)):
        if piece.is_empty:
            continue
        rings = tuple(_rounded(ring) for ring in (piece.exterior, *piece.interiors))
        if len(rings[0]) < 3 or twice_area(rings[0]) <= 0:
            continue
        try:
            cores.append(_Core(rings, tuple(convex_parts(rings[0], rings[1:]))))
        except ValueError:
            # Rounding made it touch itself: this sliver of the core is given up.
            continue
    return cores


def _deep(polygon: shapely.Polygon, core: shapely.Geometry) -> bool:
    """Tell whether the core lies inside the polygon by its full depth, up to float rounding."""
    return bool(core.is_empty or core.distance(polygon.boundary) >= CORE - 0.01)


def _rounded(ring: shapely.LinearRing) -> IntArray:
    points: IntArray = np.rint(shapely.get_coordinates(ring)[:-1]).astype(np.int64)
    return without_straight_points(points)


def _polygon(rings: tuple[IntArray, ...]) -> shapely.Geometry:
    """Return what rings enclose on their left; an island in a hole may be left out."""
    outer = [shapely.Polygon(ring) for ring in rings if twice_area(ring) > 0]
    holes = [shapely.Polygon(ring) for ring in rings if twice_area(ring) < 0]
    return shapely.union_all(outer).difference(shapely.union_all(holes))
