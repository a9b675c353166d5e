"""The placement problem: pure geometry, whatever the trade asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry.rings import FloatArray, bounds, signed_area


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A polygon already mirrored and turned, to be moved but no further altered.

    ``outer`` is a simple counter-clockwise ring, ``holes`` are clockwise rings inside it. The
    position of a shape is the vector added to every one of its points.
    """

    outer: FloatArray
    holes: tuple[FloatArray, ...] = ()

    def __post_init__(self) -> None:
        """Refuse rings the engine could not reason about."""
        for ring in (self.outer, *self.holes):
            if ring.ndim != 2 or ring.shape[1] != 2 or len(ring) < 3:
                raise ValueError("a ring needs at least three points, shape (n, 2)")
            if not np.isfinite(ring).all():
                raise ValueError("a ring has a point that is not finite")
        if signed_area(self.outer) <= 0:
            raise ValueError("the outer ring must run counter-clockwise and have area")
        if any(signed_area(hole) >= 0 for hole in self.holes):
            raise ValueError("holes must run clockwise and have area")

    @property
    def area(self) -> float:
        """Area of the shape less its holes."""
        return signed_area(self.outer) + sum(signed_area(hole) for hole in self.holes)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y."""
        return bounds(self.outer)


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to place: it takes exactly one of ``shapes`` (indices into the problem)."""

    name: str
    shapes: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class PlacementProblem:
    """Place every item on a strip of fixed width so that its length is least.

    The strip is 0 <= y <= ``width`` and 0 <= x; shapes may touch each other and the edges but
    not overlap; the length is the greatest x of any placed shape.

    Raises
    ------
    ValueError
        If an item names no shape or one that is not there, or can lie nowhere in the width.
    """

    shapes: tuple[Shape, ...]
    items: tuple[Item, ...]
    width: float

    def __post_init__(self) -> None:
        """Check that every item can lie on the strip at all."""
        if not self.items:
            raise ValueError("there is nothing to place")
        if not (np.isfinite(self.width) and self.width > 0):
            raise ValueError("the strip's width must be positive")
        for item in self.items:
            if not item.shapes:
                raise ValueError(f"{item.name}: an item needs at least one shape")
            if min(item.shapes) < 0 or max(item.shapes) >= len(self.shapes):
                raise ValueError(f"{item.name}: there is no such shape")

    @property
    def area(self) -> float:
        """Least total area of the items."""
        return sum(min(self.shapes[s].area for s in item.shapes) for item in self.items)


@dataclass(frozen=True, slots=True)
class Position:
    """Where one item lies: the shape it takes (index into the problem) and its translation."""

    shape: int
    x: float
    y: float
