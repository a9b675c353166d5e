"""Lays on several owned panels: which panels, tried one choice after the other, then split."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

import shapely

from ..errors import NoLayoutError
from ..model.layout import Lay
from ..model.plan import Cloth, Plan
from ..model.problem import PlacementProblem, Position
from ..model.result import Result
from .choose_panels import PanelChoice
from .compile import CompiledLay
from .panels import (
    WALL,
    PanelStrip,
    compile_strip,
    panel_edge,
    part_of,
    stretch_of,
)
from .split_panels import split

TRIALS = 6
"""Most choices of panels that are tried before all panels are taken."""

TRIAL_SHARE = 0.12
"""Share of the time that one trial may take; what is left improves the choice that holds."""


class Solver(Protocol):
    """Solves one compiled lay.

    ``share`` is its part of the cloth's time; ``target`` and ``useful`` are those of
    :class:`nesting.model.stop.Stop`; ``start`` is a layout to improve, and ``as_lays`` makes the
    lays of the panels of one that is found.
    """

    def __call__(
        self,
        compiled: CompiledLay,
        share: float,
        *,
        target: float | None = None,
        useful: float | None = None,
        start: tuple[Position, ...] | None = None,
        as_lays: Callable[[Result], tuple[Lay, ...]] | None = None,
    ) -> Result:
        """Return the best layout found."""


@dataclass(frozen=True, slots=True, eq=False)
class PanelLays:
    """The lays of one cloth's panels, in the panels' order, and the last run behind them."""

    lays: tuple[Lay, ...]
    result: Result


@dataclass(frozen=True, slots=True, eq=False)
class _Chosen:
    """The panels to lay on, with a first layout.

    ``proven`` where no fewer can hold all pieces, or all together cannot; ``share`` is what is
    left of the time.
    """

    strip: PanelStrip
    result: Result
    proven: bool
    share: float


def lay_panels(plan: Plan, cloth: Cloth, solve: Solver) -> PanelLays:
    """Return the lays of the pieces cut from several owned panels of one cloth.

    The fewest panels are taken that were found to hold all pieces; among as many, those that leave
    the largest one whole; on these the pieces are laid so that much is left of the last. Where
    the panels do not hold all, the rest lies on cloth bought to match, as little as can be found,
    or is left out, and the last lay says what is missing.

    Raises
    ------
    InputError
        If a panel can hold no piece, or a piece fits on no panel; before anything is solved.
    """
    chosen = _choose(plan, cloth, solve)
    whole = solve(
        chosen.strip.compiled,
        chosen.share / 2,
        start=chosen.result.layout,
        as_lays=_as_lays(plan, cloth, chosen.strip),
    )
    # Nothing is ever lost by improving, but a broken-off run may not have begun to.
    best = whole if whole.length <= chosen.result.length else chosen.result
    best = _tightened(chosen.strip, best, solve, chosen.share / 2)
    return PanelLays(tuple(split(plan, cloth, chosen.strip, best, proven=chosen.proven)), best)


def _tightened(strip: PanelStrip, found: Result, solve: Solver, share: float) -> Result:
    """Return the layout with the pieces of each panel drawn together, for what is left of it.

    The last stretch with pieces is as short as it was found already.
    """
    on: dict[float, list[int]] = {}
    for k, at in enumerate(found.layout):
        on.setdefault(stretch_of(strip, at).start, []).append(k)
    layout = list(found.layout)
    before = [s for s in strip.stretches if s.start in on and s.start < max(on)]
    for stretch in before:
        here = on[stretch.start]
        # Solved afresh: at another scale, a layout that touches may overlap by rounding.
        try:
            result = solve(part_of(strip, stretch, here), share / len(before))
        except NoLayoutError:
            continue
        if result.length < _extent(result.problem, [layout[k] for k in here]) - stretch.start:
            for k, at in zip(here, result.layout, strict=True):
                layout[k] = replace(at, x=at.x + stretch.start)
    return replace(found, layout=tuple(layout))


def _extent(problem: PlacementProblem, layout: Sequence[Position]) -> float:
    """Return the greatest x of any shape placed."""
    return max(problem.shapes[at.shape].box[2] + at.x for at in layout)


def prepare_panels(plan: Plan, cloth: Cloth) -> CompiledLay:
    """Return all pieces on all panels, behind one another; see that each fits somewhere.

    Raises
    ------
    InputError
        As :func:`lay_panels`.
    """
    every = compile_strip(plan, cloth, _in_order(cloth, range(1, len(cloth.panels) + 1)))
    PanelChoice(plan, cloth, every.compiled)
    return every.compiled


def _choose(plan: Plan, cloth: Cloth, solve: Solver) -> _Chosen:
    """Try one choice of panels after the other, fewest first; failing all, take every panel."""
    numbers = tuple(range(1, len(cloth.panels) + 1))
    every = compile_strip(plan, cloth, _in_order(cloth, numbers))
    choice = PanelChoice(plan, cloth, every.compiled)
    left, known = 1.0, False
    whole: Result | None = None
    for _ in range(TRIALS):
        best = choice.best()
        known = best is None
        if best is None:
            break
        strip = compile_strip(plan, cloth, _in_order(cloth, best))
        end, exact = strip.owned_end, strip.compiled.exact
        left -= TRIAL_SHARE
        try:
            result = solve(
                strip.compiled,
                TRIAL_SHARE,
                target=end + WALL / 2,
                useful=end if exact else None,
                as_lays=_as_lays(plan, cloth, strip),
            )
        except NoLayoutError:
            choice.refuse(best, proven=False)
            continue
        if _holds(strip, result):
            return _Chosen(strip, result, choice.proven, left)
        whole = result if len(best) == len(numbers) else None
        choice.refuse(best, proven=exact and result.minimum > end * (1 + 1e-9))
        if result.stop_reason == "interrupted":
            break
    if whole is None:
        whole = solve(every.compiled, TRIAL_SHARE, as_lays=_as_lays(plan, cloth, every))
        left -= TRIAL_SHARE
    return _Chosen(every, whole, known and choice.proven, left)


def _as_lays(plan: Plan, cloth: Cloth, strip: PanelStrip) -> Callable[[Result], tuple[Lay, ...]]:
    """Return what makes the panels' lays of a layout found before anything is proven."""
    return lambda result: tuple(split(plan, cloth, strip, result, proven=False))


def _holds(strip: PanelStrip, result: Result) -> bool:
    """Tell whether all pieces lie on owned panels."""
    return result.length <= strip.owned_end + WALL / 2


def _in_order(cloth: Cloth, numbers: Sequence[int]) -> tuple[int, ...]:
    """Return panels with the largest last, so that what is left over is left of that one."""
    return tuple(sorted(numbers, key=lambda n: (shapely.Polygon(panel_edge(cloth, n)).area, -n)))
