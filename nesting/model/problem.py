"""The placement problem: pure geometry, whatever the trade asked for."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np

from ..geometry.rings import FloatArray, bounds, signed_area
from ..tolerances import SAME_POINT


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """A polygon already mirrored and turned, to be moved but no further altered.

    ``outer`` is a simple counter-clockwise ring, ``holes`` are clockwise rings inside it. The
    position of a shape is the vector added to every one of its points. ``inner`` is what is left
    of it, in the same coordinates, where what may hide a fault is taken off; None where that is
    the whole shape.
    """

    outer: FloatArray
    holes: tuple[FloatArray, ...] = ()
    inner: Shape | None = None

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
class Lattice:
    """The only positions a shape may take, a constant distance apart along one axis or both.

    For whole numbers i and j they are y = ``y`` + j ``step_y`` and x = ``x`` + i ``step_x`` +
    j ``shear``; a step of 0 leaves that axis free (``shear`` is 0 unless both steps are given).
    A half drop is a shear of half a step. ``phase`` numbers the unknown offset (of
    ``PlacementProblem.phases``) that is added to (``x``, ``y``); None where nothing is unknown.
    """

    x: float = 0.0
    y: float = 0.0
    step_x: float = 0.0
    step_y: float = 0.0
    shear: float = 0.0
    phase: int | None = None

    def __post_init__(self) -> None:
        """Refuse a lattice that is none."""
        if self.step_x < 0 or self.step_y < 0 or (self.step_x == 0 and self.step_y == 0):
            raise ValueError("a lattice needs a positive step along one axis at least")
        if self.shear and not (self.step_x and self.step_y):
            raise ValueError("a sheared lattice needs both steps")


@dataclass(frozen=True, slots=True)
class Domain:
    """Where a shape may lie: a rectangle of positions, and a lattice in it.

    ``x`` and ``y`` are the least and the greatest position along each axis, besides what the
    strip's edges leave; equal ends pin the shape.
    """

    x: tuple[float, float] = (-inf, inf)
    y: tuple[float, float] = (-inf, inf)
    lattice: Lattice | None = None

    def __post_init__(self) -> None:
        """Refuse an empty rectangle."""
        if not (self.x[0] <= self.x[1] and self.y[0] <= self.y[1]):
            raise ValueError("a domain's ends are the wrong way round")


@dataclass(frozen=True, slots=True)
class Phase:
    """An unknown offset that the lattices of several items share; free along x, y or both."""

    x: bool = True
    y: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Obstacle:
    """A fixed place of the strip that items must not cover.

    Its ``shape`` stands where it is. It binds every item but those in ``spares`` (indices of
    items); where ``inner`` is true only the inner shapes of items have to keep clear of it.
    """

    shape: Shape
    spares: frozenset[int] = frozenset()
    inner: bool = False


@dataclass(frozen=True, slots=True)
class Item:
    """One thing to place: it takes exactly one of ``shapes`` (indices into the problem).

    ``domains`` says for each entry of ``shapes`` where it may lie, None anywhere; empty where
    all are free. A shape may be listed several times, with different domains.
    """

    name: str
    shapes: tuple[int, ...]
    domains: tuple[Domain | None, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class PlacementProblem:
    """Place every item on a strip of fixed width so that its length is least.

    The strip is 0 <= y <= ``width`` and 0 <= x; shapes may touch each other, the edges and the
    ``obstacles`` but not overlap; every shape lies in its domain; the length is the greatest x
    of any placed shape. ``phases`` are the unknown offsets of lattices, to be chosen with the
    positions.

    Raises
    ------
    ValueError
        If an item names no shape or one that is not there, has a domain too many or too few, or
        names a phase or spares an item that is not there.
    """

    shapes: tuple[Shape, ...]
    items: tuple[Item, ...]
    width: float
    obstacles: tuple[Obstacle, ...] = ()
    phases: tuple[Phase, ...] = ()

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
            if item.domains and len(item.domains) != len(item.shapes):
                raise ValueError(f"{item.name}: it needs one domain per shape, or none")
            for domain in item.domains:
                phase = None if domain is None or domain.lattice is None else domain.lattice.phase
                if phase is not None and not 0 <= phase < len(self.phases):
                    raise ValueError(f"{item.name}: there is no such phase")
        for obstacle in self.obstacles:
            if not all(0 <= spared < len(self.items) for spared in obstacle.spares):
                raise ValueError("an obstacle spares an item that is not there")

    def holds_across(self, breadth: float) -> bool:
        """Tell whether so broad a shape fits the width: what fits exactly may miss by rounding."""
        return breadth <= self.width * (1.0 + 1e-9) + SAME_POINT

    @property
    def is_free(self) -> bool:
        """True where items may lie anywhere on an empty strip."""
        return not self.obstacles and not any(any(item.domains) for item in self.items)

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
