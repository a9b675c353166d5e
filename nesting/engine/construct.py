"""A first layout: every piece in turn to the place where it ends nearest the cut end.

Bottom-left fill on no-fit polygons: the places tried are the corners of the no-fit polygons of
the pieces already there and the crossings of their edges with the borders of the strip.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Found
from .grids import GRID
from .kernels import pair_depth
from .scaled import TOUCH, ScaledProblem
from .search import choice_arrays
from .tables import PairTables

MANY = 100
"""Items above which one fill, by area, has to do."""

CHUNK = 16
"""Items placed between two looks at the clock."""


class _Fill(NamedTuple):
    """The state of a fill: where items lie, and what bounds the search for places.

    ``order`` lists the items as they are to be placed; ``placed`` those that are, by the least x
    of their boxes, which ``low`` holds. Items of the same ``kind`` have the same choices, so none
    can end before the one of its kind placed last, at ``ends[kind]``: what was in the way then
    still is. ``last`` holds the length so far and the greatest extent of a box along x.
    """

    choice_start: IntArray
    choices: IntArray
    order: IntArray
    kind: IntArray
    shape: IntArray
    x: FloatArray
    y: FloatArray
    placed: IntArray
    low: FloatArray
    ends: FloatArray
    last: FloatArray


def fills(
    scaled: ScaledProblem, tables: PairTables, look: Callable[[], None] | None = None
) -> Iterator[Found]:
    """Yield a few bottom-left fills.

    Pieces come in falling order of area and, unless they are many, of length along the cloth,
    of width and of box.

    Parameters
    ----------
    look
        Called now and then; what it raises ends the work.
    """
    half = np.array([scaled.shapes[c[0]].half for c in scaled.choices], dtype=np.float64)
    area = np.array([scaled.shapes[c[0]].area for c in scaled.choices])
    n = len(scaled.choices)
    numbers: dict[tuple[int, ...], int] = {}
    kind = np.array([numbers.setdefault(c, len(numbers)) for c in scaled.choices], dtype=np.int64)
    widest = 2.0 * max(float(shape.half[0]) for shape in scaled.shapes)
    for key in (area, half[:, 0], half[:, 1], half.sum(axis=1))[: 4 if n <= MANY else 1]:
        state = _Fill(
            *choice_arrays(scaled),
            order=np.argsort(-key, kind="stable").astype(np.int64),
            kind=kind,
            shape=np.full(n, -1, dtype=np.int64),
            x=np.zeros(n),
            y=np.zeros(n),
            placed=np.empty(n, dtype=np.int64),
            low=np.empty(n),
            ends=np.zeros(n),
            last=np.array([0.0, widest]),
        )
        for start in range(0, n, CHUNK):
            if look is not None:
                look()
            _fill(tables, state, start, min(n, start + CHUNK), scaled.width)
        yield Found(float(state.last[0]), state.shape, state.x, state.y)


def first_layout(scaled: ScaledProblem, tables: PairTables) -> Found:
    """Return the shortest of a few bottom-left fills."""
    return min(fills(scaled, tables), key=lambda found: found.length)


@kernel
def _blocked(
    tables: PairTables, state: _Fill, count: int, s: int, cx: float, cy: float, guess: int
) -> tuple[int, float]:
    """Return an item in the way of shape s at (cx, cy), or -1, and how deep the two overlap.

    The item ``guess`` is asked first.
    """
    shape, x, y = state.shape, state.x, state.y
    if guess >= 0:
        depth = pair_depth(tables, shape[guess], s, cx - x[guess], cy - y[guess])[0]
        if depth > 0.0:
            return guess, depth
    hx = tables.half[s, 0]
    behind = cx - hx - state.last[1]
    h = np.searchsorted(state.low[:count], cx + hx) - 1
    while h >= 0 and state.low[h] > behind:
        j = state.placed[h]
        depth = pair_depth(tables, shape[j], s, cx - x[j], cy - y[j])[0]
        if depth > 0.0:
            return int(j), depth
        h -= 1
    return -1, 0.0


@kernel
def _try(
    tables: PairTables,
    state: _Fill,
    count: int,
    s: int,
    cx: float,
    cy: float,
    width: float,
    best: FloatArray,
    known: FloatArray,
) -> None:
    """Make (cx, cy) the best place of shape s if it is free and ends nearer the start.

    ``known`` holds an end before which there is no room; which item was last in the way, to be
    asked first, since it mostly is in the way again; and the middle and squared radius of a
    circle of places where it certainly is.
    """
    hx, hy = tables.half[s, 0], tables.half[s, 1]
    end = cx + hx
    if cx < hx or cy < hy or cy > width - hy or end < known[0]:
        return
    if end > best[0] or (end == best[0] and cy >= best[2]):
        return
    dx, dy = cx - known[2], cy - known[3]
    if dx * dx + dy * dy < known[4]:
        return
    j, depth = _blocked(tables, state, count, s, cx, cy, int(known[1]))
    if j >= 0:
        known[1], known[2], known[3] = j, cx, cy
        # Nearer than the way out, less what counts as touching, there is no place to touch.
        known[4] = max(0.0, depth - 2.0 * TOUCH) ** 2
        return
    best[0], best[1], best[2], best[3] = end, cx, cy, s


@kernel
def _try_round(
    tables: PairTables,
    state: _Fill,
    count: int,
    j: int,
    s: int,
    width: float,
    best: FloatArray,
    known: FloatArray,
) -> None:
    """Try shape s all round item j."""
    hx, hy = tables.half[s, 0], tables.half[s, 1]
    borders = (hy, width - hy)
    row = tables.pair[state.shape[j], s]
    if state.x[j] + row[2] + hx < known[0]:
        return
    polygon = int(row[6]) // (GRID * GRID)
    sign_x, sign_y = np.sign(row[4]), np.sign(row[5])
    for e in range(tables.first_edge[polygon], tables.first_edge[polygon + 1]):
        edge = tables.edges[e]
        x0, y0 = state.x[j] + sign_x * edge["x"], state.y[j] + sign_y * edge["y"]
        ex, ey = sign_x * edge["along_x"], sign_y * edge["along_y"]
        _try(tables, state, count, s, x0, y0, width, best, known)
        for b in range(2):
            if (y0 - borders[b]) * (y0 + ey - borders[b]) < 0.0:
                at = x0 + (borders[b] - y0) / ey * ex
                _try(tables, state, count, s, at, borders[b], width, best, known)
        if (x0 - hx) * (x0 + ex - hx) < 0.0:
            at = y0 + (hx - x0) / ex * ey
            _try(tables, state, count, s, hx, at, width, best, known)


@kernel
def _fill(tables: PairTables, state: _Fill, start: int, stop: int, width: float) -> None:
    """Place the items from ``start`` to before ``stop`` of the order; each finds a place."""
    best = np.empty(4)
    known = np.empty(5)
    for count in range(start, stop):
        i = state.order[count]
        kind = state.kind[i]
        best[0] = np.inf
        known[0], known[1] = state.ends[kind], -1.0
        for c in range(state.choice_start[i], state.choice_start[i + 1]):
            s = state.choices[c]
            hx, hy = tables.half[s, 0], tables.half[s, 1]
            if hy > width - hy:
                continue
            known[4] = 0.0  # another shape, other places
            # Behind everything there is always room.
            behind = state.last[0] + hx
            _try(tables, state, count, s, behind, hy, width, best, known)
            _try(tables, state, count, s, hx, hy, width, best, known)
            _try(tables, state, count, s, hx, width - hy, width, best, known)
            for h in range(count):
                if state.low[h] > best[0]:
                    break  # nothing round what lies farther ends sooner
                _try_round(tables, state, count, state.placed[h], s, width, best, known)
        s = int(best[3])
        state.x[i], state.y[i], state.shape[i] = best[1], best[2], s
        state.ends[kind] = best[0]
        state.last[0] = max(state.last[0], best[0])
        low = best[1] - tables.half[s, 0]
        h = count
        while h > 0 and state.low[h - 1] > low:
            state.low[h], state.placed[h] = state.low[h - 1], state.placed[h - 1]
            h -= 1
        state.low[h], state.placed[h] = low, i
