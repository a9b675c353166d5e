"""The best checked layout of a run, kept while the run goes on."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from .model.breadths import with_breadths
from .model.events import Progress
from .model.layout import Joining, Lay, Layout, SolverRun
from .model.plan import Plan
from .model.problem import PlacementProblem, Position
from .model.result import Result
from .model.resume import Resume, Start, fingerprint
from .verify.check import check_layout

Keep = Callable[[Layout], object]
"""Called with every layout worth keeping, from a thread of its own."""

AsLays = Callable[[Result], tuple[Lay, ...]]
"""Turns what was found of a placement problem into the lays of its cloth."""

PAUSE = 2.0
"""Seconds at least between two layouts kept."""


class Keeper:
    """Gathers what a run finds and hands over the best layout so far; a context manager.

    What is handed over has passed the independent check. It holds the cloths laid so far; a
    warning names those still to be laid. It also holds the best positions of every placement
    problem solved, so that another run goes on where this one was cut off.

    Parameters
    ----------
    keep
        Takes the layouts, the first after ``pause`` seconds, then at most one in as long; None
        where nothing is kept.
    plan
        The plan as it was read.
    before
        Layouts of the same plan to go on from.
    """

    def __init__(
        self, keep: Keep | None, plan: Plan, before: Iterable[Layout] = (), *, pause: float = PAUSE
    ) -> None:
        self._keep = keep
        self._pause = pause
        self._mark = fingerprint(plan)
        self._starts: dict[str, Start] = {}
        self._lays: dict[str, tuple[Lay, ...]] = {}
        self._newest: dict[str, dict[str, Callable[[], tuple[Lay, ...]]]] = {}
        self._laid: set[str] = set()
        self._blank: Layout | None = None
        self._plan = plan
        self._lock = threading.Lock()
        self._news, self._over = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._work, daemon=True)
        self.failure: Exception | None = None
        for layout in before:
            for start in () if layout.resume is None else layout.resume.starts:
                self._add(start)
        self._given = set(self._starts)

    def __enter__(self) -> Keeper:
        """Begin to hand over layouts, where someone takes them."""
        if self._keep is not None:
            self._thread.start()
        return self

    def __exit__(self, *_error: object) -> None:
        """End once the layout in hand has been handed over."""
        self._over.set()
        self._news.set()
        if self._thread.is_alive():
            self._thread.join()

    @property
    def resume(self) -> Resume:
        """What another run needs to go on from here."""
        with self._lock:
            return Resume(self._mark, tuple(self._starts.values()))

    def begin(self, plan: Plan, joinings: Sequence[Joining], solver: SolverRun) -> None:
        """Take note of the plan that is laid, its cloths chosen, and how its pieces are joined."""
        self._plan = plan
        self._blank = Layout(plan.title, plan.units, (), (), solver, tuple(joinings))

    def start(self, mark: str, problem: PlacementProblem) -> tuple[Position, ...] | None:
        """Return the best positions known for a problem that is free or was solved before."""
        with self._lock:
            known = self._starts.get(mark)
            usable = problem.is_free or mark in self._given
            return known.positions if known is not None and usable else None

    def forget(self, mark: str) -> bool:
        """Drop positions given from before that have proved to be none; tell whether any were."""
        with self._lock:
            given = mark in self._given
            if given:
                self._given.discard(mark)
                self._starts.pop(mark, None)
            return given

    def found(self, mark: str, length: float, positions: tuple[Position, ...]) -> None:
        """Take the positions found for a placement problem, if they are the best so far."""
        self._add(Start(mark, length, positions))

    def improved(
        self, cloth: str, mark: str, problem: PlacementProblem, step: Progress, as_lays: AsLays
    ) -> None:
        """Take a shorter layout of a placement problem of the cloth that is being laid."""

        def lays() -> tuple[Lay, ...]:
            return as_lays(_unfinished(problem, step))

        with self._lock:
            # Made into lays by the keeper's own thread, and only the last of each problem.
            self._newest.setdefault(cloth, {})[mark] = lays
        self._news.set()

    def laid(self, lays: Sequence[Lay]) -> None:
        """Take a cloth's lays as they will stay."""
        cloth = lays[0].cloth
        with self._lock:
            self._lays[cloth] = tuple(lays)
            self._laid.add(cloth)
            self._newest.pop(cloth, None)
        self._news.set()

    def _add(self, start: Start) -> None:
        with self._lock:
            known = self._starts.get(start.problem)
            if known is None or start.length < known.length:
                self._starts[start.problem] = start
        self._news.set()

    def _work(self) -> None:
        try:
            while not self._over.wait(self._pause) and self._news.wait():
                self._news.clear()
                if not self._over.is_set():
                    self._hand_over()
        except Exception as error:
            self.failure = error

    def _best_lays(self) -> dict[str, tuple[Lay, ...]]:
        """Return the best lays so far of every cloth that has any."""
        with self._lock:
            newest, self._newest = self._newest, {}
        for cloth, made in newest.items():
            tries = [lays() for lays in made.values()]
            with self._lock:
                if cloth not in self._laid:
                    known = [self._lays[cloth]] if cloth in self._lays else []
                    self._lays[cloth] = min((*known, *tries), key=_worth)
        with self._lock:
            return dict(self._lays)

    def _hand_over(self) -> None:
        """Hand over the layout as it is now, if there is one and the check finds nothing."""
        lays = self._best_lays()
        if self._blank is None or self._keep is None or not lays:
            return
        plan = _only(self._plan, set(lays))
        names = {piece.name for piece in plan.pieces}
        missing = [c.name for c in self._plan.cloths if self._plan.pieces_on(c.name)]
        missing = [name for name in missing if name not in lays]
        warnings = ["kept while the search was going on: a longer run may shorten it"]
        if missing:
            warnings.append(f"not yet laid: {', '.join(missing)}")
        layout = replace(
            self._blank,
            lays=tuple(lay for cloth in plan.cloths for lay in lays.get(cloth.name, ())),
            joinings=tuple(j for j in self._blank.joinings if j.piece in names),
            warnings=tuple(warnings),
            resume=self.resume,
        )
        if not check_layout(plan, layout):
            self._keep(layout)


def best_of(plan: Plan, new: Layout, before: Iterable[Layout]) -> Layout:
    """Return the layout that costs least, then buys least, then is shortest; ``new`` on a tie.

    An earlier layout counts only where the independent check finds nothing in it.
    """
    whole = with_breadths(plan)
    sound = (old for old in before if old.lays and not check_layout(whole, old))
    return min((new, *sound), key=lambda layout: _worth(layout.lays))


def _worth(lays: Sequence[Lay]) -> tuple[float, ...]:
    """Return a key that sorts lays, the best first."""
    return (
        sum(lay.status == "does not fit" for lay in lays),
        round(sum(lay.buy.cost or 0.0 for lay in lays), 6),
        round(sum(lay.buy.length for lay in lays), 6),
        sum(lay.length for lay in lays),
    )


def _only(plan: Plan, cloths: set[str]) -> Plan:
    """Return the part of a plan that is cut from some of its cloths."""
    pieces = tuple(piece for piece in plan.pieces if piece.cloth in cloths)
    names = {piece.name for piece in pieces}
    return replace(
        plan,
        pieces=pieces,
        matches=tuple(m for m in plan.matches if all(name in names for name, _ in m.points)),
        breadths=tuple(breadths for breadths in plan.breadths if breadths.cloth in cloths),
    )


def _unfinished(problem: PlacementProblem, step: Progress) -> Result:
    """Return what a step tells as if the run had ended with it."""
    length = step.length or 0.0
    return Result(
        problem=problem,
        layout=step.layout,
        status="found",
        length=length,
        minimum=min(step.minimum or 0.0, length),
        seed=0,
        seconds=step.seconds,
        iterations=step.iterations,
        stop_reason="interrupted",
    )
