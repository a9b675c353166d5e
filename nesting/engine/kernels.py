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
    sequence = np.random.SeedSequence([seed, stream])
    state = sequence.generate_state(2, np.uint64).astype(np.uint64)
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
def _depth_inside_box(
    edges: FloatArray,
    cells: IntArray,
    cell_edges: npt.NDArray[np.int32],
    row: FloatArray,
    dx: float,
    dy: float,
) -> tuple[float, float, float]:
    """Return depth and way out of a relative position that lies in the no-fit polygon's box.

    The sign follows from the nearest edge or corner alone: next to a corner the point is inside
    just where that corner turns inward.
    """
    sign = row[6]
    x0, y0 = (row[0], row[1]) if sign > 0.0 else (-row[2], -row[3])
    dx *= sign
    dy *= sign
    column = min(int((dx - x0) * row[4]), GRID - 1)
    line = min(int((dy - y0) * row[5]), GRID - 1)
    cell = int(row[7]) + line * GRID + column
    least = np.inf
    inside = False
    wx = 0.0
    wy = 0.0
    for c in range(cells[cell], cells[cell + 1]):
        e = cell_edges[c]
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
    return np.sqrt(least), sign * wx, sign * wy


@kernel
def pair_depth(
    tables: PairTables, fixed: int, moving: int, dx: float, dy: float
) -> tuple[float, float, float]:
    """Return how deep shape ``moving`` at (dx, dy) from shape ``fixed`` overlaps it.

    The depth is the distance of the relative position to the no-fit polygon's boundary, 0
    outside it; the other two are the way out, the vector to the nearest boundary point.
    """
    row = tables.pair[fixed, moving]
    if dx <= row[0] or dx >= row[2] or dy <= row[1] or dy >= row[3]:
        return 0.0, 0.0, 0.0
    return _depth_inside_box(tables.edges, tables.cells, tables.cell_edges, row, dx, dy)


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
    pair, edges = tables.pair, tables.edges
    cells, cell_edges = tables.cells, tables.cell_edges
    total: float = 0.0
    for h in range(count):
        j = near[h]
        t = shape[j]
        dx, dy = x - px[j], y - py[j]
        if dx <= pair[t, s, 0] or dx >= pair[t, s, 2]:
            continue
        if dy <= pair[t, s, 1] or dy >= pair[t, s, 3]:
            continue
        d = _depth_inside_box(edges, cells, cell_edges, pair[t, s], dx, dy)[0]
        if d > 0.0:
            total += weight[j] * d
            if total >= bound:
                return total
    return total
