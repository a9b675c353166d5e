"""The edges of no-fit polygons, and which of them can be nearest to each place.

Over each polygon lies a grid. A cell lists the edges that can be the nearest one to any point of
the cell, so that the depth of an overlap costs a handful of edges however many the polygon has;
a cell that lies wholly outside lists none.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.nofit import NoFitPolygon
from ..geometry.rings import FloatArray

GRID = 16
"""Cells along each side of a polygon's box."""

BLOCKS = 8
"""Blocks of cells along each side: what is far from a block need not be asked cell by cell."""

FINE = 2
"""Parts along each side of a cell, each with its own nearest edges, which the cell then lists."""

MARGIN = 1.000001
"""Distances are compared with this factor to spare, against rounding."""

EDGE = np.dtype(
    [
        ("x", np.int32), ("y", np.int32), ("along_x", np.int32), ("along_y", np.int32),
        ("inverse", np.float64), ("start_inward", np.int32), ("end_inward", np.int32),
    ]
)  # fmt: skip
"""An edge starts at (x, y), runs along (along_x, along_y) and has ``inverse`` = 1 / its squared
length; ``start_inward`` and ``end_inward`` are 1 where its corners turn inward, 0 where they turn
outward, and ``HARDLY`` where they hardly turn. 32 bytes, so that no edge lies across two cache
lines."""

HARDLY = 2
"""A corner of less than 45 degrees. What is nearest to it lies inside just where it lies inside
of either edge; rounding alone might have made it nearest to the corner."""

EdgeArray = npt.NDArray[np.void]
RunArray = npt.NDArray[np.uint16] | npt.NDArray[np.int32]


class Grids(NamedTuple):
    """Edges and grids of a sequence of polygons, laid out flat.

    Polygon k has the edges ``first_edge[k] <= e < first_edge[k + 1]`` and the box ``box[k]``
    (least x, least y, greatest x, greatest y). Its cell c, counted along x first, lists the runs
    of edges ``runs[cells[m] : cells[m + 1]]`` with m = k * GRID**2 + c: from the first edge of
    a run to before the second, counted from the polygon's first edge, in rising order.
    """

    edges: EdgeArray
    first_edge: IntArray
    box: FloatArray
    cells: IntArray
    runs: RunArray


def make_grids(polygons: Sequence[NoFitPolygon]) -> Grids:
    """Lay out the edges of polygons and list for each cell those that can be nearest."""
    rings = [ring for polygon in polygons for ring in polygon.rings]
    ring_start = np.cumsum([0] + [len(ring) for ring in rings]).astype(np.int64)
    sizes = [sum(len(ring) for ring in polygon.rings) for polygon in polygons]
    first_edge = np.cumsum([0, *sizes]).astype(np.int64)
    edges = np.empty(int(ring_start[-1]), dtype=EDGE)
    _fill_edges(np.concatenate(rings), ring_start, edges)
    box = np.empty((len(polygons), 4))
    for k, polygon in enumerate(polygons):
        box[k, :2] = np.min([ring.min(axis=0) for ring in polygon.rings], axis=0)
        box[k, 2:] = np.max([ring.max(axis=0) for ring in polygon.rings], axis=0)
    cells = np.zeros(len(polygons) * GRID * GRID + 1, dtype=np.int64)
    runs = _fill_cells(edges, first_edge, box, cells)
    if max(sizes) <= np.iinfo(np.uint16).max:
        return Grids(edges, first_edge, box, cells, runs.astype(np.uint16))
    return Grids(edges, first_edge, box, cells, runs)


def join_grids(grids: list[Grids]) -> Grids:
    """Put grids one after the other, and empty the list: hardly any memory is then held twice."""
    edge_at = np.cumsum([0] + [len(g.edges) for g in grids])
    run_at = np.cumsum([0] + [len(g.runs) for g in grids])
    first_edge, cells = (
        np.concatenate([[0], *(part[1:] + at for part, at in zip(parts, starts, strict=False))])
        for parts, starts in (
            ([g.first_edge for g in grids], edge_at),
            ([g.cells for g in grids], run_at),
        )
    )
    box = np.concatenate([g.box for g in grids])
    edges = np.empty(edge_at[-1], dtype=EDGE)
    narrow = all(g.runs.dtype == np.uint16 for g in grids)
    runs = np.empty((run_at[-1], 2), dtype=np.uint16 if narrow else np.int32)
    for k in range(len(grids) - 1, -1, -1):
        last = grids.pop()
        edges[edge_at[k] : edge_at[k + 1]] = last.edges
        runs[run_at[k] : run_at[k + 1]] = last.runs
    return Grids(edges, first_edge, box, cells, runs)


@kernel
def _fill_edges(points: IntArray, ring_start: IntArray, edges: EdgeArray) -> None:
    """Turn the corners of rings into edges."""
    for r in range(len(ring_start) - 1):
        start, stop = ring_start[r], ring_start[r + 1]
        for e in range(start, stop):
            before = e - 1 if e > start else stop - 1
            following = e + 1 if e + 1 < stop else start
            x, y = points[e, 0], points[e, 1]
            along_x, along_y = points[following, 0] - x, points[following, 1] - y
            from_x, from_y = x - points[before, 0], y - points[before, 1]
            edges[e]["x"], edges[e]["y"] = x, y
            edges[e]["along_x"], edges[e]["along_y"] = along_x, along_y
            squared = float(along_x) * float(along_x) + float(along_y) * float(along_y)
            edges[e]["inverse"] = 1.0 / squared
            across = float(from_x) * float(along_y) - float(from_y) * float(along_x)
            onward = float(from_x) * float(along_x) + float(from_y) * float(along_y)
            inward = HARDLY if abs(across) < onward else (1 if across < 0.0 else 0)
            edges[e]["start_inward"] = inward
            edges[before]["end_inward"] = inward


@kernel
def _nearest(
    edges: EdgeArray,
    first: int,
    asked: IntArray,
    count: int,
    x: float,
    y: float,
    reach: float,
    squared: FloatArray,
    near: IntArray,
) -> tuple[int, float]:
    """List in ``near`` the edges among those asked that can be nearest within reach of (x, y).

    Returns how many there are, and the least distance.
    """
    least = np.inf
    for h in range(count):
        edge = edges[first + asked[h]]
        ex, ey = float(edge["along_x"]), float(edge["along_y"])
        px, py = x - edge["x"], y - edge["y"]
        t = min(1.0, max(0.0, (px * ex + py * ey) * edge["inverse"]))
        qx, qy = px - t * ex, py - t * ey
        squared[h] = qx * qx + qy * qy
        least = min(least, squared[h])
    least = np.sqrt(least)
    limit = ((least + 2.0 * reach) * MARGIN) ** 2
    found = 0
    for h in range(count):
        if squared[h] <= limit:
            near[found] = asked[h]
            found += 1
    return found, least


@kernel
def cell_size(box: FloatArray) -> tuple[float, float]:
    """Return width and height of the cells over a box."""
    return max(box[2] - box[0], 1.0) / GRID, max(box[3] - box[1], 1.0) / GRID


@kernel
def _centres_inside(
    edges: EdgeArray, first: int, stop: int, box: FloatArray, wide: float, high: float
) -> npt.NDArray[np.bool_]:
    """Tell which cells' centres lie inside a polygon: rays along x cross it oddly often.

    Edges are half open, so that a ray through a corner crosses once.
    """
    inside = np.zeros((GRID, GRID), dtype=np.bool_)
    for e in range(first, stop):
        edge = edges[e]
        x0, y0 = float(edge["x"]), float(edge["y"])
        ex, ey = float(edge["along_x"]), float(edge["along_y"])
        for row in range(GRID):
            y = box[1] + (row + 0.5) * high
            if (y0 > y) == (y0 + ey > y):
                continue
            crossing = x0 + (y - y0) / ey * ex
            for column in range(GRID):
                if crossing > box[0] + (column + 0.5) * wide:
                    inside[row, column] = not inside[row, column]
    return inside


@kernel
def _keep_nearest_to_parts(
    edges: EdgeArray,
    first: int,
    near: IntArray,
    count: int,
    x: float,
    y: float,
    wide: float,
    high: float,
    squared: FloatArray,
    part: IntArray,
    marked: npt.NDArray[np.bool_],
) -> int:
    """Keep in ``near`` the edges that can be nearest within a part of a cell; return how many."""
    reach = 0.5 * np.sqrt(wide * wide + high * high) / FINE
    marked[:count] = False
    for row in range(FINE):
        for column in range(FINE):
            px = x + ((column + 0.5) / FINE - 0.5) * wide
            py = y + ((row + 0.5) / FINE - 0.5) * high
            found, _least = _nearest(edges, first, near, count, px, py, reach, squared, part)
            h = 0
            for k in range(found):
                while near[h] != part[k]:
                    h += 1
                marked[h] = True
    kept = 0
    for h in range(count):
        if marked[h]:
            near[kept] = near[h]
            kept += 1
    return kept


@kernel
def _fill_cells(
    edges: EdgeArray, first_edge: IntArray, box: FloatArray, cells: IntArray
) -> npt.NDArray[np.int32]:
    """Set where each cell's list of runs ends, and return all lists one after the other."""
    runs = np.empty((4096, 2), dtype=np.int32)
    end = 0
    most = 0
    for k in range(len(first_edge) - 1):
        most = max(most, first_edge[k + 1] - first_edge[k])
    every = np.arange(most)
    blocks = np.empty((BLOCKS * BLOCKS, most), dtype=np.int64)
    held = np.empty(BLOCKS * BLOCKS, dtype=np.int64)
    near, part = np.empty(most, dtype=np.int64), np.empty(most, dtype=np.int64)
    squared, marked = np.empty(most), np.empty(most, dtype=np.bool_)
    for k in range(len(first_edge) - 1):
        first, stop = first_edge[k], first_edge[k + 1]
        wide, high = cell_size(box[k])
        reach = 0.5 * np.sqrt(wide * wide + high * high)
        inside = _centres_inside(edges, first, stop, box[k], wide, high)
        for b in range(BLOCKS * BLOCKS):
            x = box[k, 0] + (b % BLOCKS + 0.5) * wide * GRID / BLOCKS
            y = box[k, 1] + (b // BLOCKS + 0.5) * high * GRID / BLOCKS
            held[b], _least = _nearest(
                edges, first, every, stop - first, x, y, reach * GRID / BLOCKS, squared, blocks[b]
            )
        for row in range(GRID):
            for column in range(GRID):
                x = box[k, 0] + (column + 0.5) * wide
                y = box[k, 1] + (row + 0.5) * high
                b = row * BLOCKS // GRID * BLOCKS + column * BLOCKS // GRID
                count, least = _nearest(
                    edges, first, blocks[b], held[b], x, y, reach, squared, near
                )
                if inside[row, column] or least <= reach * MARGIN:
                    count = _keep_nearest_to_parts(
                        edges, first, near, count, x, y, wide, high, squared, part, marked
                    )
                    if end + count > len(runs):
                        more = np.empty((2 * (end + count), 2), dtype=np.int32)
                        more[:end] = runs[:end]
                        runs = more
                    for h in range(count):
                        if h == 0 or near[h] != near[h - 1] + 1:
                            runs[end, 0] = near[h]
                            end += 1
                        runs[end - 1, 1] = near[h] + 1
                cells[(k * GRID + row) * GRID + column + 1] = end
    return runs[:end].copy()
