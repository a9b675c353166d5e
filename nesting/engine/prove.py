"""Which exact solver, if any, suits a problem, and how much of the run it may take."""

from __future__ import annotations

import math

from .board import Board
from .certain import CertainOverlap
from .exact_polygons import PolygonProof, suits
from .exact_rectangles import RectangleProof
from .offers import Offers
from .polish import Parts
from .rectangle_grid import grid_of
from .scaled import ScaledProblem
from .tables import PairTables

SHARE = 0.5
"""Most of the run's remaining time that an exact solver takes before it gives up."""

NODES_PER_ATTEMPT = 20
"""Nodes of branch and bound for each attempt allowed, where the run has no time limit."""


class Prover:
    """An exact solver for a small problem; does nothing where none suits."""

    def __init__(
        self, scaled: ScaledProblem, tables: PairTables, parts: Parts, board: Board, seed: int
    ) -> None:
        self._scaled = scaled
        self._tables = tables
        self._parts = parts
        self._board = board
        self._seed = seed

    def run(self) -> None:
        """Raise the board's minimum, offer layouts; end early once the board says it is over."""
        board = self._board
        if board.over() or board.best is None:
            return
        seconds, attempts = board.seconds_left(SHARE), board.attempts_left()
        certain = CertainOverlap(self._scaled)
        offers = Offers(certain, self._tables, self._parts, board)
        grid = grid_of(self._scaled)
        if grid is not None:
            RectangleProof(grid, board, offers, self._seed).run(seconds, attempts)
        elif suits(certain):
            until = math.inf if seconds is None else board.seconds + seconds
            PolygonProof(certain, board, offers).run(
                lambda: board.over() or board.seconds >= until,
                NODES_PER_ATTEMPT * attempts if seconds is None else None,
            )
