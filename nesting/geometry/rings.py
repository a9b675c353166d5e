"""Rings and paths: area, orientation, boxes, lengths and rigid motions."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from collections.abc import Iterable

FloatArray: TypeAlias = npt.NDArray[np.float64]
Point: TypeAlias = tuple[float, float]


def as_points(points: Iterable[Iterable[float]] | FloatArray) -> FloatArray:
    """Return points as a read-only float64 array of shape (n, 2).

    Raises
    ------
    ValueError
        If the points are not pairs of finite numbers.
    """
    array = np.array(points if isinstance(points, np.ndarray) else list(points), dtype=np.float64)
    if array.ndim != 2 or array.shape[1] != 2:
        raise ValueError(f"points must have shape (n, 2), not {array.shape}")
    if not np.isfinite(array).all():
        raise ValueError("points must be finite")
    array.setflags(write=False)
    return array


def signed_area(ring: FloatArray) -> float:
    """Return the area of a ring: positive when it runs counter-clockwise (shoelace formula)."""
    # Taken about the first point, so that a small ring far from the origin loses no digits.
    x, y = (ring - ring[0]).T
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))


def counter_clockwise(ring: FloatArray) -> FloatArray:
    """Return the ring running counter-clockwise, reversed if it has to be."""
    return ring if signed_area(ring) >= 0 else ring[::-1]


def bounds(points: FloatArray) -> tuple[float, float, float, float]:
    """Return (least x, least y, greatest x, greatest y)."""
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def path_length(path: FloatArray) -> float:
    """Return the length of an open path, in its own unit."""
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def rotation(degrees: float) -> FloatArray:
    """Return the 2 by 2 matrix that turns column vectors counter-clockwise.

    Quarter turns on top of any angle are exact, so that shapes turned by 90 degrees more are
    the same shapes to the last digit; at multiples of 90 the entries are 0, 1 and -1.
    """
    quarter, rest = divmod(degrees % 360.0, 90.0)
    c, s = math.cos(math.radians(rest)), math.sin(math.radians(rest))
    if rest == 45.0:
        c = s = math.sqrt(0.5)
    for _ in range(int(quarter) % 4):
        c, s = -s, c
    return np.array([[c, -s], [s, c]])


def mirrored_across_x(points: FloatArray) -> FloatArray:
    """Return the points reflected across the x axis; a ring then runs the other way round."""
    mirrored: FloatArray = points * np.array([1.0, -1.0])
    return mirrored


def rotated(points: FloatArray, degrees: float) -> FloatArray:
    """Return the points turned counter-clockwise about the origin."""
    turned: FloatArray = points @ rotation(degrees).T
    return turned
