"""Cut a polygon with integer corners into few convex parts that use only its own corners."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import shapely

from .compiled import kernel

IntArray: TypeAlias = npt.NDArray[np.int64]


def convex_parts(outer: IntArray, holes: Sequence[IntArray] = ()) -> list[IntArray]:
    """Return convex counter-clockwise rings that tile the polygon exactly.

    A constrained Delaunay triangulation, from which edges are then taken away, the longest
    first, as long as the parts stay convex (Hertel and Mehlhorn 1983: at most four times the
    least number). All decisions are made on integers.

    Parameters
    ----------
    outer, holes
        Simple rings with integer corners of at most 2**29 in size, shape (n, 2).

    Raises
    ------
    ValueError
        If the polygon cannot be tiled, because it is not simple.
    """
    outer = without_straight_points(outer)
    if not holes and _is_convex(outer):
        return [outer]
    polygon = shapely.Polygon(outer, list(holes))
    try:
        tiled = shapely.constrained_delaunay_triangles(polygon)
    except shapely.errors.GEOSException as error:
        raise ValueError(f"the polygon is not simple: {error}") from None
    triangles = [np.rint(shapely.get_coordinates(t)[:3]).astype(np.int64) for t in tiled.geoms]
    triangles = [t if _turn(*t) > 0 else t[::-1] for t in triangles if _turn(*t) != 0]
    if sum(twice_area(t) for t in triangles) != twice_area(outer) - sum(
        abs(twice_area(hole)) for hole in holes
    ):
        raise ValueError("the polygon is not simple: its triangles do not tile it")
    return [without_straight_points(part) for part in _merge(triangles)]


def twice_area(ring: IntArray) -> int:
    """Return twice the signed area of a ring, exactly."""
    x, y = (ring - ring[0]).T
    nx, ny = np.roll(x, -1), np.roll(y, -1)
    # Python integers: the sum may pass 2**63 although no single product does.
    return sum(int(p) for p in x * ny) - sum(int(p) for p in y * nx)


def without_straight_points(ring: IntArray) -> IntArray:
    """Return the ring without repeated points and points on straight edges."""
    while len(ring) > 3:
        keep = np.empty(len(ring), dtype=np.bool_)
        kept = _mark_turns(ring, keep)
        if kept == len(ring) or kept < 3:
            break
        ring = ring[keep]
    return ring


@kernel
def _mark_turns(ring: IntArray, turns: npt.NDArray[np.bool_]) -> int:
    """Mark the points at which a ring turns; return how many."""
    count = 0
    n = len(ring)
    for i in range(n):
        j = i + 1 if i + 1 < n else 0
        ux, uy = ring[i, 0] - ring[i - 1, 0], ring[i, 1] - ring[i - 1, 1]
        vx, vy = ring[j, 0] - ring[i, 0], ring[j, 1] - ring[i, 1]
        turns[i] = ux * vy != uy * vx
        count += turns[i]
    return count


def _cross(a: Sequence[int], b: Sequence[int], c: Sequence[int]) -> int:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _turn(a: IntArray, b: IntArray, c: IntArray) -> int:
    return _cross([int(v) for v in a], [int(v) for v in b], [int(v) for v in c])


def _is_convex(ring: IntArray) -> bool:
    edge = np.roll(ring, -1, axis=0) - ring
    following = np.roll(edge, -1, axis=0)
    turns = edge[:, 0] * following[:, 1] - edge[:, 1] * following[:, 0]
    return bool((turns > 0).all())


def _merge(triangles: list[IntArray]) -> list[IntArray]:
    """Join neighbouring parts across shared edges, longest edge first, while they stay convex."""
    parts: dict[int, list[tuple[int, int]]] = {
        k: [(int(x), int(y)) for x, y in t] for k, t in enumerate(triangles)
    }
    owner: dict[tuple[tuple[int, int], tuple[int, int]], int] = {}
    for k, part in parts.items():
        for i, p in enumerate(part):
            owner[part[i - 1], p] = k
    shared = [(a, b) for (a, b) in owner if a < b and (b, a) in owner]
    shared.sort(key=lambda e: -((e[0][0] - e[1][0]) ** 2 + (e[0][1] - e[1][1]) ** 2))
    for a, b in shared:
        left, right = owner[a, b], owner[b, a]
        if left == right:
            continue
        joined = _joined(parts[left], parts[right], a, b)
        if joined is None:
            continue
        parts[left] = joined
        for i, p in enumerate(parts[right]):
            edge = (parts[right][i - 1], p)
            if edge in owner:
                owner[edge] = left
        del parts[right]
    return [np.array(part, dtype=np.int64) for part in parts.values()]


def _joined(
    left: list[tuple[int, int]],
    right: list[tuple[int, int]],
    a: tuple[int, int],
    b: tuple[int, int],
) -> list[tuple[int, int]] | None:
    """Return left and right joined across the edge a-b, or None where that is not convex."""
    i, j = left.index(a), right.index(b)
    if left[(i + 1) % len(left)] != b or right[(j + 1) % len(right)] != a:
        return None
    # left: a b ... ; right: b a ... ; joined: a (right after a ... before b) b (left after b ...)
    from_left = left[(i + 1) % len(left) :] + left[: (i + 1) % len(left)]  # b ... a
    from_right = right[(j + 1) % len(right) :] + right[: (j + 1) % len(right)]  # a ... b
    joined = from_left[:-1] + from_right[:-1]
    n = len(joined)
    for corner in (a, b):
        k = joined.index(corner)
        if _cross(joined[k - 1], corner, joined[(k + 1) % n]) < 0:
            return None
    return joined
