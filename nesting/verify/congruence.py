"""How far two drawn lines are apart, and where a shape has been moved to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry


def as_lines(paths: Iterable[npt.ArrayLike]) -> MultiLineString:
    """Return open paths as one geometry; paths of fewer than two points are left out."""
    arrays = [np.asarray(path, dtype=np.float64) for path in paths]
    return MultiLineString([LineString(path) for path in arrays if len(path) > 1])


def ring_polygon(outer: npt.ArrayLike, holes: Iterable[npt.ArrayLike] = ()) -> Polygon:
    """Return a polygon from rings that do not repeat their first point."""
    return Polygon(np.asarray(outer, dtype=np.float64), [np.asarray(h) for h in holes])


def farthest(one: BaseGeometry, other: BaseGeometry) -> float:
    """Return the greatest distance between two sets of lines, in their own unit.

    The Hausdorff distance taken both ways at every vertex and every middle of a segment, so that
    a missing segment is found even where all vertices agree. 0 when both are empty, infinite
    when one is.
    """
    if one.is_empty or other.is_empty:
        return 0.0 if one.is_empty and other.is_empty else float("inf")
    return max(_one_way(one, other), _one_way(other, one))


def _one_way(start: BaseGeometry, target: BaseGeometry) -> float:
    samples: list[npt.NDArray[np.float64]] = []
    for line in shapely.get_parts(start):
        xy = shapely.get_coordinates(line)
        samples += [xy, (xy[1:] + xy[:-1]) / 2]
    shapely.prepare(target)
    return float(shapely.distance(shapely.points(np.concatenate(samples)), target).max())


def move_onto(shape: Polygon, target: Polygon) -> tuple[float, float]:
    """Return the translation that brings one centre of area onto the other.

    For congruent shapes that lie alike this is the translation between them.
    """
    here, there = shape.centroid, target.centroid
    return there.x - here.x, there.y - here.y


def misfit(shape: Polygon, target: Polygon) -> float:
    """Return how far the outer outlines are apart once the centres of area coincide."""
    outer, goal = Polygon(shape.exterior), Polygon(target.exterior)
    moved = affinity.translate(outer, *move_onto(outer, goal))
    return farthest(moved.exterior, goal.exterior)


def nearest_pairs(
    wanted: Sequence[tuple[float, float]], found: Sequence[tuple[float, float]]
) -> float:
    """Return the greatest distance from a point of either set to the nearest of the other."""
    if not wanted or not found:
        return 0.0 if not wanted and not found else float("inf")
    gaps = np.linalg.norm(np.asarray(wanted)[:, None] - np.asarray(found)[None], axis=2)
    return float(max(gaps.min(axis=0).max(), gaps.min(axis=1).max()))
