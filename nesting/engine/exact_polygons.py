"""Exact answers for a few irregular pieces: branch and bound over where pairs may lie.

A node says for some pairs of items in which convex region of its free offsets the pair lies, and
for some items which lies are left. A linear programme over it gives the least length. Where its
answer has two items overlapping, the region of that pair is parted, or the lie of one decided.
(Branching on no-fit regions: Fischetti and Luzzi 2009; Alvarez-Valdes, Martinez and Tamarit
2013.) Regions allow a few units too much, never too little, and every node's bound is proven by
weak duality, so rounding cannot make a proof false.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
import shapely

from ..geometry.rings import FloatArray
from .board import Board
from .bounds import SAME_LENGTH
from .certain import CertainOverlap
from .offers import Offers
from .regions import Region, region_of
from .safe_program import least_value

MOST_ITEMS = 8
"""Items beyond which branching has no prospect."""

MOST_CORNERS = 400
"""Corners of all distinct shapes together beyond which the regions have too many cells."""

OVERLAPS = 2.0
"""Units deep in a certain region at which an offset counts as an overlap to branch on."""

PENALTY = 1e4
"""Cost of one strip width by which a region's sides are missed; it makes every node solvable,
and one that is impossible so long that it is given up."""

LARGE_FIRST = 4.0
"""Power of the smaller piece's area by which the depth of an overlap counts in branching."""

Pair: TypeAlias = tuple[int, int]
Lies: TypeAlias = tuple[int, ...]


@dataclass(order=True, slots=True)
class _Node:
    """Part of all layouts: the lies left for each item and the regions chosen for some pairs.

    ``bound`` is a length in units that all of them have; ``x`` and ``y`` are the centres in the
    linear programme's answer, all zero where it had none.
    """

    bound: float
    rank: int
    lies: tuple[Lies, ...] = field(compare=False)
    regions: dict[Pair, Region] = field(compare=False)
    x: FloatArray = field(compare=False)
    y: FloatArray = field(compare=False)


def suits(certain: CertainOverlap) -> bool:
    """Tell whether a problem is small enough for branch and bound to be worth trying.

    It knows of no obstacles and domains, so problems with any are left to the search.
    """
    scaled = certain.scaled
    if not scaled.problem.is_free:
        return False
    corners = sum(len(ring) for shape in scaled.shapes for ring in shape.rings)
    return len(scaled.choices) <= MOST_ITEMS and corners <= MOST_CORNERS


class PolygonProof:
    """Branch and bound with the board's best layout as the length to beat."""

    def __init__(self, certain: CertainOverlap, board: Board, offers: Offers) -> None:
        self.certain = certain
        self.board = board
        self.offers = offers
        scaled = certain.scaled
        self._scale = scaled.scale
        self._width = certain.width
        self._longest = offers.best_units()
        self._ceiling = math.inf
        self._area = np.array([scaled.shapes[c[0]].area for c in scaled.choices])
        self._half = np.array([certain.half(s) for s in range(len(scaled.shapes))])
        self._like = _like_pairs(scaled.choices)
        self._lies, self._lower = _without_half_turns(certain, self._fitting())
        self._trees: dict[tuple[int, int, bool], Region | None] = {}
        self.nodes = 0

    def run(self, over: Callable[[], bool], most_nodes: int | None) -> None:
        """Branch until proven, ``over()`` or the number of nodes is used up."""
        heap = [self._node(self.board.minimum * self._scale, self._lies, {})]
        while heap and not over() and (most_nodes is None or self.nodes < most_nodes):
            node = heapq.heappop(heap)
            self._prove(node.bound)
            if node.bound >= self._enough() or self.board.over():
                return
            for child in self._branch(node):
                heapq.heappush(heap, child)
        if not heap:
            self._prove(math.inf)

    def _prove(self, bound: float) -> None:
        """Raise the minimum to the least bound of what is open, stuck or not worth finding."""
        self.board.raise_minimum(min(bound, self._enough(), self._ceiling) / self._scale)

    def _enough(self) -> float:
        """Return the length in units that, once proven, leaves nothing worth finding."""
        self._longest = min(self._longest, self.offers.best_units())
        return self._longest * (1.0 - 0.5 * SAME_LENGTH)

    def _fitting(self) -> tuple[Lies, ...]:
        """Return the lies of each item that fit the width."""
        return tuple(
            tuple(s for s in c if 2.0 * self._half[s, 1] <= self._width)
            for c in self.certain.scaled.choices
        )

    # ------------------------------------------------------------------ one node

    def _branch(self, node: _Node) -> list[_Node]:
        """Return nodes that part a node and may hold something shorter than the best layout."""
        pair = self._overlapping(node)
        open_item = self._open_item(node, range(len(node.lies)) if pair is None else pair)
        if open_item is not None:
            return self._decided(node, open_item)
        if pair is not None:
            return self._parted(node, pair)
        shape = np.array([c[0] for c in node.lies], dtype=np.int64)
        self.offers.offer_centres(shape, np.column_stack([node.x, node.y]))
        # Nothing is left to part, and no proof may pass what this node allows.
        self._ceiling = min(self._ceiling, node.bound)
        return []

    def _overlapping(self, node: _Node) -> Pair | None:
        """Return a pair that overlaps whatever lies it takes, if one does: of large pieces, deep.

        Large pieces leave the least choice to the others, so their places are settled first.
        """
        worst, most = None, 0.0
        for i, j in itertools.combinations(range(len(node.lies)), 2):
            region = node.regions.get((i, j))
            if region is not None and not region.children():
                continue
            dx, dy = float(node.x[j] - node.x[i]), float(node.y[j] - node.y[i])
            depth = min(
                self.certain.depth(s, t, dx, dy)
                for s, t in itertools.product(node.lies[i], node.lies[j])
            )
            weight = depth * float(min(self._area[i], self._area[j])) ** LARGE_FIRST
            if depth > OVERLAPS and weight > most:
                worst, most = (i, j), weight
        return worst

    def _open_item(self, node: _Node, items: Pair | range) -> int | None:
        """Return the largest of some items whose lie is not decided."""
        undecided = [i for i in items if len(node.lies[i]) > 1]
        return max(undecided, key=lambda i: self._area[i], default=None)

    def _decided(self, node: _Node, i: int) -> list[_Node]:
        """Return the nodes in which item i takes one of its lies each."""
        return self._worth_keeping(
            self._node(node.bound, (*node.lies[:i], (s,), *node.lies[i + 1 :]), node.regions)
            for s in node.lies[i]
        )

    def _parted(self, node: _Node, pair: Pair) -> list[_Node]:
        """Return the nodes in which a pair lies in one part of its region each."""
        here = node.regions.get(pair)
        if here is None:
            root = self._tree(node, pair)
            parts: tuple[Region, ...] = () if root is None else (root.children() or (root,))
        else:
            parts = here.children()
        return self._worth_keeping(
            self._node(node.bound, node.lies, {**node.regions, pair: part}) for part in parts
        )

    def _worth_keeping(self, nodes: Iterable[_Node]) -> list[_Node]:
        return [node for node in nodes if node.bound < self._enough()]

    def _node(self, bound: float, lies: tuple[Lies, ...], regions: dict[Pair, Region]) -> _Node:
        self.nodes += 1
        n, unit = len(lies), self._width
        answer = self._solved(lies, regions)
        x, y = np.zeros(n), np.zeros(n)
        if answer is not None:
            bound = max(bound, answer[0] * unit)
            x, y = answer[1][:n] * unit, answer[1][n : 2 * n] * unit
        # Of nodes with the same bound the deepest comes first.
        depth = len(regions) + sum(len(c) == 1 for c in lies)
        return _Node(bound, -1_000_000 * depth + self.nodes, lies, regions, x, y)

    def _tree(self, node: _Node, pair: Pair) -> Region | None:
        """Return the regions of a pair whose lies are decided."""
        s, t = node.lies[pair[0]][0], node.lies[pair[1]][0]
        key = (s, t, pair in self._like)
        if key not in self._trees:
            far = self._longest - self._half[s, 0] - self._half[t, 0] + 4.0
            low = -4.0 if key[2] else -far
            free = shapely.Polygon() if far < low else self.certain.free(s, t, low, far)
            self._trees[key] = region_of(free)
        return self._trees[key]

    # ------------------------------------------------------------------ its linear programme

    def _solved(
        self, lies: tuple[Lies, ...], regions: dict[Pair, Region]
    ) -> tuple[float, FloatArray] | None:
        """Return the least length and an answer: all x, all y, the length and the miss."""
        n, unit = len(lies), self._width
        half = np.array([self._half[list(c)].min(axis=0) for c in lies]) / unit
        longest = 1.001 * self._longest / unit
        low = np.concatenate([half[:, 0], half[:, 1], [0.0, 0.0]])
        high = np.concatenate([np.full(n, longest), 1.0 - half[:, 1], [2.0 * longest] * 2])
        high[2 * n + 1] += 4.0
        low[:n] = np.minimum(low[:n], high[:n])
        if self._lower is not None:
            high[n + self._lower] = max(0.5, low[n + self._lower])
        rows, demand = self._rows(regions, half)
        cost = np.zeros(2 * n + 2)
        cost[2 * n], cost[2 * n + 1] = 1.0, PENALTY
        return least_value(cost, rows, demand, low, high)

    def _rows(
        self, regions: dict[Pair, Region], half: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        n, unit = len(half), self._width
        count = n + len(self._like) + sum(len(region.rows) for region in regions.values())
        rows, demand = np.zeros((count, 2 * n + 2)), np.zeros(count)
        rows[np.arange(n), 2 * n] = 1.0
        rows[np.arange(n), np.arange(n)] = -1.0
        demand[:n] = half[:, 0]
        k = n
        for i, j in sorted(self._like):
            rows[k, i], rows[k, j] = -1.0, 1.0
            k += 1
        for (i, j), region in regions.items():
            m = len(region.rows)
            rows[k : k + m, j], rows[k : k + m, i] = region.rows[:, 0], -region.rows[:, 0]
            rows[k : k + m, n + j] = region.rows[:, 1]
            rows[k : k + m, n + i] = -region.rows[:, 1]
            rows[k : k + m, 2 * n + 1] = 1.0
            demand[k : k + m] = region.rows[:, 2] / unit
            k += m
        return rows, demand


def _like_pairs(choices: tuple[Lies, ...]) -> frozenset[Pair]:
    """Return the pairs of items that may be exchanged: the later one lies no nearer the start."""
    return frozenset(
        (i, j)
        for i, j in itertools.combinations(range(len(choices)), 2)
        if sorted(choices[i]) == sorted(choices[j])
    )


def _without_half_turns(
    certain: CertainOverlap, lies: tuple[Lies, ...]
) -> tuple[tuple[Lies, ...], int | None]:
    """Keep one of each two layouts that are each other turned by 180 degrees, where all are.

    That is so where every item may also lie the other way round. Of an item unlike all others
    one of each two opposite lies is then enough. If its lies are all their own opposites, its
    centre may be sought in the lower half of the strip: its number is returned too.
    """
    opposite = certain.opposites()
    if any(opposite[s] not in c for c in lies for s in c):
        return lies, None
    kinds = [tuple(sorted(c)) for c in lies]
    alone = [i for i in range(len(lies)) if kinds.count(kinds[i]) == 1]
    if not alone:
        return lies, None
    i = max(alone, key=lambda i: certain.scaled.shapes[lies[i][0]].area)
    kept = tuple(s for s in lies[i] if s <= opposite[s])
    own = all(opposite[s] == s for s in lies[i])
    return (*lies[:i], kept, *lies[i + 1 :]), i if own else None
