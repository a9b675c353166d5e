"""Many pieces searched for long: ``python -m tests.trust.long_run --pieces 100 --minutes 30``.

Garment pieces drafted at random are laid by the engine alone, on one worker, until the time is
over. Sixty times the memory in use, the best length told and the attempts made are written
down. A row is added to long_runs.csv, and LONG_RUNS.md is written anew from all rows. Exit code 1
where the best length worsened, progress said what the result does not hold, or memory grew.
"""

import argparse
import sys
import time
from pathlib import Path

import numpy as np
import shapely

from nesting.engine.solve import solve
from nesting.model.stop import Stop
from nesting.tolerances import LENGTH_REPORT, OVERLAP_DEPTH

from ..benchmarks.machine import date
from ..benchmarks.pieces import drafted_lay
from ..benchmarks.tables import cell, table
from .fuzz import say
from .records import LongRun, here, record

VERTICES, COPIES = 60, 4
LOOKS = 60
"""Looks at the memory, evenly over the run."""

SETTLED = 1.0 / 3.0
"""Share of the run after which memory is compared: tables and buffers have their size by then."""

FLAT = 0.02
"""Share by which memory may grow between then and the end: what the allocator does not return."""


class Watch:
    """What a run tells as it goes on: lengths, clocks, attempts, and the memory in use."""

    def __init__(self, every):
        self.every = every
        self.began = time.perf_counter()
        self.memory = []
        self.lengths = []
        self.wrong = 0
        self._seconds, self._iterations = 0.0, 0

    def __call__(self, step):
        """Take note of a step; count what is not as it should be."""
        best = self.lengths[-1] if self.lengths else np.inf
        self.wrong += step.seconds < self._seconds or step.iterations < self._iterations
        self._seconds, self._iterations = step.seconds, step.iterations
        if step.length is not None:
            self.wrong += step.length > best or step.length < (step.minimum or 0.0) - 1e-6
            self.lengths.append(min(step.length, best))

    def look(self):
        """Look at the memory now and then; never ask the run to end."""
        now = time.perf_counter() - self.began
        if self.lengths and (not self.memory or now - self.memory[-1][0] >= self.every):
            self.memory.append((now, resident()))
            say(f"{now:7.0f} s {self.memory[-1][1]:7.1f} MB {self.lengths[-1]:.1f} mm")
        return False


def resident():
    """Return the memory of this process, in megabytes."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS")) / 1024


def overlapping(result):
    """Return the deepest overlap of two pieces, as an area over the longest edge, by shapely."""
    shapes = result.problem.shapes
    placed = [
        shapely.Polygon(shapes[at.shape].outer + np.array([at.x, at.y])) for at in result.layout
    ]
    tree = shapely.STRtree(placed)
    pairs = [(i, j) for i, j in tree.query(placed, predicate="overlaps").T if i < j]
    areas = [placed[i].intersection(placed[j]).area for i, j in pairs]
    return max(areas, default=0.0) / max(p.length for p in placed)


def run(pieces, minutes, seed):
    """Search for so many minutes and return the row."""
    watch = Watch(60.0 * minutes / LOOKS)
    result = solve(
        drafted_lay(pieces, max(1, pieces // COPIES), VERTICES, seed),
        stop=Stop(seconds=60.0 * minutes),
        seed=seed,
        workers=1,
        on_event=watch,
        interrupted=watch.look,
    )
    # From the first look on: before it the solver may have had to be compiled.
    first, last = watch.memory[0][0], watch.memory[-1][0]
    settled = first + SETTLED * (last - first)
    before = max(mb for seconds, mb in watch.memory if seconds <= settled)
    after = max(mb for seconds, mb in watch.memory if seconds > settled)
    # What is told last is what is handed over, and that is a layout.
    other = abs(result.length - watch.lengths[-1]) > LENGTH_REPORT
    wrong = int(watch.wrong + other + (overlapping(result) > OVERLAP_DEPTH))
    return LongRun(
        pieces, seed, result.seconds, float(watch.lengths[0]), float(result.length),
        float(result.minimum), result.iterations, len(watch.lengths), wrong, before, after,
        *here(), date(),
    )  # fmt: skip


def written(rows):
    """Return LONG_RUNS.md."""
    heads = ("pieces", "minutes", "first length", "last length", "proven least", "attempts",
             "steps told", "wrong", "MB after a third", "MB at most later", "seed", "commit",
             "date")  # fmt: skip
    body = [
        (str(row.pieces), cell(row.seconds / 60.0, 1), cell(row.first, 1), cell(row.last, 1),
         cell(row.minimum, 1), str(row.iterations), str(row.steps), str(row.wrong),
         cell(row.before_mb, 1), cell(row.after_mb, 1), str(row.seed), row.commit, row.date)
        for row in rows
    ]  # fmt: skip
    return (
        "# Long runs\n\nMade by `python -m tests.trust.long_run` from long_runs.csv; rows are "
        "only added. Lengths in mm. *Wrong*: steps that told a longer length than before or one "
        "below the proven least, clocks or counters that ran back, a result that differs from "
        "what was told last or overlaps (by shapely).\n\n"
        f"{table(heads, body)}\n"
    )


def main():
    """Search, record it and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=100)
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--dry", action="store_true", help="record nothing")
    asked = parser.parse_args()
    row = run(asked.pieces, asked.minutes, asked.seed)
    say(row)
    if not asked.dry:
        record([row], "LONG_RUNS.md", written)
    sys.exit(bool(row.wrong or row.after_mb > (1.0 + FLAT) * row.before_mb))


if __name__ == "__main__":
    main()
