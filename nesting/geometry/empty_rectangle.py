"""The largest axis-parallel rectangle of a strip that no polygon enters.

The strip is cut into bands along its length. What polygons cover of a band is known exactly as
intervals along it, so that a run of bands is free just between the intervals of all its bands;
the largest rectangle over all runs of bands is then found exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from .compiled import kernel
from .convex import IntArray
from .rings import FloatArray

Rectangle: TypeAlias = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""

BANDS = 256
"""Equal bands across the strip."""

LEVELS = 512
"""Most levels, at which rings turn back or run along the strip, that part bands as well."""

_FINER = 32
"""Lines laid through each of the two bands at a rectangle's edges to widen it further."""


def largest_empty_rectangle(rings: Sequence[FloatArray], width: float, length: float) -> Rectangle:
    """Return the largest rectangle of a strip that the polygons leave free.

    Parameters
    ----------
    rings
        Outer rings counter-clockwise, holes clockwise, shape (n, 2); in any order, since only
        what has a positive winding number is covered. They may stand out of the strip. Holes
        are free.
    width, length
        The strip is ``0 <= x <= length``, ``0 <= y <= width``.

    Returns
    -------
    tuple
        (x0, y0, x1, y1) within the strip; polygons touch it at most, up to float rounding. With
        no room at all its area is 0. It is at least as large as any empty rectangle becomes by
        losing ``width / BANDS`` at each of its two sides along the strip. Where all edges are
        parallel to the axes, at ``LEVELS`` levels or fewer, it is the largest there is.
    """
    edges = _edges(rings)
    cuts = np.unique(np.concatenate([np.linspace(0.0, width, BANDS + 1), _levels(rings, edges)]))
    cuts = cuts[(cuts >= 0.0) & (cuts <= width)]
    best = _over_runs(edges, cuts, length)
    if best[3] <= best[1]:
        return 0.0, 0.0, 0.0, 0.0
    step = width / BANDS
    finer = np.linspace(-step, step, 2 * _FINER + 1)
    near = np.concatenate([best[1] + finer, best[3] + finer, [best[1], best[3]]])
    closer = _over_runs(edges, np.unique(near[(near >= 0.0) & (near <= width)]), length)
    return max(best, closer, key=_area)


def _area(rectangle: Rectangle) -> float:
    return (rectangle[2] - rectangle[0]) * (rectangle[3] - rectangle[1])


def _edges(rings: Sequence[FloatArray]) -> FloatArray:
    """Return all edges as rows (x, y, next x, next y)."""
    rows = [np.hstack([ring, np.roll(ring, -1, axis=0)]) for ring in rings]
    return np.concatenate(rows) if rows else np.empty((0, 4))


def _levels(rings: Sequence[FloatArray], edges: FloatArray) -> FloatArray:
    """Return the y at which rings run along the strip or turn back; only their ends if many."""
    turns = [edges[edges[:, 1] == edges[:, 3], 1]]
    for ring in rings:
        y = ring[:, 1]
        turns.append(y[(np.roll(y, 1) - y) * (np.roll(y, -1) - y) > 0.0])
    ends = [y for ring in rings for y in (ring[:, 1].min(), ring[:, 1].max())]
    for levels in (np.unique(np.concatenate(turns)), np.unique(ends)):
        if len(levels) <= LEVELS:
            return levels
    return np.empty(0)


def _over_runs(edges: FloatArray, cuts: FloatArray, length: float) -> Rectangle:
    """Return the largest free rectangle that fills whole bands between ``cuts`` (rising)."""
    band, low, high = _shadows(edges, cuts)
    order = np.lexsort((low, band))
    first = np.searchsorted(band[order], np.arange(len(cuts)))
    x0, y0, x1, y1 = _largest_gap(cuts, first.astype(np.int64), low[order], high[order], length)
    return float(x0), float(y0), float(x1), float(y1)


def _shadows(edges: FloatArray, cuts: FloatArray) -> tuple[IntArray, FloatArray, FloatArray]:
    """Return the intervals that polygons cover of each band: band, least and greatest x.

    A covered point of a band lies on the vertical through some edge within the band, or else the
    vertical leaves the band by its lower line while still inside. So the edges cut to the band
    and the polygons' sections with its lower line cover all, and no more.
    """
    x0, y0, x1, y1 = edges.T
    low, high = np.minimum(y0, y1), np.maximum(y0, y1)
    most = len(cuts) - 2
    below = np.searchsorted(cuts, high) - 1
    which, band = _spread(np.searchsorted(cuts, low, side="right") - 1, below, most)
    ends = [
        _x_at(edges[which], np.clip(level, low[which], high[which]))
        for level in (cuts[band], cuts[band + 1])
    ]
    # An edge along the strip has both its ends at one level.
    level_edge = low[which] == high[which]
    ends = [np.where(level_edge, end[which], at) for end, at in zip((x0, x1), ends, strict=True)]
    crossing, line = _spread(np.searchsorted(cuts, low), below, most)
    x = _x_at(edges[crossing], cuts[line])
    order = np.lexsort((x, line))
    # Counter-clockwise rings go down on their left and up on their right.
    winding = np.cumsum(np.where(y1 < y0, 1, -1)[crossing][order])
    inside = np.flatnonzero(winding > 0)
    return (
        np.concatenate([band, line[order][inside]]).astype(np.int64),
        np.concatenate([np.minimum(*ends), x[order][inside]]),
        np.concatenate([np.maximum(*ends), x[order][inside + 1]]),
    )


def _spread(first: IntArray, last: IntArray, most: int) -> tuple[IntArray, IntArray]:
    """Return one row for each number from ``first`` to ``last``, kept within 0 to ``most``."""
    first, last = np.maximum(first, 0), np.minimum(last, most)
    count = np.maximum(last - first + 1, 0)
    which = np.repeat(np.arange(len(first)), count)
    return which, np.arange(len(which)) - np.repeat(np.cumsum(count) - count, count) + first[which]


def _x_at(edges: FloatArray, y: FloatArray) -> FloatArray:
    """Return where each edge is at a level between its ends; its first end where it is level."""
    x0, y0, x1, y1 = edges.T
    rise = y1 - y0
    share = np.divide(y - y0, rise, out=np.zeros_like(rise), where=rise != 0.0)
    at: FloatArray = np.where(share == 1.0, x1, x0 + share * (x1 - x0))
    return at


@kernel
def _largest_gap(
    cuts: FloatArray, first: IntArray, low: FloatArray, high: FloatArray, length: float
) -> tuple[float, float, float, float]:
    """Return the largest rectangle between the shadows over all runs of bands.

    Band k has the shadows ``first[k] <= i < first[k + 1]``, by rising ``low``.
    """
    n = len(cuts) - 1
    room = len(low) + 2
    gaps, left = np.empty((room, 2)), np.empty((room, 2))
    best = 0.0
    x0 = y0 = x1 = y1 = 0.0
    for a in range(n):
        count = 1
        gaps[0, 0], gaps[0, 1] = 0.0, length
        for b in range(a, n):
            kept = 0
            i = first[b]
            covered = -np.inf
            for g in range(count):
                end = gaps[g, 1]
                at = max(gaps[g, 0], covered)
                while i < first[b + 1] and low[i] < end:
                    if low[i] > at:
                        left[kept, 0], left[kept, 1] = at, low[i]
                        kept += 1
                    covered = max(covered, high[i])
                    at = max(at, covered)
                    i += 1
                if at < end:
                    left[kept, 0], left[kept, 1] = at, end
                    kept += 1
            count = 0
            for g in range(kept):
                wide = left[g, 1] - left[g, 0]
                # Dropped where not even the whole rest of the strip could make it the best.
                if wide * (cuts[n] - cuts[a]) > best:
                    gaps[count, 0], gaps[count, 1] = left[g, 0], left[g, 1]
                    count += 1
                    if wide * (cuts[b + 1] - cuts[a]) > best:
                        best = wide * (cuts[b + 1] - cuts[a])
                        x0, x1, y0, y1 = left[g, 0], left[g, 1], cuts[a], cuts[b + 1]
            if count == 0:
                break
    return x0, y0, x1, y1
