"""Seam allowances, added by gluing a strip to every edge and a patch to every corner.

The cut line is the outer boundary of: the stitched shape, a rectangle on the outside of every
edge as deep as that edge's allowance, and at every outward corner the kite between the two
rectangles and the point where their outer edges meet. Where that point is farther from the
corner than four times the deeper allowance, the corner is cut square across instead.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import LinearRing, LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient
from shapely.ops import substring

from ..tolerances import SAME_POINT

MITRE_LIMIT = 4.0
"""Greatest ratio of mitre length to allowance before a corner is cut square across."""

_ON_STRETCH = 1e-3  # mm; the middle of an edge lies on a stretch or it is many times farther off

_CLOSED = 1.0  # mm2
_HAIR = 1e-6  # mm

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A part of the outline with an allowance of its own, as drawn lines."""

    lines: tuple[LineString, ...]
    allowance: float


def stretch_between(
    ring: Array, start: tuple[float, float], end: tuple[float, float], allowance: float
) -> Stretch:
    """Return the stretch that runs counter-clockwise along a ring from ``start`` to ``end``.

    ``ring`` is counter-clockwise and does not repeat its first point.
    """
    loop = LineString(np.vstack([ring, ring[:1]]))
    begin, finish = (loop.project(shapely.Point(p)) for p in (start, end))
    if begin < finish:
        parts = [substring(loop, begin, finish)]
    else:
        parts = [substring(loop, begin, loop.length), substring(loop, 0.0, finish)]
    lines = tuple(part for part in parts if isinstance(part, LineString) and part.length > 0)
    return Stretch(lines, allowance)


def add_allowance(stitched: Polygon, allowance: float, stretches: tuple[Stretch, ...]) -> Polygon:
    """Return the region inside the cut line, without holes.

    Parameters
    ----------
    stitched
        The shape inside the stitching line; its holes are ignored.
    allowance
        Millimetres on every edge that lies on none of ``stretches``.
    stretches
        Parts of the outline with other allowances; where several hold, the last one counts.
    """
    ring = _ring_with_stretch_ends(stitched, stretches)
    widths = _edge_allowances(ring, allowance, stretches)
    if not (widths > 0).any():
        return Polygon(stitched.exterior)
    patches = [Polygon(ring), *_edge_strips(ring, widths), *_corner_patches(ring, widths)]
    merged = _closed(shapely.union_all(patches))
    largest = max(shapely.get_parts(merged), key=lambda part: part.area)
    return Polygon(largest.exterior)


def narrowed(cutout: LinearRing, allowance: float) -> list[LinearRing]:
    """Return what stays open of a cutout once its edge has an allowance: no ring or several.

    Gaps of less than a square millimetre count as closed.
    """
    # Run clockwise, a cutout has the cloth on its left, as an outline has counter-clockwise.
    ring = np.asarray(orient(Polygon(cutout), sign=-1.0).exterior.coords[:-1])
    widths = np.full(len(ring), allowance)
    patches = [*_edge_strips(ring, widths), *_corner_patches(ring, widths)]
    taken = _closed(shapely.union_all(patches))
    parts = shapely.get_parts(Polygon(cutout).difference(taken))
    return [part.exterior for part in parts if part.area > _CLOSED]


def _closed(merged: BaseGeometry) -> BaseGeometry:
    """Return a union without the slits that float noise leaves between parts that touch."""
    swollen = merged.buffer(_HAIR, join_style="mitre")
    return swollen.buffer(-_HAIR, join_style="mitre")


def _ring_with_stretch_ends(stitched: Polygon, stretches: tuple[Stretch, ...]) -> Array:
    """Return the outer ring, counter-clockwise, with a vertex wherever a stretch ends."""
    ring = orient(Polygon(stitched.exterior)).exterior
    vertices = [(float(ring.project(shapely.Point(p))), p) for p in ring.coords[:-1]]
    vertices[0] = (0.0, vertices[0][1])
    for stretch in stretches:
        for line in stretch.lines:
            for end in (line.coords[0], line.coords[-1]):
                at = float(ring.project(shapely.Point(end)))
                vertices.append((at, ring.interpolate(at).coords[0]))
    vertices.sort(key=lambda entry: entry[0])
    points = np.array([p for _, p in vertices])
    step = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
    kept: Array = points[step > SAME_POINT]
    return kept


def _edge_allowances(ring: Array, allowance: float, stretches: tuple[Stretch, ...]) -> Array:
    middles = shapely.points((ring + np.roll(ring, -1, axis=0)) / 2)
    widths: Array = np.full(len(ring), allowance, dtype=np.float64)
    for stretch in stretches:
        for line in stretch.lines:
            widths[shapely.distance(line, middles) < _ON_STRETCH] = stretch.allowance
    return widths


def _outward(ring: Array) -> tuple[Array, Array]:
    """Return the unit direction and the unit outward normal of every edge."""
    edges = np.roll(ring, -1, axis=0) - ring
    along = edges / np.linalg.norm(edges, axis=1, keepdims=True)
    return along, np.column_stack([along[:, 1], -along[:, 0]])


def _edge_strips(ring: Array, widths: Array) -> list[Polygon]:
    _, normal = _outward(ring)
    ends = np.roll(ring, -1, axis=0)
    push = normal * widths[:, None]
    return [
        Polygon([a, b, b + out, a + out])
        for a, b, out, width in zip(ring, ends, push, widths, strict=True)
        if width > 0
    ]


def _corner_patches(ring: Array, widths: Array) -> list[Polygon]:
    along, normal = _outward(ring)
    patches = []
    for i, corner in enumerate(ring):
        before, after = normal[i - 1], normal[i]
        w0, w1 = widths[i - 1], widths[i]
        turn = along[i - 1, 0] * along[i, 1] - along[i - 1, 1] * along[i, 0]
        if turn <= 1e-9 or max(w0, w1) <= 0:
            continue
        patches.append(Polygon(corner + _wedge(before, float(w0), after, float(w1))))
    return patches


def _wedge(before: Array, w0: float, after: Array, w1: float) -> Array:
    """Return the patch between two normals, seen from their corner.

    It is bounded by the outer edges of both strips. Where one strip is so much deeper that the
    other's edge meets its side before its end, the shallower edge ends there.
    """
    cosine = float(before @ after)
    sine_squared = 1.0 - cosine * cosine
    corner, ends = np.zeros(2), [w0 * before, w1 * after]
    if sine_squared < 1e-14:
        return np.array([corner, *ends])
    tip = (before * (w0 - w1 * cosine) + after * (w1 - w0 * cosine)) / sine_squared
    if np.hypot(*tip) > MITRE_LIMIT * max(w0, w1):
        return np.array([corner, *ends])
    if w1 < w0 * cosine:
        return np.array([corner, before * w1 / cosine, ends[1]])
    if w0 < w1 * cosine:
        return np.array([corner, ends[0], after * w0 / cosine])
    return np.array([corner, ends[0], tip, ends[1]])
