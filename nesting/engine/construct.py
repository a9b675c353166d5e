"""A first layout: every piece in turn to the place where it ends nearest the cut end.

Bottom-left fill on no-fit polygons: the places tried are the corners of the no-fit polygons of
the pieces already there and the crossings of their edges with the borders of the strip.
"""

from __future__ import annotations

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .kernels import cost_at
from .scaled import ScaledProblem
from .tables import PairTables


def first_layout(
    scaled: ScaledProblem, tables: PairTables, choice_start: IntArray, choices: IntArray
) -> tuple[float, IntArray, FloatArray, FloatArray]:
    """Return (length, shape, x, y) of the shortest of a few bottom-left fills, in units.

    Pieces come in falling order of area, of length along the cloth, of width and of box.
    """
    half = np.array([scaled.shapes[c[0]].half for c in scaled.choices], dtype=np.float64)
    area = np.array([scaled.shapes[c[0]].area for c in scaled.choices])
    n = len(scaled.choices)
    best: tuple[float, IntArray, FloatArray, FloatArray] | None = None
    for key in (area, half[:, 0], half[:, 1], half.sum(axis=1)):
        order = np.argsort(-key, kind="stable").astype(np.int64)
        shape = np.full(n, -1, dtype=np.int64)
        x, y = np.zeros(n), np.zeros(n)
        length = fill(tables, choice_start, choices, order, shape, x, y, scaled.width)
        if best is None or length < best[0]:
            best = (length, shape, x, y)
    assert best is not None  # noqa: S101 - the loop above always runs
    return best


@kernel
def _try(
    tables: PairTables,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    ones: FloatArray,
    placed: IntArray,
    count: int,
    s: int,
    at: FloatArray,
    best: FloatArray,
    width: float,
) -> None:
    """Make (at[0], at[1]) the best place of shape s if it is free and ends nearer the start."""
    hx, hy = tables.half[s, 0], tables.half[s, 1]
    cx, cy = at[0], at[1]
    if cx < hx or cy < hy or cy > width - hy:
        return
    end = cx + hx
    if end > best[0] or (end == best[0] and cy >= best[2]):
        return
    if cost_at(tables, shape, x, y, ones, placed, count, s, cx, cy, 1e-9) == 0.0:
        best[0], best[1], best[2], best[3] = end, cx, cy, s


@kernel
def fill(
    tables: PairTables,
    choice_start: IntArray,
    choices: IntArray,
    order: IntArray,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    width: float,
) -> float:
    """Place all items in the given order; return the length. Every item finds a place."""
    n = len(order)
    ones = np.ones(n)
    at = np.empty(2)
    best = np.empty(4)
    length = 0.0
    edges = tables.edges
    for count in range(n):
        i = order[count]
        best[0] = np.inf
        for c in range(choice_start[i], choice_start[i + 1]):
            s = choices[c]
            hx, hy = tables.half[s, 0], tables.half[s, 1]
            if hy > width - hy:
                continue
            borders = (hy, width - hy)
            # Behind everything there is always room.
            at[0], at[1] = length + hx, hy
            _try(tables, shape, x, y, ones, order, count, s, at, best, width)
            for b in range(2):
                at[0], at[1] = hx, borders[b]
                _try(tables, shape, x, y, ones, order, count, s, at, best, width)
            for h in range(count):
                j = order[h]
                k = tables.table[shape[j], s]
                sign = tables.sign[shape[j], s]
                for e in range(tables.first_edge[k], tables.first_edge[k + 1]):
                    x0, y0 = x[j] + sign * edges[e, 0], y[j] + sign * edges[e, 1]
                    ex, ey = sign * edges[e, 2], sign * edges[e, 3]
                    at[0], at[1] = x0, y0
                    _try(tables, shape, x, y, ones, order, count, s, at, best, width)
                    for b in range(2):
                        if (y0 - borders[b]) * (y0 + ey - borders[b]) < 0.0:
                            at[0] = x0 + (borders[b] - y0) / ey * ex
                            at[1] = borders[b]
                            _try(tables, shape, x, y, ones, order, count, s, at, best, width)
                    if (x0 - hx) * (x0 + ex - hx) < 0.0:
                        at[0], at[1] = hx, y0 + (hx - x0) / ex * ey
                        _try(tables, shape, x, y, ones, order, count, s, at, best, width)
        x[i], y[i], shape[i] = best[1], best[2], int(best[3])
        length = max(length, best[0])
    return length
