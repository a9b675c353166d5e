"""A layout to begin with from two others: the first part of one, and the rest as in the other.

Parts of a layout are not equally dense, and halves of two may well be denser than either of them
is as a whole. Of all ways to join two of a handful of layouts, each as it is or turned end for
end, that is taken which promises the shortest.

(Combining good solutions and improving what comes out, memetic algorithms: Moscato 1989.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from operator import itemgetter
from typing import NamedTuple

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from ..geometry.sections import area_left_of
from .board import Found, Join
from .scaled import ScaledProblem, images, like_items

EARLIEST, LATEST = 0.25, 0.75
"""Shares of the length between which is cut."""

ZONES = 3
"""Equal parts of that, in each of which two layouts are joined once."""

CUTS = 15
"""Cuts drawn in each, of which the most promising counts."""

MISFIT = 0.5
"""Share of the length thought lost where all pieces were in both parts, or in neither."""

STEPS = 64
"""Steps across a shape, and four times as many along a layout, in which areas are tabled."""


class Cut(NamedTuple):
    """Where to cut two layouts, the length foreseen, and that with what misfits will cost."""

    score: float
    foreseen: float
    at: float
    other: float


@dataclass(frozen=True, slots=True, eq=False)
class View:
    """A layout as it is or turned, with the area of its items left of some places along it."""

    found: Found
    turned: bool
    shape: IntArray
    x: FloatArray
    y: FloatArray
    places: FloatArray
    left: FloatArray


class Recombination:
    """What layouts of a problem can be joined into; ``area`` is that of each item."""

    def __init__(self, scaled: ScaledProblem, area: FloatArray) -> None:
        self._count, self._width = scaled.count, scaled.width
        self._area = area
        self._like = like_items(scaled)
        self._turned = half_turns(scaled)
        self._half = np.array([shape.half[0] for shape in scaled.shapes], dtype=np.float64)
        self._across = np.linspace(-1.0, 1.0, STEPS + 1)
        self._left = [
            area_left_of(shape.rings, self._across * shape.half[0]) for shape in scaled.shapes
        ]

    def join(
        self, layouts: Sequence[Found], used: set[Join], random: np.random.Generator
    ) -> tuple[float, IntArray, FloatArray, FloatArray] | None:
        """Return the length foreseen of the most promising join, and where it puts every entry.

        None where all are used. Entries may overlap.

        Parameters
        ----------
        layouts
            To choose two from, or one to join with itself turned.
        used
            What was joined before and is not again; what is joined now is added.
        random
            Draws the cuts.
        """
        views = [view for found in layouts for view in self._views(found)]
        zones = np.linspace(EARLIEST, LATEST, ZONES + 1)
        drawn = random.uniform(zones[:-1, None], zones[1:, None], (ZONES, CUTS))
        joins = [
            (self._best_cut(first, second, first.found.length * drawn[zone]), first, second, zone)
            for first, second, zone in product(views, views, range(ZONES))
            if first is not second and _join(first, second, zone) not in used
        ]
        if not joins:
            return None
        cut, first, second, zone = min(joins, key=itemgetter(0))
        used.add(_join(first, second, zone))
        used.add(_same_from_the_other_end(first, second, zone))
        return cut.foreseen, *self._joined(first, second, cut)

    def _views(self, found: Found) -> list[View]:
        """Return a layout as it is and, where all may be turned, turned."""
        count, length = self._count, found.length
        places = np.linspace(0.0, length, 4 * STEPS + 1)
        left = np.zeros(len(places))
        for s, x in zip(found.shape[:count], found.x[:count], strict=True):
            left += np.interp((places - x) / self._half[s], self._across, self._left[s])
        views = [View(found, False, found.shape, found.x, found.y, places, left)]
        if self._turned is not None:
            shape = self._turned[found.shape]
            x, y = length - found.x, self._width - found.y
            views.append(View(found, True, shape, x, y, places, left[-1] - left[::-1]))
        return views

    def _best_cut(self, first: View, second: View, at: FloatArray) -> Cut:
        """Return the most promising cut of those ``at`` places of the first.

        The second is cut where the area before the one and after the other is that of all items,
        whichever these are.
        """
        left = np.interp(at, first.places, first.left)
        other = np.interp(left, second.left, second.places)
        foreseen = at + second.found.length - other
        before = first.x[: self._count, None] < at
        after = second.x[: self._count, None] >= other
        times = before.astype(np.float64) + after - 1.0
        surplus = np.zeros((self._like.max() + 1, len(at)))
        np.add.at(surplus, self._like, times * self._area[:, None])
        misfit = 0.5 * np.abs(surplus).sum(axis=0) / self._area.sum()
        score = foreseen * (1.0 + MISFIT * misfit)
        k = int(np.argmin(score))
        return Cut(float(score[k]), float(foreseen[k]), float(at[k]), float(other[k]))

    def _joined(
        self, first: View, second: View, cut: Cut
    ) -> tuple[IntArray, FloatArray, FloatArray]:
        """Return shapes and places of all entries.

        What lies before the cut stays as it is in the first. In place of every other item stands
        one like it of the second, those nearest its end first.
        """
        count, like = self._count, self._like
        at, other_at = first.x[:count], second.x[:count] + (cut.at - cut.other)
        shape, x, y = first.shape.copy(), first.x.copy(), first.y.copy()
        for kind in range(like.max() + 1):
            own = np.flatnonzero(like == kind)
            rest = own[at[own] >= cut.at]
            taken = own[np.argsort(-other_at[own], kind="stable")][: len(rest)]
            shape[rest], x[rest], y[rest] = second.shape[taken], other_at[taken], second.y[taken]
        return shape, x, y


def half_turns(scaled: ScaledProblem) -> IntArray | None:
    """Return for each shape the one it becomes when a layout is turned end for end.

    None where an item may not be turned, and where obstacles or phases lie in the strip.
    """
    if len(scaled.shapes) > len(scaled.kinds):
        return None
    (image,) = images(scaled.polygons, [(-1, -1)])
    number = {(kind.polygon, kind.ground): s for s, kind in enumerate(scaled.kinds)}
    turned = [number.get((image[kind.polygon], kind.ground), -1) for kind in scaled.kinds]
    if not all(turned[s] in choices for choices in scaled.choices for s in choices):
        return None
    return np.array(turned, dtype=np.int64)


def _join(first: View, second: View, zone: int) -> Join:
    return first.found, first.turned, second.found, second.turned, zone


def _same_from_the_other_end(first: View, second: View, zone: int) -> Join:
    """Return the join that is this one turned, cut in much the same place."""
    return second.found, not second.turned, first.found, not first.turned, ZONES - 1 - zone
