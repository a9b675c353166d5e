"""Places open to a shape: within its limits and, where it has one, on its lattice."""

from __future__ import annotations

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .grounds import EDGE
from .tables import PairTables

GROUND = 11
"""Figures of a ground, as ``find_ground`` writes them."""

LINES = 9
"""Lines of a sheared lattice tried for one that has a place within the limits."""


@kernel
def find_ground(
    tables: PairTables, x: FloatArray, y: FloatArray, s: int, length: float, ground: FloatArray
) -> bool:
    """Write where shape s may lie in a strip of some length; tell whether there is any place.

    ``x`` and ``y`` are those of all entries of the layout, of which the marks of phases count.
    ``ground`` holds the least x, greatest x, least y and greatest y of the centre; then, as they
    are now, a point of the lattice, its steps, 0 where an axis is free, and its shear; then some
    place of it.
    """
    # Figure by figure: this is asked often, and views of arrays cost more than they hold.
    for k in range(9):
        ground[k] = tables.ground[s, k]
    ground[1] = min(ground[1], length - tables.half[s, 0])
    if not is_stepped(ground):
        return bool(ground[0] <= ground[1] and ground[2] <= ground[3])
    mark = int(tables.ground[s, 9])
    if mark >= 0:
        ground[4] += x[mark]
        ground[5] += y[mark]
    ground[9], ground[10] = _on_lattice(ground, ground[0], ground[2])
    return not np.isnan(ground[9])


@kernel
def is_stepped(ground: FloatArray) -> bool:
    """Tell whether a ground is a lattice along one axis at least."""
    return bool(ground[6] > 0.0 or ground[7] > 0.0)


@kernel
def place_near(ground: FloatArray, x: float, y: float) -> tuple[float, float]:
    """Return the place of a ground nearest to (x, y).

    On a sheared lattice another near one; where none is near, some place.
    """
    x = min(ground[1], max(ground[0], x))
    y = min(ground[3], max(ground[2], y))
    if not is_stepped(ground):
        return x, y
    at = _on_lattice(ground, x, y)
    return (ground[9], ground[10]) if np.isnan(at[0]) else at


@kernel
def _on_lattice(ground: FloatArray, x: float, y: float) -> tuple[float, float]:
    """Return a lattice place near (x, y), by exact multiples of the steps; NaN without one."""
    if ground[0] > ground[1] + 2.0 * EDGE or ground[2] > ground[3] + 2.0 * EDGE:
        return np.nan, np.nan
    step_x, step_y, shear = ground[6], ground[7], ground[8]
    nearest = 0.0
    if step_y > 0.0:
        nearest = np.rint((y - ground[5]) / step_y)
    for k in range(LINES):
        # The nearest line first, then those on either side of it.
        line = nearest + ((k + 1) // 2) * (1.0 if k % 2 == 1 else -1.0)
        ny = y
        if step_y > 0.0:
            ny = ground[5] + line * step_y
            if ny < ground[2] - EDGE or ny > ground[3] + EDGE:
                continue
        if step_x == 0.0:
            return x, ny
        at = ground[4] + line * shear
        first = np.ceil((ground[0] - EDGE - at) / step_x)
        last = np.floor((ground[1] + EDGE - at) / step_x)
        if first <= last:
            return at + step_x * min(last, max(first, np.rint((x - at) / step_x))), ny
        if step_y == 0.0:
            break
    return np.nan, np.nan


@kernel
def settle(
    tables: PairTables, count: int, shape: IntArray, x: FloatArray, y: FloatArray, length: float
) -> None:
    """Move each of the first ``count`` entries to the nearest place open to it.

    One that has none in this length comes as near the start as it may.
    """
    ground = np.empty(GROUND)
    for i in range(count):
        s = shape[i]
        if not find_ground(tables, x, y, s, length, ground) and not find_ground(
            tables, x, y, s, np.inf, ground
        ):
            continue
        x[i], y[i] = place_near(ground, x[i], y[i])
