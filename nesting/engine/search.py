"""One worker's search: shrink the strip, separate, recover from failure, then compress."""

from __future__ import annotations

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Board, Found
from .kernels import WordArray, random_state
from .polish import Parts, polish
from .scaled import ScaledProblem
from .separate import Effort, Lay, deepest_overlap, sweeps
from .tables import PairTables

EXPLORE_SHARE = 0.8
"""Share of the budget spent on shrinking in large steps before the fine compression."""

PATIENCE = 150.0
"""Sweeps without a gain of 2 % after which a strike ends."""

STRIKES = 3
"""Strikes in a row without a better layout after which a length is given up."""

START_STEP = 0.01
"""Share by which the strip is shortened at first."""

FAILURES = 6
"""Failures at one length after which a longer one, half way back, is tried."""

NEARLY = 0.1
"""Sized overlap, as a share of the width, up to which a failed attempt is worth polishing."""

ENOUGH = 1e-3
"""Sized overlap, as a share of the width, at which the linear programme is first tried."""

CHUNK = 8
"""Sweeps between two looks at the clock."""

HAIR = 3e-7
"""Overlap, as a share of the width, that rounding in the linear programme may leave."""


class Search:
    """The state of one worker.

    Two workers differ in their random streams; the same seed gives the same search as long as no
    clock stops it and no other worker's layout is taken over.
    """

    def __init__(
        self,
        scaled: ScaledProblem,
        tables: PairTables,
        parts: Parts,
        board: Board,
        seed: int,
        worker: int,
    ) -> None:
        n = len(scaled.choices)
        self.scaled = scaled
        self.tables = tables
        self.parts = parts
        self.board = board
        self.effort = Effort()
        self.kernel_random: WordArray = random_state(seed, 2 * worker)
        self.random = np.random.default_rng([seed, 2 * worker + 1])
        self.area = np.array([scaled.shapes[c[0]].area for c in scaled.choices])
        self.lay = Lay(
            choice_start=np.cumsum([0] + [len(c) for c in scaled.choices]).astype(np.int64),
            choices=np.concatenate([np.array(c, dtype=np.int64) for c in scaled.choices]),
            shape=np.zeros(n, dtype=np.int64),
            x=np.zeros(n),
            y=np.zeros(n),
            size=_pair_sizes(self.area),
            weight=np.ones((n, n)),
            pull=np.zeros(n),
            near=np.zeros(n, dtype=np.int64),
            order=np.zeros(n, dtype=np.int64),
            largest=np.argsort(-self.area, kind="stable").astype(np.int64),
        )

    def run(self) -> None:
        """Search until the board says that the run is over."""
        self._explore()
        self._compress()

    # ------------------------------------------------------------------ the two phases

    def _explore(self) -> None:
        """Shrink in large steps; after failures, disturb one of the least overlapping layouts."""
        board = self.board
        best = _the_best(board)
        step, failures = START_STEP, 0
        length = best.length * (1.0 - step)
        self._take(best)
        self._shrink(best.length, length)
        pool: list[tuple[float, Found]] = []
        while not board.over() and board.spent() < EXPLORE_SHARE:
            overlap, shortened = self._separate(length)
            if shortened is not None:
                board.offer(shortened, "exploring")
                if failures >= 2:
                    step = max(0.002, 0.6 * step)
                best, failures, pool = shortened, 0, []
                length = best.length * (1.0 - step)
                self._take(best)
                self._shrink(best.length, length)
                continue
            if overlap is None:
                return
            failures += 1
            leader = _the_best(board)
            if leader.length < length or (leader.length < best.length and failures >= 2):
                # Another worker is ahead: go on from its layout.
                best, failures, pool = leader, 0, []
                length = best.length * (1.0 - step)
                self._take(best)
                self._shrink(best.length, length)
                continue
            pool.append((overlap, self._present()))
            pool.sort(key=lambda entry: entry[0])
            del pool[5:]
            if failures % FAILURES == 0:
                step = max(0.002, 0.6 * step)
                shorter = 0.5 * (length + best.length)
                if shorter < best.length * (1.0 - 0.001):
                    length, pool = shorter, []
                    self._take(best)
                    self._shrink(best.length, length)
                    self._disturb(length)
                    continue
            rank = int(len(pool) * self.random.random() ** 2)
            self._take(pool[rank][1])
            self._disturb(length)

    def _compress(self) -> None:
        """Shorten the best layout by ever smaller steps without disturbing it."""
        board = self.board
        while not board.over():
            share = (board.spent() - EXPLORE_SHARE) / (1.0 - EXPLORE_SHARE)
            step = 0.005 * (0.0003 / 0.005) ** min(1.0, max(0.0, share))
            best = _the_best(board)
            length = best.length * (1.0 - step)
            self._take(best)
            self._shrink(best.length, length)
            _overlap, shortened = self._separate(length)
            if shortened is not None:
                board.offer(shortened, "compressing")

    # ------------------------------------------------------------------ one attempt

    def _separate(self, length: float) -> tuple[float | None, Found | None]:
        """Try to part all pieces within a length.

        Returns the least sized overlap reached and, if it is shorter than the best, the layout
        the linear programme makes of it; the present layout becomes the one of least overlap.
        (None, None) when stopped.
        """
        lay, scaled, tables = self.lay, self.scaled, self.tables
        n = len(lay.x)
        lay.weight[:] = 1.0
        kept = (lay.shape.copy(), lay.x.copy(), lay.y.copy())
        overlap = np.ones(n)
        record = np.array([np.inf, np.inf, 0.0])
        enough = ENOUGH * scaled.width
        strikes, before = 0, np.inf
        self.board.count()
        while True:
            sweeps(
                tables, lay, self.effort, scaled.width, length, self.kernel_random, overlap,
                *kept, record, CHUNK, enough, 0.98,
            )  # fmt: skip
            if record[1] <= enough:
                shortened = self._polished()
                if shortened is not None or record[1] == 0.0:
                    return float(record[0]), shortened
                enough = 0.1 * record[1]  # not yet: come closer first
            if self.board.over():
                return None, None
            if record[2] < PATIENCE:
                continue
            strikes = 0 if record[0] < 0.98 * before else strikes + 1
            if strikes >= STRIKES:
                break
            before = record[0]
            lay.weight[:] = 1.0
            lay.shape[:], lay.x[:], lay.y[:] = kept
            overlap[:] = 1.0
            record[2] = 0.0
        lay.shape[:], lay.x[:], lay.y[:] = kept
        # What is nearly parted may come apart in less than the best length after all.
        nearly = record[0] < NEARLY * scaled.width
        return float(record[0]), self._polished() if nearly else None

    def _polished(self) -> Found | None:
        """Return the present layout parted and shortened, if it is then better than the best."""
        lay = self.lay
        x, y = lay.x.copy(), lay.y.copy()
        reached = polish(self.scaled, self.parts, lay.shape, x, y)
        if reached is None or reached >= _the_best(self.board).length:
            return None
        if deepest_overlap(self.tables, lay.shape, x, y) > HAIR * self.scaled.width:
            return None
        return Found(reached, lay.shape.copy(), x, y)

    # ------------------------------------------------------------------ moves between attempts

    def _take(self, found: Found) -> None:
        lay = self.lay
        lay.shape[:], lay.x[:], lay.y[:] = found.shape, found.x, found.y

    def _present(self) -> Found:
        lay = self.lay
        return Found(np.inf, lay.shape.copy(), lay.x.copy(), lay.y.copy())

    def _shrink(self, old: float, new: float) -> None:
        """Cut the strip at a random place and slide what lies beyond it back."""
        lay = self.lay
        cut = self.random.random() * old
        beyond = lay.x > cut
        lay.x[beyond] -= old - new
        self._clamp(new)

    def _clamp(self, length: float) -> None:
        lay, half = self.lay, self.tables.half[self.lay.shape]
        np.clip(lay.x, half[:, 0], np.maximum(half[:, 0], length - half[:, 0]), out=lay.x)
        np.clip(lay.y, half[:, 1], np.maximum(half[:, 1], self.scaled.width - half[:, 1]), lay.y)

    def _disturb(self, length: float) -> None:
        """Exchange two large pieces, each with the small pieces that lie in its box."""
        lay = self.lay
        order = np.argsort(-self.area, kind="stable")
        covered = np.cumsum(self.area[order])
        large = order[: max(2, int(np.searchsorted(covered, 0.75 * covered[-1])) + 1)]
        first = int(self.random.choice(large))
        others = [int(k) for k in large if lay.shape[k] != lay.shape[first]]
        if not others:
            return
        second = int(self.random.choice(np.array(others)))
        half = self.tables.half[lay.shape]
        groups = []
        for k in (first, second):
            inside = (np.abs(lay.x - lay.x[k]) < half[k, 0]) & (
                np.abs(lay.y - lay.y[k]) < half[k, 1]
            )
            inside &= self.area < 0.5 * self.area[k]
            inside[[first, second]] = False
            groups.append(inside)
        shift_x, shift_y = lay.x[second] - lay.x[first], lay.y[second] - lay.y[first]
        both = groups[0] & groups[1]
        for inside, k, sign in ((groups[0], first, 1.0), (groups[1], second, -1.0)):
            move = inside & ~both
            move[k] = True
            lay.x[move] += sign * shift_x
            lay.y[move] += sign * shift_y
        self._clamp(length)


def _the_best(board: Board) -> Found:
    assert board.best is not None  # noqa: S101 - solve() offers the first layout before workers
    return board.best


def _pair_sizes(area: FloatArray) -> FloatArray:
    """Return factors that make overlaps of large pieces count more, of mean 1.

    The factor is the root of the smaller area, a length, so that a sized depth stays in
    proportion to the area that overlaps.
    """
    root = np.sqrt(np.minimum(area[:, None], area[None, :]))
    n = len(area)
    if n < 2:
        return np.ones((n, n))
    mean = (root.sum() - np.trace(root)) / (n * (n - 1))
    return np.ascontiguousarray(root / mean)


def choice_arrays(scaled: ScaledProblem) -> tuple[IntArray, IntArray]:
    """Return the shapes each item may take, flat: starts and shapes."""
    start = np.cumsum([0] + [len(c) for c in scaled.choices]).astype(np.int64)
    return start, np.concatenate([np.array(c, dtype=np.int64) for c in scaled.choices])
