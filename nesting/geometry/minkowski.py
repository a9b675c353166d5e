"""Minkowski sums of convex polygons by merging their edges in order of direction."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .compiled import kernel
from .convex import IntArray


def convex_sums(first: Sequence[IntArray], second: Sequence[IntArray]) -> list[IntArray]:
    """Return the Minkowski sum of every convex ring of one list with every one of the other.

    Rings are counter-clockwise with integer corners and no three in line; so are the results,
    in the order first-major, except that parallel edges leave a corner on a straight edge.
    """
    a, a_start = _packed(first)
    b, b_start = _packed(second)
    rows = sum((len(p) + len(q)) for p in first for q in second)
    out = np.empty((rows, 2), dtype=np.int64)
    stops = np.empty(len(first) * len(second), dtype=np.int64)
    _sum_all(a, a_start, b, b_start, out, stops)
    return np.split(out, stops[:-1])


def _packed(rings: Sequence[IntArray]) -> tuple[IntArray, IntArray]:
    """Put rings one after the other, each starting at its lowest, then leftmost, corner."""
    turned = []
    for ring in rings:
        low = int(np.lexsort((ring[:, 0], ring[:, 1]))[0])
        turned.append(np.roll(ring, -low, axis=0))
    starts = np.cumsum([0] + [len(ring) for ring in rings]).astype(np.int64)
    return np.concatenate(turned).astype(np.int64), starts


@kernel
def _sum_all(
    a: IntArray, a_start: IntArray, b: IntArray, b_start: IntArray, out: IntArray, stops: IntArray
) -> None:
    row = 0
    pair = 0
    for i in range(len(a_start) - 1):
        p0, n = a_start[i], a_start[i + 1] - a_start[i]
        for j in range(len(b_start) - 1):
            q0, m = b_start[j], b_start[j + 1] - b_start[j]
            k = 0
            h = 0
            # Both rings start at their lowest corner, so edge directions rise from 0 to 360.
            while k < n or h < m:
                out[row, 0] = a[p0 + k % n, 0] + b[q0 + h % m, 0]
                out[row, 1] = a[p0 + k % n, 1] + b[q0 + h % m, 1]
                row += 1
                ux = a[p0 + (k + 1) % n, 0] - a[p0 + k % n, 0]
                uy = a[p0 + (k + 1) % n, 1] - a[p0 + k % n, 1]
                vx = b[q0 + (h + 1) % m, 0] - b[q0 + h % m, 0]
                vy = b[q0 + (h + 1) % m, 1] - b[q0 + h % m, 1]
                if h >= m:
                    k += 1
                elif k >= n or ux * vy - uy * vx < 0:
                    h += 1
                else:
                    k += 1
            stops[pair] = row
            pair += 1
