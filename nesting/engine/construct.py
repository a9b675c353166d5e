"""A first layout: every piece in turn to the place where it ends nearest the cut end.

Bottom-left fill on no-fit polygons: the places tried are the corners of the no-fit polygons of
what is already there, obstacles first of all, and the crossings of their edges with the borders
of where the piece may lie.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Found
from .grids import GRID
from .grounds import EDGE
from .kernels import pair_depth
from .places import GROUND, find_ground, is_stepped, place_near
from .scaled import TOUCH, ScaledProblem, like_items
from .state import choice_arrays
from .tables import PairTables

BoolArray = npt.NDArray[np.bool_]

MANY = 100
"""Items above which one fill, by area, has to do."""

ONWARD = 3
"""Places of a lattice tried from each candidate onward."""

CHUNK = 16
"""Items placed between two looks at the clock."""


class _Fill(NamedTuple):
    """The state of a fill: where everything lies, and what bounds the search for places.

    ``order`` lists the items as they are to be placed; ``placed`` what is there, obstacles first
    of all, by the least x of their boxes, which ``low`` holds. Items of the same ``kind`` have
    the same choices, so none can end before the one of its kind placed last, at ``ends[kind]``:
    what was in the way then still is. ``last`` holds the length so far, the greatest extent of a
    box along x, and where the last obstacle ends. ``known[entry]`` tells of a phase's mark
    whether the first of its items is placed, which settles the offset.
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
    known: BoolArray


def fills(
    scaled: ScaledProblem, tables: PairTables, look: Callable[[], None] | None = None
) -> Iterator[Found]:
    """Yield a few bottom-left fills; none where each comes to an item it finds no place for.

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
    for key in (area, half[:, 0], half[:, 1], half.sum(axis=1))[: 4 if n <= MANY else 1]:
        state = _empty(scaled, tables, np.argsort(-key, kind="stable").astype(np.int64))
        for start in range(0, n, CHUNK):
            if look is not None:
                look()
            if not _fill(tables, state, start, min(n, start + CHUNK), _free_axes(scaled)):
                break
        else:
            yield Found(float(state.last[0]), state.shape, state.x, state.y)


def _free_axes(scaled: ScaledProblem) -> BoolArray:
    """Return whether each phase is free along x and along y."""
    free = [(phase.x, phase.y) for phase in scaled.problem.phases]
    return np.array(free, dtype=np.bool_).reshape(-1, 2)


def _empty(scaled: ScaledProblem, tables: PairTables, order: IntArray) -> _Fill:
    """Return a fill in which only the obstacles have been placed."""
    n, m = scaled.count, len(scaled.fixed)
    kind = like_items(scaled)
    shape, x, y = scaled.entries([-1] * n, np.zeros((n, 2)))
    obstacles = np.arange(n, n + m)
    reach = tables.half[shape[obstacles], 0]
    low = x[obstacles] - reach
    by_low = np.argsort(low, kind="stable")
    state = _Fill(
        *choice_arrays(scaled),
        order=order,
        kind=kind,
        shape=shape,
        x=x,
        y=y,
        placed=np.zeros(n + m, dtype=np.int64),
        low=np.empty(n + m),
        ends=np.zeros(n),
        last=np.array(
            [0.0, 2.0 * tables.half[:, 0].max(), (x[obstacles] + reach).max(initial=0.0)]
        ),
        known=np.zeros(len(shape), dtype=np.bool_),
    )
    state.placed[:m], state.low[:m] = obstacles[by_low], low[by_low]
    return state


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
    ground: FloatArray,
    best: FloatArray,
    known: FloatArray,
) -> None:
    """Make (cx, cy) the best place of shape s if it is free and ends nearer the start.

    On a lattice it stands for the lattice places next to it, away from the start. ``known`` holds
    an end before which there is no room; which item was last in the way, to be asked first, since
    it mostly is in the way again; and the middle and squared radius of a circle of places where
    it certainly is.
    """
    if not is_stepped(ground):
        if ground[0] <= cx <= ground[1] and ground[2] <= cy <= ground[3]:
            _try_place(tables, state, count, s, cx, cy, best, known)
        return
    step_x, step_y = ground[6], ground[7]
    lines = 2 if step_y > 0.0 else 1
    for line in range(lines):
        y = cy
        if step_y > 0.0:
            y = ground[5] + step_y * (np.floor((cy - ground[5]) / step_y) + line)
        for more in range(ONWARD if step_x > 0.0 else 1):
            x = cx + more * step_x
            nx, ny = place_near(ground, x, y)
            if step_x > 0.0 and nx < x - EDGE:
                nx += step_x
            if ground[0] - EDGE <= nx <= ground[1] + EDGE:
                _try_place(tables, state, count, s, nx, ny, best, known)


@kernel
def _try_place(
    tables: PairTables,
    state: _Fill,
    count: int,
    s: int,
    cx: float,
    cy: float,
    best: FloatArray,
    known: FloatArray,
) -> None:
    """Do for one place, known to be open to the shape, what ``_try`` does."""
    end = cx + tables.half[s, 0]
    if end < known[0] or end > best[0] or (end == best[0] and cy >= best[2]):
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
    ground: FloatArray,
    best: FloatArray,
    known: FloatArray,
) -> None:
    """Try shape s all round entry j."""
    first_x = ground[0]
    row = tables.pair[state.shape[j], s]
    if state.x[j] + row[2] + tables.half[s, 0] < known[0]:
        return
    polygon = int(row[6]) // (GRID * GRID)
    sign_x, sign_y = np.sign(row[4]), np.sign(row[5])
    for e in range(tables.first_edge[polygon], tables.first_edge[polygon + 1]):
        edge = tables.edges[e]
        x0, y0 = state.x[j] + sign_x * edge["x"], state.y[j] + sign_y * edge["y"]
        ex, ey = sign_x * edge["along_x"], sign_y * edge["along_y"]
        _try(tables, state, count, s, x0, y0, ground, best, known)
        for b in range(2, 4):
            if (y0 - ground[b]) * (y0 + ey - ground[b]) < 0.0:
                at = x0 + (ground[b] - y0) / ey * ex
                _try(tables, state, count, s, at, ground[b], ground, best, known)
        if (x0 - first_x) * (x0 + ex - first_x) < 0.0:
            at = y0 + (first_x - x0) / ex * ey
            _try(tables, state, count, s, first_x, at, ground, best, known)


@kernel
def _ground(tables: PairTables, state: _Fill, s: int, free: BoolArray, ground: FloatArray) -> bool:
    """Write the ground of shape s; along the free axes of an unsettled phase it has no steps."""
    found = find_ground(tables, state.x, state.y, s, np.inf, ground)
    mark = int(tables.ground[s, 9])
    if mark < 0 or state.known[mark]:
        return found
    phase = mark - (len(state.shape) - len(free))
    if free[phase, 0]:
        ground[6] = 0.0
    if free[phase, 1]:
        ground[7] = 0.0
    ground[9], ground[10] = np.nan, np.nan  # unsettled, it may have others
    place = place_near(ground, ground[0], ground[2])
    return not np.isnan(place[0])


@kernel
def _settle_phase(tables: PairTables, state: _Fill, i: int, free: BoolArray) -> None:
    """Let item i, the first that is placed of its phase, say where the phase's lattices are."""
    s = state.shape[i]
    mark = int(tables.ground[s, 9])
    if mark < 0 or state.known[mark]:
        return
    state.known[mark] = True
    phase = mark - (len(state.shape) - len(free))
    lattice = tables.ground[s, 4:9]
    dx, dy = state.x[i] - lattice[0], state.y[i] - lattice[1]
    if free[phase, 1]:
        state.y[mark] = dy
    elif lattice[3] > 0.0:
        dx -= lattice[4] * np.rint(dy / lattice[3])
    if free[phase, 0]:
        state.x[mark] = dx


@kernel
def _fill(tables: PairTables, state: _Fill, start: int, stop: int, free: BoolArray) -> bool:
    """Place the items from ``start`` to before ``stop`` of the order; False if one cannot."""
    best = np.empty(4)
    known = np.empty(5)
    ground = np.empty(GROUND)
    obstacles = len(state.placed) - len(state.order)
    for count in range(start + obstacles, stop + obstacles):
        i = state.order[count - obstacles]
        kind = state.kind[i]
        best[0] = np.inf
        known[0], known[1] = state.ends[kind], -1.0
        for c in range(state.choice_start[i], state.choice_start[i + 1]):
            s = state.choices[c]
            if not _ground(tables, state, s, free, ground):
                continue
            hx = tables.half[s, 0]
            known[4] = 0.0  # another shape, other places
            # Behind everything there is room, unless the shape may not lie there.
            behind = max(state.last[0], state.last[2]) + hx
            _try(tables, state, count, s, behind, ground[2], ground, best, known)
            _try(tables, state, count, s, ground[0], ground[2], ground, best, known)
            _try(tables, state, count, s, ground[0], ground[3], ground, best, known)
            for h in range(count):
                if state.low[h] > best[0]:
                    break  # nothing round what lies farther ends sooner
                _try_round(tables, state, count, state.placed[h], s, ground, best, known)
        if best[0] == np.inf:
            return False
        s = int(best[3])
        state.x[i], state.y[i], state.shape[i] = best[1], best[2], s
        _settle_phase(tables, state, i, free)
        state.ends[kind] = best[0]
        state.last[0] = max(state.last[0], best[0])
        low = best[1] - tables.half[s, 0]
        h = count
        while h > 0 and state.low[h - 1] > low:
            state.low[h], state.placed[h] = state.low[h - 1], state.placed[h - 1]
            h -= 1
        state.low[h], state.placed[h] = low, i
    return True
