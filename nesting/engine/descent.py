"""Walk one piece downhill: from a place to one near it where it overlaps less."""

from __future__ import annotations

import numpy as np

from ..geometry.compiled import inner_kernel, kernel
from ..geometry.rings import FloatArray
from .columns import column_range
from .kernels import WordArray, cost_at, pair_depth, uniform
from .places import GROUND, find_ground, is_stepped, place_near
from .state import Lay
from .tables import PairTables


@inner_kernel
def _pushed(
    tables: PairTables,
    lay: Lay,
    pull: FloatArray,
    count: int,
    s: int,
    x: float,
    y: float,
) -> tuple[float, float, float, float, float]:
    """Return the cost at a place, the way out of its worst overlap, and the sum of ways out."""
    total = 0.0
    most = 0.0
    wx = 0.0
    wy = 0.0
    sx = 0.0
    sy = 0.0
    for h in range(count):
        j = lay.near[h]
        d, ux, uy = pair_depth(tables, lay.shape[j], s, x - lay.x[j], y - lay.y[j])
        if d > 0.0:
            c = pull[j] * d
            total += c
            sx += ux
            sy += uy
            if c > most:
                most = c
                wx = ux
                wy = uy
    return total, wx, wy, sx, sy


@inner_kernel
def _gather(tables: PairTables, lay: Lay, s: int, x: float, y: float, reach: float) -> int:
    """List in ``near`` the items that shape s can touch within ``reach`` of (x, y)."""
    count = 0
    by_index = lay.columns.by_index
    first, stop = column_range(lay.columns.start, lay.columns.span, x, tables.half[s, 0] + reach)
    for h in range(first, stop):
        j = by_index[h]
        t = lay.shape[j]
        dx, dy = x - lay.x[j], y - lay.y[j]
        if (
            dx > tables.pair[t, s, 0] - reach
            and dx < tables.pair[t, s, 2] + reach
            and dy > tables.pair[t, s, 1] - reach
            and dy < tables.pair[t, s, 3] + reach
        ):
            lay.near[count] = j
            count += 1
    return count


@kernel
def _descend(
    tables: PairTables,
    lay: Lay,
    pull: FloatArray,
    s: int,
    place: FloatArray,
    ground: FloatArray,
    start: float,
    finest: float,
    rng: WordArray,
) -> None:
    """Walk ``place`` = (cost, x, y) downhill until steps get finer than ``finest``.

    First along the ways out of the overlaps themselves, which end exactly at a touch, then by
    steps along random axes and diagonals that grow on success and halve on failure, never over
    the limits of ``ground`` (``find_ground``), which is no lattice.
    """
    step = start
    reach = 3.0 * step
    x, y, cost = place[1], place[2], place[0]
    ax, ay = x, y
    count = _gather(tables, lay, s, x, y, reach)
    pushing = True
    while cost > 0.0 and step > finest:
        if abs(x - ax) > reach - step or abs(y - ay) > reach - step:
            reach = 3.0 * step
            ax, ay = x, y
            count = _gather(tables, lay, s, x, y, reach)
        if pushing:
            _c, wx, wy, sx, sy = _pushed(tables, lay, pull, count, s, x, y)
            pushing = False
            for attempt in range(2):
                vx, vy = (sx, sy) if attempt == 0 else (wx, wy)
                if attempt == 1 and vx == sx and vy == sy:
                    break
                nx = min(ground[1], max(ground[0], x + vx))
                ny = min(ground[3], max(ground[2], y + vy))
                if abs(nx - ax) > reach or abs(ny - ay) > reach:
                    reach = max(abs(nx - ax), abs(ny - ay)) + step
                    count = _gather(tables, lay, s, ax, ay, reach)
                c = cost_at(
                    tables, lay.shape, lay.x, lay.y, pull, lay.near, 0, count, s, nx, ny, cost
                )
                if c < cost:
                    # A push that gains little is left to the steps.
                    pushing = c < 0.9 * cost
                    cost, x, y = c, nx, ny
                    break
            continue
        r = int(uniform(rng) * 8.0)
        vx = 1.0 if r in (0, 4, 5) else (-1.0 if r in (1, 6, 7) else 0.0)
        vy = 1.0 if r in (2, 4, 6) else (-1.0 if r in (3, 5, 7) else 0.0)
        nx = min(ground[1], max(ground[0], x + vx * step))
        ny = min(ground[3], max(ground[2], y + vy * step))
        c = cost_at(tables, lay.shape, lay.x, lay.y, pull, lay.near, 0, count, s, nx, ny, cost)
        if c >= cost:
            nx = min(ground[1], max(ground[0], x - vx * step))
            ny = min(ground[3], max(ground[2], y - vy * step))
            c = cost_at(tables, lay.shape, lay.x, lay.y, pull, lay.near, 0, count, s, nx, ny, cost)
        if c < cost:
            pushing = c < 0.9 * cost
            cost, x, y = c, nx, ny
            step *= 1.1
        else:
            step *= 0.5
    place[0], place[1], place[2] = cost, x, y


@kernel
def _descend_on_lattice(
    tables: PairTables,
    lay: Lay,
    pull: FloatArray,
    s: int,
    place: FloatArray,
    ground: FloatArray,
    start: float,
    finest: float,
    rng: WordArray,
) -> None:
    """Do what ``_descend`` does on a lattice: along its axes no step is less than one of its own.

    A kernel by itself, so that the other, which nearly every piece needs, stays small and fast.
    """
    step = start
    x, y, cost = place[1], place[2], place[0]
    while cost > 0.0 and step > finest:
        long_x, long_y = max(step, ground[6]), max(step, ground[7])
        reach = 4.0 * (long_x + long_y)
        count = _gather(tables, lay, s, x, y, reach)
        _c, wx, wy, sx, sy = _pushed(tables, lay, pull, count, s, x, y)
        r = int(uniform(rng) * 8.0)
        vx = long_x if r in (0, 4, 5) else (-long_x if r in (1, 6, 7) else 0.0)
        vy = long_y if r in (2, 4, 6) else (-long_y if r in (3, 5, 7) else 0.0)
        better = False
        for dx, dy in ((sx, sy), (wx, wy), (vx, vy), (-vx, -vy)):
            nx, ny = place_near(ground, x + dx, y + dy)
            far = max(abs(nx - x), abs(ny - y))
            if far > reach:
                reach = far + step
                count = _gather(tables, lay, s, x, y, reach)
            c = cost_at(tables, lay.shape, lay.x, lay.y, pull, lay.near, 0, count, s, nx, ny, cost)
            if c < cost:
                # Ways out of two neighbours in turn may gain no more than rounding, for ever.
                better = c < 0.99 * cost
                cost, x, y = c, nx, ny
                break
        step *= 1.1 if better else 0.5
    place[0], place[1], place[2] = cost, x, y


@kernel
def walk_down(
    tables: PairTables,
    lay: Lay,
    s: int,
    place: FloatArray,
    length: float,
    start: float,
    finest: float,
    rng: WordArray,
) -> None:
    """Walk ``place`` = (cost, x, y) of shape s downhill until its steps get too fine.

    Steps begin with ``start`` and end at ``finest``, shares of half the shape's smaller side. The
    cost is that of the overlaps, weighted by ``lay.pull``, with all items but the one that moves.
    """
    ground = np.empty(GROUND)
    if not find_ground(tables, lay.x, lay.y, s, length, ground):
        return
    small = min(tables.half[s, 0], tables.half[s, 1])
    start, finest = start * small, finest * small
    if is_stepped(ground):
        _descend_on_lattice(tables, lay, lay.pull, s, place, ground, start, finest, rng)
    else:
        _descend(tables, lay, lay.pull, s, place, ground, start, finest, rng)
