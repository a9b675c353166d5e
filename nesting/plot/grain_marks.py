"""How far both ends of every grain line lie from the near selvage, written beside its arrow."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry.base import BaseGeometry

from ..model.layout import Placement
from ..units import tape_number
from .cloth import Window
from .fit import Label
from .pieces import seen_part

Points = npt.NDArray[np.float64]

_SIZE = 5.0  # points
_STRAIGHT = 0.05  # mm by which distances may differ and still be told as one


def grain_distances(
    placement: Placement, width: float, *, wrong_side: bool
) -> tuple[float, float]:
    """Return how far the first and the second end of a grain line lie from the near selvage.

    ``width`` is the usable width; seen from the wrong side the near selvage lies at it.
    """
    (_, first), (_, second) = placement.grain
    return (width - first, width - second) if wrong_side else (first, second)


def grain_labels(
    placement: Placement,
    told: tuple[str, str],
    window: Window,
    mm_per_point: float,
) -> Iterator[Label]:
    """Yield a label (in points) for each end of the grain line that has room beside it."""
    seen = seen_part(placement, window, 1.0 / mm_per_point)
    if seen.is_empty:
        return
    shapely.prepare(seen)
    ends = np.array(placement.grain) / mm_per_point
    along = ends[1] - ends[0]
    length = float(np.hypot(*along))
    if length < 24.0:
        return
    along /= length
    aside = np.array([-along[1], along[0]])
    for end, inward, words in ((ends[0], along, told[0]), (ends[1], -along, told[1])):
        label = _beside(seen, end, inward, aside, words)
        if label is not None:
            yield label


def told_distances(distances: tuple[float, float], units: str) -> tuple[str, str]:
    """Return both distances as read on the tape."""
    first, second = distances
    if abs(first - second) < _STRAIGHT:
        second = first
    return tape_number(first, units), tape_number(second, units)


def _beside(
    seen: BaseGeometry,
    end: Points,
    inward: Points,
    aside: Points,
    words: str,
) -> Label | None:
    for back in (7.0, 12.0, 18.0):
        for side in (1.0, -1.0):
            plain = Label(0.0, 0.0, 0.0, _SIZE, (words,))
            low_x, low_y, high_x, high_y = plain.box.bounds
            reach = abs(aside[0]) * (high_x - low_x) / 2 + abs(aside[1]) * (high_y - low_y) / 2
            x, y = end + back * inward + side * (reach + 0.5) * aside
            label = Label(float(x), float(y), 0.0, _SIZE, (words,))
            if seen.covers(label.box):
                return label
    return None
