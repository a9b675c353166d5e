"""Laying one cloth on its folds: every way is tried, the shortest gets the time that is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from .model.layout import Lay
from .model.problem import Position
from .model.result import Result
from .model.stop import Stop
from .rules.compile import CompiledLay
from .rules.fold_choice import AMONG_EQUALS, explained, folded_lays, never_folded
from .rules.fold_compile import FoldedLay
from .rules.fold_layout import folded_lay_from
from .rules.to_layout import lay_from
from .tolerances import LENGTH_REPORT

Solver = Callable[[CompiledLay, Stop, "tuple[Position, ...] | None"], Result]
"""Solves a compiled stretch: when to stop, and a layout to improve."""

_TRIALS = 0.5
"""Share of the time in which every way is tried; the best one gets the rest."""

_LEAST_SECONDS = 0.1


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    """One way to lay the cloth, and what came of it."""

    job: FoldedLay | CompiledLay
    results: tuple[Result, ...]
    lay: Lay


def lay_on_folds(
    opened: CompiledLay, stop: Stop, solve: Solver, proven: float
) -> tuple[Lay, Result]:
    """Return the shortest lay among the folds that the plan allows for a cloth.

    Parameters
    ----------
    opened
        The cloth laid open.
    stop
        ``seconds`` are for all ways together, other limits for each problem solved.
    solve
        The engine, with all that is not of this cloth filled in.
    proven
        A length that every open lay has at least, millimetres; every folded one has it too.

    Returns
    -------
    Lay, Result
        The lay, with remarks on the lengths of the others, and how the search ended. With the
        fold "best" the cloth laid open counts among the ways; lays of one length are taken in
        the order of ``AMONG_EQUALS``.
    """
    run = _Folds(solve, proven)
    jobs: list[FoldedLay | CompiledLay] = [opened, *folded_lays(opened)]
    share = _scaled(stop, _TRIALS / len(jobs))
    tries = [run.attempt(job, share) for job in jobs]
    lengths: dict[str, float] = {}
    for one in tries:
        lengths[one.lay.fold] = min(one.lay.length, lengths.get(one.lay.fold, one.lay.length))
    free = opened.cloth.fold == "best" or len(tries) == 1
    best = min(
        tries if free else tries[1:],
        key=lambda t: (round(t.lay.length / LENGTH_REPORT), AMONG_EQUALS.index(t.lay.fold)),
    )
    if stop.seconds is not None and best.lay.status != "proven best":
        best = run.attempt(best.job, _scaled(stop, 1.0 - _TRIALS), best)
        lengths[best.lay.fold] = min(best.lay.length, lengths[best.lay.fold])
    names = never_folded(opened)
    lay = explained(best.lay, lengths, opened.cloth, opened.plan.units, names)
    return lay, run.last(best)


class _Folds:
    """One cloth while its folds are tried."""

    def __init__(self, solve: Solver, proven: float) -> None:
        self._broken: Result | None = None
        self._solve = solve
        self._proven = proven

    def last(self, best: _Try) -> Result:
        """Return a result that was broken off, if there is one, else one of the best try."""
        return self._broken or best.results[0]

    def attempt(
        self, job: FoldedLay | CompiledLay, stop: Stop, before: _Try | None = None
    ) -> _Try:
        """Solve one way, or solve it on from an earlier try, and return the better."""
        stretches = job.stretches if isinstance(job, FoldedLay) else (job,)
        copies = sum(len(stretch.tickets) for stretch in stretches)
        results = tuple(
            self._solve(
                stretch,
                _scaled(stop, len(stretch.tickets) / copies),
                None if before is None else before.results[k].layout,
            )
            for k, stretch in enumerate(stretches)
        )
        for result in results:
            if result.stop_reason == "interrupted":
                self._broken = result
        if isinstance(job, FoldedLay):
            lay = folded_lay_from(job, results, self._proven)
        else:
            lay = lay_from(job, results[0], self._proven)
            self._proven = max(self._proven, lay.proven_minimum)
        if before is not None and before.lay.length <= lay.length:
            return before
        return _Try(job, results, lay)


def _scaled(stop: Stop, share: float) -> Stop:
    if stop.seconds is None:
        return stop
    return replace(stop, seconds=max(stop.seconds * share, _LEAST_SECONDS))
