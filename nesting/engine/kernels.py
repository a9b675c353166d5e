"""Innermost kernels: random numbers, and how deep one shape overlaps others."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import inner_kernel
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


@inner_kernel
def uniform(state: WordArray) -> float:
    """Return a random number in [0, 1)."""
    s0, s1 = state[0], state[1]
    word = s0 + s1
    s1 ^= s0
    state[0] = ((s0 << np.uint64(24)) | (s0 >> np.uint64(40))) ^ s1 ^ (s1 << np.uint64(16))
    state[1] = (s1 << np.uint64(37)) | (s1 >> np.uint64(27))
    return float(word >> np.uint64(11)) * (1.0 / 9007199254740992.0)


@inner_kernel
def _depth_inside_box(
    edges: EdgeArray,
    cells: IntArray,
    runs: RunArray,
    pair: FloatArray,
    fixed: int,
    moving: int,
    dx: float,
    dy: float,
) -> tuple[float, float, float]:
    """Return depth and way out of a relative position that lies in the no-fit polygon's box.

    The sign follows from the nearest edge or corner alone: next to a corner the point is inside
    just where that corner turns inward or, where it hardly turns, inside of the edge.
    """
    per_x, per_y = pair[fixed, moving, 4], pair[fixed, moving, 5]
    sign_x, x0 = (1.0, pair[fixed, moving, 0]) if per_x > 0.0 else (-1.0, pair[fixed, moving, 2])
    sign_y, y0 = (1.0, pair[fixed, moving, 1]) if per_y > 0.0 else (-1.0, pair[fixed, moving, 3])
    column = min(int((dx - x0) * per_x), GRID - 1)
    line = min(int((dy - y0) * per_y), GRID - 1)
    cell = int(pair[fixed, moving, 6]) + line * GRID + column
    first = int(pair[fixed, moving, 7])
    dx *= sign_x
    dy *= sign_y
    least = np.inf
    nearest = first
    for run in range(cells[cell], cells[cell + 1]):
        for e in range(first + runs[run, 0], first + runs[run, 1]):
            edge = edges[e]
            px, py = dx - edge["x"], dy - edge["y"]
            ex, ey = float(edge["along_x"]), float(edge["along_y"])
            # Clamped, since a processor cannot foresee which end or neither it will be.
            t = min(1.0, max(0.0, (px * ex + py * ey) * edge["inverse"]))
            px -= t * ex
            py -= t * ey
            d = px * px + py * py
            if d < least:
                least = d
                nearest = e
    if least <= TOUCH * TOUCH or least == np.inf:
        return 0.0, 0.0, 0.0
    edge = edges[nearest]
    px, py = dx - edge["x"], dy - edge["y"]
    ex, ey = float(edge["along_x"]), float(edge["along_y"])
    t = (px * ex + py * ey) * edge["inverse"]
    turn = edge["start_inward"] if t <= 0.0 else edge["end_inward"] if t >= 1.0 else HARDLY
    inside = ex * py - ey * px > 0.0 if turn == HARDLY else turn > 0
    if not inside:
        return 0.0, 0.0, 0.0
    t = min(1.0, max(0.0, t))
    wx, wy = t * ex - px, t * ey - py
    return np.sqrt(least), sign_x * wx, sign_y * wy


@inner_kernel
def pair_depth(
    tables: PairTables, fixed: int, moving: int, dx: float, dy: float
) -> tuple[float, float, float]:
    """Return how deep shape ``moving`` at (dx, dy) from shape ``fixed`` overlaps it.

    The depth is the distance of the relative position to the no-fit polygon's boundary, 0
    outside it; the other two are the way out, the vector to the nearest boundary point.
    """
    pair = tables.pair
    if dx <= pair[fixed, moving, 0] or dx >= pair[fixed, moving, 2]:
        return 0.0, 0.0, 0.0
    if dy <= pair[fixed, moving, 1] or dy >= pair[fixed, moving, 3]:
        return 0.0, 0.0, 0.0
    return _depth_inside_box(tables.edges, tables.cells, tables.runs, pair, fixed, moving, dx, dy)


@inner_kernel
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
        d = _depth_inside_box(edges, cells, runs, pair, t, s, dx, dy)[0]
        if d > 0.0:
            total += weight[j] * d
            if total >= bound:
                return total
    return total
