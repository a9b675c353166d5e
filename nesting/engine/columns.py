"""Items sorted along the strip, so that a place is asked only of those that lie near it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..geometry.compiled import inner_kernel, kernel, lent
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray

FEW = 30
"""Items that lie in one column: to ask them all costs less than to choose."""

PER_COLUMN = 8
"""Items to a column where they are more."""


class Columns(NamedTuple):
    """Items by the column of the strip that holds their centre.

    Column c holds ``by_size[start[c] : start[c + 1]]``, large items first since they rule a
    place out soonest, and the same items in ``by_index``, in rising order. ``largest`` lists all
    items by falling area. ``span`` holds the columns to a unit of length and half the length of
    the longest shape. ``column`` and ``filled`` are workspace.
    """

    start: IntArray
    by_size: IntArray
    by_index: IntArray
    largest: IntArray
    span: FloatArray
    column: IntArray
    filled: IntArray


@inner_kernel
def lent_columns(columns: Columns) -> Columns:
    """Return columns of the same arrays, lent."""
    return Columns(
        lent(columns.start),
        lent(columns.by_size),
        lent(columns.by_index),
        lent(columns.largest),
        lent(columns.span),
        lent(columns.column),
        lent(columns.filled),
    )


def make_columns(area: FloatArray, longest: float) -> Columns:
    """Return columns for items of given areas, the longest shape being that long; all empty."""
    n = len(area)
    count = 1 if n <= FEW else n // PER_COLUMN
    return Columns(
        start=np.zeros(count + 1, dtype=np.int64),
        by_size=np.zeros(n, dtype=np.int64),
        by_index=np.zeros(n, dtype=np.int64),
        largest=np.argsort(-area, kind="stable").astype(np.int64),
        span=np.array([0.0, 0.5 * longest]),
        column=np.zeros(n, dtype=np.int64),
        filled=np.zeros(count, dtype=np.int64),
    )


@kernel
def sort_items(columns: Columns, x: FloatArray, length: float, left_out: int) -> None:
    """Sort all items but one, or none (-1), into columns by their present centres."""
    start, filled, column = columns.start, columns.filled, columns.column
    last = len(filled) - 1
    columns.span[0] = len(filled) / length
    start[:] = 0
    for j in range(len(x)):
        if j != left_out:
            column[j] = min(last, max(0, int(x[j] * columns.span[0])))
            start[column[j] + 1] += 1
    for c in range(len(filled)):
        start[c + 1] += start[c]
    filled[:] = start[:-1]
    for j in columns.largest:
        if j != left_out:
            columns.by_size[filled[column[j]]] = j
            filled[column[j]] += 1
    filled[:] = start[:-1]
    for j in range(len(x)):
        if j != left_out:
            columns.by_index[filled[column[j]]] = j
            filled[column[j]] += 1


@kernel
def column_range(start: IntArray, span: FloatArray, x: float, reach: float) -> tuple[int, int]:
    """Return from where to where the lists hold every item that comes within reach of x.

    ``start`` and ``span`` are those of the columns.
    """
    last = len(start) - 2
    if last == 0:
        return 0, start[1]
    reach += span[1]
    low = min(last, max(0, int((x - reach) * span[0])))
    high = min(last, max(0, int((x + reach) * span[0])))
    return start[low], start[high + 1]
