"""Cut pieces against each other: overlap and distance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry


def overlap_depth(shared: BaseGeometry) -> float:
    """Return the width of the widest circle inside a shared region, 0 when it has no area."""
    low, high = 0.0, float(np.sqrt(shared.area / np.pi))
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (low, middle) if shared.buffer(-middle).is_empty else (middle, high)
    return 2.0 * high


def overlaps(shapes: Sequence[Polygon], tolerance: float) -> Iterator[tuple[int, int, float]]:
    """Yield (first, second, depth) for every pair that overlaps by more than ``tolerance``.

    Depth, not area: two shapes overlap too much when a circle of diameter ``tolerance`` finds
    room in what they share. Holes of a shape are free for others.
    """
    for first, second in _pairs(shapes, 0.0):
        shared = shapes[first].intersection(shapes[second])
        if not shared.buffer(-tolerance / 2).is_empty:
            yield first, second, overlap_depth(shared)


def too_near(shapes: Sequence[Polygon], gap: float) -> Iterator[tuple[int, int, float]]:
    """Yield (first, second, distance) for every pair nearer than ``gap``."""
    for first, second in _pairs(shapes, gap):
        distance = float(shapes[first].distance(shapes[second]))
        if distance < gap:
            yield first, second, distance


def _pairs(shapes: Sequence[Polygon], reach: float) -> Iterator[tuple[int, int]]:
    """Yield the pairs whose boxes come within ``reach`` of each other, in order."""
    if not shapes:
        return
    grown = shapely.bounds(np.asarray(shapes)) + np.array([-reach, -reach, reach, reach])
    boxes = shapely.box(*grown.T)
    first, second = STRtree(boxes).query(boxes)
    for i, j in sorted(zip(first.tolist(), second.tolist(), strict=True)):
        if i < j:
            yield i, j
