"""One worker: shorten a layout, disturb it where that fails, begin anew where it stalls."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from ..model.events import Phase
from .board import Board, Found, is_among
from .halving import Halving
from .kernels import WordArray, random_state
from .lines import Lines
from .places import settle
from .polish import Parts, polish
from .scaled import ScaledProblem
from .separate import Effort, deepest_overlap, sweeps
from .state import entry_areas, new_lay
from .tables import PairTables

SQUEEZES = (0.01, 0.003, 0.001, 0.0003)
"""Shares by which a layout is shortened in turn, each as long as it succeeds."""

DISTURBED = 0.003
"""Share by which a disturbed layout has to be shorter than the one at hand."""

ACCEPT = 0.005
"""Share by which a layout may be longer than that at hand and still be worth disturbing."""

THROWS = 0.3
"""Share of disturbances that throw a piece instead of exchanging two."""

TWICE = 0.2
"""Share of disturbances that exchange twice."""

BEGINNINGS = 4
"""Beginnings that may fail before a worker goes on from the best layout instead."""

POOL = 5
"""Shortest layouts to disturb."""

PATIENCE = 150.0
"""Sweeps without a gain of 2 % after which the weights are renewed."""

RENEWALS = 3
"""Fresh starts from the least overlap, with all weights equal, that may gain nothing."""

WORTH_IT = 1e-5
"""Share by which a layout must be shorter to count as better."""

NEARLY = 0.1
"""Sized overlap, as a share of the width, up to which a failed attempt is worth polishing."""

PAUSE = 40.0
"""Sweeps without a gain of 2 % after which what is nearly parted is polished meanwhile."""

CLOSER = 0.8
"""Share of the overlap then to which it has to fall before that is tried again."""

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
        self.scaled = scaled
        self.tables = tables
        self.parts = parts
        self.board = board
        self.effort = Effort()
        # The first worker sees each attempt through: some deepen while others look round.
        self.halving = None if worker == 0 else Halving()
        self.kernel_random: WordArray = random_state(seed, 2 * worker)
        self.random = np.random.default_rng([seed, 2 * worker + 1])
        self.lay = new_lay(scaled, tables)
        areas = entry_areas(scaled)
        self.lay.size[:] = _pair_sizes(areas)
        self.area = areas[: scaled.count]
        self.line = Lines(scaled, board, self.area, self.random, patient=worker == 0)
        # Items alone; what else is in the layout does not move by itself.
        self.shape = self.lay.shape[: scaled.count]
        self.x, self.y = self.lay.x[: scaled.count], self.lay.y[: scaled.count]
        self._join()

    def run(self) -> None:
        """Search until the board says that the run is over."""
        self._join()  # a proof may have shortened it since
        while not self.board.over():
            self._squeeze()
            if self._disturb_until_better():
                continue
            self.board.keep_end(self.home)
            if not (self.line.may_begin and self._begin_anew()):
                self._join()

    # ------------------------------------------------------------------ which line to follow

    def _join(self) -> None:
        """Go on from the best layout of all."""
        self._go_on_from(_the_best(self.board), joined=True)

    def _go_on_from(self, found: Found, *, joined: bool) -> None:
        self.home = found
        self.line.begin(joined=joined)

    def _begin_anew(self) -> bool:
        """Part all pieces from where a new line begins; tell whether that came off."""
        for _ in range(BEGINNINGS):
            lay = self.lay
            length, lay.shape[:], lay.x[:], lay.y[:] = self.line.beginning(_the_best(self.board))
            self._settle(length)
            found = self._separate(length, np.inf)
            if found is not None:
                self._go_on_from(found, joined=self.board.offer(found, "searching"))
                return True
        return False

    def _follow(self) -> bool:
        """Take over a better layout of another worker; tell whether there was one.

        A line of one's own is given up for it only towards the end of the run.
        """
        best = _the_best(self.board)
        if best is self.home or (self.line.may_begin and not self.line.joined):
            return False
        self._join()
        return True

    def _gain(self, found: Found, phase: Phase) -> None:
        """Go on from a layout shorter than the one at hand."""
        self.home = found
        self.line.gain(joined=self.board.offer(found, phase))

    # ------------------------------------------------------------------ the two phases

    def _squeeze(self) -> None:
        """Shorten the layout at hand as it is, by ever smaller steps."""
        board = self.board
        for step in SQUEEZES:
            while not board.over():
                self._follow()
                length = self.home.length * (1.0 - step)
                self._take(self.home)
                self._shrink(self.home.length, length)
                shortened = self._separate(length)
                if shortened is None:
                    break
                self._gain(shortened, "tightening")

    def _disturb_until_better(self) -> bool:
        """Disturb the shortest layouts until one comes out shorter; False where it has stalled."""
        board = self.board
        start = self.home
        length = start.length * (1.0 - DISTURBED)
        pool = [start]
        while not board.over():
            if self._follow():
                return True
            if self.line.stalled(start.length):
                return False
            base = pool[int(len(pool) * self.random.random() ** 2)]
            self._take(base)
            self._shrink(base.length, length)
            self._disturb(length)
            found = self._separate(length, 1.0 + ACCEPT, pool, self.halving)
            if found is None:
                continue
            if found.length < (1.0 - WORTH_IT) * start.length:
                self._gain(found, "searching")
                return True
            if not is_among(found, pool):
                pool.append(found)
                pool.sort(key=lambda f: f.length)
                del pool[POOL:]
        return True

    # ------------------------------------------------------------------ one attempt

    def _separate(
        self,
        length: float,
        limit: float = 1.0 - WORTH_IT,
        known: Sequence[Found] = (),
        halving: Halving | None = None,
    ) -> Found | None:
        """Try to part all pieces within a length.

        Returns what the linear programme makes of the least overlapping layout, if that is
        shorter than ``limit`` times that at hand; None otherwise, or when stopped. Gives up where
        it comes back to a layout that is ``known``, or where ``halving`` has seen better.
        """
        lay, scaled, tables = self.lay, self.scaled, self.tables
        n = len(lay.x)
        lay.weight[:] = 1.0
        kept = (lay.shape.copy(), lay.x.copy(), lay.y.copy())
        overlap = np.ones(n)
        record = np.array([np.inf, np.inf, 0.0])
        enough, nearly = ENOUGH * scaled.width, NEARLY * scaled.width
        stale, before, begun = 0, np.inf, self.line.swept
        if halving is not None:
            halving.begin()
        self.board.count()
        while True:
            self.line.swept += sweeps(
                tables, lay, self.effort, length, self.kernel_random, overlap,
                *kept, record, CHUNK, enough, 0.98,
            )  # fmt: skip
            if record[1] <= enough:
                shortened = self._polished(limit, lay.shape, lay.x, lay.y)
                if shortened is not None or record[1] == 0.0:
                    return shortened
                enough = 0.1 * record[1]  # not yet: come closer first
            if self.board.over():
                return None
            if halving is not None and halving.leaves(self.line.swept - begun, record[0]):
                return None
            if record[2] >= PAUSE and record[0] < nearly:
                found = self._polished(1.0 + ACCEPT, *kept)
                if found is not None and found.length < (1.0 - WORTH_IT) * self.home.length:
                    return found
                if found is not None and is_among(found, known):
                    return None
                nearly = CLOSER * record[0]
            if record[2] < PATIENCE:
                continue
            stale = 0 if record[0] < 0.98 * before else stale + 1
            if stale >= RENEWALS:
                break
            before = record[0]
            lay.weight[:] = 1.0
            lay.shape[:], lay.x[:], lay.y[:] = kept
            overlap[:] = 1.0
            record[2] = 0.0
        # What is nearly parted may come apart in less than the best length after all.
        return self._polished(limit, *kept) if record[0] < NEARLY * scaled.width else None

    def _polished(
        self, limit: float, shape: IntArray, x: FloatArray, y: FloatArray
    ) -> Found | None:
        """Return a layout parted and shortened, if it is then short enough."""
        shape, x, y = shape.copy(), x.copy(), y.copy()
        reached = polish(self.scaled, self.tables, self.parts, shape, x, y)
        if reached is None or reached > limit * self.home.length:
            return None
        if deepest_overlap(self.tables, shape, x, y) > HAIR * self.scaled.width:
            return None
        return Found(reached, shape, x, y)

    # ------------------------------------------------------------------ moves between attempts

    def _take(self, found: Found) -> None:
        lay = self.lay
        lay.shape[:], lay.x[:], lay.y[:] = found.shape, found.x, found.y

    def _shrink(self, old: float, new: float) -> None:
        """Cut the strip at a random place and slide what lies beyond it back."""
        cut = self.random.random() * old
        self.x[self.x > cut] -= old - new
        self._settle(new)

    def _settle(self, length: float) -> None:
        """Bring every item to a place that is open to it."""
        settle(self.tables, self.scaled.count, self.lay.shape, self.lay.x, self.lay.y, length)

    def _disturb(self, length: float) -> None:
        """Exchange two large pieces, once or twice, or throw one piece anywhere."""
        draw = self.random.random()
        if draw < THROWS:
            self._throw(length)
            return
        self._exchange(length)
        if draw > 1.0 - TWICE:
            self._exchange(length)

    def _throw(self, length: float) -> None:
        """Move one piece, the large ones more often, to a random place."""
        k = int(self.random.choice(len(self.area), p=self.area / self.area.sum()))
        self.x[k] = self.random.random() * length
        self.y[k] = self.random.random() * self.scaled.width
        self._settle(length)

    def _exchange(self, length: float) -> None:
        """Exchange two large pieces, each with the small pieces that lie in its box."""
        order = np.argsort(-self.area, kind="stable")
        covered = np.cumsum(self.area[order])
        large = order[: max(2, int(np.searchsorted(covered, 0.75 * covered[-1])) + 1)]
        first = int(self.random.choice(large))
        others = [int(k) for k in large if self.shape[k] != self.shape[first]]
        if not others:
            return
        second = int(self.random.choice(np.array(others)))
        half = self.tables.half[self.shape]
        groups = []
        for k in (first, second):
            inside = (np.abs(self.x - self.x[k]) < half[k, 0]) & (
                np.abs(self.y - self.y[k]) < half[k, 1]
            )
            inside &= self.area < 0.5 * self.area[k]
            inside[[first, second]] = False
            groups.append(inside)
        shift_x, shift_y = self.x[second] - self.x[first], self.y[second] - self.y[first]
        both = groups[0] & groups[1]
        for inside, k, sign in ((groups[0], first, 1.0), (groups[1], second, -1.0)):
            move = inside & ~both
            move[k] = True
            self.x[move] += sign * shift_x
            self.y[move] += sign * shift_y
        self._settle(length)


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
