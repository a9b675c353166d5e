"""One candidate solved: its row, the other way of the nap, and a narrower cloth."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from ..engine.tables import KnownPairs
from ..errors import InputError, NoLayoutError
from ..model.comparison import ComparedRow, LaidFigures, RowStatus, WhatIf
from ..model.layout import Lay, Layout
from ..model.plan import Cloth, Plan
from ..model.stop import Stop
from ..planning import lay_plan
from .candidates import Candidate
from .known import narrowed, other_nap
from .settle import settle

_MAIN = 0.4  # share of the time for the candidate itself; what is left is for the other two
_LEAST_SECONDS = 0.2
_LONGER = (4.0, 4.0)  # times as long, where no layout at all was found in the time
_OVERHEAD = 0.4  # seconds of a run that its time limit does not count: tables, check, leftover

_Case = Literal["one-way", "turned", "narrower"]

# Candidates differ in their cloth, and not much in their shapes.
_known = KnownPairs()
_halted: Callable[[], bool] = lambda: False  # noqa: E731


def halt_when(asked: Callable[[], bool]) -> None:
    """Let every run in this process end early once a function says True."""
    global _halted  # noqa: PLW0603 - it belongs to the process, like its signals
    _halted = asked


def compare_one(candidate: Candidate, stop: Stop, seed: int) -> ComparedRow:
    """Return the row of one candidate.

    Besides its own layout, two shorter runs tell what the other way of the nap and a slightly
    narrower cloth would take. ``stop.seconds`` is for all three; where no layout at all is found
    in them the candidate takes up to sixteen times its time, and then counts as not finished.

    Raises
    ------
    CheckRefusedError
        If the independent check finds a fault in any of the layouts.
    """
    run = _Run(stop, seed)
    plan, cloth = candidate.plan, candidate.cloth
    try:
        main = run.lay(plan, _MAIN)
    except InputError as error:
        return _too_narrow(candidate, error, run.seconds)
    except NoLayoutError:
        return replace(_bare(candidate, run.seconds), early=True)
    case: Literal["one-way", "turned"] = "turned" if cloth.nap == "one-way" else "one-way"
    across = run.what_if(case, plan, other_nap(cloth), 0.5)
    if cloth.nap == "none" and across.buy_length is not None and run.shorter(across, main):
        # A layout with every top the same way is also one where pieces may be turned.
        main = replace(run.last, early=main.early)
    if case == "turned" and across.length is not None and across.length > main.length:
        # What lies one way is also a layout of pieces that may be turned.
        across = main.what_if(case, cloth)
    narrower = None if cloth.panels else run.what_if("narrower", plan, narrowed(cloth), 1.0)
    row = _row(candidate, main, across, narrower, run.seconds)
    # What was found for narrower cloth may be shorter, and then serves this one too.
    return settle((row,), {candidate.number: candidate})[0]


@dataclass(frozen=True, slots=True)
class _Laid:
    """What the lays of one cloth come to."""

    lays: tuple[Lay, ...]
    early: bool
    joins: int = 0

    @property
    def length(self) -> float:
        return math.fsum(lay.length for lay in self.lays)

    @property
    def buy_length(self) -> float:
        return math.fsum(lay.buy.length for lay in self.lays)

    @property
    def fits(self) -> bool:
        return all(lay.status != "does not fit" for lay in self.lays)

    @property
    def reason(self) -> str:
        return next((lay.reason for lay in self.lays if lay.reason), "")

    def cost(self, cloth: Cloth) -> Decimal | None:
        """Return the cost of all lays; cloth sold as one piece is paid once."""
        costs = [None if lay.buy.cost is None else Decimal(str(lay.buy.cost)) for lay in self.lays]
        known = [cost for cost in costs if cost is not None]
        if len(known) < len(costs):
            return None
        return max(known) if cloth.price_per == "piece" else sum(known, Decimal(0))

    def figures(self) -> LaidFigures:
        """Return what is told of the lays besides length and cost."""
        lays = self.lays
        covered = math.fsum(lay.utilisation * lay.length * lay.usable_width for lay in lays)
        laid = math.fsum(lay.length * lay.usable_width for lay in lays)
        parts = lays[0].buy.made_of
        return LaidFigures(
            {name: math.fsum(lay.buy.made_of[name] for lay in lays) for name in parts},
            covered / laid,
            _largest_leftover(lays),
            self.joins,
        )

    def what_if(self, case: _Case, cloth: Cloth) -> WhatIf:
        """Return the lays as what another case would take."""
        return WhatIf(case, self.length, self.buy_length, self.cost(cloth), figures=self.figures())


class _Run:
    """The runs of one candidate, sharing its time."""

    def __init__(self, stop: Stop, seed: int) -> None:
        self._stop = stop
        self._seed = seed
        self._began = time.monotonic()
        self.last = _Laid((), False)

    @property
    def seconds(self) -> float:
        """Seconds since the candidate was begun."""
        return time.monotonic() - self._began

    def lay(self, plan: Plan, share: float) -> _Laid:
        """Lay a plan in a share of the time that is left."""
        stop = self._stop
        if stop.seconds is not None:
            left = share * (stop.seconds - self.seconds) - _OVERHEAD
            stop = replace(stop, seconds=max(_LEAST_SECONDS, left))
        layout = self._patiently(plan, stop)
        copies = {piece.name: piece.copies for piece in plan.pieces}
        joins = sum(len(joined.lines) * copies[joined.piece] for joined in layout.joinings)
        self.last = _Laid(layout.lays, _halted(), joins)
        return self.last

    def _patiently(self, plan: Plan, stop: Stop) -> Layout:
        """Lay a plan; where no layout at all was found in the time, take more of it."""
        for longer in _LONGER:
            try:
                return self._once(plan, stop)
            except NoLayoutError:
                if stop.seconds is None or _halted():
                    raise
                stop = replace(stop, seconds=longer * max(stop.seconds, _LEAST_SECONDS))
        return self._once(plan, stop)

    def _once(self, plan: Plan, stop: Stop) -> Layout:
        return lay_plan(
            plan, stop=stop, seed=self._seed, workers=1, interrupted=_halted, known=_known
        )

    def what_if(
        self,
        case: _Case,
        plan: Plan,
        cloth: Cloth,
        share: float,
    ) -> WhatIf:
        """Return what the same pieces take on an altered cloth."""
        if cloth.usable_width <= 0:
            return WhatIf(case, reason="nothing is left between the selvages")
        try:
            laid = self.lay(replace(plan, cloths=(cloth,)), share)
        except InputError as error:
            return WhatIf(case, reason=f"{error.item}: {error.problem}")
        except NoLayoutError:
            return WhatIf(case, reason="no layout was found in the time")
        if not laid.fits:
            return WhatIf(case, reason=laid.reason)
        return laid.what_if(case, cloth)

    @staticmethod
    def shorter(what_if: WhatIf, main: _Laid) -> bool:
        """Tell whether an altered cloth took less than the candidate itself."""
        return what_if.length is not None and what_if.length < main.length


def _row(
    candidate: Candidate, main: _Laid, across: WhatIf, narrower: WhatIf | None, seconds: float
) -> ComparedRow:
    cloth, lays = candidate.cloth, main.lays
    proven = all(lay.status == "proven best" for lay in lays)
    status: RowStatus = "proven best" if proven else "found"
    figures = main.figures()
    return replace(
        _bare(candidate, seconds),
        status=status if main.fits else "does not fit",
        usable_width=lays[0].usable_width,
        length=main.length,
        made_of=figures.made_of,
        buy_length=main.buy_length,
        cost=main.cost(cloth) if main.fits else None,
        used=figures.used,
        proven_minimum=math.fsum(lay.proven_minimum for lay in lays),
        leftover=figures.leftover,
        joins=figures.joins,
        other_way=across,
        narrower=narrower,
        reason=main.reason,
        early=main.early,
    )


def _bare(candidate: Candidate, seconds: float) -> ComparedRow:
    """Return the row of a candidate with nothing laid."""
    cloth = candidate.cloth
    return ComparedRow(
        number=candidate.number,
        layer=candidate.layer,
        cloth=cloth.name,
        rank=candidate.rank,
        width=cloth.width,
        usable_width=cloth.usable_width,
        status="does not fit",
        as_planned=candidate.as_planned,
        owned=cloth.length is not None or bool(cloth.panels),
        nap=cloth.nap,
        price=cloth.price,
        price_per=cloth.price_per,
        step=cloth.step,
        currency=cloth.currency,
        repeat_along=0.0 if cloth.repeat is None else cloth.repeat.along,
        seconds=seconds,
    )


def _too_narrow(candidate: Candidate, error: InputError, seconds: float) -> ComparedRow:
    return replace(_bare(candidate, seconds), reason=f"{error.item}: {error.problem}")


def _largest_leftover(lays: tuple[Lay, ...]) -> tuple[float, float] | None:
    sizes = [
        (x1 - x0, y1 - y0) for x0, y0, x1, y1 in (lay.leftover for lay in lays if lay.leftover)
    ]
    return max(sizes, key=lambda size: size[0] * size[1], default=None)
