"""Which pieces of a plan to piece, and where.

First piece by piece: every way allowed is laid, briefly, and compared. Then all pieces together:
combinations are laid in the order of what is proven of them, until none can be shorter any more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, log

from .errors import InputError
from .model.layout import Joining
from .model.plan import Cloth, Match, Plan, PlanPiece
from .rules.choose_joins import Combination, Combinations, Needs, Option
from .rules.compile import at_fault, ready_piece
from .rules.joins import ways_to_join
from .rules.piecing import Line, inside_points, join_point, part_names, parts_of, pieced
from .tolerances import LENGTH_REPORT
from .units import length_text

Way = tuple[Line, ...]
"""The lines along which a piece is divided; none for the whole piece."""

Measure = Callable[[Plan, Cloth, float, float], tuple[float, float]]
"""Lays one cloth of a plan with a share of the effort set aside for all of this, and with a length
beyond which no lay is of use; returns the length found and one that no lay falls short of."""

Weigh = Callable[[Plan, Cloth], Mapping[str, Needs]]
"""Returns what each piece on a cloth needs of its length, whatever lies beside it."""

KEPT = 4
"""Of the ways still in the running, one in so many is looked at again with more effort."""

TOGETHER = 0.4
"""Share of the effort for choosing the joins of several pieces together."""

MOST_LAID = 12
"""Combinations of several pieces that are laid."""

AGAIN = 3
"""Of these, the best that are laid again, with half of the effort."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One way of joining a piece, all others being as they were chosen.

    ``length`` is what the lay takes, ``cost`` that with what its joins have to save (mm).
    """

    way: Way
    joins: int
    length: float
    cost: float


@dataclass(frozen=True, slots=True)
class Joined:
    """A plan whose pieces are divided as was found best, and how.

    ``plan`` has the parts as pieces of their own; ``joinings`` tell what they are parts of;
    ``remarks`` say for the maker what was tried; ``trials`` give for each piece that may be
    pieced the ways compared, the best first.
    """

    plan: Plan
    joinings: tuple[Joining, ...]
    remarks: tuple[str, ...]
    trials: Mapping[str, tuple[Trial, ...]]


def join_pieces(
    plan: Plan, measure: Measure, weigh: Weigh, *, enough: Callable[[], bool] = lambda: False
) -> Joined:
    """Decide for every piece that may be pieced whether and where.

    A join must save more cloth than the piece's ``worth``; without that the piece stays whole.
    Pieces are decided one after the other, the largest first, all others staying as they are at
    that moment, and then all of one cloth together.

    Parameters
    ----------
    measure, weigh
        Lay a cloth, and tell what is proven without laying it.
    enough
        Asked between lays; once it says True the best found so far is taken.

    Raises
    ------
    InputError
        If a piece is too wide for its cloth and no join is allowed that would help.
    """
    chosen: dict[str, Way] = {}
    trials: dict[str, tuple[Trial, ...]] = {}
    remarks: list[str] = []
    count = sum(piece.piecing is not None for piece in plan.pieces)
    share = (1.0 if count < 2 else 1.0 - TOGETHER) / max(1, count)
    for cloth in plan.cloths:
        pieces = [p for p in plan.pieces_on(cloth.name) if p.piecing is not None]
        pieces.sort(key=lambda piece: -ready_piece(plan, piece).area)
        told: dict[str, str] = {}
        bench = _Bench(plan, cloth, measure, enough, chosen)
        options = {piece.name: _options(plan, cloth, piece) for piece in pieces}
        for piece in pieces:
            chosen[piece.name] = options[piece.name][0]
        for piece in pieces:
            found = bench.compare(piece, options[piece.name], share)
            trials[piece.name] = found
            chosen[piece.name] = found[0].way
            told[piece.name] = _remark(plan, piece, found)
        several = [piece for piece in pieces if len(trials[piece.name]) > 1]
        if len(several) > 1:
            effort = TOGETHER * len(pieces) / count
            before = {piece.name: chosen[piece.name] for piece in several}
            said = bench.compare_together(several, trials, weigh, effort)
            for piece in several:
                if any(chosen[name] != way for name, way in before.items()):
                    told[piece.name] = _how_cut(piece.name, _joins(piece, chosen[piece.name]))
            told[""] = said
        remarks += told.values()
    return Joined(divided(plan, chosen), _joinings(plan, chosen), tuple(remarks), trials)


def divided_to_fit(plan: Plan) -> tuple[Plan, tuple[str, ...]]:
    """Return the plan with each piece that is wider than its cloth divided as it may be pieced.

    Nothing is laid: of all ways allowed it is the first, with the fewest joins. The names are
    those of the pieces divided.

    Raises
    ------
    InputError
        If a piece is too wide for its cloth and no join is allowed that would help.
    """
    ways = {
        piece.name: _options(plan, cloth, piece)[0]
        for cloth in plan.cloths
        for piece in plan.pieces_on(cloth.name)
        if piece.piecing is not None
    }
    return divided(plan, ways), tuple(name for name, way in ways.items() if way)


def divided(plan: Plan, ways: Mapping[str, Way]) -> Plan:
    """Return the plan with pieces divided in given ways; a way of no lines leaves one whole."""

    def parts() -> Iterator[PlanPiece]:
        for piece in plan.pieces:
            if ways.get(piece.name):
                yield from pieced(piece, ways[piece.name])
            else:
                yield piece

    matches = [match for piece in plan.pieces for match in _matches(piece, ways.get(piece.name))]
    return replace(plan, pieces=tuple(parts()), matches=(*plan.matches, *matches))


def _matches(piece: PlanPiece, lines: Way | None) -> Iterator[Match]:
    """Yield what makes the motif run on across every join, where the plan asks for it."""
    if not lines or piece.piecing is None or not piece.piecing.match:
        return
    parts = parts_of(piece, lines)
    names = part_names(piece.name, len(parts))
    numbers = {number for part in parts for number, _ in part.joins}
    for number in sorted(numbers):
        sides = [
            (name, join_point(number))
            for name, part in zip(names, parts, strict=True)
            if any(number == own for own, _ in part.joins)
        ]
        yield Match(tuple(sides), "both")


def _joinings(plan: Plan, ways: Mapping[str, Way]) -> tuple[Joining, ...]:
    found = []
    for piece in plan.pieces:
        lines = ways.get(piece.name)
        if lines and piece.piecing is not None:
            parts = parts_of(piece, lines)
            names = part_names(piece.name, len(parts))
            inside = inside_points(piece, parts)
            found.append(Joining(piece.name, names, inside, lines, piece.piecing.allowance))
    return tuple(found)


def _options(plan: Plan, cloth: Cloth, piece: PlanPiece) -> tuple[Way, ...]:
    """Return the ways a piece may be cut: whole first where it fits, then the joined ones."""
    true = ready_piece(plan, piece)
    turn = piece.grain == "crosswise"
    width = true.size[0] if turn else true.size[1]
    fits = width <= cloth.usable_width + LENGTH_REPORT
    others = [
        ready_piece(plan, other).size[1]
        for other in plan.pieces_on(cloth.name)
        if other is not piece
    ]
    with at_fault(plan, piece):
        ways = ways_to_join(piece, cloth, sorted(set(others)))
    if not fits and not ways:
        raise InputError(
            f"it is {length_text(width, plan.units)} wide, {cloth.name!r} has only "
            f"{length_text(cloth.usable_width, plan.units)} of usable width, and no join that "
            "its piecing allows makes parts that fit",
            remedy="allow joins in a larger place, or more of them, or take a wider cloth",
            file=plan.path,
            item=f"piece {piece.name!r}",
        )
    return ((), *ways) if fits else ways


@dataclass(frozen=True, slots=True)
class _Bench:
    """One cloth on which ways of joining are laid; ``chosen`` is what holds at the moment."""

    plan: Plan
    cloth: Cloth
    measure: Measure
    enough: Callable[[], bool]
    chosen: dict[str, Way]

    def compare(self, piece: PlanPiece, options: Sequence[Way], share: float) -> tuple[Trial, ...]:
        """Lay every option briefly and the better ones again with more effort; the best first.

        An option whose proven length is no better than what another has reached is not looked at
        again (successive halving with proofs).
        """
        if len(options) == 1:
            return (self._trial(piece, options[0], 0.0, inf)[0],)
        running = list(options)
        found: dict[Way, Trial] = {}
        rounds = 1 + int(log(len(options), KEPT))
        while running:
            part = share / rounds / len(running)
            best = min((trial.cost for trial in found.values()), default=inf)
            for way in running:
                if found and self.enough():
                    return tuple(sorted(found.values(), key=_rank))
                trial, least = self._trial(piece, way, part, best)
                if way not in found or trial.cost < found[way].cost:
                    found[way] = trial
                best = min(best, found[way].cost)
                if least >= best - LENGTH_REPORT:
                    running = [other for other in running if other != way]
            ranked = sorted(running, key=lambda way: found[way].cost)
            if len(ranked) <= 1:
                break
            running = ranked[: max(1, len(ranked) // KEPT)]
        return tuple(sorted(found.values(), key=_rank))

    def compare_together(
        self,
        pieces: Sequence[PlanPiece],
        trials: Mapping[str, tuple[Trial, ...]],
        weigh: Weigh,
        effort: float,
    ) -> str:
        """Lay combinations that may be better than what was chosen piece by piece; say so.

        They come in the order of their proven cost, so that once that reaches the best cost
        found, all others are proven no better. The best one is chosen.
        """
        ways = [tuple(trial.way for trial in trials[piece.name]) for piece in pieces]
        combinations = _combinations(self.plan, self.cloth, pieces, ways, weigh, self.chosen)
        begun = self._cost(pieces, trials)
        best, laid = begun, 1
        combinations.rule_out((0,) * len(pieces))
        open_: list[tuple[float, Combination]] = []

        def lay(combination: Combination, share: float) -> float:
            tried = {p.name: own[k] for p, own, k in zip(pieces, ways, combination, strict=True)}
            price = sum(_price(piece, tried[piece.name]) for piece in pieces)
            whole = divided(self.plan, {**self.chosen, **tried})
            length, least = self.measure(whole, self.cloth, share, best - price)
            if least + price < best - LENGTH_REPORT:
                open_.append((length + price, combination))
            if length + price < best - LENGTH_REPORT:
                self.chosen.update(tried)
                return length + price
            return best

        while laid <= MOST_LAID and not self.enough():
            combination = combinations.next(best - LENGTH_REPORT)
            if combination is None:
                break
            combinations.rule_out(combination)
            best = lay(combination, 0.5 * effort / MOST_LAID)
            laid += 1
        for _cost, combination in sorted(open_)[:AGAIN]:
            if not self.enough():
                best = lay(combination, 0.5 * effort / AGAIN)
        price = sum(_price(piece, self.chosen[piece.name]) for piece in pieces)
        names = " and ".join(piece.name for piece in pieces)
        said = f"joins of {names} together: {laid} of {combinations.count} combinations laid"
        if combinations.none_better:
            said += ", none of the others can be better (proven)"
        if best == begun:
            return f"{said}; the best is what was chosen one by one"
        lengths = (best - price, trials[pieces[-1].name][0].length)
        now, before = (_taken(length, self.plan) for length in lengths)
        return f"{said}; the best takes {now}, what was chosen one by one {before}"

    def _cost(self, pieces: Sequence[PlanPiece], trials: Mapping[str, tuple[Trial, ...]]) -> float:
        """Return the cost of what was chosen piece by piece: the last piece's knows all others."""
        others = sum(_price(piece, self.chosen[piece.name]) for piece in pieces[:-1])
        return trials[pieces[-1].name][0].cost + others

    def _trial(
        self, piece: PlanPiece, way: Way, share: float, useful: float
    ) -> tuple[Trial, float]:
        """Return one option as laid, and what its cost cannot fall short of.

        ``useful`` is a cost beyond which it is of no use.
        """
        price = _price(piece, way)
        tried = divided(self.plan, {**self.chosen, piece.name: way})
        length, least = self.measure(tried, self.cloth, share, useful - price)
        return Trial(way, _joins(piece, way), length, length + price), least + price


def _rank(trial: Trial) -> tuple[float, int]:
    # Lengths equal to a tenth of a millimetre are the same: then the fewest joins.
    return round(trial.cost, 1), trial.joins


def _price(piece: PlanPiece, way: Way) -> float:
    """Return the cloth that the joins of all copies have to save, mm."""
    assert piece.piecing is not None  # noqa: S101 - only such pieces are compared
    return _joins(piece, way) * piece.copies * piece.piecing.worth


def _combinations(
    plan: Plan,
    cloth: Cloth,
    pieces: Sequence[PlanPiece],
    ways: Sequence[Sequence[Way]],
    weigh: Weigh,
    chosen: Mapping[str, Way],
) -> Combinations:
    """Return the combinations of given ways of cutting pieces, all others being as chosen."""
    # Every part of every way is weighed as a piece by itself, under a name of its own.
    names = {piece.name for piece in pieces}
    rest = replace(plan, pieces=tuple(p for p in plan.pieces if p.name not in names))
    others = divided(rest, chosen).pieces_on(cloth.name)
    parts = {
        (p, k): [
            replace(part, name=f"{piece.name} {k} {n}")
            for n, part in enumerate(pieced(piece, way) if way else (piece,))
        ]
        for p, piece in enumerate(pieces)
        for k, way in enumerate(ways[p])
    }
    every = (*others, *(part for own in parts.values() for part in own))
    needs = weigh(replace(plan, pieces=every), cloth)
    nothing = Needs(0.0 * next(iter(needs.values())).sums, 0.0)

    def together(group: Sequence[PlanPiece]) -> Needs:
        return nothing.with_others(*(needs[piece.name] for piece in group))

    options = [
        [Option(together(parts[p, k]), _price(piece, way)) for k, way in enumerate(ways[p])]
        for p, piece in enumerate(pieces)
    ]
    return Combinations(together(others), options)


def _joins(piece: PlanPiece, way: Way) -> int:
    """Return the joins of one copy."""
    return len(parts_of(piece, way)) - 1 if way else 0


def _remark(plan: Plan, piece: PlanPiece, trials: Sequence[Trial]) -> str:
    best = trials[0]
    others = [trial for trial in trials[1:] if bool(trial.joins) != bool(best.joins)]
    said = f"{_how_cut(piece.name, best.joins)} ({_taken(best.length, plan)} in a trial lay)"
    if not best.joins and others:
        said += f"; pieced, such a lay takes {_taken(others[0].length, plan)}"
        if others[0].length < best.length:
            said += ", which saves less than the joins have to"
    elif others:
        said += f"; whole, such a lay takes {_taken(others[0].length, plan)}"
    elif best.joins:
        said += "; whole it is too wide for the cloth"
    return said


def _taken(length: float, plan: Plan) -> str:
    return length_text(length, plan.units) if length < inf else "no length found"


def _how_cut(name: str, joins: int) -> str:
    if not joins:
        return f"{name} stays whole"
    return f"{name} is pieced with {'one join' if joins == 1 else f'{joins} joins'} in all"
