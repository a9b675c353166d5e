"""Innermost kernels: random numbers, and how deep one shape overlaps others."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .grids import GRID, HARDLY, EdgeArray, RunArray
from .scaled import TOUCH
from .tables import PairTables

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
    edges: EdgeArray,
    cells: IntArray,
    runs: RunArray,
    row: FloatArray,
    dx: float,
    dy: float,
) -> tuple[float, float, float]:
    """Return depth and way out of a relative position that lies in the no-fit polygon's box.

    The sign follows from the nearest edge or corner alone: next to a corner the point is inside
    just where that corner turns inward or, where it hardly turns, inside of the edge.
    """
    sign_x, x0 = (1.0, row[0]) if row[4] > 0.0 else (-1.0, row[2])
    sign_y, y0 = (1.0, row[1]) if row[5] > 0.0 else (-1.0, row[3])
    column = min(int((dx - x0) * row[4]), GRID - 1)
    line = min(int((dy - y0) * row[5]), GRID - 1)
    cell = int(row[6]) + line * GRID + column
    first = int(row[7])
    dx *= sign_x
    dy *= sign_y
    least = np.inf
    inside = False
    wx = 0.0
    wy = 0.0
    for run in range(cells[cell], cells[cell + 1]):
        for e in range(first + runs[run, 0], first + runs[run, 1]):
            edge = edges[e]
            px, py = dx - edge["x"], dy - edge["y"]
            ex, ey = float(edge["along_x"]), float(edge["along_y"])
            t = (px * ex + py * ey) * edge["inverse"]
            if t <= 0.0:
                turn = edge["start_inward"]
                within = ex * py - ey * px > 0.0 if turn == HARDLY else turn > 0
            elif t >= 1.0:
                turn = edge["end_inward"]
                within = ex * py - ey * px > 0.0 if turn == HARDLY else turn > 0
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
    return np.sqrt(least), sign_x * wx, sign_y * wy


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
    return _depth_inside_box(tables.edges, tables.cells, tables.runs, row, dx, dy)


@kernel
def cost_at(
    tables: PairTables,
    shape: IntArray,
    px: FloatArray,
    py: FloatArray,
    weight: FloatArray,
    near: IntArray,
    first: int,
    stop: int,
    s: int,
    x: float,
    y: float,
    bound: float,
) -> float:
    """Return the weighted overlap of shape s at (x, y) with the items near[first:stop].

    Gives up, with some value of at least ``bound``, once the sum reaches it.
    """
    pair, edges = tables.pair, tables.edges
    cells, runs = tables.cells, tables.runs
    total: float = 0.0
    for h in range(first, stop):
        j = near[h]
        t = shape[j]
        dx, dy = x - px[j], y - py[j]
        if dx <= pair[t, s, 0] or dx >= pair[t, s, 2]:
            continue
        if dy <= pair[t, s, 1] or dy >= pair[t, s, 3]:
            continue
        d = _depth_inside_box(edges, cells, runs, pair[t, s], dx, dy)[0]
        if d > 0.0:
            total += weight[j] * d
            if total >= bound:
                return total
    return total
