"""All that comes before the search: tables of pairs, and the layout to begin with."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from ..model.problem import Position
from .board import Board, Found, RunOverError
from .construct import fills
from .places import settle
from .polish import Parts, flatten_parts, layout_length, polish
from .scaled import ScaledProblem
from .search import HAIR
from .separate import deepest_overlap
from .shelves import shelves
from .tables import KnownPairs, PairTables, build_tables


class Prepared(NamedTuple):
    """What the searches work with, the same for all of them."""

    tables: PairTables
    parts: Parts


def prepare(
    scaled: ScaledProblem,
    board: Board,
    *,
    workers: int = 1,
    start: Sequence[Position] | None = None,
    known: KnownPairs | None = None,
) -> Prepared | None:
    """Work out the tables and offer ever better layouts to begin with.

    First come boxes in rows, at once, unless something may not lie just anywhere; then, once
    there are tables, bottom-left fills, and the best of them polished. A given start is polished
    and offered instead. The board stays empty where no fill finds a place for everything.

    Parameters
    ----------
    workers
        Threads.
    start
        A layout free of overlap. Nothing can be kept before it has been examined, so the board
        is not asked until then.
    known
        No-fit polygons kept from problem to problem.

    Returns
    -------
    Prepared or None
        None where the run is over before the search can begin, by the board or by Ctrl-C; on an
        empty strip there is a layout on the board all the same.

    Raises
    ------
    ValueError
        If the start is not a layout.
    """
    try:
        if start is not None:
            ready = Prepared(
                build_tables(scaled, workers=workers, known=known), flatten_parts(scaled)
            )
            found = _given(scaled, ready.tables, start)
            board.offer(_polished(scaled, ready, found), "first")
            return ready
        if scaled.problem.is_free:
            board.offer(shelves(scaled), "preparing")
        ready = Prepared(
            build_tables(scaled, workers=workers, look=board.look, known=known),
            flatten_parts(scaled),
        )
        best: Found | None = None
        for found in fills(scaled, ready.tables, board.look):
            board.offer(found, "first")
            best = found if best is None or found.length < best.length else best
        board.look()
        if best is not None:
            board.offer(_polished(scaled, ready, best), "first")
        return ready
    except RunOverError:
        return None
    except KeyboardInterrupt:
        if board.best is None:
            raise
        board.interrupt()
        return None


def _polished(scaled: ScaledProblem, ready: Prepared, found: Found) -> Found:
    """Return the layout compacted by linear programming, where that makes it shorter."""
    x, y = found.x.copy(), found.y.copy()
    reached = polish(scaled, ready.tables, ready.parts, found.shape, x, y, rounds=2)
    if reached is not None and reached < found.length:
        return Found(reached, found.shape, x, y)
    return found


def _given(scaled: ScaledProblem, tables: PairTables, start: Sequence[Position]) -> Found:
    """Return a given start on integers, once it has proved to be a layout."""
    if len(start) != len(scaled.choices):
        raise ValueError("the start needs one position per item")
    shape, x, y = scaled.centres(tuple(start))
    _refuse_unsound(scaled, tables, shape, x, y)
    return Found(layout_length(tables, scaled.count, shape, x), shape, x, y)


def _refuse_unsound(
    scaled: ScaledProblem, tables: PairTables, shape: IntArray, x: FloatArray, y: FloatArray
) -> None:
    """Refuse a start that overlaps or lies where it may not: it would count as a layout."""
    slack = HAIR * scaled.width
    near_x, near_y = x.copy(), y.copy()
    settle(tables, scaled.count, shape, near_x, near_y, np.inf)
    moved = max(np.abs(near_x - x).max(), np.abs(near_y - y).max())
    if moved > slack or deepest_overlap(tables, shape, x, y) > slack:
        raise ValueError("the start is not a layout: items overlap or lie where they may not")
