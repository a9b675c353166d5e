"""A layout at once: the pieces' boxes in rows across the strip."""

from __future__ import annotations

import numpy as np

from .board import Found
from .scaled import ScaledProblem


def shelves(scaled: ScaledProblem) -> Found:
    """Return a layout whose boxes stand in rows across the strip, one row behind the other.

    The longest pieces come first, each into the first row with room for it (first fit by falling
    length; Coffman, Garey, Johnson and Tarjan 1980). It needs nothing but the boxes, so there is
    something sound to show, and to keep, before anything is known of pairs of pieces. Every item
    needs a shape that fits the width.
    """
    half = np.array([shape.half for shape in scaled.shapes], dtype=np.float64)
    fitting = [[s for s in c if 2.0 * half[s, 1] <= scaled.width] for c in scaled.choices]
    shape = np.array(
        [min(c, key=lambda s: (half[s].prod(), half[s, 0])) for c in fitting], dtype=np.int64
    )
    x, y = np.empty(len(shape)), np.empty(len(shape))
    rows: list[tuple[float, float]] = []  # where each begins, and how much of the width it takes
    length = 0.0
    for i in np.argsort(-half[shape, 0], kind="stable"):
        across, along = 2.0 * half[shape[i], 1], 2.0 * half[shape[i], 0]
        row = next(
            (r for r, (_, taken) in enumerate(rows) if taken + across <= scaled.width), len(rows)
        )
        if row == len(rows):
            rows.append((length, 0.0))
            length += along
        begin, taken = rows[row]
        x[i], y[i] = begin + 0.5 * along, taken + 0.5 * across
        rows[row] = begin, taken + across
    return Found(length, *scaled.entries(shape, np.column_stack([x, y])))
