"""Cross-sections of a polygon: how much of a line lies inside it, and of what is left of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from .rings import FloatArray


def section_length(rings: Sequence[FloatArray], at: FloatArray) -> FloatArray:
    """Return how much of each line x = ``at`` lies inside a polygon.

    Parameters
    ----------
    rings
        A counter-clockwise outer ring and clockwise holes.
    at
        Shape (n,); none of them should be the x of a corner, where sections may jump.

    Returns
    -------
    FloatArray
        Shape (n,), in the rings' unit.
    """
    total = np.zeros(len(at))
    for ring in rings:
        start, end = ring, np.roll(ring, -1, axis=0)
        crossed = (start[:, None, 0] < at) != (end[:, None, 0] < at)
        run = np.where(end[:, 0] == start[:, 0], 1.0, end[:, 0] - start[:, 0])[:, None]
        share = (at - start[:, None, 0]) / run
        y = start[:, None, 1] + share * (end[:, None, 1] - start[:, None, 1])
        # Running to the right an edge has the polygon above it, running to the left below.
        total -= np.where(crossed, np.sign(run) * y, 0.0).sum(axis=0)
    return total


def least_section(rings: Sequence[FloatArray], low: float, high: float) -> float:
    """Return the shortest cross-section x = t of a polygon for low <= t <= high.

    Between two corners a section's length changes evenly, so it is shortest beside a corner or at
    an end of the range; at a jump the shorter side counts.
    """
    corners = np.concatenate([ring[:, 0] for ring in rings])
    inner = corners[(corners > low) & (corners < high)]
    cuts = np.unique(np.concatenate([[low, high], inner]))
    if len(cuts) < 2:
        return max(0.0, float(section_length(rings, np.array([low]))[0]))
    first, last = cuts[:-1], cuts[1:]
    one = section_length(rings, first + (last - first) / 3)
    two = section_length(rings, first + 2 * (last - first) / 3)
    return max(0.0, float(min((2 * one - two).min(), (2 * two - one).min())))


def area_left_of(rings: Sequence[npt.NDArray[Any]], at: FloatArray) -> FloatArray:
    """Return how much of a shape's area lies left of each of some vertical lines.

    ``rings`` are its outline and its holes, whichever way each runs. The area of a ring cut off
    at c is the integral of min(x, c) dy along it, since what lies beyond folds up onto the line.
    """
    total = np.zeros(len(at))
    for k, ring in enumerate(rings):
        points = np.asarray(ring, dtype=np.float64)
        x0, y0 = points.T[:, :, None]
        x1, y1 = np.roll(points, -1, axis=0).T[:, :, None]
        low, high = np.minimum(x0, x1), np.maximum(x0, x1)
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.where(high > low, np.clip((at - low) / (high - low), 0.0, 1.0), at >= low)
        mean = share * 0.5 * (low + np.minimum(high, at)) + (1.0 - share) * at
        area = np.abs((mean * (y1 - y0)).sum(axis=0))
        total += area if k == 0 else -area
    return total
