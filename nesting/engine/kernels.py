"""Innermost kernels: random numbers, and how deep one shape overlaps others."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .scaled import TOUCH
from .tables import GRID, PairTables

WordArray = npt.NDArray[np.uint64]


def random_state(seed: int, stream: int) -> WordArray:
    """Return the state of an independent random stream (xoroshiro128+, Blackman and Vigna)."""
    state = np.random.SeedSequence([seed, stream]).generate_state(2, np.uint64)
    state[0] |= np.uint64(1)
    return state


@kernel
def uniform(state: WordArray) -> float:
    """Return a random number in [0, 1)."""
    s0, s1 = state[0], state[1]
    word = s0 + s1
    s1 ^= s0
    state[0] = ((s0 << np.uint64(24)) | (s0 >> np.uint64(40))) ^ s1 ^ (s1 << np.uint64(16))
    state[1] = (s1 << np.uint64(37)) | (s1 >> np.uint64(27))
    return float(word >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@kernel
def depth(tables: PairTables, k: int, dx: float, dy: float) -> tuple[float, float, float]:
    """Return how deep a relative position lies in no-fit polygon k, and the way out.

    The depth is the distance to the polygon's boundary, 0 outside it; the way out is the
    vector to the nearest boundary point. The sign follows from the nearest edge or corner
    alone: next to a corner the point is inside just where that corner turns inward.
    """
    box = tables.box
    if dx <= box[k, 0] or dx >= box[k, 2] or dy <= box[k, 1] or dy >= box[k, 3]:
        return 0.0, 0.0, 0.0
    column = int((dx - box[k, 0]) * tables.cell_size[k, 0])
    row = int((dy - box[k, 1]) * tables.cell_size[k, 1])
    cell = k * GRID * GRID + min(row, GRID - 1) * GRID + min(column, GRID - 1)
    edges = tables.edges
    least = np.inf
    inside = False
    wx = 0.0
    wy = 0.0
    for c in range(tables.cells[cell], tables.cells[cell + 1]):
        e = tables.cell_edges[c]
        px, py = dx - edges[e, 0], dy - edges[e, 1]
        ex, ey = edges[e, 2], edges[e, 3]
        t = (px * ex + py * ey) * edges[e, 4]
        if t <= 0.0:
            within = edges[e, 5] > 0.0
        elif t >= 1.0:
            within = edges[e, 6] > 0.0
            px -= ex
            py -= ey
        else:
            within = ex * py - ey * px > 0.0
            px -= t * ex
            py -= t * ey
        d = px * px + py * py
        if d < least:
            least = d
            inside = within
            wx = -px
            wy = -py
    if not inside or least <= TOUCH * TOUCH:
        return 0.0, 0.0, 0.0
    return np.sqrt(least), wx, wy


@kernel
def pair_depth(
    tables: PairTables, fixed: int, moving: int, dx: float, dy: float
) -> tuple[float, float, float]:
    """Return how deep shape ``moving`` at (dx, dy) from shape ``fixed`` overlaps it."""
    sign = tables.sign[fixed, moving]
    d, wx, wy = depth(tables, tables.table[fixed, moving], sign * dx, sign * dy)
    return d, sign * wx, sign * wy


@kernel
def cost_at(
    tables: PairTables,
    shape: IntArray,
    px: FloatArray,
    py: FloatArray,
    weight: FloatArray,
    near: IntArray,
    count: int,
    s: int,
    x: float,
    y: float,
    bound: float,
) -> float:
    """Return the weighted overlap of shape s at (x, y) with the items listed in ``near``.

    Gives up, with some value of at least ``bound``, once the sum reaches it.
    """
    total = 0.0
    for h in range(count):
        j = near[h]
        t = shape[j]
        k = tables.table[t, s]
        sign = tables.sign[t, s]
        d, _wx, _wy = depth(tables, k, sign * (x - px[j]), sign * (y - py[j]))
        if d > 0.0:
            total += weight[j] * d
            if total >= bound:
                return total
    return total
