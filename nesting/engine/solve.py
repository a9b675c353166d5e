"""Solve a placement problem: wiring of the engine's parts."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from importlib import metadata

from ..errors import NoLayoutError
from ..geometry.compiled import needs_compiling
from ..geometry.rings import as_points
from ..model.events import OnEvent, Progress
from ..model.problem import Item, PlacementProblem, Position, Shape
from ..model.result import Result
from ..model.stop import Stop
from .board import Board, Found
from .bounds import closed, proven_minimum
from .leftover import choose_leftover, empty_rectangle
from .parting import part_from_scratch
from .prepare import Prepared, prepare
from .prove import Prover
from .scaled import ScaledProblem, scale_problem
from .search import Search
from .separate import sweeps
from .tables import KnownPairs


def solve(
    problem: PlacementProblem,
    *,
    stop: Stop,
    seed: int = 0,
    workers: int = 1,
    start: Sequence[Position] | None = None,
    leftover: bool = True,
    known: KnownPairs | None = None,
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
    leftover
        False where only the length matters: the layout is then handed over as it was found.
    known
        No-fit polygons kept from one call to the next; they change no layout, only the time.
    on_event
        Is told of phases and improvements, from the workers' own threads.
    interrupted
        Asked often; the run ends with the best layout once it returns True.
    clock
        Seconds, never running backward.

    Returns
    -------
    Result
        The shortest layout found, its pieces moved so that they leave a large empty rectangle;
        that takes up to about a second, which no limit of ``stop`` counts. Ctrl-C ends the run
        like ``interrupted``.

    Raises
    ------
    ValueError
        If an item fits the strip in none of its shapes, or the start is not a layout.
    NoLayoutError
        If an item has no place in its domains, or no layout was found within the limits of
        ``stop``. On an empty strip without domains there always is one.
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
        stop, scale=scaled.scale, minimum=0.0, clock=clock, start=begun, on_event=on_event,
        interrupted=interrupted, positions=lambda f: scaled.positions(f.shape, f.x, f.y),
    )  # fmt: skip
    ready = prepare(scaled, board, workers=workers, start=start, known=known)
    if board.best is None and ready is not None:
        part_from_scratch(scaled, *ready, board, seed)
    if board.best is None:
        raise NoLayoutError(
            f"no layout was found in which all {scaled.count} items keep to their places",
            remedy="allow more time or more room",
        )
    # Where the run is over, only what costs no time.
    greatest = 0.0 if ready is None else board.best.length / scaled.scale
    board.raise_minimum(proven_minimum(problem, scaled=scaled, greatest=greatest))
    if ready is not None and not board.over():
        searches = [Search(scaled, *ready, board, seed, worker) for worker in range(workers)]
        prover = Prover(scaled, *ready, board, seed)
        _run_all([(prover, searches[0]), *((search,) for search in searches[1:])], board)
    best = _with_leftover(scaled, ready if leftover else None, board)
    board.tell("done")
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
        leftover=empty_rectangle(problem, layout, length),
        versions={name: metadata.version(name) for name in ("yardage", "numpy", "numba")},
    )


def _compile_kernels() -> None:
    """Run every kernel once on a small problem, so that compiling costs no solving time."""
    notched = as_points([[0, 0], [3, 0], [3, 1], [1, 1], [1, 3], [0, 3]])
    hole = as_points([[1, 1], [1, 2], [2, 2], [2, 1]])
    shapes = (Shape(notched), Shape(-notched), Shape(3 * notched, (0.5 * hole,)))
    items = (Item("a", (0, 1)), Item("b", (0, 1)), Item("c", (2,)), Item("d", (0,)))
    scaled = scale_problem(PlacementProblem(shapes, items, 9.0))
    proven_minimum(scaled.problem)
    board = Board(
        Stop(iterations=2), scale=scaled.scale, minimum=0.0, clock=time.monotonic, start=0.0,
        on_event=None, interrupted=None,
    )  # fmt: skip
    ready = prepare(scaled, board)
    assert ready is not None  # noqa: S101 - nothing interrupts it
    Search(scaled, *ready, board, 0, 0).run()
    _with_leftover(scaled, ready, board)


def _refuse_too_wide(problem: PlacementProblem) -> None:
    for item in problem.items:
        least = min(problem.shapes[s].box[3] - problem.shapes[s].box[1] for s in item.shapes)
        if not problem.holds_across(least):
            raise ValueError(f"{item.name}: is {least:g} wide, the strip {problem.width:g}")


def _with_leftover(scaled: ScaledProblem, ready: Prepared | None, board: Board) -> Found:
    """Return the best layout, rearranged for its leftover unless the run was broken off."""
    best = board.best
    assert best is not None  # noqa: S101 - solve() offers the first layout before anything else
    if ready is None or board.reason == "interrupted":
        return best
    try:
        return choose_leftover(scaled, *ready, best, stopped=board.asked_to_stop)
    except KeyboardInterrupt:
        board.interrupt()
        return best


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
