"""Layouts that an exact solver found, made fit for the board: polished, tested, offered."""

from __future__ import annotations

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Board, Found
from .certain import CertainOverlap
from .polish import Parts, polish
from .scaled import ScaledProblem
from .search import HAIR
from .separate import deepest_overlap
from .tables import PairTables


class Offers:
    """Between an exact solver's coordinates and the board's."""

    def __init__(
        self, certain: CertainOverlap, tables: PairTables, parts: Parts, board: Board
    ) -> None:
        self.scaled: ScaledProblem = certain.scaled
        self._certain = certain
        self._tables = tables
        self._parts = parts
        self._board = board

    def length(self, found: Found) -> float:
        """Return a layout's length in the problem's unit."""
        return found.length / self.scaled.scale

    def best_units(self) -> float:
        """Return the length of the board's best layout, in units."""
        best = self._board.best
        assert best is not None  # noqa: S101 - solve() offers a layout before any proof
        return best.length

    def placed(self, found: Found) -> list[tuple[int, float, float]]:
        """Return for each item its shape and its box's least corner, in the problem's unit."""
        shape = found.shape[: self.scaled.count]
        low = np.column_stack([found.x, found.y])[: len(shape)] - self._half(shape)
        low /= self.scaled.scale
        return [(int(s), float(x), float(y)) for s, (x, y) in zip(shape, low, strict=True)]

    def offer_corners(
        self, placed: list[tuple[int, float, float]], offsets: FloatArray | None = None
    ) -> bool:
        """Offer a layout given as ``placed`` gives it; tell whether it became the best.

        ``offsets`` are those of the phases, in the problem's unit.
        """
        shape = np.array([s for s, _x, _y in placed], dtype=np.int64)
        at = np.array([(x, y) for _s, x, y in placed]) * self.scaled.scale + self._half(shape)
        return self.offer_centres(
            shape, at, None if offsets is None else offsets * self.scaled.scale
        )

    def offer_centres(
        self, shape: IntArray, at: FloatArray, offsets: FloatArray | None = None
    ) -> bool:
        """Offer a layout by its items' shapes, their centres (items, 2) and the phases' offsets.

        All in units; rounding is repaired, and so is what a lattice asks for.
        """
        shape, x, y = self.scaled.entries(shape, at, offsets)
        length = polish(self.scaled, self._tables, self._parts, shape, x, y, rounds=4)
        if length is None or not self._sound(shape, x, y):
            return False
        return self._board.offer(Found(length, shape, x, y), "proving")

    def _half(self, shape: IntArray) -> FloatArray:
        return np.array([self.scaled.shapes[s].half for s in shape], dtype=np.float64)

    def _sound(self, shape: IntArray, x: FloatArray, y: FloatArray) -> bool:
        """Tell whether nothing overlaps by more than a hair, items for certain."""
        hair = HAIR * self.scaled.width
        if not self.scaled.problem.is_free:
            return deepest_overlap(self._tables, shape, x, y) <= hair
        for i in range(self.scaled.count):
            for j in range(i):
                depth = self._certain.depth(
                    int(shape[i]), int(shape[j]), float(x[j] - x[i]), float(y[j] - y[i])
                )
                if depth > hair:
                    return False
        return True
