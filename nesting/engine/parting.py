"""A first layout where no piece by piece construction found one: pieces parted from a heap."""

from __future__ import annotations

import numpy as np

from .board import Board, Found
from .kernels import random_state
from .places import settle
from .polish import Parts, polish
from .scaled import ScaledProblem
from .search import HAIR
from .separate import Effort, deepest_overlap, sweeps
from .state import new_lay
from .tables import PairTables

SWEEPS = 60
"""Sweeps before the pieces are thrown anew, into a longer strip."""

LONGER = 1.25
"""Factor by which the strip grows from one throw to the next, up to where nothing gets longer."""

LONGEST = 16.0
"""Greatest length, as a multiple of the first."""


def part_from_scratch(
    scaled: ScaledProblem, tables: PairTables, parts: Parts, board: Board, seed: int
) -> None:
    """Throw all items on the strip and part them, again and again, until a layout is found.

    The strip is first as long as what lies there and all items need by their area, then longer.
    Ends with the board, on which there may still be no layout.
    """
    lay = new_lay(scaled, tables)
    generator, words = np.random.default_rng([seed, 0]), random_state(seed, 0)
    n, entries = scaled.count, len(lay.shape)
    ends = lay.x[n:] + tables.half[lay.shape[n:], 0]
    area = sum(scaled.shapes[c[0]].area for c in scaled.choices)
    widest = 2.0 * float(tables.half[lay.shape[:n], 0].max())
    shortest = float(ends.max(initial=0.0)) + widest + 1.5 * area / scaled.width
    length = shortest
    while not board.over():
        board.count()
        lay.x[:n] = generator.random(n) * length
        lay.y[:n] = generator.random(n) * scaled.width
        lay.weight[:] = 1.0
        settle(tables, n, lay.shape, lay.x, lay.y, length)
        record = np.array([np.inf, np.inf, 0.0])
        sweeps(
            tables, lay, Effort(), length, words, np.ones(entries), lay.shape.copy(),
            lay.x.copy(), lay.y.copy(), record, SWEEPS, 0.0, 0.98,
        )  # fmt: skip
        if record[1] == 0.0:
            reached = polish(scaled, tables, parts, lay.shape, lay.x, lay.y)
            deepest = deepest_overlap(tables, lay.shape, lay.x, lay.y)
            if reached is not None and deepest <= HAIR * scaled.width:
                board.offer(Found(reached, lay.shape, lay.x, lay.y), "first")
                return
        length = min(length * LONGER, LONGEST * shortest)
