"""Simplify an outline outward: fewer points, and the true outline always inside."""

from __future__ import annotations

import heapq
import math
from functools import lru_cache

import numpy as np
import shapely

from .rings import FloatArray, as_points, signed_area


def simplify_outward(ring: FloatArray, tolerance: float) -> FloatArray:
    """Return a ring with fewer points that contains the given one.

    Points that turn inward are left out, and edges between two points that turn outward are
    replaced by the meeting point of their neighbours, the cheapest change first, as long as no
    part of the outline moves out by more than the tolerance.

    Parameters
    ----------
    ring
        Simple, counter-clockwise, shape (n, 2).
    tolerance
        Greatest growth, in the ring's unit; 0 removes only points on straight lines.

    Returns
    -------
    FloatArray
        Simple counter-clockwise ring, at most n points, containing ``ring`` up to float
        rounding; ``ring`` itself when nothing could be gained. Read-only: the answer to the
        same question is kept.
    """
    return _simplified(np.ascontiguousarray(ring, dtype=np.float64).tobytes(), tolerance)


@lru_cache(maxsize=512)
def _simplified(points: bytes, tolerance: float) -> FloatArray:
    """Simplify a ring given as its bytes, which can be looked up."""
    ring = as_points(np.frombuffer(points).reshape(-1, 2))
    if signed_area(ring) <= 0:
        raise ValueError("the ring must run counter-clockwise")
    original = shapely.Polygon(ring)
    allowed = tolerance
    for _attempt in range(6):
        result = _reduce(ring, allowed)
        grown = shapely.Polygon(result)
        # A slit narrower than the growth may close upon itself; then grow less.
        if grown.is_valid and _lies_between(original, grown, tolerance):
            return as_points(result)
        allowed *= 0.6
    return ring


def _lies_between(original: shapely.Polygon, grown: shapely.Polygon, tolerance: float) -> bool:
    """Tell whether the grown outline contains the original and exceeds it by the tolerance."""
    size = max(original.bounds[2] - original.bounds[0], original.bounds[3] - original.bounds[1])
    rounding = max(1e-9 * size, 1e-4 * tolerance)
    inside = grown.buffer(1e-9 * size, join_style="mitre").covers(original)
    # 64 chords to the quarter circle lie within 8e-5 of the true round offset.
    return bool(inside and original.buffer(tolerance + rounding, quad_segs=64).covers(grown))


def _reduce(ring: FloatArray, tolerance: float) -> FloatArray:
    """Apply the cheapest outward changes until each would cost more than the tolerance."""
    chain = _Chain(ring)
    version = [0] * len(ring)
    heap: list[tuple[float, int, int]] = []

    def push(i: int) -> None:
        version[i] += 1
        growth = chain.change(i)[0]
        if growth <= tolerance:
            heapq.heappush(heap, (growth, i, version[i]))

    for i in range(len(ring)):
        push(i)
    count = len(ring)
    while heap and count > 3:
        _growth, i, stamp = heapq.heappop(heap)
        if not chain.alive[i] or stamp != version[i]:
            continue
        centre = chain.apply(i, chain.change(i)[1])
        count -= 1
        before, after = chain.before, chain.after
        for k in (before[before[centre]], before[centre], centre, after[centre]):
            push(k)
    return chain.points()


class _Chain:
    """An outline under simplification; every point knows which original points it stands for."""

    def __init__(self, ring: FloatArray) -> None:
        n = len(ring)
        self.original = ring
        self.xy = [(float(x), float(y)) for x, y in ring]
        self.before = [(i - 1) % n for i in range(n)]
        self.after = [(i + 1) % n for i in range(n)]
        self.alive = [True] * n
        self.first = list(range(n))
        self.last = list(range(n))

    def change(self, i: int) -> tuple[float, tuple[float, float] | None]:
        """Return the growth of the cheapest change at point i, and the new point if it has one.

        Without a new point, point i itself is left out; with one, it replaces i and the next.
        The growth is measured against the original outline; infinite where nothing can change.
        """
        h = self.before[i]
        j = self.after[i]
        a, b, c = self.xy[h], self.xy[i], self.xy[j]
        if _cross(a, b, c) <= 0.0:  # inward or straight: the chord lies outside
            if a == c:
                return math.inf, None
            return _farthest_from_line(self._stretch(h, j), a, c), None
        k = self.after[j]
        d = self.xy[k]
        if d == a or _cross(b, c, d) <= 0.0:
            return math.inf, None
        p = _meeting_point(a, b, c, d)
        if p is None:
            return math.inf, None
        return _distance_to_path(p, self._stretch(h, k)), p

    def apply(self, i: int, point: tuple[float, float] | None) -> int:
        """Carry out a change and return the point around which others must be weighed anew."""
        gone = i
        if point is not None:
            gone = self.after[i]
            self.xy[i] = point
            self.last[i] = self.last[gone]
        self.alive[gone] = False
        before, after = self.before[gone], self.after[gone]
        self.after[before], self.before[after] = after, before
        return before

    def points(self) -> FloatArray:
        """Return the points still alive, in order."""
        start = self.alive.index(True)
        kept, i = [start], self.after[start]
        while i != start:
            kept.append(i)
            i = self.after[i]
        return np.array([self.xy[i] for i in kept])

    def _stretch(self, i: int, j: int) -> FloatArray:
        """Return the original points from those of i to those of j, both included."""
        n = len(self.original)
        start, end = self.first[i], self.last[j]
        stretch: FloatArray = self.original[np.arange(start, start + (end - start) % n + 1) % n]
        return stretch


def _meeting_point(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> tuple[float, float] | None:
    """Return where a-b, prolonged beyond b, meets d-c, prolonged beyond c."""
    ux, uy = b[0] - a[0], b[1] - a[1]
    vx, vy = c[0] - d[0], c[1] - d[1]
    meet = ux * vy - uy * vx
    if meet >= -1e-12 * (abs(ux) + abs(uy)) * (abs(vx) + abs(vy)):
        return None
    t = ((d[0] - a[0]) * vy - (d[1] - a[1]) * vx) / meet
    return (a[0] + t * ux, a[1] + t * uy) if t >= 1.0 else None


def _farthest_from_line(
    points: FloatArray, a: tuple[float, float], b: tuple[float, float]
) -> float:
    ux, uy = b[0] - a[0], b[1] - a[1]
    across = (points[:, 0] - a[0]) * uy - (points[:, 1] - a[1]) * ux
    return float(np.abs(across).max() / math.hypot(ux, uy))


def _distance_to_path(p: tuple[float, float], path: FloatArray) -> float:
    start, along = path[:-1], np.diff(path, axis=0)
    t = ((p - start) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-300)
    nearest = start + np.clip(t, 0.0, 1.0)[:, None] * along
    return float(np.sqrt(((nearest - p) ** 2).sum(axis=1).min()))


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
