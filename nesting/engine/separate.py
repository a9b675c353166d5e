"""Guided local search: move overlapping pieces until nothing overlaps at a fixed length.

Every pair of pieces has a weight. In each sweep every overlapping piece goes to the place of
least weighted overlap that a sample of places and descents from the best of them can find; then
the weights of pairs that still overlap grow, most for the deepest, and the others fade. (Guided
local search: Voudouris and Tsang 1999; on overlap at fixed length: Egeblad, Nielsen and Odgaard
2007; weighted and shrinking strips: Umetani et al. 2009, Elkeran 2013.)
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..geometry.compiled import inner_kernel, kernel, lent
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .columns import column_range, sort_items
from .descent import walk_down
from .kernels import WordArray, cost_at, pair_depth, uniform
from .phases import shift_phase
from .places import GROUND, find_ground, is_stepped, place_near
from .state import Lay, lent_lay
from .tables import PairTables, lent_tables


class Effort(NamedTuple):
    """How hard one sweep tries: fixed numbers, the same for every problem.

    Descents start with steps of ``stride`` and end, for all kept places, at ``coarse`` and, for
    the winner, at ``fine``: shares of half the shape's smaller side.
    """

    random_places: int = 10
    near_places: int = 8
    descents: int = 3
    stride: float = 0.2
    coarse: float = 0.02
    fine: float = 2e-4
    growth_least: float = 0.2
    growth_most: float = 1.0
    fade: float = 0.95


@kernel
def deepest_overlap(tables: PairTables, shape: IntArray, x: FloatArray, y: FloatArray) -> float:
    """Return the depth of the deepest overlap of any two items."""
    deepest = 0.0
    for i in range(len(shape)):
        for j in range(i + 1, len(shape)):
            depth = pair_depth(tables, shape[i], shape[j], x[j] - x[i], y[j] - y[i])[0]
            deepest = max(deepest, depth)
    return deepest


@inner_kernel
def _keep(kept: FloatArray, count: int, c: float, s: int, x: float, y: float) -> int:
    """Insert a place into the sorted list of the best ones, dropping the worst when full."""
    room = len(kept)
    if count == room and c >= kept[room - 1, 0]:
        return count
    h = min(count, room - 1)
    while h > 0 and kept[h - 1, 0] > c:
        kept[h] = kept[h - 1]
        h -= 1
    kept[h, 0], kept[h, 1], kept[h, 2], kept[h, 3] = c, x, y, s
    return min(count + 1, room)


@kernel
def relocate(
    tables: PairTables,
    lay: Lay,
    effort: Effort,
    i: int,
    length: float,
    rng: WordArray,
) -> float:
    """Move item i to the best place found; return its weighted overlap there."""
    pull, near = lay.pull, lay.columns.by_size
    column_start, span = lay.columns.start, lay.columns.span
    for j in range(len(lay.shape)):
        pull[j] = lay.weight[i, j] * lay.size[i, j]
    sort_items(lay.columns, lay.x, length, i)
    s0 = lay.shape[i]
    first, stop = column_range(column_start, span, lay.x[i], tables.half[s0, 0])
    now = cost_at(
        tables, lay.shape, lay.x, lay.y, pull, near, first, stop, s0, lay.x[i], lay.y[i], np.inf
    )
    if now == 0.0:
        return 0.0
    kept = np.empty((effort.descents, 4))
    ground = np.empty(GROUND)
    held = _keep(kept, 0, now, s0, lay.x[i], lay.y[i])
    for c in range(lay.choice_start[i], lay.choice_start[i + 1]):
        s = lay.choices[c]
        if not find_ground(tables, lay.x, lay.y, s, length, ground):
            continue
        spread = 0.5 * (tables.half[s, 0] + tables.half[s, 1])
        stepped = is_stepped(ground)
        spread_x, spread_y = max(spread, 4.0 * ground[6]), max(spread, 4.0 * ground[7])
        near_places = effort.near_places if s == s0 else 1
        for h in range(effort.random_places + near_places):
            if h < effort.random_places:
                x = ground[0] + uniform(rng) * (ground[1] - ground[0])
                y = ground[2] + uniform(rng) * (ground[3] - ground[2])
            else:
                x = lay.x[i] + (uniform(rng) - 0.5) * spread_x
                y = lay.y[i] + (uniform(rng) - 0.5) * spread_y
            x, y = min(ground[1], max(ground[0], x)), min(ground[3], max(ground[2], y))
            if stepped:
                x, y = place_near(ground, x, y)
            bound = kept[held - 1, 0] if held == len(kept) else np.inf
            first, stop = column_range(column_start, span, x, tables.half[s, 0])
            v = cost_at(tables, lay.shape, lay.x, lay.y, pull, near, first, stop, s, x, y, bound)
            held = _keep(kept, held, v, s, x, y)
    place = np.empty(3)
    best = now
    for h in range(held):
        s = int(kept[h, 3])
        place[0], place[1], place[2] = kept[h, 0], kept[h, 1], kept[h, 2]
        walk_down(tables, lay, s, place, length, effort.stride, effort.coarse, rng)
        if place[0] < best:
            best = place[0]
            lay.shape[i], lay.x[i], lay.y[i] = s, place[1], place[2]
        if best == 0.0:
            return best
    # Only the winner is worth walking to the very bottom.
    s = lay.shape[i]
    place[0], place[1], place[2] = best, lay.x[i], lay.y[i]
    walk_down(tables, lay, s, place, length, effort.coarse, effort.fine, rng)
    lay.x[i], lay.y[i] = place[1], place[2]
    return float(place[0])


@kernel
def _reweigh(
    tables: PairTables, lay: Lay, effort: Effort, length: float, overlap: FloatArray
) -> float:
    """Raise the weights of overlapping pairs, let the others fade; return the sized overlap.

    ``overlap[i]`` becomes the sized overlap of entry i.
    """
    n = len(lay.shape)
    pair, shape, x, y = tables.pair, lay.shape, lay.x, lay.y
    sort_items(lay.columns, x, length, -1)
    by_index, column_start, span = lay.columns.by_index, lay.columns.start, lay.columns.span
    found = np.empty((n * (n - 1) // 2, 2))
    pairs = np.empty((len(found), 2), dtype=np.int64)
    count = 0
    deepest = 0.0
    total = 0.0
    overlap[:] = 0.0
    for i in range(n):
        first, stop = column_range(column_start, span, x[i], tables.half[shape[i], 0])
        for h in range(first, stop):
            j = by_index[h]
            if j <= i:
                continue
            dx, dy = x[j] - x[i], y[j] - y[i]
            row = pair[shape[i], shape[j]]
            if dx <= row[0] or dx >= row[2] or dy <= row[1] or dy >= row[3]:
                continue
            d = pair_depth(tables, shape[i], shape[j], dx, dy)[0]
            if d > 0.0:
                d *= lay.size[i, j]
                pairs[count, 0], pairs[count, 1] = i, j
                found[count, 0], found[count, 1] = d, lay.weight[i, j]
                count += 1
                deepest = max(deepest, d)
                total += d
                overlap[i] += d
                overlap[j] += d
    for i in range(n):
        for j in range(n):
            lay.weight[i, j] = max(1.0, lay.weight[i, j] * effort.fade)
    for h in range(count):
        i, j = pairs[h, 0], pairs[h, 1]
        growth = effort.growth_most - effort.growth_least
        w = found[h, 1] * (1.0 + effort.growth_least + growth * found[h, 0] / deepest)
        lay.weight[i, j] = w
        lay.weight[j, i] = w
    return total


@kernel
def sweeps(
    tables: PairTables,
    lay: Lay,
    effort: Effort,
    length: float,
    rng: WordArray,
    overlap: FloatArray,
    best_shape: IntArray,
    best_x: FloatArray,
    best_y: FloatArray,
    record: FloatArray,
    most: int,
    enough: float,
    gain: float,
) -> int:
    """Do up to ``most`` sweeps; return how many were done.

    ``record`` holds the least sized overlap met, the present one, and the sweeps since the last
    worthwhile gain; the layout of least overlap is kept in the ``best`` arrays. Stops early when
    the overlap is at most ``enough``.
    """
    tables, lay, rng = lent_tables(tables), lent_lay(lay), lent(rng)
    n = len(lay.choice_start) - 1
    for done in range(most):
        m = 0
        for i in range(n):
            if overlap[i] > 0.0:
                lay.order[m] = i
                m += 1
        for h in range(m - 1, 0, -1):
            r = int(uniform(rng) * (h + 1))
            lay.order[h], lay.order[r] = lay.order[r], lay.order[h]
        for h in range(m):
            relocate(tables, lay, effort, lay.order[h], length, rng)
            if len(lay.shape) > n:
                shift_phase(tables, lay, lay.order[h], length, rng)
        total = _reweigh(tables, lay, effort, length, overlap)
        record[1] = total
        record[2] += 1.0
        if total < record[0]:
            if total < gain * record[0]:
                record[2] = 0.0
            record[0] = total
            best_shape[:] = lay.shape
            best_x[:] = lay.x
            best_y[:] = lay.y
        if total <= enough:
            return done + 1
    return most
