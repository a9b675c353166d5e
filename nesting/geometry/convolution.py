"""The convolution of two polygons: closed tracks that wind around just their Minkowski sum.

Walking round one polygon while the other's tangent keeps pace gives, for simple polygons, a set
of closed tracks whose winding number at p counts the components in which one polygon, reflected
and moved to p, meets the other: positive where they overlap, 0 elsewhere (Guibas, Ramshaw and
Stolfi 1983). It has far fewer edges than the sums of all pairs of convex parts.
"""

from __future__ import annotations

import numpy as np

from .compiled import kernel
from .convex import IntArray


def convolution(a: IntArray, b: IntArray) -> list[IntArray]:
    """Return the closed tracks of the convolution of two simple counter-clockwise rings.

    Parameters
    ----------
    a, b
        Integer corners of at most 2**29, no three in line.
    """
    room = 4 * (len(a) + len(b)) + 64
    while True:
        ends = np.empty((room, 2), dtype=np.int64)
        count = _steps(a, b, ends)
        if count <= room:
            break
        room = count
    ends = ends[:count]
    order = np.argsort(ends[:, 0], kind="stable")
    nodes = np.empty(count + 1, dtype=np.int64)
    stops = np.empty(count, dtype=np.int64)
    tracks = _walk(ends[order], nodes, stops)
    at = nodes[: stops[tracks - 1]]
    points = a[at // len(b)] + b[at % len(b)]
    ends_at = stops[:tracks].tolist()
    return [points[i:j] for i, j in zip([0, *ends_at], ends_at, strict=False)]


@kernel
def _steps(a: IntArray, b: IntArray, ends: IntArray) -> int:
    """List the convolution's edges as (from, to), where corner pair (i, j) is i * len(b) + j.

    An edge goes with those corners of the other ring whose turn takes in its direction, forward
    at a corner that turns left and backward at one that turns right. Of parallel edges those of
    ``b`` come first, so that every track closes. Counts on when ``ends`` is full.
    """
    m = len(b)
    count = 0
    for side in range(2):
        p, q = (a, b) if side == 0 else (b, a)
        for j in range(len(q)):
            h = j - 1 if j > 0 else len(q) - 1
            k = j + 1 if j + 1 < len(q) else 0
            ux, uy = q[j, 0] - q[h, 0], q[j, 1] - q[h, 1]
            vx, vy = q[k, 0] - q[j, 0], q[k, 1] - q[j, 1]
            left = ux * vy - uy * vx > 0
            if not left:
                ux, uy, vx, vy = vx, vy, ux, uy
            for i in range(len(p)):
                f = i + 1 if i + 1 < len(p) else 0
                ex, ey = p[f, 0] - p[i, 0], p[f, 1] - p[i, 1]
                first, last = ux * ey - uy * ex, ex * vy - ey * vx
                if first < 0 or last < 0 or (last if side == 0 else first) == 0:
                    continue
                if count < len(ends):
                    start = i * m + j if side == 0 else j * m + i
                    stop = f * m + j if side == 0 else j * m + f
                    ends[count, 0] = start if left else stop
                    ends[count, 1] = stop if left else start
                count += 1
    return count


@kernel
def _walk(ends: IntArray, nodes: IntArray, stops: IntArray) -> int:
    """Join edges, sorted by where they start, into closed tracks; return how many."""
    count = len(ends)
    used = np.zeros(count, dtype=np.bool_)
    tracks = 0
    filled = 0
    for first in range(count):
        if used[first]:
            continue
        start = ends[first, 0]
        e = first
        while True:
            used[e] = True
            nodes[filled] = ends[e, 0]
            filled += 1
            here = ends[e, 1]
            if here == start:
                break
            e = np.searchsorted(ends[:, 0], here)
            while used[e]:
                e += 1
        stops[tracks] = filled
        tracks += 1
    return tracks
