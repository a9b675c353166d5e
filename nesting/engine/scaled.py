"""The placement problem on exact integers: what the kernels work on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from ..errors import NoLayoutError
from ..geometry.convex import IntArray, convex_parts, without_straight_points
from ..geometry.rings import FloatArray
from ..model.problem import PlacementProblem, Position, Shape
from .grounds import Ground, ground_in

BITS = 28
"""Shapes span at most 2**28 units, so that cross products of sums stay below 2**63."""

TOUCH = 8.0
"""Depth in units below which two shapes touch: rounding moves a corner by one unit at most."""

SLACK = 32.0
"""Units added to the width, so that many rounded shapes side by side still fill it exactly."""


@dataclass(frozen=True, eq=False)
class ScaledShape:
    """A shape on integers, its bounding box centred on the origin.

    ``half`` is half the box's width and height. The inner shape of another is centred where that
    one is, and the mark of a phase has no rings at all.
    """

    rings: tuple[IntArray, ...]
    half: tuple[int, int]
    area: float

    @cached_property
    def parts(self) -> tuple[IntArray, ...]:
        """Convex rings that tile the shape, worked out when first asked for.

        Raises
        ------
        ValueError
            If the shape is not simple.
        """
        return tuple(convex_parts(self.rings[0], self.rings[1:])) if self.rings else ()


class Kind(NamedTuple):
    """What tells one distinct shape from another.

    ``polygon`` is the number of its polygon, ``inner`` that of what keeps clear of obstacles that
    bind inner shapes only; ``ground`` where it may lie; ``bound`` the obstacles that bind it.
    """

    polygon: int
    inner: int
    ground: Ground
    bound: frozenset[int]


@dataclass(frozen=True, slots=True, eq=False)
class ScaledProblem:
    """A placement problem with distinct integer shapes.

    A layout in units has three sorts of entries: the items, then the obstacles, then one mark for
    each phase, whose place is the offset of the lattices that share it. Obstacles never move, and
    nothing overlaps a mark.

    Attributes
    ----------
    scale
        Units that make one unit of the problem.
    width
        The strip's in units, with some slack.
    polygons
        All different polygons; those of the problem's shapes come first, in their order.
    kinds
        What each distinct shape is, of items only; those of obstacles and the marks of phases
        follow them in ``shapes``.
    shapes
        The distinct shapes. Of two with one polygon each may lie where the other may not. On an
        empty strip without domains they are the polygons.
    choices, lies, origin
        ``choices[i]`` lists the distinct shapes item i may take, ``lies[i]`` those its own list
        of shapes became, -1 where there is no place for one; ``origin[i][s]`` is the problem's
        shape that a choice stands for.
    placed
        For each of the problem's shapes its polygon and its centre.
    fixed
        The place of each obstacle.
    """

    problem: PlacementProblem
    scale: float
    width: float
    polygons: tuple[ScaledShape, ...]
    kinds: tuple[Kind, ...]
    shapes: tuple[ScaledShape, ...]
    obstacles: tuple[int, ...]
    choices: tuple[tuple[int, ...], ...]
    lies: tuple[tuple[int, ...], ...]
    origin: tuple[dict[int, int], ...]
    placed: tuple[tuple[int, tuple[float, float]], ...]
    fixed: tuple[tuple[float, float], ...]

    @property
    def count(self) -> int:
        """Number of items: entries of a layout from here on are obstacles and marks."""
        return len(self.choices)

    @property
    def first_mark(self) -> int:
        """Entry of the mark of the first phase."""
        return len(self.choices) + len(self.fixed)

    def entries(
        self, shape: Sequence[int] | IntArray, xy: FloatArray, offsets: FloatArray | None = None
    ) -> tuple[IntArray, FloatArray, FloatArray]:
        """Return items' shapes and centres (n, 2) with the entries of obstacles and marks added.

        ``offsets`` are those of the phases, shape (phases, 2); zero by default.
        """
        phases = len(self.problem.phases)
        marks = range(len(self.shapes) - phases, len(self.shapes))
        own = [len(self.kinds) + k for k in range(len(self.fixed))]
        moved = np.zeros((phases, 2)) if offsets is None else offsets
        at = np.concatenate([xy, np.array(self.fixed).reshape(-1, 2), moved])
        every = np.array([*shape, *own, *marks], dtype=np.int64)
        return every, at[:, 0].copy(), at[:, 1].copy()

    def positions(self, shape: IntArray, x: FloatArray, y: FloatArray) -> tuple[Position, ...]:
        """Return centre positions in units as positions of the problem's own shapes."""
        found = []
        for i, s in enumerate(shape[: self.count]):
            index = self.origin[i][int(s)]
            cx, cy = self.placed[index][1]
            found.append(
                Position(index, (float(x[i]) - cx) / self.scale, (float(y[i]) - cy) / self.scale)
            )
        return tuple(found)

    def centres(self, layout: tuple[Position, ...]) -> tuple[IntArray, FloatArray, FloatArray]:
        """Return positions of the problem's shapes as the entries of a layout in units.

        Raises
        ------
        ValueError
            If an item may not take its shape or may not lie there.
        """
        shape, xy = np.empty(len(layout), dtype=np.int64), np.empty((len(layout), 2))
        offsets = np.full((len(self.problem.phases), 2), np.nan)
        for i, (item, position) in enumerate(zip(self.problem.items, layout, strict=True)):
            if position.shape not in item.shapes:
                raise ValueError(f"{item.name}: may not take that shape")
            centre = self.placed[position.shape][1]
            xy[i] = np.array([position.x, position.y]) * self.scale + centre
            lies = [
                s for k, s in zip(item.shapes, self.lies[i], strict=True) if k == position.shape
            ]
            shape[i] = next((s for s in lies if s >= 0 and self._within(s, xy[i])), -1)
            if shape[i] < 0:
                raise ValueError(f"{item.name}: may not lie there")
            ground = self.kinds[shape[i]].ground
            if ground.phase >= 0 and np.isnan(offsets[ground.phase, 0]):
                free = self.problem.phases[ground.phase]
                offsets[ground.phase] = (xy[i] - ground.lattice[:2]) * (free.x, free.y)
        return self.entries(shape, xy, np.nan_to_num(offsets))

    def _within(self, s: int, at: FloatArray) -> bool:
        """Tell whether a place is within a shape's limits, whatever its lattice."""
        low_x, high_x, low_y, high_y = self.kinds[s].ground.limits
        slack = SLACK + 1e-6 * self.width
        x, y = float(at[0]), float(at[1])
        return low_x - slack <= x <= high_x + slack and low_y - slack <= y <= high_y + slack


def like_items(scaled: ScaledProblem) -> IntArray:
    """Return a number for each item, the same for those that may take the same shapes."""
    numbers: dict[tuple[int, ...], int] = {}
    return np.array([numbers.setdefault(c, len(numbers)) for c in scaled.choices], dtype=np.int64)


def scale_problem(problem: PlacementProblem) -> ScaledProblem:
    """Round the shapes once onto integers and find those that are the same.

    Coordinates are scaled by a power of two, so that dimensions with few binary digits stay
    exact; every corner moves by at most half a unit.

    Raises
    ------
    NoLayoutError
        If an item has no place in any of its shapes.
    """
    scale, polygons = _scale(problem), _Polygons()
    placed = tuple(polygons.add(shape, scale) for shape in problem.shapes)
    obstacles = tuple(polygons.add(obstacle.shape, scale) for obstacle in problem.obstacles)
    number: dict[Kind, int] = {}
    lies = tuple(
        _lies(problem, i, scale, polygons, placed, number) for i in range(len(problem.items))
    )
    choices = tuple(tuple(dict.fromkeys(s for s in own if s >= 0)) for own in lies)
    for item, choice in zip(problem.items, choices, strict=True):
        if not choice:
            raise NoLayoutError(
                "it has no place on the strip in any way it may lie", item=item.name
            )
    shapes = [polygons.shapes[kind.polygon] for kind in number]
    shapes += [polygons.shapes[polygon] for polygon, _centre in obstacles]
    shapes += [ScaledShape((), (0, 0), 0.0) for _ in problem.phases]
    return ScaledProblem(
        problem,
        scale,
        problem.width * scale + SLACK,
        tuple(polygons.shapes),
        tuple(number),
        tuple(shapes),
        tuple(polygon for polygon, _centre in obstacles),
        choices,
        lies,
        tuple(
            {s: k for k, s in reversed(list(zip(item.shapes, own, strict=True))) if s >= 0}
            for item, own in zip(problem.items, lies, strict=True)
        ),
        placed,
        tuple(centre for _polygon, centre in obstacles),
    )


def _scale(problem: PlacementProblem) -> float:
    boxes = [shape.box for shape in problem.shapes]
    boxes += [obstacle.shape.box for obstacle in problem.obstacles]
    largest = max(max(box[2] - box[0], box[3] - box[1]) for box in boxes)
    return float(2.0 ** (BITS - math.ceil(math.log2(max(largest, problem.width)))))


class _Polygons:
    """Distinct polygons on integers, numbered as they come."""

    def __init__(self) -> None:
        self.shapes: list[ScaledShape] = []
        self._number: dict[bytes, int] = {}

    def add(
        self, shape: Shape, scale: float, centre: tuple[float, float] | None = None
    ) -> tuple[int, tuple[float, float]]:
        """Return the number of a shape's polygon and its centre, its own unless one is given."""
        rings, middle = _rounded(shape, 0.5 * scale, centre)
        outer, *holes = (_canonical(ring).tobytes() for ring in rings)
        key = b"|".join([outer, *sorted(holes)])  # in whatever order the holes were drawn
        if key not in self._number:
            self._number[key] = len(self.shapes)
            self.shapes.append(_scaled_shape(rings, shape.area * scale * scale))
        return self._number[key], middle


def _lies(
    problem: PlacementProblem,
    i: int,
    scale: float,
    polygons: _Polygons,
    placed: Sequence[tuple[int, tuple[float, float]]],
    number: dict[Kind, int],
) -> tuple[int, ...]:
    """Return the distinct shapes item i's own become, numbering new ones; -1 for no place."""
    item = problem.items[i]
    bound = frozenset(k for k, o in enumerate(problem.obstacles) if i not in o.spares)
    inner_counts = any(problem.obstacles[k].inner for k in bound)
    found = []
    for s, domain in zip(item.shapes, item.domains or [None] * len(item.shapes), strict=True):
        polygon, centre = placed[s]
        inner, within = polygon, problem.shapes[s].inner
        if inner_counts and within is not None:
            inner, _ = polygons.add(within, scale, centre)
        half = polygons.shapes[polygon].half
        ground = ground_in(half, domain, centre, scale, problem.width * scale + SLACK)
        if ground is None:
            found.append(-1)
        else:
            kind = Kind(polygon, inner, ground, bound)
            found.append(number.setdefault(kind, len(number)))
    return tuple(found)


def _rounded(
    shape: Shape, scale: float, centre: tuple[float, float] | None = None
) -> tuple[tuple[IntArray, ...], tuple[float, float]]:
    """Return rings on even integers about a centre, by default their box's, an integer too."""
    rings = [2 * np.rint(ring * scale).astype(np.int64) for ring in (shape.outer, *shape.holes)]
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    middle = (low + high) // 2 if centre is None else np.array(centre).astype(np.int64)
    tidy = [without_straight_points(ring - middle) for ring in rings]
    if (tidy[0].max(axis=0) != high - middle).any() or (tidy[0].min(axis=0) != low - middle).any():
        raise ValueError("a shape has a spike of no width: it is not a simple ring")
    return tuple(ring for ring in tidy if len(ring) >= 3), (float(middle[0]), float(middle[1]))


def _canonical(ring: IntArray) -> IntArray:
    """Return the ring starting at its least corner, so that equal rings have equal arrays."""
    return np.roll(ring, -int(np.lexsort((ring[:, 1], ring[:, 0]))[0]), axis=0)


def images(shapes: Sequence[ScaledShape], turns: Sequence[tuple[int, int]]) -> list[list[int]]:
    """Return for each turn the index of every shape's image, or -1 where it is none of them.

    A turn is the signs by which x and y are multiplied: half a turn or a reflection.
    """
    keys = {_key(shape.rings, (1, 1)): index for index, shape in enumerate(shapes)}
    return [[keys.get(_key(shape.rings, turn), -1) for shape in shapes] for turn in turns]


def _key(rings: tuple[IntArray, ...], turn: tuple[int, int]) -> bytes:
    """Return what is the same for two shapes just where they are the same."""
    turned = [ring * turn for ring in rings]
    if turn[0] != turn[1]:
        turned = [ring[::-1] for ring in turned]  # a reflected ring runs the other way round
    first, *holes = (_canonical(ring).tobytes() for ring in turned)
    return b"|".join([first, *sorted(holes)])


def _scaled_shape(rings: tuple[IntArray, ...], area: float) -> ScaledShape:
    half = rings[0].max(axis=0)
    return ScaledShape(rings, (int(half[0]), int(half[1])), area)
