"""A first layout: every piece in turn to the place where it ends nearest the cut end.

Bottom-left fill on no-fit polygons: the places tried are the corners of the no-fit polygons of
the pieces already there and the crossings of their edges with the borders of the strip.
"""

from __future__ import annotations

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .kernels import pair_depth
from .scaled import ScaledProblem
from .tables import PairTables

MANY = 100
"""Items above which one fill, by area, has to do."""


def first_layout(
    scaled: ScaledProblem, tables: PairTables, choice_start: IntArray, choices: IntArray
) -> tuple[float, IntArray, FloatArray, FloatArray]:
    """Return (length, shape, x, y) of the shortest of a few bottom-left fills, in units.

    Pieces come in falling order of area and, unless they are many, of length along the cloth,
    of width and of box.
    """
    half = np.array([scaled.shapes[c[0]].half for c in scaled.choices], dtype=np.float64)
    area = np.array([scaled.shapes[c[0]].area for c in scaled.choices])
    n = len(scaled.choices)
    numbers: dict[tuple[int, ...], int] = {}
    kind = np.array([numbers.setdefault(c, len(numbers)) for c in scaled.choices], dtype=np.int64)
    best: tuple[float, IntArray, FloatArray, FloatArray] | None = None
    for key in (area, half[:, 0], half[:, 1], half.sum(axis=1))[: 4 if n <= MANY else 1]:
        order = np.argsort(-key, kind="stable").astype(np.int64)
        shape = np.full(n, -1, dtype=np.int64)
        x, y = np.zeros(n), np.zeros(n)
        length = fill(tables, choice_start, choices, order, kind, shape, x, y, scaled.width)
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
    placed: IntArray,
    count: int,
    s: int,
    cx: float,
    cy: float,
    width: float,
    best: FloatArray,
    state: FloatArray,
) -> None:
    """Make (cx, cy) the best place of shape s if it is free and ends nearer the start.

    ``state`` holds an end before which there is no room, and which item was last in the way:
    it is asked first, since it mostly is in the way again.
    """
    hx, hy = tables.half[s, 0], tables.half[s, 1]
    end = cx + hx
    if cx < hx or cy < hy or cy > width - hy or end < state[0]:
        return
    if end > best[0] or (end == best[0] and cy >= best[2]):
        return
    pair = tables.pair
    guess = int(state[1])
    for h in range(-1, count):
        if h >= 0 and h == guess:
            continue
        j = placed[guess] if h < 0 else placed[h]
        t = shape[j]
        dx, dy = cx - x[j], cy - y[j]
        if dx <= pair[t, s, 0] or dx >= pair[t, s, 2]:
            continue
        if dy <= pair[t, s, 1] or dy >= pair[t, s, 3]:
            continue
        if pair_depth(tables, t, s, dx, dy)[0] > 0.0:
            if h >= 0:
                state[1] = h
            return
    best[0], best[1], best[2], best[3] = end, cx, cy, s


@kernel
def fill(
    tables: PairTables,
    choice_start: IntArray,
    choices: IntArray,
    order: IntArray,
    kind: IntArray,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    width: float,
) -> float:
    """Place all items in the given order; return the length. Every item finds a place.

    Items of the same ``kind`` have the same choices, so that none can end before the one of its
    kind placed last: what was in the way then still is.
    """
    best = np.empty(4)
    state = np.zeros(2)
    ends = np.zeros(len(order))
    length = 0.0
    edges = tables.edges
    for count in range(len(order)):
        i = order[count]
        best[0] = np.inf
        state[0] = ends[kind[i]]
        state[1] = 0.0
        for c in range(choice_start[i], choice_start[i + 1]):
            s = choices[c]
            hx, hy = tables.half[s, 0], tables.half[s, 1]
            if hy > width - hy:
                continue
            borders = (hy, width - hy)
            if count == 0:
                if 2.0 * hx < best[0]:
                    best[0], best[1], best[2], best[3] = 2.0 * hx, hx, hy, s
                continue
            # Behind everything there is always room.
            end = length + hx
            _try(tables, shape, x, y, order, count, s, end, hy, width, best, state)
            for b in range(2):
                _try(tables, shape, x, y, order, count, s, hx, borders[b], width, best, state)
            for h in range(count):
                j = order[h]
                k = tables.table[shape[j], s]
                sign = tables.sign[shape[j], s]
                for e in range(tables.first_edge[k], tables.first_edge[k + 1]):
                    x0, y0 = x[j] + sign * edges[e, 0], y[j] + sign * edges[e, 1]
                    ex, ey = sign * edges[e, 2], sign * edges[e, 3]
                    _try(tables, shape, x, y, order, count, s, x0, y0, width, best, state)
                    for b in range(2):
                        if (y0 - borders[b]) * (y0 + ey - borders[b]) < 0.0:
                            at = x0 + (borders[b] - y0) / ey * ex
                            _try(
                                tables, shape, x, y, order, count, s,
                                at, borders[b], width, best, state,
                            )  # fmt: skip
                    if (x0 - hx) * (x0 + ex - hx) < 0.0:
                        at = y0 + (hx - x0) / ex * ey
                        _try(tables, shape, x, y, order, count, s, hx, at, width, best, state)
        x[i], y[i], shape[i] = best[1], best[2], int(best[3])
        ends[kind[i]] = best[0]
        length = max(length, best[0])
    return length
