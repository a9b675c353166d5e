"""Exact answers for rectangles: constraint programming on a common grid.

Where all sides are multiples of one length, some shortest layout has all its corners on that
grid: push every piece towards the cut end and the lower edge until it meets another, and its
coordinates become sums of sides (normal patterns: Herz 1972, Christofides and Whitlock 1977).
CP-SAT then decides on whole numbers.
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from ortools.sat.python import cp_model

from ..geometry.rings import FloatArray
from ..model.problem import Shape
from .board import Board
from .offers import Offers
from .scaled import ScaledProblem

ON_GRID = 1e-9
"""Share of the largest side by which a side may miss its multiple of the grid; what is proven is
reduced by it."""

FINEST = 20_000
"""Most grid steps in the width or in a side."""

MOST_ITEMS = 80
"""Rectangles beyond which a proof is not worth its time."""


@dataclass(frozen=True, slots=True)
class Lie:
    """One way a rectangle may lie: the distinct shape, and its sides in grid steps."""

    shape: int
    along: int
    across: int


@dataclass(frozen=True, slots=True)
class Grid:
    """A problem of rectangles on whole numbers.

    ``unit`` is one step in the problem's unit; ``width`` the strip's in steps, rounded down to a
    sum of sides; ``lies[i]`` the ways item i may lie. ``sure`` is the share of a length in steps
    that is proven of the true rectangles.
    """

    unit: float
    sure: float
    width: int
    lies: tuple[tuple[Lie, ...], ...]


def grid_of(scaled: ScaledProblem) -> Grid | None:
    """Return the problem on a grid; None where it is not one of rectangles with a common grid."""
    problem = scaled.problem
    if len(problem.items) > MOST_ITEMS:
        return None
    used = {s for item in problem.items for s in item.shapes}
    if not all(_is_rectangle(problem.shapes[s]) for s in used):
        return None
    sides = np.array([_sides(problem.shapes[s]) for s in sorted(used)])
    unit = _common_unit(sides.ravel())
    if unit is None or problem.width > FINEST * unit:
        return None
    steps = np.rint(sides / unit)
    sure = 1.0 - ON_GRID - float(((steps * unit - sides) / sides).max())
    # Rectangles at most this much smaller than the grid's fit a width this much smaller.
    width = math.floor(problem.width / unit / sure)
    lies = tuple(_lies(scaled, i, unit, width) for i in range(len(problem.items)))
    return Grid(unit, sure, max(_sums([_acrosses(lie) for lie in lies], width)), lies)


def _lies(scaled: ScaledProblem, i: int, unit: float, width: int) -> tuple[Lie, ...]:
    """Return the different ways item i may lie within the width."""
    found: dict[tuple[int, int], Lie] = {}
    for s in scaled.problem.items[i].shapes:
        along, across = (round(side / unit) for side in _sides(scaled.problem.shapes[s]))
        if across <= width:
            found.setdefault((along, across), Lie(scaled.placed[s][0], along, across))
    return tuple(found.values())


def _is_rectangle(shape: Shape) -> bool:
    along, across = _sides(shape)
    return not shape.holes and abs(shape.area - along * across) <= ON_GRID * along * across


def _sides(shape: Shape) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = shape.box
    return high_x - low_x, high_y - low_y


def _common_unit(sides: FloatArray) -> float | None:
    """Return the greatest length all sides are multiples of (Euclid's algorithm), if any."""
    largest = float(sides.max())
    near = 100.0 * ON_GRID * largest
    unit = 0.0
    for side in sorted(set(sides.tolist())):
        a, b = side, unit
        while b > near:
            rest = a % b
            a, b = b, 0.0 if b - rest <= near else rest
        unit = a
    count = round(largest / unit)
    if not 1 <= count <= FINEST:
        return None
    unit = largest / count
    missed = np.abs(sides - np.rint(sides / unit) * unit).max()
    return unit if missed <= ON_GRID * largest else None


def _acrosses(lies: tuple[Lie, ...]) -> set[int]:
    return {lie.across for lie in lies}


def _sums(sides: list[set[int]], most: int) -> list[int]:
    """Return all sums of at most one side of each set, up to a limit."""
    reached, limit = 1, (1 << (most + 1)) - 1
    for choice in sides:
        before = reached
        for side in choice:
            reached |= before << side
        reached &= limit
    return [k for k in range(most + 1) if reached >> k & 1]


class RectangleProof:
    """A search for the least length in grid steps that also proves it."""

    def __init__(self, grid: Grid, board: Board, offers: Offers, seed: int) -> None:
        self.grid = grid
        self.board = board
        self.offers = offers
        self.seed = seed

    def run(self, seconds: float | None, attempts: int) -> None:
        """Offer shorter layouts and raise the board's minimum until proven or out of time.

        Parameters
        ----------
        seconds
            Time allowed; None where the run has no clock. Then it is limited by ``attempts``
            in CP-SAT's own deterministic measure, so that it can be repeated.
        """
        grid, board, best = self.grid, self.board, self.board.best
        assert best is not None  # noqa: S101 - solve() offers a layout before any proof
        most = math.floor(self.offers.length(best) / grid.unit / grid.sure + 1e-6)
        lengths = _sums([{lie.along for lie in lies} for lies in grid.lies], most)
        least = math.ceil(board.minimum / grid.unit - 1e-6)
        lengths = [length for length in lengths if length >= least]
        if not lengths:
            return
        self._prove(lengths[0])
        if board.over():
            return
        model = _Model(grid, lengths)
        model.hint(self.offers.placed(best), grid.unit)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = self.seed % 2**31
        solver.parameters.catch_sigint_signal = False
        if seconds is None:
            solver.parameters.max_deterministic_time = min(5.0, 0.05 * attempts)
        else:
            solver.parameters.max_time_in_seconds = max(seconds, 1e-3)
        solver.best_bound_callback = lambda bound: self._prove(math.ceil(bound - 1e-6))
        ended = threading.Event()
        watcher = threading.Thread(target=self._watch, args=(solver, ended), daemon=True)
        watcher.start()
        try:
            status = solver.solve(model.model, _Collector(model, self))
        finally:
            ended.set()
        if status == cp_model.OPTIMAL:
            self._prove(round(solver.objective_value))
        elif status == cp_model.INFEASIBLE:
            self._prove(most + 1)

    def _prove(self, steps: int) -> None:
        self.board.raise_minimum(steps * self.grid.unit * self.grid.sure)

    def _watch(self, solver: cp_model.CpSolver, ended: threading.Event) -> None:
        while not ended.wait(0.1):
            if self.board.over():
                solver.stop_search()


class _Model:
    """The constraint model: where each rectangle starts and how it lies, least length."""

    def __init__(self, grid: Grid, lengths: list[int]) -> None:
        self.grid = grid
        self.model = model = cp_model.CpModel()
        most = lengths[-1]
        self.length = model.new_int_var_from_domain(cp_model.Domain.from_values(lengths), "")
        self.starts: list[tuple[cp_model.IntVar, cp_model.IntVar]] = []
        self.chosen: list[list[cp_model.IntVar]] = []
        along, across, spans, demands = [], [], [], []
        for lies in grid.lies:
            x = model.new_int_var(0, most - min(lie.along for lie in lies), "")
            y = model.new_int_var(0, grid.width - min(lie.across for lie in lies), "")
            self.starts.append((x, y))
            chosen = [model.new_bool_var("") for _ in lies]
            self.chosen.append(chosen)
            model.add_exactly_one(chosen)
            for lie, is_chosen in zip(lies, chosen, strict=True):
                model.add(x + lie.along <= self.length).only_enforce_if(is_chosen)
                model.add(y + lie.across <= grid.width).only_enforce_if(is_chosen)
                along.append(
                    model.new_optional_fixed_size_interval_var(x, lie.along, is_chosen, "")
                )
                across.append(
                    model.new_optional_fixed_size_interval_var(y, lie.across, is_chosen, "")
                )
                spans.append(lie.along)
                demands.append(lie.across)
        model.add_no_overlap_2d(along, across)
        # Implied, but they let the solver reason on energy in each direction.
        model.add_cumulative(along, demands, grid.width)
        model.add_cumulative(across, spans, self.length)
        self._break_symmetry()
        model.minimize(self.length)

    def _break_symmetry(self) -> None:
        """Put like items in order along the strip, and one that is alone in the lower half."""
        groups: dict[tuple[Lie, ...], list[int]] = {}
        for i, lies in enumerate(self.grid.lies):
            groups.setdefault(lies, []).append(i)
        for group in groups.values():
            for i, j in pairwise(group):
                self.model.add(self.starts[i][0] <= self.starts[j][0])
        alone = [(lies[0].along * lies[0].across, lies) for lies in groups if len(lies) == 1]
        alone = [entry for entry in alone if len(groups[entry[1]]) == 1]
        if alone:
            lies = max(alone, key=lambda entry: entry[0])[1]
            y = self.starts[groups[lies][0]][1]
            self.model.add(2 * y + lies[0].across <= self.grid.width)

    def hint(self, placed: list[tuple[int, float, float]], unit: float) -> None:
        """Start from a layout: for each item its shape and the corner nearest the origin."""
        lies = [
            next((k for k, lie in enumerate(ways) if lie.shape == shape), 0)
            for ways, (shape, _x, _y) in zip(self.grid.lies, placed, strict=True)
        ]
        sides = np.array(
            [(w[k].along, w[k].across) for w, k in zip(self.grid.lies, lies, strict=True)]
        )
        corner = np.array([[x / unit, y / unit] for _s, x, y in placed])
        settled = _settled(corner, sides.astype(np.float64))
        for i, (x, y) in enumerate(self.starts):
            self.model.add_hint(x, round(float(settled[i, 0])))
            self.model.add_hint(y, round(float(settled[i, 1])))
            for k, chosen in enumerate(self.chosen[i]):
                self.model.add_hint(chosen, k == lies[i])


def _settled(corner: FloatArray, sides: FloatArray) -> FloatArray:
    """Push rectangles to the lower edge, then to the cut end, until each meets another."""
    hair = 1e-3
    settled = corner.copy()
    for axis in (1, 0):
        other = 1 - axis
        for i in np.argsort(settled[:, axis], kind="stable"):
            beside = (settled[:, other] + hair < settled[i, other] + sides[i, other]) & (
                settled[i, other] + hair < settled[:, other] + sides[:, other]
            )
            below = settled[:, axis] + sides[:, axis] <= settled[i, axis] + hair
            ends = (settled[:, axis] + sides[:, axis])[beside & below]
            settled[i, axis] = ends.max(initial=0.0)
    return settled


class _Collector(cp_model.CpSolverSolutionCallback):
    """Hands every layout CP-SAT finds to the board."""

    def __init__(self, model: _Model, proof: RectangleProof) -> None:
        super().__init__()
        self._model = model
        self._proof = proof

    def on_solution_callback(self) -> None:
        """Turn grid steps into a layout and offer it."""
        model, grid = self._model, self._proof.grid
        placed = []
        for lies, chosen, (x, y) in zip(grid.lies, model.chosen, model.starts, strict=True):
            k = next(k for k, literal in enumerate(chosen) if self.boolean_value(literal))
            placed.append((lies[k].shape, self.value(x) * grid.unit, self.value(y) * grid.unit))
        self._proof.offers.offer_corners(placed)
