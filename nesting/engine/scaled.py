"""The placement problem on exact integers: what the kernels work on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometry.convex import IntArray, convex_parts, without_straight_points
from ..geometry.rings import FloatArray
from ..model.problem import PlacementProblem, Position, Shape

BITS = 28
"""Shapes span at most 2**28 units, so that cross products of sums stay below 2**63."""

TOUCH = 8.0
"""Depth in units below which two shapes touch: rounding moves a corner by one unit at most."""

SLACK = 32.0
"""Units added to the width, so that many rounded shapes side by side still fill it exactly."""


@dataclass(frozen=True, eq=False)
class ScaledShape:
    """A shape on integers, its bounding box centred on the origin.

    ``half`` is half the box's width and height.
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
        return tuple(convex_parts(self.rings[0], self.rings[1:]))


@dataclass(frozen=True, slots=True, eq=False)
class ScaledProblem:
    """A placement problem with distinct integer shapes.

    ``scale`` units make one unit of the problem. ``placed`` gives for each of the problem's
    shapes the distinct shape it became and its centre. ``choices[i]`` lists the distinct shapes
    item i may take; ``origin[i][s]`` is the problem's shape that choice stands for.
    """

    problem: PlacementProblem
    scale: float
    width: float
    shapes: tuple[ScaledShape, ...]
    choices: tuple[tuple[int, ...], ...]
    origin: tuple[dict[int, int], ...]
    placed: tuple[tuple[int, tuple[float, float]], ...]

    def positions(self, shape: IntArray, x: FloatArray, y: FloatArray) -> tuple[Position, ...]:
        """Return centre positions in units as positions of the problem's own shapes."""
        found = []
        for i, s in enumerate(shape):
            index = self.origin[i][int(s)]
            cx, cy = self.placed[index][1]
            found.append(
                Position(index, (float(x[i]) - cx) / self.scale, (float(y[i]) - cy) / self.scale)
            )
        return tuple(found)

    def centres(self, layout: tuple[Position, ...]) -> tuple[IntArray, FloatArray, FloatArray]:
        """Return positions of the problem's shapes as centre positions in units."""
        shape = np.empty(len(layout), dtype=np.int64)
        xy = np.empty((len(layout), 2))
        for i, position in enumerate(layout):
            if position.shape not in self.problem.items[i].shapes:
                raise ValueError(f"{self.problem.items[i].name}: may not take that shape")
            shape[i], centre = self.placed[position.shape]
            xy[i] = np.array([position.x, position.y]) * self.scale + centre
        return shape, xy[:, 0].copy(), xy[:, 1].copy()


def scale_problem(problem: PlacementProblem) -> ScaledProblem:
    """Round the shapes once onto integers and find those that are the same.

    Coordinates are scaled by a power of two, so that dimensions with few binary digits stay
    exact; every corner moves by at most half a unit.
    """
    largest = max(max(box[2] - box[0], box[3] - box[1]) for box in (s.box for s in problem.shapes))
    exponent = BITS - 1 - math.ceil(math.log2(max(largest, problem.width)))
    scale = 2.0 ** (exponent + 1)
    shapes: list[ScaledShape] = []
    index_of: dict[bytes, int] = {}
    placed: list[tuple[int, tuple[float, float]]] = []
    for shape in problem.shapes:
        rings, centre = _rounded(shape, 2.0**exponent)
        key = b"|".join(_canonical(ring).tobytes() for ring in rings)
        if key not in index_of:
            index_of[key] = len(shapes)
            shapes.append(_scaled_shape(rings, shape.area * scale * scale))
        placed.append((index_of[key], centre))
    choices, origin = [], []
    for item in problem.items:
        choices.append(tuple(dict.fromkeys(placed[s][0] for s in item.shapes)))
        origin.append({placed[s][0]: s for s in reversed(item.shapes)})
    return ScaledProblem(
        problem,
        scale,
        problem.width * scale + SLACK,
        tuple(shapes),
        tuple(choices),
        tuple(origin),
        tuple(placed),
    )


def _rounded(shape: Shape, scale: float) -> tuple[tuple[IntArray, ...], tuple[float, float]]:
    """Return rings on even integers about their box's centre, which is then an integer too."""
    rings = [2 * np.rint(ring * scale).astype(np.int64) for ring in (shape.outer, *shape.holes)]
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    centre = (low + high) // 2
    tidy = [without_straight_points(ring - centre) for ring in rings]
    if (tidy[0].max(axis=0) != high - centre).any() or (tidy[0].min(axis=0) != low - centre).any():
        raise ValueError("a shape has a spike of no width: it is not a simple ring")
    return tuple(ring for ring in tidy if len(ring) >= 3), (float(centre[0]), float(centre[1]))


def _canonical(ring: IntArray) -> IntArray:
    """Return the ring starting at its least corner, so that equal rings have equal arrays."""
    return np.roll(ring, -int(np.lexsort((ring[:, 1], ring[:, 0]))[0]), axis=0)


def _scaled_shape(rings: tuple[IntArray, ...], area: float) -> ScaledShape:
    half = rings[0].max(axis=0)
    return ScaledShape(rings, (int(half[0]), int(half[1])), area)
