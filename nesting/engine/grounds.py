"""Where a shape may lie, on the engine's units: the strip's edges, its domain, its lattice."""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from ..model.problem import Domain

EDGE = 4.0
"""Units by which a place that is given, pinned or on a lattice, may miss the strip or its domain:
two roundings of a shape."""


class Ground(NamedTuple):
    """The places open to the centre of a shape, on a strip without end, in units.

    First the least and greatest x and y; then a point of the lattice, its steps along and across
    (0 where an axis is free) and its shear; then the number of the phase that moves the lattice,
    -1 for none.
    """

    low_x: float
    high_x: float
    low_y: float
    high_y: float
    lattice_x: float = 0.0
    lattice_y: float = 0.0
    step_x: float = 0.0
    step_y: float = 0.0
    shear: float = 0.0
    phase: int = -1

    @property
    def limits(self) -> tuple[float, float, float, float]:
        """Least x, greatest x, least y, greatest y."""
        return self[:4]

    @property
    def lattice(self) -> tuple[float, float, float, float, float]:
        """Point, steps and shear."""
        return self[4:9]


def ground_in(
    half: tuple[float, float],
    domain: Domain | None,
    centre: tuple[float, float],
    scale: float,
    width: float,
) -> Ground | None:
    """Return the ground of a shape in a strip; None where it has none.

    ``half`` is half the shape's box and ``centre`` its centre at position (0, 0); these and
    ``width`` are in units.
    """
    strip_y = (half[1], width - half[1])
    if domain is None:
        return Ground(half[0], inf, *strip_y) if strip_y[0] <= strip_y[1] else None
    x = _common((half[0], inf), domain.x, centre[0], scale)
    y = _common(strip_y, domain.y, centre[1], scale)
    if x is None or y is None:
        return None
    lattice = domain.lattice
    if lattice is None:
        return Ground(*x, *y)
    return Ground(
        *x, *y, lattice.x * scale + centre[0], lattice.y * scale + centre[1],
        lattice.step_x * scale, lattice.step_y * scale, lattice.shear * scale,
        -1 if lattice.phase is None else lattice.phase,
    )  # fmt: skip


def _common(
    strip: tuple[float, float], domain: tuple[float, float], centre: float, scale: float
) -> tuple[float, float] | None:
    """Return what strip and domain have in common, a few units of rounding forgiven."""
    ends = domain[0] * scale + centre, domain[1] * scale + centre
    low, high = max(strip[0], ends[0]), min(strip[1], ends[1])
    if low > high + 2.0 * EDGE:
        return None
    if low > high:
        low = high = min(max(low, ends[0]), ends[1])
    return low, high
