"""All candidates side by side: who is solved when, for how long, and where."""

from __future__ import annotations

import multiprocessing
import signal
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from decimal import Decimal
from importlib import metadata
from multiprocessing.synchronize import Event
from typing import ParamSpec, TypeVar

from ..engine.solve import solve
from ..geometry.rings import as_points
from ..model.comparison import ComparedRow, Comparison
from ..model.events import OnEvent
from ..model.plan import Plan
from ..model.problem import Item, PlacementProblem, Shape
from ..model.stop import Stop
from ..units import length_text
from .across import settle_across
from .candidates import Candidate, candidates, layers_of
from .one import compare_one, halt_when
from .settle import settle

_LEAST_SECONDS = 5.0  # for a whole comparison
_LEAST_SHARE = 0.6  # seconds: below that a candidate gets its first layouts only
_FAIR_SECONDS = 0.6  # of one processor for each piece: twelve for a candidate of twenty
_NEVER_LESS = 0.5  # of a fair share: a busy computer makes the run longer, not the last rows worse
_BETWEEN_LOOKS = 0.2  # seconds between two looks at whether to stop

P = ParamSpec("P")
T = TypeVar("T")


def compare(
    plan: Plan,
    *,
    stop: Stop,
    widths: Iterable[float] = (),
    seed: int = 0,
    workers: int = 1,
    executor: Executor | None = None,
    on_row: Callable[[ComparedRow], None] | None = None,
    on_event: OnEvent | None = None,
    interrupted: Callable[[], bool] | None = None,
) -> Comparison:
    """Lay every layer of a garment on every cloth and width it may be cut from.

    Parameters
    ----------
    plan
        As :func:`nesting.readers.plan.read_plan` gives it; its layers name the alternatives.
    stop
        ``seconds`` are for the whole comparison, shared by the number of pieces; the other
        limits hold for each run of the solver.
    widths
        Further widths, mm from edge to edge, for every cloth still to be bought.
    workers
        Candidates solved at the same time.
    executor
        Where they are solved; processes of this computer unless another is given. Its functions
        are called with picklable arguments only.
    on_row
        Told of each candidate as it is finished.
    on_event
        Told when the solver is fitted to this computer first, which no limit counts.
    interrupted
        Asked now and then; once it says True the finished candidates are kept and no more begun.

    Returns
    -------
    Comparison
        Each candidate exactly once, among the rows or the unfinished. Every layout behind it
        has passed the independent check.

    Raises
    ------
    InputError
        If a piece cannot be made ready to cut; before anything is solved. A piece too wide for a
        cloth is told in that cloth's row.
    """
    everything = candidates(plan, widths)
    layers = tuple(layer.name for layer in layers_of(plan))
    if executor is None:
        _make_ready(on_event)
    began = time.monotonic()
    copies = sum(one.copies for one in everything)
    run = _Run(deque(everything), stop, seed, workers, began, copies)
    asked = interrupted or (lambda: False)
    with _pool(executor, workers) as (pool, halt):
        rows: list[ComparedRow] = []
        for row in run.rows(pool, asked):
            rows.append(row)
            if on_row is not None:
                on_row(row)
        halt()
    done = {row.number for row in rows}
    by_number = {one.number: one for one in everything}
    settled = settle_across(settle(rows, by_number), by_number)
    return Comparison(
        title=plan.title,
        units=plan.units,
        rows=tuple(sorted(settled, key=_order(layers))),
        layers=layers,
        seed=seed,
        seconds=time.monotonic() - began,
        version=metadata.version("yardage"),
        unfinished=tuple(_named(c, plan.units) for c in everything if c.number not in done),
    )


def fair_seconds(plan: Plan, widths: Iterable[float] = (), workers: int = 1) -> float:
    """Return the seconds a comparison needs to be worth having, by its pieces and processors.

    Ten candidates of twenty pieces take a minute on two processors.
    """
    copies = sum(one.copies for one in candidates(plan, widths))
    return max(_LEAST_SECONDS, _FAIR_SECONDS * copies / workers)


@dataclass(slots=True)
class _Run:
    """One comparison: what waits, what runs, and how much time there is for each."""

    waiting: deque[Candidate]
    stop: Stop
    seed: int
    slots: int
    began: float
    copies: int
    running: dict[Future[ComparedRow], tuple[Candidate, float]] = field(default_factory=dict)

    def rows(self, pool: Executor, asked: Callable[[], bool]) -> Iterator[ComparedRow]:
        """Yield each candidate's row as it is finished, until all are or a stop is asked."""
        while (self.waiting or self.running) and not asked():
            while self.waiting and len(self.running) < self.slots and not asked():
                self._begin(pool)
            done, _ = wait(self.running, timeout=_BETWEEN_LOOKS, return_when=FIRST_COMPLETED)
            for future in done:
                del self.running[future]
                row = future.result()
                if not row.early:
                    yield row
        for future in self.running:
            future.cancel()

    def _begin(self, pool: Executor) -> None:
        share = self._share()
        candidate = self.waiting.popleft()
        stop = self.stop if share is None else replace(self.stop, seconds=share)
        future = pool.submit(compare_one, candidate, stop, self.seed)
        self.running[future] = (candidate, time.monotonic() + (share or 0.0))

    def _share(self) -> float | None:
        """Return the seconds for the next candidate, by its share of the pieces still to lay."""
        if self.stop.seconds is None:
            return None
        now = time.monotonic()
        left = self.began + self.stop.seconds - now
        promised = sum(max(0.0, end - now) for _, end in self.running.values())
        free = max(0.0, left * self.slots - promised)
        share = free * self.waiting[0].copies / sum(one.copies for one in self.waiting)
        fair = self.stop.seconds * self.slots * self.waiting[0].copies / self.copies
        return max(_LEAST_SHARE, min(share, left), _NEVER_LESS * min(fair, self.stop.seconds))


def _make_ready(on_event: OnEvent | None) -> None:
    """Have the solver compiled once here, rather than in every process at the same time."""
    square = Shape(as_points([[0, 0], [1, 0], [1, 1], [0, 1]]))
    problem = PlacementProblem((square,), (Item("square", (0,)),), 1.0)
    solve(problem, stop=Stop(iterations=1), on_event=on_event)


def _order(layers: Sequence[str]) -> Callable[[ComparedRow], tuple[object, ...]]:
    """Return the key by which rows stand: layer, fit, price known, cost, length."""

    def key(row: ComparedRow) -> tuple[object, ...]:
        cost = Decimal(0) if row.cost is None else row.cost
        unknown = row.cost is None
        return layers.index(row.layer), not row.fits, unknown, cost, row.buy_length, row.number

    return key


def _named(candidate: Candidate, units: str) -> str:
    return f"{candidate.cloth.name}, {length_text(candidate.cloth.width, units)} wide"


class _InThisProcess(Executor):
    """Does what is submitted at once, in this process."""

    def submit(self, fn: Callable[P, T], /, *args: P.args, **kwargs: P.kwargs) -> Future[T]:
        """Call the function and return its finished future."""
        future: Future[T] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:  # handed over with the future, as every executor does
            future.set_exception(error)
        return future


@contextmanager
def _pool(
    executor: Executor | None, workers: int
) -> Iterator[tuple[Executor, Callable[[], None]]]:
    """Give where candidates are solved, and a function that ends what still runs there."""
    if executor is not None or workers == 1:
        yield executor or _InThisProcess(), lambda: None
        return
    # A fresh process each: forking one that has threads may leave locks held for ever.
    context = multiprocessing.get_context("spawn")
    halt = context.Event()
    pool = ProcessPoolExecutor(workers, context, _begin_process, (halt,))
    try:
        yield pool, halt.set
    finally:
        halt.set()
        pool.shutdown(wait=True, cancel_futures=True)


def _begin_process(halt: Event) -> None:
    """Leave Ctrl-C to the parent, which keeps what is finished."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    halt_when(halt.is_set)
