"""Drawn lines of a flat pattern: cubic Bezier paths, their length, cutting, turning and trueing.

A path is an array of shape (n, 4, 2): n cubic segments, each starting where the last one ends, in
millimetres, x to the right and y up the page. Straight lines are cubics with their handles on the
thirds, so that one kind of segment serves everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Path: TypeAlias = npt.NDArray[np.float64]
Points: TypeAlias = npt.NDArray[np.float64]
XY: TypeAlias = tuple[float, float]

_FINE = 64


def line(*corners: XY) -> Path:
    """Return straight segments through the corners, in order."""
    ends = np.array(corners, dtype=np.float64)
    shares = np.array([0.0, 1 / 3, 2 / 3, 1.0])[None, :, None]
    segments: Path = ends[:-1, None, :] * (1.0 - shares) + ends[1:, None, :] * shares
    return segments


def cubic(a: XY, b: XY, c: XY, d: XY) -> Path:
    """Return one cubic segment from its end points ``a``, ``d`` and handles ``b``, ``c``."""
    return np.array([[a, b, c, d]], dtype=np.float64)


def sweep(
    start: XY, heading: XY | Points, end: XY, arriving: XY | Points, pull: float = 1 / 3
) -> Path:
    """Return one cubic, leaving ``start`` along ``heading``, reaching ``end`` along ``arriving``.

    ``pull`` is the length of both handles as a share of the straight distance; a third gives a
    gentle curve, a half a full one.
    """
    a, d = np.array(start), np.array(end)
    reach = pull * float(np.hypot(*(d - a)))
    b = a + reach * unit(heading)
    c = d - reach * unit(arriving)
    return np.array([[a, b, c, d]])


def arc(centre: XY, radius: float, start_deg: float, end_deg: float) -> Path:
    """Return a circular arc as cubics of at most 30 degrees (error under 1e-6 of the radius)."""
    parts = max(1, int(np.ceil(abs(end_deg - start_deg) / 30.0)))
    angles = np.radians(np.linspace(start_deg, end_deg, parts + 1))
    reach = 4.0 / 3.0 * np.tan((angles[1] - angles[0]) / 4.0) * radius
    on = np.array(centre) + radius * np.column_stack([np.cos(angles), np.sin(angles)])
    along = reach * np.column_stack([-np.sin(angles), np.cos(angles)])
    return np.stack([on[:-1], on[:-1] + along[:-1], on[1:] - along[1:], on[1:]], axis=1)


def fitted(points: Points) -> Path:
    """Return the one cubic from the first to the last point that passes nearest to those between.

    Least squares over the two handles, the points taken at their share of the way along.
    """
    along = np.concatenate([[0.0], np.hypot(*np.diff(points, axis=0).T).cumsum()])
    t = along / along[-1]
    s = 1.0 - t
    ends = np.outer(s**3, points[0]) + np.outer(t**3, points[-1])
    handles = np.column_stack([3 * s * s * t, 3 * s * t * t])
    (b, c), *_ = np.linalg.lstsq(handles, points - ends, rcond=None)
    return np.array([[points[0], b, c, points[-1]]])


def unit(vector: XY | Points) -> Points:
    """Return the vector scaled to length one."""
    array = np.asarray(vector, dtype=np.float64)
    scaled: Points = array / float(np.hypot(*array))
    return scaled


def join(*paths: Path) -> Path:
    """Return the paths one after the other."""
    return np.concatenate(paths)


def turned_round(path: Path) -> Path:
    """Return the path walked the other way."""
    return path[::-1, ::-1]


def reflected(path: Path) -> Path:
    """Return the path reflected in the y axis and walked the other way.

    A ring made of such paths, taken in the opposite order, keeps its sense of going round.
    """
    return turned_round(path * np.array([-1.0, 1.0]))


def moved(path: Path, x: float, y: float) -> Path:
    """Return the path shifted."""
    return path + np.array([x, y])


def start_of(path: Path) -> XY:
    """Return the first point."""
    return float(path[0, 0, 0]), float(path[0, 0, 1])


def end_of(path: Path) -> XY:
    """Return the last point."""
    return float(path[-1, 3, 0]), float(path[-1, 3, 1])


def _evaluate(segment: Points, t: Points) -> Points:
    s = 1.0 - t
    weights = np.column_stack([s**3, 3 * s * s * t, 3 * s * t * t, t**3])
    return weights @ segment


def flatten(path: Path, tolerance: float = 0.1) -> Points:
    """Return points whose chords leave the path by at most ``tolerance``.

    The number of chords follows from the largest second derivative of each segment, so the same
    path always gives the same points.
    """
    points = [path[0, :1]]
    for segment in path:
        bend = 6.0 * max(np.hypot(*np.diff(segment, n=2, axis=0).T))
        chords = max(1, int(np.ceil(np.sqrt(bend / (8.0 * tolerance)) - 1e-9)))
        points.append(_evaluate(segment, np.linspace(0.0, 1.0, chords + 1)[1:]))
    return np.concatenate(points)


def _fine(path: Path) -> tuple[Points, Points]:
    t = np.linspace(0.0, 1.0, _FINE + 1)
    dense = np.concatenate([path[0, :1], *(_evaluate(segment, t[1:]) for segment in path)])
    return dense, np.concatenate([[0.0], np.hypot(*np.diff(dense, axis=0).T).cumsum()])


def length(path: Path) -> float:
    """Return the length of the path in millimetres (to about a thousandth)."""
    return float(_fine(path)[1][-1])


def point_at(path: Path, distance: float) -> tuple[XY, XY]:
    """Return the point ``distance`` along the path, and the unit direction there."""
    dense, far = _fine(path)
    index = int(np.clip(np.searchsorted(far, distance, side="right") - 1, 0, len(far) - 2))
    step = dense[index + 1] - dense[index]
    share = (distance - far[index]) / (far[index + 1] - far[index])
    x, y = dense[index] + share * step
    dx, dy = unit(step)
    return (float(x), float(y)), (float(dx), float(dy))


def split(path: Path, distance: float) -> tuple[Path, Path]:
    """Cut the path in two, ``distance`` along it (de Casteljau)."""
    _, far = _fine(path)
    place = float(np.interp(distance, far, np.arange(len(far)))) / _FINE
    index = min(int(place), len(path) - 1)
    t = place - index
    p = path[index]
    q = p[:-1] + t * np.diff(p, axis=0)
    r = q[:-1] + t * np.diff(q, axis=0)
    on = r[0] + t * (r[1] - r[0])
    first = np.array([[p[0], q[0], r[0], on]])
    second = np.array([[on, r[1], q[2], p[3]]])
    return join(path[:index], first), join(second, path[index + 1 :])


def trued(family: Callable[[float], Path], target: float, low: float, high: float) -> Path:
    """Return the member of a family of paths that is ``target`` long.

    ``family(low)`` must be shorter and ``family(high)`` longer; the drafter's word for the work is
    trueing a seam: one side is redrawn until it is as long as the side it is sewn to.

    Raises
    ------
    ValueError
        If the target does not lie between the two.
    """
    shortest, longest = length(family(low)), length(family(high))
    if not shortest <= target <= longest:
        raise ValueError(f"cannot true to {target:.1f}: from {shortest:.1f} to {longest:.1f}")
    for _ in range(60):
        middle = 0.5 * (low + high)
        if length(family(middle)) < target:
            low = middle
        else:
            high = middle
    return family(0.5 * (low + high))
