"""Among layouts of one length, the one that leaves the largest rectangle of cloth.

At the length that was found small pieces lie wherever there was room, and most have some play.
First small pieces that lie in the way go elsewhere, where there is room. Then the layout is
pulled towards each edge of the strip by linear programming. What leaves the largest empty
rectangle is taken further: the rectangle's sides move in the same programme as the pieces around
it, which give way as far as they can.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.empty_rectangle import Rectangle, largest_empty_rectangle
from ..geometry.rings import FloatArray
from ..model.problem import PlacementProblem, Position
from .board import Found
from .grounds import EDGE
from .kernels import random_state
from .places import settle
from .polish import OVERLAP_PRICE, Moves, Parts, layout_length, lines_near, possible_moves
from .scaled import ScaledProblem
from .search import HAIR
from .separate import Effort, deepest_overlap, sweeps
from .state import entry_areas, new_lay
from .tables import PairTables

MOST_ITEMS = 100
"""With more items than this the layout is handed over as it is."""

PULLS = ((-1.0, 0.0), (0.0, -1.0), (0.0, 1.0), (1.0, 0.0))
"""Directions to slide in: towards the start, the near edge, the far edge and the end."""

_LOOSE = 24
"""Items, the smallest, that may go elsewhere."""

_TRIES = 10
"""Places tried for each of them."""

_SLIDES = 2
"""Programmes in each direction."""

_GROWTHS = 6
"""Programmes to widen the rectangle."""

_TRUSTS = (0.05, 0.02, 0.01)
"""How far a piece may slide in one programme, as a share of the width: the first that does."""

_MOST_PARTS, _MOST_LINES = 1500, 4000
"""Convex parts of all items, and near pairs of them, beyond which a programme takes too long."""

_WORTH_IT = 1e-3
"""Share by which the rectangle must grow for the layout to be exchanged."""


class _Variant(NamedTuple):
    """A layout and its largest empty rectangle, both in units."""

    found: Found
    rectangle: Rectangle

    @property
    def area(self) -> float:
        x0, y0, x1, y1 = self.rectangle
        return (x1 - x0) * (y1 - y0)


def choose_leftover(
    scaled: ScaledProblem,
    tables: PairTables,
    parts: Parts,
    best: Found,
    *,
    stopped: Callable[[], bool],
) -> Found:
    """Return a layout as short as the best one, with a larger empty rectangle if one is found.

    The result is never longer than ``best``, and no two items overlap by more than a hair, as
    everywhere. The same layout gives the same answer, whatever the clock; the effort is bounded
    by ``MOST_ITEMS`` and by the number and size of the programmes, so that fifty pieces take
    about half a second. ``stopped`` is asked between programmes; what has been found by then is
    returned.
    """
    if len(best.shape) > MOST_ITEMS:
        return best
    mover = _Mover(scaled, tables, parts, best.length, stopped)
    start = mover.start(best)
    chosen = settled = mover.resettled(start)
    for pull in PULLS:
        chosen = max(chosen, mover.slid(settled, pull), key=lambda variant: variant.area)
    chosen = mover.widened(chosen)
    return chosen.found if chosen.area > (1.0 + _WORTH_IT) * start.area else best


def empty_rectangle(
    problem: PlacementProblem, layout: Sequence[Position], length: float
) -> Rectangle | None:
    """Return the largest empty rectangle of a layout, in the problem's unit; None without room."""
    rings = [
        ring + np.array([position.x, position.y])
        for position in layout
        for shape in (problem.shapes[position.shape],)
        for ring in (shape.outer, *shape.holes)
    ]
    for obstacle in problem.obstacles:
        rings += [obstacle.shape.outer, *obstacle.shape.holes]
    x0, y0, x1, y1 = largest_empty_rectangle(rings, problem.width, length)
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


class _Mover:
    """Moves the pieces of layouts without making them longer."""

    def __init__(
        self,
        scaled: ScaledProblem,
        tables: PairTables,
        parts: Parts,
        length: float,
        stopped: Callable[[], bool],
    ) -> None:
        self._scaled = scaled
        self._tables = tables
        self._parts = parts
        self._length = length
        self._stopped = stopped
        self._trust: float | None = None

    def start(self, found: Found) -> _Variant:
        """Return the layout to begin with, having found how far its pieces may slide at once."""
        parts, shape, width = self._parts, found.shape, self._scaled.width
        count = np.diff(parts.first_part)[shape].sum()
        for trust in _TRUSTS if count <= _MOST_PARTS else ():
            if lines_near(parts, shape, found.x, found.y, trust * width) <= _MOST_LINES:
                self._trust = trust
                break
        return self.judged(found)

    def judged(self, found: Found, without: int | None = None) -> _Variant:
        """Return a layout with its largest empty rectangle, as if one item were away."""
        placed = enumerate(zip(found.shape, found.x, found.y, strict=True))
        rings = [
            ring + np.array([x, y])
            for k, (s, x, y) in placed
            if k != without
            for ring in self._scaled.shapes[s].rings
        ]
        return _Variant(found, largest_empty_rectangle(rings, self._scaled.width, self._length))

    def resettled(self, start: _Variant) -> _Variant:
        """Let small items go elsewhere, one by one, where that leaves a larger rectangle."""
        best, width, length = start, self._scaled.width, self._length
        area = entry_areas(self._scaled)
        generator, words = np.random.default_rng(0), random_state(0, 0)
        for item in np.argsort(area[: self._scaled.count], kind="stable")[:_LOOSE]:
            if self._stopped():
                break
            if self.judged(best.found, without=item).area <= (1.0 + _WORTH_IT) * best.area:
                continue
            for _try in range(_TRIES):
                lay = new_lay(self._scaled, self._tables, best.found)
                half = self._tables.half[lay.shape[item]]
                lay.x[item] = half[0] + generator.random() * (length - 2.0 * half[0])
                lay.y[item] = half[1] + generator.random() * (width - 2.0 * half[1])
                settle(self._tables, self._scaled.count, lay.shape, lay.x, lay.y, length)
                overlap = np.zeros(len(area))
                overlap[item] = 1.0  # so that this one alone is moved
                sweeps(
                    self._tables, lay, Effort(), length, words, overlap, lay.shape.copy(),
                    lay.x.copy(), lay.y.copy(), np.array([np.inf, np.inf, 0.0]), 1, 0.0, 0.98,
                )  # fmt: skip
                found = self._sound(Found(length, lay.shape, lay.x, lay.y))
                variant = best if found is None else self.judged(found)
                if variant.area > (1.0 + _WORTH_IT) * best.area:
                    best = variant
        return best

    def slid(self, start: _Variant, pull: tuple[float, float]) -> _Variant:
        """Pull all pieces one way; return the last sound layout."""
        found = start.found
        for _round in range(_SLIDES):
            moves = self._moves(found, self._trust)
            if moves is None:
                break
            objective = moves.solver.Objective()
            for moved, share in ((moves.dx, -pull[0]), (moves.dy, -pull[1])):
                for variable in moved:
                    objective.SetCoefficient(variable, share / len(moved))
            after = self._carried_out(found, moves)
            if after is None:
                break
            found = after
        return start if found is start.found else self.judged(found)

    def widened(self, start: _Variant) -> _Variant:
        """Push pieces aside to widen the largest rectangle, as long as that succeeds."""
        best, trust = start, self._trust
        for _round in range(_GROWTHS):
            moves = self._moves(best.found, trust)
            if moves is None or trust is None:
                break
            _let_grow(moves, self._parts, best, self._scaled.width, self._length, trust)
            after = self._carried_out(best.found, moves)
            variant = best if after is None else self.judged(after)
            if variant.area > (1.0 + _WORTH_IT) * best.area:
                best = variant
            else:
                trust *= 0.25
        return best

    def _moves(self, found: Found, trust: float | None) -> Moves | None:
        if trust is None or self._stopped():
            return None
        width = self._scaled.width
        return possible_moves(
            self._tables, self._parts, found.shape, found.x, found.y, self._scaled,
            trust * width, self._length,
        )  # fmt: skip

    def _carried_out(self, found: Found, moves: Moves) -> Found | None:
        """Return the layout after the best moves; None where it would not be sound."""
        objective = moves.solver.Objective()
        objective.SetCoefficient(moves.left, OVERLAP_PRICE)
        objective.SetMinimization()
        moved = moves.solve()
        if moved is None:
            return None
        width, count = self._scaled.width, self._scaled.count
        x, y = found.x + width * moved[0], found.y + width * moved[1]
        # The programme keeps to what is allowed but for float rounding.
        settle(self._tables, count, found.shape, x, y, self._length)
        return self._sound(Found(self._length, found.shape, x, y))

    def _sound(self, found: Found) -> Found | None:
        """Return a layout if nothing overlaps by more than a hair and it is no longer."""
        tables, scaled = self._tables, self._scaled
        if layout_length(tables, scaled.count, found.shape, found.x) > self._length + EDGE:
            return None
        deepest = deepest_overlap(self._tables, found.shape, found.x, found.y)
        return found if deepest <= HAIR * self._scaled.width else None


def _let_grow(
    moves: Moves, parts: Parts, variant: _Variant, width: float, length: float, trust: float
) -> None:
    """Add the rectangle's four sides to a programme, kept clear of all parts, and aim at area."""
    found, (x0, y0, x1, y1) = variant.found, variant.rectangle
    solver = moves.solver
    sides = [
        solver.NumVar(max(-trust, (low - at) / width), min(trust, (high - at) / width), "")
        for at, low, high in ((x0, 0.0, x1), (y0, 0.0, y1), (x1, x0, length), (y1, y0, width))
    ]
    rows = np.empty((len(found.shape) * int(np.diff(parts.first_part).max()), 4))
    corners = np.array(variant.rectangle)
    reach = 2.0 * trust * width
    count = _clear_rows(parts, found.shape, found.x, found.y, corners, reach, rows)
    for i, nx, ny, apart in rows[:count].tolist():
        row = solver.Constraint(-apart / width, solver.infinity())
        row.SetCoefficient(moves.left, 1.0)
        row.SetCoefficient(sides[0 if nx > 0.0 else 2], nx)
        row.SetCoefficient(sides[1 if ny > 0.0 else 3], ny)
        row.SetCoefficient(moves.dx[int(i)], -nx)
        row.SetCoefficient(moves.dy[int(i)], -ny)
    objective = solver.Objective()
    tall, long = (y1 - y0) / width, (x1 - x0) / width
    for side, gain in zip(sides, (-tall, -long, tall, long), strict=True):
        objective.SetCoefficient(side, -gain)


@kernel
def _clear_rows(
    parts: Parts,
    shape: IntArray,
    x: FloatArray,
    y: FloatArray,
    rectangle: FloatArray,
    reach: float,
    rows: FloatArray,
) -> int:
    """Write a line between the rectangle and each part near it; return how many there are.

    A row (i, nx, ny, apart) tells that along (nx, ny), which points to the rectangle, it begins
    ``apart`` beyond the part of item i: the most of any edge of either.
    """
    count = 0
    x0, y0, x1, y1 = rectangle
    for i in range(len(shape)):
        for p in range(parts.first_part[shape[i]], parts.first_part[shape[i] + 1]):
            box = parts.box[p]
            if (
                x[i] + box[0] > x1 + reach
                or x[i] + box[2] < x0 - reach
                or y[i] + box[1] > y1 + reach
                or y[i] + box[3] < y0 - reach
            ):
                continue
            row = rows[count]
            row[0] = i
            row[3] = -np.inf
            _prefer(row, 1.0, 0.0, x0 - x[i] - box[2])
            _prefer(row, -1.0, 0.0, x[i] + box[0] - x1)
            _prefer(row, 0.0, 1.0, y0 - y[i] - box[3])
            _prefer(row, 0.0, -1.0, y[i] + box[1] - y1)
            start, stop = parts.first[p], parts.first[p + 1]
            for k in range(start, stop):
                following = k + 1 if k + 1 < stop else start
                cx, cy = parts.corners[k, 0], parts.corners[k, 1]
                ex, ey = parts.corners[following, 0] - cx, parts.corners[following, 1] - cy
                size = np.sqrt(ex * ex + ey * ey)
                nx, ny = ey / size, -ex / size
                near_x, near_y = x0 if nx > 0.0 else x1, y0 if ny > 0.0 else y1
                _prefer(row, nx, ny, nx * (near_x - x[i] - cx) + ny * (near_y - y[i] - cy))
            count += 1
    return count


@kernel
def _prefer(row: FloatArray, nx: float, ny: float, apart: float) -> None:
    """Keep the line that parts most."""
    if apart > row[3]:
        row[1], row[2], row[3] = nx, ny, apart
