"""Where one shape may lie against another, as a tree of convex regions that get ever tighter.

What the no-fit region leaves free is cut into convex cells. The root of the tree is the convex
hull of all cells, each branch the hull of some of them, each leaf one cell or cells whose hull
adds nothing. Hulls only ever allow too much, so a linear programme over them is a relaxation.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from ..geometry.convex import convex_parts
from ..geometry.rings import FloatArray

SPARE = 1e-9
"""Share of a hull's area that its cells may leave uncovered for it to count as one of them."""


class Region:
    """Free offsets of a pair: the convex hull of some cells.

    ``rows`` are its sides: an offset (dx, dy) of it has nx dx + ny dy >= c for each (nx, ny, c).
    """

    def __init__(self, cells: Sequence[shapely.Polygon]) -> None:
        self._cells = cells
        self._children: tuple[Region, ...] | None = None
        hull = shapely.convex_hull(shapely.union_all(cells))
        self.rows: FloatArray = _sides(hull)
        self._spare = hull.area - float(sum(cell.area for cell in cells))
        self._area = hull.area

    def children(self) -> tuple[Region, ...]:
        """Return tighter regions that together hold all its cells; none for a leaf."""
        if self._children is None:
            leaf = len(self._cells) == 1 or self._spare <= SPARE * self._area
            self._children = () if leaf else self._parted()
        return self._children

    def _parted(self) -> tuple[Region, ...]:
        """Part the cells in two along x or y so that the two hulls have the least area."""
        centre = shapely.get_coordinates(shapely.centroid(self._cells))
        best, least = None, np.inf
        for axis in (0, 1):
            order = np.lexsort((centre[:, 1 - axis], centre[:, axis]))
            sorted_cells = [self._cells[k] for k in order]
            before, after = _hull_areas(sorted_cells), _hull_areas(sorted_cells[::-1])[::-1]
            for cut in range(1, len(sorted_cells)):
                area = before[cut - 1] + after[cut]
                if area < least:
                    best, least = (sorted_cells[:cut], sorted_cells[cut:]), area
        assert best is not None  # noqa: S101 - there are at least two cells
        return Region(best[0]), Region(best[1])


def region_of(free: shapely.Geometry) -> Region | None:
    """Return the tree of a free area on units; None where nothing is free.

    Corners are rounded to whole units, which ``certain.CORE`` leaves room for.
    """
    cells: list[shapely.Polygon] = []
    for part in shapely.get_parts(shapely.orient_polygons(free)):
        if part.geom_type == "Polygon" and not part.is_empty:
            cells += _cells(part)
    return Region(cells) if cells else None


def _cells(polygon: shapely.Polygon) -> list[shapely.Polygon]:
    rings = [
        np.rint(shapely.get_coordinates(ring)[:-1]).astype(np.int64)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    try:
        return [shapely.Polygon(part) for part in convex_parts(rings[0], rings[1:])]
    except ValueError:
        # Rounded, it touches itself: many triangles do as well as few parts.
        return list(shapely.constrained_delaunay_triangles(polygon).geoms)


def _hull_areas(cells: Sequence[shapely.Polygon]) -> list[float]:
    """Return the areas of the hulls of the first, the first two, the first three cells ..."""
    areas = []
    hull: shapely.Geometry = shapely.Polygon()
    for cell in cells:
        hull = shapely.convex_hull(shapely.union_all([hull, cell]))
        areas.append(hull.area)
    return areas


def _sides(hull: shapely.Polygon) -> FloatArray:
    ring = shapely.get_coordinates(shapely.orient_polygons(hull).exterior)
    along = np.diff(ring, axis=0)
    size = np.hypot(along[:, 0], along[:, 1])
    inward = np.column_stack([-along[:, 1], along[:, 0]]) / size[:, None]
    return np.column_stack([inward, (inward * ring[:-1]).sum(axis=1)])
