"""Solve a placement problem: wiring of the engine's parts."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from importlib import metadata

import numpy as np

from ..geometry.compiled import needs_compiling
from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray, as_points
from ..model.events import OnEvent, Progress
from ..model.problem import Item, PlacementProblem, Position, Shape
from ..model.result import Result
from ..model.stop import Stop
from .board import Board, Found
from .bounds import closed, proven_minimum
from .construct import first_layout
from .polish import Parts, flatten_parts, polish
from .prove import Prover
from .scaled import ScaledProblem, scale_problem
from .search import HAIR, Search, choice_arrays
from .separate import deepest_overlap, sweeps
from .tables import PairTables, build_tables


def solve(
    problem: PlacementProblem,
    *,
    stop: Stop,
    seed: int = 0,
    workers: int = 1,
    start: Sequence[Position] | None = None,
    on_event: OnEvent | None = None,
    interrupted: Callable[[], bool] | None = None,
    clock: Callable[[], float] = time.monotonic,
) -> Result:
    """Find a short layout of a placement problem.

    Parameters
    ----------
    problem
        What to place.
    stop
        When to be content. The clock starts on entering this function, or after the kernels are
        compiled, which happens once after installing.
    seed
        With ``workers=1`` and no time limit, the same seed gives the same layout.
    workers
        Searches run side by side in threads, sharing the best layout.
    start
        A layout to improve, free of overlap; by default one is constructed.
    on_event
        Is told of phases and improvements, from the workers' own threads.
    interrupted
        Asked often; the run ends with the best layout once it returns True.
    clock
        Seconds, never running backward.

    Returns
    -------
    Result
        The best layout found. Ctrl-C ends the run like ``interrupted``.

    Raises
    ------
    ValueError
        If an item fits the strip in none of its shapes, or the start is not a layout.
    """
    _refuse_too_wide(problem)
    if needs_compiling(sweeps):
        if on_event is not None:
            on_event(Progress("compiling", 0.0))
        _compile_kernels()
    begun = clock()
    if on_event is not None:
        on_event(Progress("preparing", 0.0))
    scaled = scale_problem(problem)
    board = Board(
        stop, scale=scaled.scale, minimum=0.0, clock=clock, start=begun,
        on_event=on_event, interrupted=interrupted,
    )  # fmt: skip
    tables = build_tables(scaled)
    parts = flatten_parts(scaled)
    board.offer(_first(scaled, tables, parts, start), "first")
    assert board.best is not None  # noqa: S101 - just offered
    first = board.best.length / scaled.scale
    board.raise_minimum(proven_minimum(problem, scaled=scaled, greatest=first))
    searches = [Search(scaled, tables, parts, board, seed, worker) for worker in range(workers)]
    if not board.over():
        prover = Prover(scaled, parts, board, seed)
        _run_all([(prover, searches[0]), *((search,) for search in searches[1:])], board)
    board.tell("done")
    best = board.best
    assert best is not None  # noqa: S101 - the first layout was offered above
    layout = scaled.positions(best.shape, best.x, best.y)
    length = _extent(problem, layout)
    minimum = board.minimum
    return Result(
        problem=problem,
        layout=layout,
        status="proven best" if closed(length, minimum) else "found",
        length=length,
        minimum=min(minimum, length),
        seed=seed,
        seconds=board.seconds,
        iterations=board.iterations,
        stop_reason=board.reason or "no gain",
        history=tuple(board.history),
        versions={name: metadata.version(name) for name in ("yardage", "numpy", "numba")},
    )


def _compile_kernels() -> None:
    """Run every kernel once on a small problem, so that compiling costs no solving time."""
    notched = as_points([[0, 0], [3, 0], [3, 1], [1, 1], [1, 3], [0, 3]])
    hole = as_points([[1, 1], [1, 2], [2, 2], [2, 1]])
    shapes = (Shape(notched), Shape(-notched), Shape(3 * notched, (0.5 * hole,)))
    items = (Item("a", (0, 1)), Item("b", (0, 1)), Item("c", (2,)), Item("d", (0,)))
    scaled = scale_problem(PlacementProblem(shapes, items, 9.0))
    tables, parts = build_tables(scaled), flatten_parts(scaled)
    proven_minimum(scaled.problem)
    board = Board(
        Stop(iterations=2), scale=scaled.scale, minimum=0.0, clock=time.monotonic, start=0.0,
        on_event=None, interrupted=None,
    )  # fmt: skip
    board.offer(_first(scaled, tables, parts, None), "first")
    Search(scaled, tables, parts, board, 0, 0).run()


def _refuse_too_wide(problem: PlacementProblem) -> None:
    for item in problem.items:
        least = min(problem.shapes[s].box[3] - problem.shapes[s].box[1] for s in item.shapes)
        if least > problem.width * (1.0 + 1e-9):
            raise ValueError(f"{item.name}: is {least:g} wide, the strip {problem.width:g}")


def _first(
    scaled: ScaledProblem,
    tables: PairTables,
    parts: Parts,
    start: Sequence[Position] | None,
) -> Found:
    """Return the layout to begin with: the given one, or the best bottom-left fill, polished."""
    if start is not None:
        if len(start) != len(scaled.choices):
            raise ValueError("the start needs one position per item")
        shape, x, y = scaled.centres(tuple(start))
        _refuse_unsound(scaled, tables, shape, x, y)
        length = float((x + tables.half[shape, 0]).max())
    else:
        choice_start, choices = choice_arrays(scaled)
        length, shape, x, y = first_layout(scaled, tables, choice_start, choices)
    found = Found(length, shape.copy(), x.copy(), y.copy())
    reached = polish(scaled, parts, shape, x, y, rounds=2)
    if reached is not None and reached < length:
        return Found(reached, shape, x, y)
    return found


def _refuse_unsound(
    scaled: ScaledProblem, tables: PairTables, shape: IntArray, x: FloatArray, y: FloatArray
) -> None:
    """Refuse a start that overlaps or leaves the strip, since it would count as a layout."""
    slack = HAIR * scaled.width
    half = tables.half[shape]
    if (
        (x < half[:, 0] - slack).any()
        or (np.abs(y - 0.5 * scaled.width) > 0.5 * scaled.width - half[:, 1] + slack).any()
        or deepest_overlap(tables, shape, x, y) > slack
    ):
        raise ValueError("the start is not a layout: items overlap or leave the strip")


def _run_all(workers: Sequence[tuple[Search | Prover, ...]], board: Board) -> None:
    """Run every worker in a thread; end them all, and pass on the first failure, if one fails."""
    failures: list[BaseException] = []

    def work(*turns: Search | Prover) -> None:
        try:
            for turn in turns:
                turn.run()
        except BaseException as error:  # handed to the caller below
            failures.append(error)
            board.interrupt()

    threads = [threading.Thread(target=work, args=w, daemon=True) for w in workers]
    for thread in threads:
        thread.start()
    waiting = True
    while waiting:
        try:
            # Short waits, so that Ctrl-C reaches this thread on every system.
            for thread in threads:
                while thread.is_alive():
                    thread.join(0.1)
            waiting = False
        except KeyboardInterrupt:
            board.interrupt()
    if failures:
        raise failures[0]


def _extent(problem: PlacementProblem, layout: tuple[Position, ...]) -> float:
    return max(problem.shapes[p.shape].box[2] + p.x for p in layout)
