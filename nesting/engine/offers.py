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


class Offers:
    """Between an exact solver's coordinates and the board's."""

    def __init__(self, certain: CertainOverlap, parts: Parts, board: Board) -> None:
        self.scaled: ScaledProblem = certain.scaled
        self._certain = certain
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
        half = self._half(found.shape)
        low = (np.column_stack([found.x, found.y]) - half) / self.scaled.scale
        return [(int(s), float(x), float(y)) for s, (x, y) in zip(found.shape, low, strict=True)]

    def offer_corners(self, placed: list[tuple[int, float, float]]) -> bool:
        """Offer a layout given as ``placed`` gives it; tell whether it became the best."""
        shape = np.array([s for s, _x, _y in placed], dtype=np.int64)
        at = np.array([(x, y) for _s, x, y in placed]) * self.scaled.scale + self._half(shape)
        return self.offer_centres(shape, at[:, 0].copy(), at[:, 1].copy())

    def offer_centres(self, shape: IntArray, x: FloatArray, y: FloatArray) -> bool:
        """Offer a layout by its shapes and their centres in units, after repairing rounding."""
        length = polish(self.scaled, self._parts, shape, x, y, rounds=4)
        if length is None or not self._sound(shape, x, y):
            return False
        return self._board.offer(Found(length, shape, x, y), "proving")

    def _half(self, shape: IntArray) -> FloatArray:
        return np.array([self.scaled.shapes[s].half for s in shape], dtype=np.float64)

    def _sound(self, shape: IntArray, x: FloatArray, y: FloatArray) -> bool:
        """Tell whether no two items overlap for certain by more than a hair."""
        hair = HAIR * self.scaled.width
        for i in range(len(shape)):
            for j in range(i):
                depth = self._certain.depth(
                    int(shape[i]), int(shape[j]), float(x[j] - x[i]), float(y[j] - y[i])
                )
                if depth > hair:
                    return False
        return True
