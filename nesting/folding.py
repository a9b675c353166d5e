"""Laying one cloth on its folds: every way is tried, the shortest gets the time that is left."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from .errors import NoLayoutError
from .model.layout import Lay
from .model.result import Result
from .rules.compile import CompiledLay
from .rules.fold_choice import AMONG_EQUALS, explained, folded_lays, never_folded
from .rules.fold_compile import FoldedLay
from .rules.fold_layout import folded_lay_from
from .rules.lay_panels import Solver
from .rules.to_layout import lay_from
from .tolerances import LENGTH_REPORT

_TRIALS = 0.5
"""Share of the time in which every way is tried; the best one gets the rest."""


@dataclass(frozen=True, slots=True, eq=False)
class _Try:
    """One way to lay the cloth, and what came of it."""

    job: FoldedLay | CompiledLay
    results: tuple[Result, ...]
    lay: Lay


def lay_on_folds(opened: CompiledLay, solve: Solver, proven: float) -> tuple[Lay, Result]:
    """Return the shortest lay among the folds that the plan allows for a cloth.

    Parameters
    ----------
    opened
        The cloth laid open.
    solve
        The engine; its shares are of the effort for all ways together.
    proven
        A length that every open lay has at least, millimetres; every folded one has it too.

    Returns
    -------
    Lay, Result
        The lay, with remarks on the lengths of the others, and how the search ended. With the
        fold "best" the cloth laid open counts among the ways; lays of one length are taken in
        the order of ``AMONG_EQUALS``.
    """
    folded = tuple(folded_lays(opened))
    free = opened.cloth.fold == "best" or not folded
    run = _Folds(solve, proven, None if free else opened)
    jobs: list[FoldedLay | CompiledLay] = [opened, *folded]
    tries = run.trials(jobs)
    lengths: dict[str, float] = {}
    for one in tries:
        lengths[one.lay.fold] = min(one.lay.length, lengths.get(one.lay.fold, one.lay.length))
    best = min(
        (one for one in tries if free or one.job is not opened),
        key=lambda t: (round(t.lay.length / LENGTH_REPORT), AMONG_EQUALS.index(t.lay.fold)),
    )
    if best.lay.status != "proven best":
        best = run.attempt(best.job, 1.0 - _TRIALS, best)
        lengths[best.lay.fold] = min(best.lay.length, lengths[best.lay.fold])
    names = never_folded(opened)
    lay = explained(best.lay, lengths, opened.cloth, opened.plan.units, names)
    return lay, run.last(best)


class _Folds:
    """One cloth while its folds are tried; one way may be tried only to compare with it."""

    def __init__(self, solve: Solver, proven: float, compared: CompiledLay | None) -> None:
        self._broken: Result | None = None
        self._solve = solve
        self._proven = proven
        self._compared = compared

    def last(self, best: _Try) -> Result:
        """Return a result that was broken off, if there is one, else one of the best try."""
        return self._broken or best.results[0]

    def trials(self, jobs: Sequence[FoldedLay | CompiledLay]) -> list[_Try]:
        """Try every way, and leave out those in which no layout is found, unless that is all."""
        tries: list[_Try] = []
        failed: NoLayoutError | None = None
        for job in jobs:
            try:
                tries.append(self.attempt(job, _TRIALS / len(jobs)))
            except NoLayoutError as error:
                failed = error
        if failed is not None and all(one.job is self._compared for one in tries):
            raise failed
        return tries

    def attempt(
        self, job: FoldedLay | CompiledLay, share: float, before: _Try | None = None
    ) -> _Try:
        """Solve one way, or solve it on from an earlier try, and return the better."""
        stretches = job.stretches if isinstance(job, FoldedLay) else (job,)
        copies = sum(len(stretch.tickets) for stretch in stretches)
        known: list[Result | None] = [None] * len(stretches)
        if before is not None:
            known = list(before.results)
        for k, stretch in enumerate(stretches):
            start = known[k]
            result = self._solve(
                stretch,
                share * len(stretch.tickets) / copies,
                start=None if start is None else start.layout,
                as_lays=self._as_lays(job, known, k),
            )
            known[k] = result
            if result.stop_reason == "interrupted":
                self._broken = result
        results = tuple(filter(None, known))
        lay = self._lay(job, results)
        if not isinstance(job, FoldedLay):
            self._proven = max(self._proven, lay.proven_minimum)
        if before is not None and before.lay.length <= lay.length:
            return before
        return _Try(job, results, lay)

    def _as_lays(
        self, job: FoldedLay | CompiledLay, known: Sequence[Result | None], k: int
    ) -> Callable[[Result], tuple[Lay, ...]] | None:
        """Return what makes a lay of a layout of stretch ``k``; None where that is no lay yet."""
        before, behind = known[:k], known[k + 1 :]
        if job is self._compared or None in before or None in behind:
            return None
        return lambda result: (self._lay(job, tuple(filter(None, (*before, result, *behind)))),)

    def _lay(self, job: FoldedLay | CompiledLay, results: tuple[Result, ...]) -> Lay:
        if isinstance(job, FoldedLay):
            return folded_lay_from(job, results, self._proven)
        return lay_from(job, results[0], self._proven)
