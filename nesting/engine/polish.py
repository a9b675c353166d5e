"""Polish a layout by linear programming: repair the last hair of overlap, and shorten.

Two convex parts that do not overlap are parted by a line along an edge of one of them. With that
edge kept fixed for every near pair of parts, all pieces may move at once, and the least length
is a linear programme. Solved again from where it ends until nothing moves (separation and
compaction: Li and Milenkovic 1995; Gomes and Oliveira 2006).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from ortools.linear_solver import pywraplp

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .grounds import EDGE
from .places import settle
from .scaled import ScaledProblem
from .tables import PairTables

_TRUST = 0.02
"""How far a piece may move in one programme, as a share of the width."""

OVERLAP_PRICE = 1000.0
"""Length that one unit of overlap is worth."""

_PARTED = 1e-9
"""Overlap, as a share of the width, that is float rounding of the programme."""


class Parts(NamedTuple):
    """Convex parts of all shapes laid out flat.

    Shape s has the parts ``first_part[s] <= p < first_part[s + 1]``; part p has the corners
    ``corners[first[p] : first[p + 1]]``, counter-clockwise, and the box ``box[p]``. In a layout
    items come first, ``items`` of them; ``keep_clear[k, s]`` is the row of ``first_part`` whose
    parts of shape s keep clear of the entry k places after the items, -1 where none do.
    """

    items: int
    keep_clear: IntArray
    first_part: IntArray
    first: IntArray
    corners: FloatArray
    box: FloatArray


def flatten_parts(scaled: ScaledProblem) -> Parts:
    """Lay out the convex parts of all shapes, then those of inner shapes, for the kernels."""
    shapes = list(scaled.shapes)
    others = len(scaled.fixed) + len(scaled.problem.phases)
    keep_clear = np.full((others, len(shapes)), -1, dtype=np.int64)
    for s, kind in enumerate(scaled.kinds):
        inner = s
        if kind.inner != kind.polygon:
            inner = len(shapes)
            shapes.append(scaled.polygons[kind.inner])
        for k in kind.bound:
            keep_clear[k, s] = inner if scaled.problem.obstacles[k].inner else s
    parts = [part for shape in shapes for part in shape.parts]
    return Parts(
        scaled.count,
        keep_clear,
        np.cumsum([0] + [len(shape.parts) for shape in shapes]).astype(np.int64),
        np.cumsum([0] + [len(part) for part in parts]).astype(np.int64),
        np.concatenate(parts).astype(np.float64),
        np.array([[*p.min(axis=0), *p.max(axis=0)] for p in parts], dtype=np.float64),
    )


@kernel
def _line_rows(
    parts: Parts, shape: IntArray, x: FloatArray, y: FloatArray, reach: float, rows: FloatArray
) -> int:
    """Write one separating line for each near pair of parts; return how many there are.

    A row (i, j, nx, ny, c) demands nx (xj - xi) + ny (yj - yi) >= c of the centres. Counts on
    when ``rows`` is full, so that the caller can come again with more room.
    """
    count = 0
    for i in range(parts.items):
        for j in range(i + 1, len(shape)):
            own = shape[i] if j < parts.items else parts.keep_clear[j - parts.items, shape[i]]
            if own < 0:
                continue
            dx, dy = x[j] - x[i], y[j] - y[i]
            for p in range(parts.first_part[own], parts.first_part[own + 1]):
                for q in range(parts.first_part[shape[j]], parts.first_part[shape[j] + 1]):
                    a, b = parts.box[p], parts.box[q]
                    if (
                        b[0] + dx > a[2] + reach
                        or b[2] + dx < a[0] - reach
                        or b[1] + dy > a[3] + reach
                        or b[3] + dy < a[1] - reach
                    ):
                        continue
                    if count < len(rows):
                        rows[count, 0], rows[count, 1] = i, j
                        _best_line(parts, p, q, dx, dy, rows[count])
                    count += 1
    return count


@kernel
def _best_line(parts: Parts, p: int, q: int, dx: float, dy: float, row: FloatArray) -> None:
    """Put the edge direction that parts p and q best into columns 2 to 4 of the row."""
    best = -np.inf
    for side in range(2):
        own, other = (p, q) if side == 0 else (q, p)
        sign = 1.0 if side == 0 else -1.0
        start, stop = parts.first[own], parts.first[own + 1]
        for k in range(start, stop):
            following = k + 1 if k + 1 < stop else start
            ex = parts.corners[following, 0] - parts.corners[k, 0]
            ey = parts.corners[following, 1] - parts.corners[k, 1]
            size = np.sqrt(ex * ex + ey * ey)
            nx, ny = ey / size, -ex / size
            own_most = nx * parts.corners[k, 0] + ny * parts.corners[k, 1]
            least = np.inf
            for h in range(parts.first[other], parts.first[other + 1]):
                least = min(least, nx * parts.corners[h, 0] + ny * parts.corners[h, 1])
            need = own_most - least
            apart = sign * (nx * dx + ny * dy) - need
            if apart > best:
                best = apart
                row[2], row[3], row[4] = sign * nx, sign * ny, need


def polish(
    scaled: ScaledProblem,
    tables: PairTables,
    parts: Parts,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    *,
    rounds: int = 12,
) -> float | None:
    """Move pieces in place to the least length reachable without lifting any over another.

    They are first brought to places open to them, and never leave their lattices; pieces whose
    lattices share a phase move together.

    Returns
    -------
    float or None
        The length in units, with no two parts overlapping beyond float rounding; None where the
        overlap could not be repaired (the pieces are then where the last try left them).
    """
    settle(tables, parts.items, shape, x, y, np.inf)
    trust = _TRUST * scaled.width
    best: float | None = None
    overlap = np.inf
    for _round in range(rounds):
        solved = _solve(tables, parts, shape, x, y, scaled, trust)
        if solved is None:
            return best
        length, left, new_x, new_y = solved
        if left > _PARTED:
            # Still overlapping: go on while that shrinks well, from newly chosen lines.
            if best is not None or left > 0.7 * overlap:
                return best
            overlap = left
            x[:], y[:] = new_x, new_y
            continue
        if best is not None and length > best - 1e-7 * best:
            return best
        x[:], y[:] = new_x, new_y
        gain = 1.0 if best is None else (best - length) / best
        best = length
        if gain < 1e-5:
            break
        trust = max(0.5 * trust, 0.1 * _TRUST * scaled.width) if gain < 1e-3 else trust
    return best


class Moves(NamedTuple):
    """A linear programme over moves of all pieces at once, in units of the width, not yet aimed.

    No part crosses the line kept with each near part, but by ``left``, one figure for all pairs;
    nothing leaves the strip, whose end is ``length``. Every move is within the trust region.
    """

    solver: pywraplp.Solver
    length: pywraplp.Variable
    left: pywraplp.Variable
    dx: list[pywraplp.Variable]
    dy: list[pywraplp.Variable]

    def solve(self) -> tuple[FloatArray, FloatArray] | None:
        """Return the moves that are best for the objective; None where there is no answer."""
        if self.solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        dx, dy = (np.array([v.solution_value() for v in moved]) for moved in (self.dx, self.dy))
        return dx, dy


def lines_near(parts: Parts, shape: IntArray, x: FloatArray, y: FloatArray, trust: float) -> int:
    """Return how many pairs of parts a programme over moves of up to ``trust`` keeps apart."""
    return _line_rows(parts, shape, x, y, 2.0 * trust, np.empty((0, 5)))


def possible_moves(
    tables: PairTables,
    parts: Parts,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    scaled: ScaledProblem,
    trust: float,
    longest: float | None = None,
) -> Moves | None:
    """Return the programme over moves of up to ``trust`` in x and in y.

    Everything is given in units; ``longest`` caps the length. None where a piece stands so far
    over an edge that no allowed move brings it back. What does not move has a variable that can
    only be 0, and items whose lattices share a phase share one.
    """
    rows = np.empty((4096, 5))
    count = _line_rows(parts, shape, x, y, 2.0 * trust, rows)
    if count > len(rows):
        rows = np.empty((count, 5))
        _line_rows(parts, shape, x, y, 2.0 * trust, rows)
    width = scaled.width
    solver = pywraplp.Solver.CreateSolver("GLOP")
    endless = solver.infinity()
    length = solver.NumVar(0.0, endless if longest is None else longest / width, "")
    left = solver.NumVar(0.0, endless, "")
    dx = _variables(solver, _move_limits(tables, shape, x, y, scaled, trust, 0), width)
    dy = _variables(solver, _move_limits(tables, shape, x, y, scaled, trust, 1), width)
    if dx is None or dy is None:
        return None
    for i in range(parts.items):
        row = solver.Constraint(float((x[i] + tables.half[shape[i], 0]) / width), endless)
        row.SetCoefficient(length, 1.0)
        row.SetCoefficient(dx[i], -1.0)
    for i, j, nx, ny, need in rows[:count].tolist():
        a, b = int(i), int(j)
        apart = nx * (x[b] - x[a]) + ny * (y[b] - y[a])
        row = solver.Constraint((need - apart) / width, endless)
        row.SetCoefficient(left, 1.0)
        for moved, share in ((dx, nx), (dy, ny)):
            if moved[a] is not moved[b]:
                row.SetCoefficient(moved[b], share)
                row.SetCoefficient(moved[a], -share)
    return Moves(solver, length, left, dx, dy)


class _Limits(NamedTuple):
    """How far entries may move along one axis, in units, and which of them move as one.

    ``group[i]`` is the entry whose variable entry i shares, mostly itself.
    """

    low: FloatArray
    high: FloatArray
    group: IntArray


def _move_limits(
    tables: PairTables,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    scaled: ScaledProblem,
    trust: float,
    axis: int,
) -> _Limits:
    """Return how far every entry may move along an axis (0 for x) at most by ``trust``."""
    n, own = scaled.count, shape[: scaled.count]
    at = (x, y)[axis][:n]
    low, high = np.zeros(len(shape)), np.zeros(len(shape))
    group = np.arange(len(shape))
    least, most = tables.ground[own, 2 * axis], tables.ground[own, 2 * axis + 1]
    low[:n] = np.maximum(-trust, least - at)
    high[:n] = np.minimum(trust, most - at)
    stepped = np.flatnonzero(tables.ground[own, 6 + axis] > 0.0)
    free = [(phase.x, phase.y)[axis] for phase in scaled.problem.phases]
    for p, moves in enumerate(free):
        low[scaled.first_mark + p], high[scaled.first_mark + p] = (
            (-trust, trust) if moves else (0, 0)
        )
    for i in stepped.tolist():
        mark = int(tables.ground[own[i], 9])
        if mark < 0 or not free[mark - scaled.first_mark]:
            low[i] = high[i] = 0.0
            continue
        group[i] = mark
        # A lattice may miss its limits by a rounding.
        low[mark] = max(low[mark], min(low[i], 0.0) if low[i] < EDGE else low[i])
        high[mark] = min(high[mark], max(high[i], 0.0) if high[i] > -EDGE else high[i])
    return _Limits(low, high, group)


def _variables(
    solver: pywraplp.Solver, limits: _Limits, width: float
) -> list[pywraplp.Variable] | None:
    """Return the variables of all entries, in units of the width; None where one has no room."""
    if (limits.low > limits.high).any():
        return None
    ends = zip((limits.low / width).tolist(), (limits.high / width).tolist(), strict=True)
    own = {
        i: solver.NumVar(low, high, "")
        for i, (low, high) in enumerate(ends)
        if limits.group[i] == i
    }
    return [own[k] for k in limits.group.tolist()]


def _solve(
    tables: PairTables,
    parts: Parts,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    scaled: ScaledProblem,
    trust: float,
) -> tuple[float, float, FloatArray, FloatArray] | None:
    """Shorten once; None when the programme has no answer.

    Returns the length, the overlap that had to be left (at a price far above any length it could
    save, and a share of the width), and the new places.
    """
    moves = possible_moves(tables, parts, shape, x, y, scaled, trust)
    if moves is None:
        return None
    objective = moves.solver.Objective()
    objective.SetCoefficient(moves.length, 1.0)
    objective.SetCoefficient(moves.left, OVERLAP_PRICE)
    objective.SetMinimization()
    moved = moves.solve()
    if moved is None:
        return None
    new_x, new_y = x + scaled.width * moved[0], y + scaled.width * moved[1]
    length = layout_length(tables, parts.items, shape, new_x)
    return length, moves.left.solution_value(), new_x, new_y


def layout_length(tables: PairTables, count: int, shape: IntArray, x: FloatArray) -> float:
    """Return where the last of the first ``count`` entries ends, in units."""
    return float((x[:count] + tables.half[shape[:count], 0]).max())
