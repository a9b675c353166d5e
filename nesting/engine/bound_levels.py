"""Bounds from what lies on one line: no cut across the strip meets more than its width.

On any line across the strip the pieces met there cover intervals whose lengths add up to at most
the width W. So do their images under a dual feasible function f, for which numbers that add up
to at most 1 keep doing so: the sum of f(interval / W) is at most 1. Integrated along the strip,
the length is at least the sum over all pieces of the integral of f over their own cross-sections.
With f(t) = t that is the area bound; other functions count a wide cross-section as the whole
width, or a third as a half. The same holds along the strip: with the length taken to be L, lines
along it meet intervals of at most L, and if the integrals exceed the width, L is too short.
(Dual feasible functions: Lueker 1983; Fekete and Schepers 2004; on polygons this is our own use.)
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from ..geometry.compiled import kernel
from ..geometry.rings import FloatArray
from ..model.problem import PlacementProblem, Shape

LEVELS = 48
"""Thresholds tried for each family of functions."""

SLACK = 1e-9
"""Share by which cross-sections are taken shorter than they are, so that rounding of a width
never lifts one over a threshold."""

Function: TypeAlias = Callable[[FloatArray], FloatArray]
"""Several functions on [0, 1] at once: a row for each of them."""


def level_bound(problem: PlacementProblem, least: float, greatest: float) -> float:
    """Return a length no layout is shorter than, at least ``least``.

    Parameters
    ----------
    least
        A length known to be proven already.
    greatest
        The length of some layout; the proof need not go beyond it.
    """
    across = _all_sections(problem)
    best = max(least, _total(problem, across, problem.width) * (1.0 - SLACK))
    along = {s: cross_sections(_quarter_turned(problem.shapes[s])) for s in across}
    low, high = best, greatest
    # Whatever length is found too short is proven so; halving only decides which are tried.
    for _step in range(32):
        if high - low <= 1e-8 * high:
            break
        middle = 0.5 * (low + high)
        if _total(problem, along, middle) > problem.width * (1.0 + SLACK):
            low = middle
        else:
            high = middle
    return max(best, low)


def level_shares(problem: PlacementProblem) -> FloatArray:
    """Return lengths that items need on lines across the strip, whatever lies beside them.

    Shape (functions, items). For every function, the sum over any of the items is a length that
    no layout of just these items on a strip of this width falls short of.
    """
    return _shares(problem, _all_sections(problem), problem.width) * (1.0 - SLACK)


def _all_sections(problem: PlacementProblem) -> dict[int, FloatArray]:
    """Return the cross-sections of every shape that some item may take."""
    used = sorted({s for item in problem.items for s in item.shapes})
    return {s: cross_sections(problem.shapes[s]) for s in used}


def cross_sections(shape: Shape) -> FloatArray:
    """Return the cross-sections of a shape by lines of constant x, as rows (span, first, last).

    Over a stretch of x of length ``span`` one connected cross-section grows evenly from ``first``
    to ``last``; the rows together cover the shape.
    """
    rings = (shape.outer, *shape.holes)
    start = np.concatenate(rings)
    end = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    swap = start[:, :1] > end[:, :1]
    left, right = np.where(swap, end, start), np.where(swap, start, end)
    levels = np.unique(start[:, 0])
    rows = np.empty((2 * len(start), 3))
    count = _slice(left, right, levels, rows)
    if count > len(rows):
        rows = np.empty((count, 3))
        _slice(left, right, levels, rows)
    return rows[:count]


@kernel
def _slice(left: FloatArray, right: FloatArray, levels: FloatArray, rows: FloatArray) -> int:
    """Write the cross-sections between neighbouring levels; count on when ``rows`` is full."""
    count = 0
    y0, y1 = np.empty(len(left)), np.empty(len(left))
    for k in range(len(levels) - 1):
        x0, x1 = levels[k], levels[k + 1]
        met = 0
        for e in range(len(left)):
            if left[e, 0] <= x0 and right[e, 0] >= x1:
                slope = (right[e, 1] - left[e, 1]) / (right[e, 0] - left[e, 0])
                y0[met] = left[e, 1] + (x0 - left[e, 0]) * slope
                y1[met] = left[e, 1] + (x1 - left[e, 0]) * slope
                met += 1
        order = np.argsort(y0[:met] + y1[:met])
        for h in range(0, met - 1, 2):
            if count < len(rows):
                low, high = order[h], order[h + 1]
                rows[count, 0] = x1 - x0
                rows[count, 1] = max(0.0, y0[high] - y0[low])
                rows[count, 2] = max(0.0, y1[high] - y1[low])
            count += 1
    return count


def _quarter_turned(shape: Shape) -> Shape:
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    return Shape(shape.outer @ turn, tuple(hole @ turn for hole in shape.holes))


def _shares(
    problem: PlacementProblem, sections: dict[int, FloatArray], whole: float
) -> FloatArray:
    """Return for each function (rows) and item (columns) its integral, each lie at its least."""
    rows = np.concatenate(list(sections.values()))
    stops = np.cumsum([len(part) for part in sections.values()])
    starts = np.concatenate([[0], stops[:-1]])
    column = {s: k for k, s in enumerate(sections)}
    span = rows[:, 0]
    first, last = rows[:, 1] / whole * (1.0 - SLACK), rows[:, 2] / whole * (1.0 - SLACK)
    # A cross-section longer than the whole: this lie is impossible, and counts as the whole.
    low = np.minimum(np.minimum(first, last), 1.0)
    high = np.minimum(np.maximum(first, last), 1.0)
    sums = np.add.reduceat(span * _means(low, high), starts, axis=1)
    least: dict[tuple[int, ...], FloatArray] = {}
    for item in problem.items:
        if item.shapes not in least:
            least[item.shapes] = sums[:, [column[s] for s in item.shapes]].min(axis=1)
    return np.stack([least[item.shapes] for item in problem.items], axis=1)


def _total(problem: PlacementProblem, sections: dict[int, FloatArray], whole: float) -> float:
    """Return what the best function says that all items together need."""
    return float(_shares(problem, sections, whole).sum(axis=1).max())


def _means(low: FloatArray, high: FloatArray) -> FloatArray:
    """Return the means of dual feasible functions (rows) over evenly growing cross-sections.

    They are never too much. The functions suit these cross-sections: the identity; those that
    count a share above 1 - t as the whole and one below t as nothing, for many t up to a half;
    and floor((k + 1) x) / k where (k + 1) x is not whole, else x, for small k.
    """
    means = [_mean(low, high, *_cut_off(_thresholds(np.concatenate([low, high]))[:, None]))]
    means.append(_mean(low, high, *_rounded_up(np.arange(1.0, 7.0)[:, None])))
    return np.concatenate(means)


def _mean(low: FloatArray, high: FloatArray, value: Function, integral: Function) -> FloatArray:
    """Return the means of functions, from their values and their integrals from 0."""
    room = high - low
    # The function rises, so over a short range its value at the low end is safe to take, and
    # the difference of two integrals would lose its digits.
    short = room < 1e-5
    rise = (integral(high) - integral(low)) / np.where(short, 1.0, room)
    return np.where(short, value(low), rise)


def _thresholds(values: FloatArray) -> FloatArray:
    """Return the thresholds t worth trying on these cross-sections, 0 and a half among them."""
    small = np.unique(np.round(np.concatenate([values, 1.0 - values]), 9))
    small = small[(small > 0.0) & (small < 0.5)]
    if len(small) > LEVELS:
        small = small[np.linspace(0, len(small) - 1, LEVELS).astype(int)]
    return np.concatenate([[0.0], small, [0.5]])


def _cut_off(t: FloatArray) -> tuple[Function, Function]:
    """Return f = 1 above 1 - t, the identity from t to 1 - t, 0 below t, and its integral."""

    def value(x: FloatArray) -> FloatArray:
        return np.where(x > 1.0 - t, 1.0, np.where(x >= t, x, 0.0))

    def integral(x: FloatArray) -> FloatArray:
        middle = np.clip(x, t, 1.0 - t)
        return 0.5 * (middle * middle - t * t) + np.maximum(x - (1.0 - t), 0.0)

    return value, integral


def _rounded_up(k: FloatArray) -> tuple[Function, Function]:
    """Return f(x) = floor((k + 1) x) / k where (k + 1) x is not whole, else x; its integral."""

    def value(x: FloatArray) -> FloatArray:
        times = (k + 1) * x
        return np.where(times == np.floor(times), x, np.floor(times) / k)

    def integral(x: FloatArray) -> FloatArray:
        steps = np.floor((k + 1) * x)
        below = 0.5 * steps * (steps - 1.0) / (k + 1)
        return np.asarray((below + steps * (x - steps / (k + 1))) / k)

    return value, integral
