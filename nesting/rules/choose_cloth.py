"""Pieces that may be cut from several cloths: each goes where the whole costs least.

Every combination is laid briefly where they are few. Where they are many, OR-tools' CP-SAT
proposes the cheapest by area and shop step, and only these are laid.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import ceil, fsum, prod

from ortools.sat.python import cp_model

from ..errors import InputError, NoLayoutError
from ..model.layout import Lay
from ..model.plan import Cloth, Plan, PlanPiece
from ..units import MM_PER
from .true_piece import cut_piece

BriefLays = Callable[[Plan, Cloth, float], tuple[Lay, ...]]
"""Lays one cloth of a plan with a share of the effort set aside for all of this."""

FEW = 12
"""Most combinations of cloths that are all laid; of more, as many as this are proposed."""

_FULL = 0.8  # share of a cloth that pieces cover in a good lay (common practice)
_MONEY = 100  # of a coin to the whole number
_AREA = 100.0  # mm2 to the whole number

Choice = tuple[str, ...]
"""A cloth's name for each piece that has several."""


@dataclass(frozen=True, slots=True)
class ChosenCloths:
    """A plan in which every piece has one cloth, and what was compared to get there."""

    plan: Plan
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, order=True)
class _Worth:
    """What a choice comes to, better ones first: what does not fit, then cost, then liking."""

    short: int
    cost: float
    rank: int


def choose_cloths(plan: Plan, lay_briefly: BriefLays) -> ChosenCloths:
    """Decide for every piece with several cloths from which it is cut.

    That choice is taken in which all fits at the least cost in all; the maker's order of
    preference decides between equal ones. Owned cloth costs nothing more, and so does what fits
    into a length that is bought anyway. All copies of a piece are cut from one cloth.

    Raises
    ------
    InputError
        If a cloth to be bought has no price, so that nothing can be compared, or a piece can be
        cut from none of its cloths.
    """
    open_ = [piece for piece in plan.pieces if len(piece.cloths) > 1]
    if not open_:
        return ChosenCloths(plan)
    _refuse_unpriced(plan, open_)
    choices = list(_choices(plan, open_))
    laid = _Laid(plan, open_, lay_briefly, 1.0 / max(1, len(choices)))
    worths: dict[Choice, _Worth] = {}
    fault: InputError | NoLayoutError | None = None
    for choice in choices:
        try:
            worths[choice] = laid.worth(choice)
        except (InputError, NoLayoutError) as error:
            fault = error
    if not worths and fault is not None:
        raise fault
    best = min(worths, key=lambda choice: worths[choice])
    return ChosenCloths(_with(plan, open_, best), tuple(_remarks(open_, best, worths)))


def _with(plan: Plan, open_: Sequence[PlanPiece], choice: Choice) -> Plan:
    cloth_of = {piece.name: name for piece, name in zip(open_, choice, strict=True)}
    pieces = tuple(
        replace(piece, cloth=cloth_of.get(piece.name, piece.cloth)) for piece in plan.pieces
    )
    return replace(plan, pieces=pieces)


class _Laid:
    """Lays of cloths with pieces on them; the same pieces are laid on a cloth once only."""

    def __init__(
        self, plan: Plan, open_: Sequence[PlanPiece], lay_briefly: BriefLays, share: float
    ) -> None:
        self._plan = plan
        self._open = open_
        self._lay = lay_briefly
        self._share = share
        self._known: dict[tuple[str, frozenset[str]], tuple[Lay, ...]] = {}

    def worth(self, choice: Choice) -> _Worth:
        plan = _with(self._plan, self._open, choice)
        # A cloth on which none of these pieces may lie is the same whatever is chosen.
        concerned = {name for piece in self._open for name in piece.cloths}
        cloths = [c for c in plan.cloths if c.name in concerned and plan.pieces_on(c.name)]
        lays = [
            lay for cloth in cloths for lay in self._lays(plan, cloth, self._share / len(cloths))
        ]
        short = sum(lay.status == "does not fit" for lay in lays)
        cost = round(fsum(lay.buy.cost or 0.0 for lay in lays), 2)
        rank = sum(p.cloths.index(name) for p, name in zip(self._open, choice, strict=True))
        return _Worth(short, cost, rank)

    def _lays(self, plan: Plan, cloth: Cloth, share: float) -> tuple[Lay, ...]:
        key = (cloth.name, frozenset(piece.name for piece in plan.pieces_on(cloth.name)))
        if key not in self._known:
            self._known[key] = self._lay(plan, cloth, share)
        return self._known[key]


def _refuse_unpriced(plan: Plan, open_: Sequence[PlanPiece]) -> None:
    for piece in open_:
        for cloth in plan.cloths:
            owned = cloth.length is not None or (cloth.panels and cloth.extra == "none")
            if cloth.name in piece.cloths and cloth.price is None and not owned:
                raise InputError(
                    f"it may be cut from {' or '.join(piece.cloths)}, whichever costs least, but "
                    f"{cloth.name!r} has no price",
                    remedy=f"give the price of {cloth.name!r}, or name one cloth",
                    file=plan.path,
                    item=f"piece {piece.name!r}",
                )


def _choices(plan: Plan, open_: Sequence[PlanPiece]) -> Iterator[Choice]:
    """Yield the choices worth laying, the most preferred or the most promising first."""
    if prod(len(piece.cloths) for piece in open_) <= FEW:
        yield from product(*(piece.cloths for piece in open_))
        return
    model = cp_model.CpModel()
    on = [{name: model.new_bool_var(f"{p.name} on {name}") for name in p.cloths} for p in open_]
    for options in on:
        model.add_exactly_one(options.values())
    model.minimize(sum(_cost(model, plan, cloth, open_, on) for cloth in plan.cloths))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 2.0
    for _ in range(FEW):
        if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return
        choice = tuple(
            next(name for name, chosen in options.items() if solver.boolean_value(chosen))
            for options in on
        )
        yield choice
        model.add_bool_or(
            options[name].negated() for options, name in zip(on, choice, strict=True)
        )


def _cost(
    model: cp_model.CpModel,
    plan: Plan,
    cloth: Cloth,
    open_: Sequence[PlanPiece],
    on: Sequence[Mapping[str, cp_model.IntVar]],
) -> cp_model.LinearExprT:
    """Return what a cloth costs where its pieces fill it as well as they mostly do."""

    def area(piece: PlanPiece) -> int:
        return ceil(cut_piece(piece).area * piece.copies / _AREA)

    asked = {piece.name for piece in open_}
    fixed = sum(area(p) for p in plan.pieces_on(cloth.name) if p.name not in asked)
    taken = fixed + sum(
        area(piece) * options[cloth.name]
        for piece, options in zip(open_, on, strict=True)
        if cloth.name in options
    )
    owned = sum(panel.length * panel.width for panel in cloth.panels)
    if cloth.length is not None:
        owned = cloth.length * cloth.width
    room = round(_FULL * owned / _AREA)
    if owned and cloth.extra == "none":
        # What owned cloth cannot hold is dear: it will not fit.
        over = model.new_int_var(0, 10**9, f"over {cloth.name}")
        model.add(over >= taken - room)
        return 1000 * over
    step = cloth.step or 10.0
    steps = model.new_int_var(0, 10**6, f"steps of {cloth.name}")
    model.add(steps * max(1, round(_FULL * step * cloth.usable_width / _AREA)) >= taken - room)
    unit = MM_PER["yd" if cloth.price_per == "yd" else "m"]
    return round(_MONEY * (cloth.price or 0.0) * step / unit) * steps


def _remarks(
    open_: Sequence[PlanPiece], best: Choice, worths: Mapping[Choice, _Worth]
) -> Iterator[str]:
    """Say from which cloth each piece is cut, and what its other cloths would come to."""
    for k, piece in enumerate(open_):
        told = []
        for name in piece.cloths:
            if name == best[k]:
                continue
            other = min(
                (worth for choice, worth in worths.items() if choice[k] == name), default=None
            )
            told.append(_told(name, other, worths[best]))
        yield f"{piece.name} is cut from {best[k]}: {'; '.join(told)}"


def _told(name: str, other: _Worth | None, best: _Worth) -> str:
    if other is None:
        return f"from {name} it cannot be cut, or was not among the likeliest"
    if other.short > best.short:
        return f"on {name} there was not room enough"
    more = other.cost - best.cost
    if more <= 0:
        return f"from {name} all would cost the same, and {name} is liked less"
    return f"from {name} all would cost {more:.2f} more"
