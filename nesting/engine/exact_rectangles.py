"""Exact answers for rectangles: constraint programming on a common grid.

CP-SAT decides on whole numbers, on the grid of ``rectangle_grid``. A place on a lattice is a
whole number of steps; an unknown offset of lattices is a number too, the same for all of them.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from ortools.sat.python import cp_model

from ..geometry.rings import FloatArray
from .board import Board
from .offers import Offers
from .rectangle_grid import Grid, GridLattice, GridObstacle, Lie, sums


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
        least = math.ceil(board.minimum / grid.unit - 1e-6)
        lengths: Sequence[int] = range(least, most + 1)
        if self.offers.scaled.problem.is_free:
            reached = sums([{lie.along for lie in lies} for lies in grid.lies], most)
            lengths = [length for length in reached if length >= least]
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

    def __init__(self, grid: Grid, lengths: Sequence[int]) -> None:
        self.grid = grid
        self.model = model = cp_model.CpModel()
        self.most = lengths[-1]
        domain = (
            cp_model.Domain(lengths[0], lengths[-1])
            if isinstance(lengths, range)
            else cp_model.Domain.from_values(lengths)
        )
        self.length = model.new_int_var_from_domain(domain, "")
        self.starts: list[tuple[cp_model.IntVar, cp_model.IntVar]] = []
        self.chosen: list[list[cp_model.IntVar]] = []
        self.offsets = [self._offset(phase) for phase in range(len(grid.free))]
        for lies in grid.lies:
            x = model.new_int_var(0, self.most - min(lie.along for lie in lies), "")
            y = model.new_int_var(0, grid.width - min(lie.across for lie in lies), "")
            self.starts.append((x, y))
            chosen = [model.new_bool_var("") for _ in lies]
            self.chosen.append(chosen)
            model.add_exactly_one(chosen)
            for lie, is_chosen in zip(lies, chosen, strict=True):
                self._place(lie, x, y, is_chosen)
        self._keep_apart()
        self._break_symmetry()
        model.minimize(self.length)

    def _offset(self, phase: int) -> tuple[cp_model.IntVar, cp_model.IntVar]:
        """Return the unknown offset of a phase: within one step of its lattices, 0 if known."""
        own = [
            lie.lattice
            for lies in self.grid.lies
            for lie in lies
            if lie.lattice is not None and lie.lattice.phase == phase
        ]
        free_x, free_y = self.grid.free[phase]
        x = math.lcm(*(lattice.step_x for lattice in own if lattice.step_x))
        y = math.lcm(*(lattice.step_y for lattice in own if lattice.step_y))
        if any(lattice.shear for lattice in own):
            # Lattices that differ in shear come to the same places again after two steps at most
            # where the shear is half a step; in general after as many as there are places.
            y *= x
        return (
            self.model.new_int_var(0, x - 1 if free_x else 0, ""),
            self.model.new_int_var(0, y - 1 if free_y else 0, ""),
        )

    def _place(
        self, lie: Lie, x: cp_model.IntVar, y: cp_model.IntVar, lit: cp_model.IntVar
    ) -> None:
        """Demand of a chosen lie that it is within the strip, its ends and its lattice."""
        model = self.model
        model.add(x + lie.along <= self.length).only_enforce_if(lit)
        model.add(y + lie.across <= self.grid.width).only_enforce_if(lit)
        for start, (low, high) in ((x, lie.x), (y, lie.y)):
            if low > 0:
                model.add(start >= low).only_enforce_if(lit)
            if high is not None:
                model.add(start <= high).only_enforce_if(lit)
        if lie.lattice is not None:
            self._on_lattice(lie.lattice, x, y, lit)

    def _on_lattice(
        self, lattice: GridLattice, x: cp_model.IntVar, y: cp_model.IntVar, lit: cp_model.IntVar
    ) -> None:
        model = self.model
        none = model.new_constant(0)
        offset_x, offset_y = (none, none) if lattice.phase is None else self.offsets[lattice.phase]
        most = self.most + self.grid.width + abs(lattice.x) + abs(lattice.y)
        line: cp_model.IntVar = model.new_constant(0)
        lines = 0
        if lattice.step_y:
            lines = most // lattice.step_y + 2
            if lattice.phase is not None:
                lines += self.offsets[lattice.phase][1].proto.domain[-1] // lattice.step_y
            line = model.new_int_var(-lines, lines, "")
            model.add(y == lattice.y + offset_y + lattice.step_y * line).only_enforce_if(lit)
        if lattice.step_x:
            reach = most + abs(lattice.shear) * lines
            if lattice.phase is not None:
                reach += self.offsets[lattice.phase][0].proto.domain[-1]
            steps = reach // lattice.step_x + 2
            step = model.new_int_var(-steps, steps, "")
            at = lattice.x + offset_x + lattice.step_x * step + lattice.shear * line
            model.add(x == at).only_enforce_if(lit)

    # ------------------------------------------------------------------ nothing overlaps

    def _keep_apart(self) -> None:
        """Keep all items apart, and each from the obstacles that bind it."""
        model, grid = self.model, self.grid
        everything = frozenset(range(len(grid.lies)))
        groups = _groups(grid, self.most)
        open_to_all = next((g for g in groups if g[:2] == (everything, False)), None)
        if open_to_all is not None:
            groups.remove(open_to_all)
        fixed = [] if open_to_all is None else open_to_all[2]
        along, across = self._intervals(everything, inner=False)
        demands = [lie.across for lies in grid.lies for lie in lies]
        spans = [lie.along for lies in grid.lies for lie in lies]
        blocked = self._blocked(fixed)
        model.add_no_overlap_2d([*along, *blocked[0]], [*across, *blocked[1]])
        # Implied, but they let the solver reason on energy in each direction.
        taken = [min(o.y1, grid.width) - min(o.y0, grid.width) for o in fixed]
        model.add_cumulative([*along, *blocked[0]], [*demands, *taken], grid.width)
        model.add_cumulative(across, spans, self.length)
        for items, inner, obstacles in groups:
            along, across = self._intervals(items, inner=inner)
            blocked = self._blocked(obstacles)
            model.add_no_overlap_2d([*along, *blocked[0]], [*across, *blocked[1]])

    def _intervals(
        self, items: frozenset[int], *, inner: bool
    ) -> tuple[list[cp_model.IntervalVar], list[cp_model.IntervalVar]]:
        """Return the intervals along and across of all lies of some items, or of their inners."""
        model = self.model
        along, across = [], []
        for i in sorted(items):
            x, y = self.starts[i]
            for lie, lit in zip(self.grid.lies[i], self.chosen[i], strict=True):
                x0, y0, x1, y1 = (0, 0, lie.along, lie.across)
                if inner and lie.inner is not None:
                    x0, y0, x1, y1 = lie.inner
                along.append(model.new_optional_fixed_size_interval_var(x + x0, x1 - x0, lit, ""))
                across.append(model.new_optional_fixed_size_interval_var(y + y0, y1 - y0, lit, ""))
        return along, across

    def _blocked(
        self, obstacles: list[GridObstacle]
    ) -> tuple[list[cp_model.IntervalVar], list[cp_model.IntervalVar]]:
        size = self.model.new_fixed_size_interval_var
        return (
            [size(o.x0, o.x1 - o.x0, "") for o in obstacles],
            [size(o.y0, o.y1 - o.y0, "") for o in obstacles],
        )

    # ------------------------------------------------------------------ helps for the solver

    @property
    def is_free(self) -> bool:
        """Whether items may lie anywhere on an empty strip."""
        plain = (
            Lie(lie.shape, lie.along, lie.across) == lie for ls in self.grid.lies for lie in ls
        )
        return not self.grid.obstacles and all(plain)

    def _break_symmetry(self) -> None:
        """Put like items in order along the strip.

        Of an empty strip each layout has an image: an item that is alone is in the lower half.
        """
        groups: dict[tuple[Lie, ...], list[int]] = {}
        for i, lies in enumerate(self.grid.lies):
            groups.setdefault(lies, []).append(i)
        for group in groups.values():
            for i, j in pairwise(group):
                self.model.add(self.starts[i][0] <= self.starts[j][0])
        alone = [(lies[0].along * lies[0].across, lies) for lies in groups if len(lies) == 1]
        alone = [entry for entry in alone if len(groups[entry[1]]) == 1]
        if alone and self.is_free:
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
        settled = _settled(corner, sides.astype(np.float64)) if self.is_free else corner
        for i, (x, y) in enumerate(self.starts):
            self.model.add_hint(x, round(float(settled[i, 0])))
            self.model.add_hint(y, round(float(settled[i, 1])))
            for k, chosen in enumerate(self.chosen[i]):
                self.model.add_hint(chosen, k == lies[i])


def _groups(grid: Grid, most: int) -> list[tuple[frozenset[int], bool, list[GridObstacle]]]:
    """Return obstacles that lie apart, bind the same items, and all their inners or none."""
    groups: list[tuple[frozenset[int], bool, list[GridObstacle]]] = []
    for k, obstacle in enumerate(grid.obstacles):
        items = frozenset(i for i, lies in enumerate(grid.lies) if k in lies[0].bound)
        if obstacle.x0 >= min(most, obstacle.x1) or obstacle.y0 >= min(grid.width, obstacle.y1):
            continue
        for group in groups:
            if group[:2] == (items, obstacle.inner) and all(_apart(obstacle, o) for o in group[2]):
                group[2].append(obstacle)
                break
        else:
            groups.append((items, obstacle.inner, [obstacle]))
    return groups


def _apart(a: GridObstacle, b: GridObstacle) -> bool:
    return a.x1 <= b.x0 or b.x1 <= a.x0 or a.y1 <= b.y0 or b.y1 <= a.y0


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
        offsets = [
            (self.value(x) * grid.unit - origin[0], self.value(y) * grid.unit - origin[1])
            for (x, y), origin in zip(model.offsets, grid.origins, strict=True)
        ]
        moved = np.array(offsets).reshape(-1, 2) * np.array(grid.free).reshape(-1, 2)
        self._proof.offers.offer_corners(placed, moved)
