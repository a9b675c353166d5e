"""Parts of a run by themselves, and least lengths by plain trying, for tests of proofs."""

import time

import numpy as np

from nesting.engine.board import Board
from nesting.engine.certain import CertainOverlap
from nesting.engine.offers import Offers
from nesting.engine.polish import flatten_parts
from nesting.engine.prepare import prepare
from nesting.engine.prove import Prover
from nesting.engine.scaled import scale_problem
from nesting.engine.search import Search
from nesting.engine.tables import build_tables
from nesting.model.problem import Position
from nesting.model.stop import Stop


class Parts:
    """A problem made ready, with a board that holds a first layout and no bound at all."""

    def __init__(self, problem, stop, start=None, interrupted=None):
        self.scaled = scale_problem(problem)
        self.board = Board(
            stop, scale=self.scaled.scale, minimum=0.0, clock=time.monotonic,
            start=time.monotonic(), on_event=None, interrupted=interrupted,
        )  # fmt: skip
        ready = prepare(self.scaled, self.board, start=start)
        self.tables, self.parts = ready or (build_tables(self.scaled), flatten_parts(self.scaled))
        self.offers = Offers(CertainOverlap(self.scaled), self.tables, self.parts, self.board)

    @property
    def length(self):
        """The best length so far, in the problem's unit."""
        return self.board.best.length / self.scaled.scale


def proven(problem, stop=None, start=None, interrupted=None, seed=0):
    """Run the exact solver alone, without any bound; return the parts."""
    parts = Parts(problem, stop or Stop(seconds=120), start, interrupted)
    Prover(parts.scaled, parts.tables, parts.parts, parts.board, seed).run()
    return parts


def searched(problem, iterations=10, seed=0):
    """Run the search alone, without any bound; return the length it found."""
    parts = Parts(problem, Stop(iterations=iterations))
    Search(parts.scaled, parts.tables, parts.parts, parts.board, seed, 0).run()
    return parts.length


def in_a_row(problem):
    """Return the layout of all items one behind the other, each in its first lie."""
    layout, end = [], 0.0
    for item in problem.items:
        low_x, low_y, high_x, _high_y = problem.shapes[item.shapes[0]].box
        layout.append(Position(item.shapes[0], end - low_x, -low_y))
        end += high_x - low_x
    return layout


def pack_exactly(sizes, width, *, turn=False):
    """Return the least length of integer rectangles (across, along) by trying every place."""
    for length in range(1, sum(map(max, sizes)) + 1):
        if _place(sizes, np.zeros((length, width), dtype=bool), turn):
            return length
    raise AssertionError("a rectangle is wider than the strip")


def _place(sizes, taken, turn):
    if not sizes:
        return True
    first, rest = sizes[0], sizes[1:]
    for across, along in {first, first[::-1]} if turn else {first}:
        for x in range(taken.shape[0] - along + 1):
            for y in range(taken.shape[1] - across + 1):
                spot = taken[x : x + along, y : y + across]
                if not spot.any():
                    spot[:] = True
                    fits = _place(rest, taken, turn)
                    spot[:] = False
                    if fits:
                        return True
    return False
