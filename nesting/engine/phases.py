"""Move lattices of unknown offset, and everything that lies on them, at once."""

from __future__ import annotations

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from .kernels import WordArray, pair_depth, uniform
from .places import GROUND, find_ground, place_near
from .state import Lay
from .tables import PairTables

RANDOM_SHIFTS = 4
"""Random shifts tried beside those that bring the piece to touch something."""


SHARE = 0.3
"""Share of an item's moves after which its phase is shifted: that costs as much as ten moves."""


@kernel
def shift_phase(tables: PairTables, lay: Lay, i: int, length: float, rng: WordArray) -> None:
    """Shift the phase item i depends on, if it does on one, to where its items overlap least.

    Done at random, for a share of the calls. Tried are shifts that take item i out of its
    overlaps, to the strip's start or to its end, and random ones. Each item on a lattice of the
    phase moves to the nearest place of the lattice as shifted. The phase stays where it is unless
    the weighted overlap of these items falls.
    """
    mark = int(tables.ground[lay.shape[i], 9])
    if mark < 0 or uniform(rng) >= SHARE:
        return
    own = np.empty(len(lay.choice_start) - 1, dtype=np.int64)
    count = 0
    for j in range(len(own)):
        if int(tables.ground[lay.shape[j], 9]) == mark:
            own[count] = j
            count += 1
    own = own[:count]
    old_x, old_y, mark_x, mark_y = lay.x[own], lay.y[own], lay.x[mark], lay.y[mark]
    best_x, best_y, best_mark_x, best_mark_y = old_x.copy(), old_y.copy(), mark_x, mark_y
    best, wx, wy, sx, sy = _overlap_of(tables, lay, own, i)
    free = tables.ground[lay.shape[mark]]
    free_x, free_y = free[1] > free[0], free[3] > free[2]
    ground = tables.ground[lay.shape[i]]
    half_x = tables.half[lay.shape[i], 0]
    for attempt in range(4 + RANDOM_SHIFTS):
        if best == 0.0:
            break
        dx, dy = 0.0, 0.0
        if attempt == 0:
            dx, dy = sx, sy
        elif attempt == 1:
            dx, dy = wx, wy
        elif attempt == 2:
            dx = ground[0] - lay.x[i]
        elif attempt == 3:
            dx = length - half_x - lay.x[i]
        else:
            dx = (uniform(rng) - 0.5) * ground[6]
            dy = (uniform(rng) - 0.5) * ground[7]
        lay.x[mark] = mark_x + (dx if free_x else 0.0)
        lay.y[mark] = mark_y + (dy if free_y else 0.0)
        if _follow(tables, lay, own, length):
            total = _overlap_of(tables, lay, own, i)[0]
            if total < best:
                best, best_mark_x, best_mark_y = total, lay.x[mark], lay.y[mark]
                best_x[:], best_y[:] = lay.x[own], lay.y[own]
        lay.x[own], lay.y[own] = old_x, old_y
    lay.x[own], lay.y[own] = best_x, best_y
    lay.x[mark], lay.y[mark] = best_mark_x, best_mark_y


@kernel
def _follow(tables: PairTables, lay: Lay, own: IntArray, length: float) -> bool:
    """Move items to the nearest places of their shifted lattices; False if one has none."""
    ground = np.empty(GROUND)
    for j in own:
        if not find_ground(tables, lay.x, lay.y, lay.shape[j], length, ground):
            return False
        lay.x[j], lay.y[j] = place_near(ground, lay.x[j], lay.y[j])
    return True


@kernel
def _overlap_of(
    tables: PairTables, lay: Lay, own: IntArray, i: int
) -> tuple[float, float, float, float, float]:
    """Return the weighted overlap of items with all else, and of item i the ways out.

    These are the way out of its worst overlap, and the sum of all.
    """
    total, most = 0.0, 0.0
    wx, wy, sx, sy = 0.0, 0.0, 0.0, 0.0
    for j in own:
        for k in range(len(lay.shape)):
            if k == j:
                continue
            depth, ux, uy = pair_depth(
                tables, lay.shape[k], lay.shape[j], lay.x[j] - lay.x[k], lay.y[j] - lay.y[k]
            )
            if depth == 0.0:
                continue
            cost = lay.weight[j, k] * lay.size[j, k] * depth
            total += cost
            if j == i:
                sx += ux
                sy += uy
                if cost > most:
                    most, wx, wy = cost, ux, uy
    return total, wx, wy, sx, sy
