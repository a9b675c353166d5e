"""The changing state of one search: where everything lies, and how pairs are weighted."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..geometry.compiled import inner_kernel, lent
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Found
from .columns import Columns, lent_columns, make_columns
from .scaled import ScaledProblem
from .tables import PairTables


class Lay(NamedTuple):
    """Where each entry of a layout lies and how pairs are weighted.

    ``choice_start`` and ``choices`` list the shapes item i may take; ``shape``, ``x`` and ``y``
    say where the centre of an entry lies: items first, then what never moves by itself
    (``ScaledProblem``); ``size[i, j]`` scales a pair's depth by the pair's size;
    ``weight[i, j]`` is the guiding weight, at least 1. ``columns`` tell which
    items lie near a place. ``pull``, ``near`` and ``order`` are workspace.
    """

    choice_start: IntArray
    choices: IntArray
    shape: IntArray
    x: FloatArray
    y: FloatArray
    size: FloatArray
    weight: FloatArray
    pull: FloatArray
    near: IntArray
    order: IntArray
    columns: Columns


@inner_kernel
def lent_lay(lay: Lay) -> Lay:
    """Return a lay of the same arrays, lent."""
    return Lay(
        lent(lay.choice_start),
        lent(lay.choices),
        lent(lay.shape),
        lent(lay.x),
        lent(lay.y),
        lent(lay.size),
        lent(lay.weight),
        lent(lay.pull),
        lent(lay.near),
        lent(lay.order),
        lent_columns(lay.columns),
    )


def new_lay(scaled: ScaledProblem, tables: PairTables, found: Found | None = None) -> Lay:
    """Return the state of a search that begins with a layout; with everything at 0 without one.

    All weights and sizes are 1.
    """
    count = scaled.count
    if found is None:
        shape, x, y = scaled.entries([c[0] for c in scaled.choices], np.zeros((count, 2)))
    else:
        shape, x, y = found.shape.copy(), found.x.copy(), found.y.copy()
    n = len(shape)
    choice_start, choices = choice_arrays(scaled)
    return Lay(
        choice_start=choice_start,
        choices=choices,
        shape=shape,
        x=x,
        y=y,
        size=np.ones((n, n)),
        weight=np.ones((n, n)),
        pull=np.zeros(n),
        near=np.zeros(n, dtype=np.int64),
        order=np.zeros(n, dtype=np.int64),
        columns=make_columns(entry_areas(scaled), 2.0 * float(tables.half[:, 0].max())),
    )


def entry_areas(scaled: ScaledProblem) -> FloatArray:
    """Return what area each entry of a layout counts for: of an item its first choice's.

    Obstacles count as much as the largest item, so that an overlap is judged by the item's size.
    """
    own = [scaled.shapes[c[0]].area for c in scaled.choices]
    others = len(scaled.fixed) + len(scaled.problem.phases)
    return np.array(own + [max(own)] * others)


def choice_arrays(scaled: ScaledProblem) -> tuple[IntArray, IntArray]:
    """Return the shapes each item may take, flat: starts and shapes."""
    start = np.cumsum([0] + [len(c) for c in scaled.choices]).astype(np.int64)
    return start, np.concatenate([np.array(c, dtype=np.int64) for c in scaled.choices])
