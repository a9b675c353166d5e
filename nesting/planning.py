"""The whole job on a plan: compile, solve, lay out and check every cloth."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from importlib.metadata import version
from math import inf

from .effort import LEAST_SECONDS, Effort, scaled
from .engine.bounds import proven_minimum
from .engine.separate import sweeps
from .engine.solve import solve
from .engine.tables import KnownPairs
from .errors import CheckRefusedError, NoLayoutError
from .folding import lay_on_folds
from .geometry.compiled import needs_compiling
from .joining import join_pieces
from .keeping import AsLays, Keep, Keeper, best_of
from .model.breadths import with_breadths
from .model.events import Progress
from .model.layout import Lay, Layout, SolverRun
from .model.plan import Cloth, Plan
from .model.problem import Position
from .model.result import Result
from .model.resume import fingerprint
from .model.stop import Stop
from .model.train import TrainStudy
from .needs import piece_needs
from .rules.bound import least_length, true_problem
from .rules.changes import best_change, helpful_changes
from .rules.choose_cloth import choose_cloths
from .rules.compile import CompiledLay, compile_lay, ready_piece
from .rules.fold import folds_allowed
from .rules.lay_panels import Solver, lay_panels, prepare_panels
from .rules.purchase import longest_lay
from .rules.relaxed import relaxed
from .rules.to_layout import lay_from
from .rules.what_fits import room_for
from .tolerances import LENGTH_REPORT
from .train_study import study_train
from .verify.check import check_layout
from .warn import plan_warnings

ClothEvent = Callable[[str, Progress], None]
"""Called with the cloth's name and the engine's progress on it."""

_FOR_CLOTHS = 0.3  # share of the effort that goes into comparing cloths for a piece
_FOR_JOINS = 0.25  # share of the effort that goes into comparing where to join
_FOR_ONE_LAY = 0.05  # share of the effort that every single lay gets, whatever happens
_FOR_LAYS = 0.5  # share of the effort that is left for the lays themselves, whatever happens
_FOR_TRAINS = 0.15  # share of the effort that goes into the study of trains
_FOR_RULES = 0.2  # share of the effort on a cloth that goes into telling what its rules cost
_LEAST_LENGTH = 1e-3  # mm; stands for a cloth that trimming uses up


def lay_plan(
    plan: Plan,
    *,
    stop: Stop,
    seed: int = 0,
    workers: int = 1,
    on_event: ClothEvent | None = None,
    interrupted: Callable[[], bool] | None = None,
    keep: Keep | None = None,
    before: Sequence[Layout] = (),
    known: KnownPairs | None = None,
) -> Layout:
    """Return a checked layout for every cloth of a plan.

    Parameters
    ----------
    plan
        As :func:`nesting.readers.plan.read_plan` gives it.
    stop
        ``seconds`` are for the whole plan: each cloth gets its share by its number of copies,
        and what one leaves unused the later ones share. The other limits hold for each cloth.
    seed, workers
        Passed to the engine.
    on_event
        Told of every step, with the cloth's name.
    interrupted
        Asked now and then; once it says True (or Ctrl-C is pressed) the cloth in hand keeps its
        best layout so far, and the cloths after it only their first.
    keep
        Takes the best checked layout so far, now and then, from another thread.
    before
        Layouts of the same plan to go on from; what is returned is never worse.
    known
        No-fit polygons kept from plan to plan; they change no layout, only the time.

    Returns
    -------
    Layout
        It has passed the independent check. A lay may have the status "does not fit".

    Raises
    ------
    InputError
        If a piece cannot be made ready to cut or is too wide for its cloth; before anything is
        solved.
    CheckRefusedError
        If the independent check finds a fault.
    """
    with Keeper(keep, plan, before) as keeper:
        run = _Run(stop, seed, workers, on_event, interrupted, keeper, Effort(stop))
        run.known = run.known if known is None else known
        asked, layout = _laid(with_breadths(plan), run)
    if keeper.failure is not None:
        more = f"the best layout could not be kept while solving: {keeper.failure}"
        layout = replace(layout, warnings=(*layout.warnings, more))
    findings = check_layout(asked, layout)
    if findings:
        more = f" (and {len(findings) - 1} more)" if len(findings) > 1 else ""
        raise CheckRefusedError(
            f"the independent check refuses the layout: {findings[0]}{more}",
            remedy="do not cut it; please report it with the plan",
            file=plan.path,
        )
    return replace(best_of(plan, layout, before), resume=keeper.resume)


def _laid(plan: Plan, run: _Run) -> tuple[Plan, Layout]:
    """Return the plan with its cloths chosen, and its layout, not checked yet."""
    began = time.monotonic()
    for piece in plan.pieces:
        ready_piece(plan, piece)  # what is wrong with a piece is told of it, first of all
    chosen = choose_cloths(plan, run.lays_briefly)
    joined = join_pieces(chosen.plan, run.measure, piece_needs, enough=run.effort.part(_FOR_JOINS))
    trains = run.studies(plan)
    run.for_lays = run.effort.keep(_FOR_LAYS)
    asked, plan = chosen.plan, joined.plan
    jobs = [_compiled(plan, cloth) for cloth in plan.cloths if plan.pieces_on(cloth.name)]
    solver = SolverRun(seconds=0.0, seed=run.seed, version=version("yardage"))
    run.keeper.begin(asked, joined.joinings, solver)
    lays: list[Lay] = []
    results: list[Result] = []
    for k, job in enumerate(jobs):
        laid, result = run.lay(job, jobs[k:])
        results.append(result)
        run.keeper.laid(laid)
        lays += (run.told(job, lay, jobs) for lay in laid)
    warnings = (*plan_warnings(plan, lays), *run.warnings(jobs, results))
    solver = replace(solver, seconds=time.monotonic() - began)
    layout = Layout(
        plan.title,
        plan.units,
        tuple(lays),
        warnings,
        solver,
        joined.joinings,
        (*chosen.remarks, *joined.remarks),
        trains,
    )
    return asked, layout


@dataclass(slots=True)
class _Run:
    """One run over all cloths: what is left of the time, and whether it was broken off."""

    stop: Stop
    seed: int
    workers: int
    on_event: ClothEvent | None
    interrupted: Callable[[], bool] | None
    keeper: Keeper
    effort: Effort
    for_lays: float = 1.0
    broken_off: bool = False
    known: KnownPairs = field(default_factory=KnownPairs)

    def lay(self, job: CompiledLay, waiting: list[CompiledLay]) -> tuple[tuple[Lay, ...], Result]:
        """Lay one cloth; ``waiting`` are the jobs not yet done, this one first."""
        return self._lays(job, self._share(job, waiting), keep=True)

    def lays_briefly(self, plan: Plan, cloth: Cloth, share: float) -> tuple[Lay, ...]:
        """Return the lays of one cloth, made for comparing cloths."""
        return self._lays(_compiled(plan, cloth), scaled(self.stop, share * _FOR_CLOTHS))[0]

    def _lays(
        self, job: CompiledLay, stop: Stop, keep: bool = False
    ) -> tuple[tuple[Lay, ...], Result]:
        cloth = _named(job.plan, job.cloth.name)
        if folds_allowed(cloth):
            lay, result = lay_on_folds(job, self._solver(stop, keep), _proven_length(job))
            return (lay,), result
        if cloth.panels:
            made = lay_panels(job.plan, cloth, self._solver(stop, keep))
            return made.lays, made.result
        proven = _proven_length(job)

        def lays(result: Result) -> tuple[Lay, ...]:
            return (lay_from(job, result, proven),)

        result = self.solve(job, _owned(stop, job), quiet=not keep, as_lays=lays if keep else None)
        return lays(result), result

    def _solver(self, stop: Stop, keep: bool = False) -> Solver:
        """Return what solves compiled lays with shares of an effort, to keep or to compare."""

        def part(
            compiled: CompiledLay,
            share: float,
            *,
            target: float | None = None,
            useful: float | None = None,
            start: tuple[Position, ...] | None = None,
            as_lays: AsLays | None = None,
        ) -> Result:
            own = replace(scaled(stop, share), target=target, useful=useful)
            lays = as_lays if keep else None
            return self.solve(compiled, own, start=start, quiet=True, leftover=keep, as_lays=lays)

        return part

    def solve(
        self,
        job: CompiledLay,
        stop: Stop,
        *,
        start: tuple[Position, ...] | None = None,
        quiet: bool = False,
        leftover: bool = True,
        as_lays: AsLays | None = None,
    ) -> Result:
        """Solve one compiled lay; ``quiet`` where its lengths mean nothing to the maker.

        It begins where the very same problem was left before; ``as_lays`` makes lays to keep.
        """
        name, on_event, keeper = job.cloth.name, self.on_event, self.keeper
        mark = fingerprint(job.problem)
        if start is None:
            start = keeper.start(mark, job.problem)

        def tell(step: Progress) -> None:
            if step.layout:
                keeper.found(mark, step.length or 0.0, step.layout)
                if as_lays is not None:
                    keeper.improved(name, mark, job.problem, step, as_lays)
            if on_event is not None:
                on_event(name, Progress("comparing", step.seconds) if quiet else step)

        compiling = needs_compiling(sweeps)
        begun = time.monotonic()
        try:
            result = solve(
                job.problem,
                stop=stop,
                seed=self.seed,
                workers=self.workers,
                start=start,
                leftover=leftover,
                known=self.known,
                on_event=tell,
                interrupted=(lambda: True) if self.broken_off else self.interrupted,
            )
        except NoLayoutError as error:
            raise NoLayoutError(
                error.problem, remedy=error.remedy, file=job.plan.path, item=f"cloth {name!r}"
            ) from None
        except ValueError:
            # Positions that a file kept need not be right.
            if not keeper.forget(mark):
                raise
            return self.solve(job, stop, quiet=quiet, leftover=leftover, as_lays=as_lays)
        if compiling:
            self.effort.leave_out(time.monotonic() - begun - result.seconds)
        self.broken_off = self.broken_off or result.stop_reason == "interrupted"
        keeper.found(mark, result.length, result.layout)
        return result

    def told(self, job: CompiledLay, lay: Lay, jobs: list[CompiledLay]) -> Lay:
        """Return a lay with what its rules cost, and with the one change that would help most."""
        settled = lay.length <= least_length(job) + LENGTH_REPORT
        if self.broken_off or settled or _named(job.plan, job.cloth.name).panels:
            return lay
        share = self.for_lays * _FOR_RULES
        share *= len(job.tickets) / sum(len(other.tickets) for other in jobs)
        changes = helpful_changes(job.plan, job.cloth, lay.length)
        # Half for what the rules cost, where something is left to be told besides.
        half = 0.5 if changes else 1.0
        without = self._shorter(job, lay, relaxed(job.plan, job.cloth), share * half)
        remarks = lay.remarks
        if changes and without:
            remarks += best_change(
                lay, self._shorter(job, lay, changes, share * half), job.plan.units
            )
        open_ = lay.panel is None and lay.folding is None
        if lay.reason and open_ and job.cloth.repeat is None:
            solver = self._solver(scaled(self.stop, share))
            with suppress(NoLayoutError):
                remarks += tuple(filter(None, [room_for(job.plan, job.cloth, solver)]))
        return replace(lay, without={**lay.without, **without}, remarks=remarks)

    def _shorter(
        self, job: CompiledLay, lay: Lay, plans: Mapping[str, Plan], share: float
    ) -> dict[str, float]:
        """Return how long the lay is by each other plan that makes it shorter."""
        found = {}
        for words, plan in plans.items():
            cloth = _named(plan, job.cloth.name)
            try:
                _job, result = self._brief(plan, cloth, share / len(plans))
            except NoLayoutError:
                continue  # too brief to tell
            length = result.length - job.cloth.gap
            if length < lay.length - LENGTH_REPORT:
                found[words] = length
        return found

    def measure(
        self, plan: Plan, cloth: Cloth, share: float, useful: float
    ) -> tuple[float, float]:
        """Return length, endless if none was found, and proven length, laid to compare joins."""
        try:
            if folds_allowed(cloth):
                lay = self._folded(plan, cloth, share * _FOR_JOINS)
                return lay.length, lay.proven_minimum
            _job, result = self._brief(plan, cloth, share * _FOR_JOINS, useful)
        except NoLayoutError:
            return inf, 0.0
        return result.length, result.minimum

    def studies(self, plan: Plan) -> tuple[TrainStudy, ...]:
        """Return the studies of all trains of a plan."""
        found: list[TrainStudy] = []
        trains = [piece for piece in plan.pieces if piece.train]
        for piece in trains:
            enough = self.effort.part(_FOR_TRAINS / len(trains))
            found.append(study_train(plan, piece, self.lay_briefly, enough))
        return tuple(found)

    def lay_briefly(self, plan: Plan, cloth: Cloth, share: float) -> Lay:
        """Return one cloth's lay, made for the study of a train."""
        if folds_allowed(cloth):
            return self._folded(plan, cloth, share * _FOR_TRAINS)
        return lay_from(*self._brief(plan, cloth, share * _FOR_TRAINS))

    def _folded(self, plan: Plan, cloth: Cloth, share: float) -> Lay:
        """Return one cloth's lay as it is folded, made for comparing."""
        return self._lays(_compiled(plan, cloth), scaled(self.stop, share))[0][0]

    def _brief(
        self, plan: Plan, cloth: Cloth, share: float, useful: float = inf
    ) -> tuple[CompiledLay, Result]:
        """Solve one cloth with a share of the whole effort, up to a length that is of use."""
        if self.broken_off or (self.interrupted is not None and self.interrupted()):
            self.broken_off = True
        job = _compiled(plan, cloth)
        stop = replace(scaled(self.stop, share), useful=max(useful, _LEAST_LENGTH))
        return job, self.solve(job, stop, quiet=True, leftover=False)

    def warnings(self, jobs: list[CompiledLay], results: list[Result]) -> Iterator[str]:
        """Yield what a broken-off run left unfinished."""
        names = [
            job.cloth.name
            for job, result in zip(jobs, results, strict=True)
            if result.stop_reason == "interrupted"
        ]
        if names:
            yield f"stopped early: a longer run may shorten {', '.join(names)}"

    def _share(self, job: CompiledLay, waiting: list[CompiledLay]) -> Stop:
        if self.stop.seconds is None:
            return self.stop
        least = max(_FOR_ONE_LAY * self.stop.seconds, LEAST_SECONDS)
        share = self.effort.left * len(job.tickets) / sum(len(other.tickets) for other in waiting)
        share *= 1.0 - _FOR_RULES if relaxed(job.plan, job.cloth) else 1.0
        return replace(self.stop, seconds=max(share, least))


def _named(plan: Plan, name: str) -> Cloth:
    return next(cloth for cloth in plan.cloths if cloth.name == name)


def _compiled(plan: Plan, cloth: Cloth) -> CompiledLay:
    return prepare_panels(plan, cloth) if cloth.panels else compile_lay(plan, cloth)


def _owned(stop: Stop, job: CompiledLay) -> Stop:
    """Return the stop rule that ends the run once an owned cloth is proven too short."""
    longest = longest_lay(job.cloth)
    if longest is None:
        return stop
    if job.exact:
        return replace(stop, useful=max(longest, _LEAST_LENGTH))
    # What the engine proves of outlines larger than the true ones proves nothing of these.
    return Stop(iterations=1) if _proven_length(job) > longest else stop


def _proven_length(job: CompiledLay) -> float:
    """Return a length that every lay of the true outlines has at least, in millimetres."""
    return proven_minimum(true_problem(job)) - job.cloth.gap
