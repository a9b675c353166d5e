"""No-fit polygons of all pairs of shapes, laid out flat for the kernels.

Over each no-fit polygon lies a grid. A cell lists the edges that can be the nearest one to any
point of the cell, so that the depth of an overlap costs a handful of edges however many the
polygon has; a cell that lies wholly outside lists none.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.nofit import NoFitPolygon, no_fit_polygon
from ..geometry.rings import FloatArray
from .scaled import ScaledProblem, ScaledShape

GRID = 16
"""Cells along each side of a no-fit polygon's box."""


class PairTables(NamedTuple):
    """What the kernels know of the shapes and their pairs.

    For a fixed shape t and a moving shape s, ``table[t, s]`` is the no-fit polygon's number k
    and ``sign[t, s]`` is -1 where the relative position has to be negated first. Edge e of
    polygon k (``first_edge[k] <= e < first_edge[k + 1]``) starts at ``edges[e, 0:2]``, runs
    along ``edges[e, 2:4]`` and has ``edges[e, 4]`` = 1 / its squared length; ``edges[e, 5]`` and
    ``[e, 6]`` are 1 where its start and end corners turn inward. Cell c of polygon k lists
    ``cell_edges[cells[k * GRID**2 + c] : cells[k * GRID**2 + c + 1]]``.

    ``pair[t, s]`` holds on one cache line what rules most pairs out: the polygon's box (least x,
    least y, greatest x, greatest y) with the sign applied, the inverse sizes of a cell, the sign,
    and the number of the polygon's first cell.
    """

    pair: FloatArray
    table: IntArray
    sign: FloatArray
    edges: FloatArray
    cells: IntArray
    cell_edges: npt.NDArray[np.int32]
    half: FloatArray
    first_edge: IntArray


def build_tables(scaled: ScaledProblem) -> PairTables:
    """Compute the no-fit polygons of all pairs of shapes and their grids."""
    shapes = scaled.shapes
    n = len(shapes)
    table = np.full((n, n), -1, dtype=np.int64)
    sign = np.ones((n, n))
    opposite = _opposites(shapes)
    polygons: list[NoFitPolygon] = []
    for t in range(n):
        for s in range(n):
            if table[t, s] >= 0:
                continue
            polygons.append(no_fit_polygon(shapes[t], shapes[s]))
            # nfp(s, t) = -nfp(t, s), and turning both shapes by 180 degrees negates it as well.
            for fixed, moving, factor in (
                (t, s, 1.0),
                (s, t, -1.0),
                (opposite[t], opposite[s], -1.0),
                (opposite[s], opposite[t], 1.0),
            ):
                if fixed >= 0 and moving >= 0 and table[fixed, moving] < 0:
                    table[fixed, moving] = len(polygons) - 1
                    sign[fixed, moving] = factor
    half = np.array([shape.half for shape in shapes], dtype=np.float64)
    edges, first_edge = _edges(polygons)
    box = np.array([_box(polygon) for polygon in polygons])
    cell_size = GRID / np.maximum(box[:, 2:] - box[:, :2], 1.0)
    cells = np.zeros(len(polygons) * GRID * GRID + 1, dtype=np.int64)
    _fill_grid(edges, first_edge, box, cell_size, cells, np.empty(0, dtype=np.int32))
    np.cumsum(cells, out=cells)
    cell_edges = np.empty(int(cells[-1]), dtype=np.int32)
    _fill_grid(edges, first_edge, box, cell_size, cells, cell_edges)
    return PairTables(
        _pair_rows(table, sign, box, cell_size),
        table,
        sign,
        edges,
        cells,
        cell_edges,
        half,
        first_edge,
    )


def _pair_rows(
    table: IntArray, sign: FloatArray, box: FloatArray, cell_size: FloatArray
) -> FloatArray:
    """Gather the quick test of every ordered pair on one row each."""
    n = len(table)
    pair = np.empty((n, n, 8))
    low, high = box[table, :2], box[table, 2:]
    negated = sign < 0
    pair[..., 0:2] = np.where(negated[..., None], -high, low)
    pair[..., 2:4] = np.where(negated[..., None], -low, high)
    pair[..., 4:6] = cell_size[table]
    pair[..., 6] = sign
    pair[..., 7] = table * (GRID * GRID)
    return pair


def _opposites(shapes: tuple[ScaledShape, ...]) -> list[int]:
    """Return for each shape the index of the same shape turned by 180 degrees, or -1."""
    keys = {_key(shape.rings, 1): index for index, shape in enumerate(shapes)}
    return [keys.get(_key(shape.rings, -1), -1) for shape in shapes]


def _key(rings: tuple[IntArray, ...], factor: int) -> bytes:
    turned = [factor * ring for ring in rings]
    rolled = [np.roll(r, -int(np.lexsort((r[:, 1], r[:, 0]))[0]), axis=0) for r in turned]
    return b"|".join([rolled[0].tobytes(), *sorted(r.tobytes() for r in rolled[1:])])


def _box(polygon: NoFitPolygon) -> tuple[float, float, float, float]:
    points = np.concatenate(polygon.rings)
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _edges(polygons: list[NoFitPolygon]) -> tuple[FloatArray, IntArray]:
    rows = []
    first = [0]
    for polygon in polygons:
        count = 0
        for ring in polygon.rings:
            along = np.roll(ring, -1, axis=0) - ring
            before = np.roll(along, 1, axis=0)
            inward = before[:, 0] * along[:, 1] - before[:, 1] * along[:, 0] < 0
            length2 = (along.astype(np.float64) ** 2).sum(axis=1)
            rows.append(
                np.column_stack([ring, along, 1.0 / length2, inward, np.roll(inward, -1)]).astype(
                    np.float64
                )
            )
            count += len(ring)
        first.append(first[-1] + count)
    return np.ascontiguousarray(np.concatenate(rows)), np.array(first, dtype=np.int64)


@kernel
def _fill_grid(
    edges: FloatArray,
    first_edge: IntArray,
    box: FloatArray,
    cell_size: FloatArray,
    cells: IntArray,
    cell_edges: npt.NDArray[np.int32],
) -> None:
    """Count each cell's edges into the place behind it, or, given room, list them."""
    fill = len(cell_edges) > 0
    for k in range(len(first_edge) - 1):
        start, stop = first_edge[k], first_edge[k + 1]
        distance = np.empty(stop - start)
        wide, high = 1.0 / cell_size[k, 0], 1.0 / cell_size[k, 1]
        reach = 0.5 * np.sqrt(wide * wide + high * high)
        for row in range(GRID):
            for column in range(GRID):
                x = box[k, 0] + (column + 0.5) * wide
                y = box[k, 1] + (row + 0.5) * high
                least = np.inf
                inside = False
                for e in range(start, stop):
                    px, py = x - edges[e, 0], y - edges[e, 1]
                    t = (px * edges[e, 2] + py * edges[e, 3]) * edges[e, 4]
                    clipped = min(1.0, max(0.0, t))
                    qx, qy = px - clipped * edges[e, 2], py - clipped * edges[e, 3]
                    d = np.sqrt(qx * qx + qy * qy)
                    distance[e - start] = d
                    least = min(least, d)
                    # Edges are half open, so that a ray through a corner crosses once.
                    y0, y1 = edges[e, 1], edges[e, 1] + edges[e, 3]
                    crossed = (y0 > y) != (y1 > y)
                    if crossed and edges[e, 0] + (y - y0) / edges[e, 3] * edges[e, 2] > x:
                        inside = not inside
                cell = k * GRID * GRID + row * GRID + column
                if not inside and least > reach * 1.000001:
                    continue
                limit = (least + 2.0 * reach) * 1.000001
                count = 0
                for e in range(start, stop):
                    if distance[e - start] <= limit:
                        if fill:
                            cell_edges[cells[cell] + count] = e
                        count += 1
                if not fill:
                    cells[cell + 1] = count
