"""Which pieces of a plan to piece, and where: every way allowed is laid, briefly, and compared."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import inf, log

from .errors import InputError
from .model.layout import Joining
from .model.plan import Cloth, Match, Plan, PlanPiece
from .rules.joins import ways_to_join
from .rules.piecing import Line, inside_points, join_point, part_names, parts_of, pieced
from .rules.true_piece import cut_piece
from .tolerances import LENGTH_REPORT
from .units import length_text

Way = tuple[Line, ...]
"""The lines along which a piece is divided; none for the whole piece."""

Measure = Callable[[Plan, Cloth, float], tuple[float, float]]
"""Lays one cloth of a plan with a share of the effort set aside for all of this; returns the
length found and a length that no lay falls short of."""

KEPT = 4
"""Of the ways still in the running, one in so many is looked at again with more effort."""


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


def join_pieces(plan: Plan, measure: Measure) -> Joined:
    """Decide for every piece that may be pieced whether and where.

    A join must save more cloth than the piece's ``worth``; without that the piece stays whole.
    Pieces are decided one after the other, the largest first, all others staying as they are at
    that moment.

    Raises
    ------
    InputError
        If a piece is too wide for its cloth and no join is allowed that would help.
    """
    chosen: dict[str, Way] = {}
    trials: dict[str, tuple[Trial, ...]] = {}
    remarks: list[str] = []
    share = 1.0 / max(1, sum(piece.piecing is not None for piece in plan.pieces))
    for cloth in plan.cloths:
        pieces = [p for p in plan.pieces_on(cloth.name) if p.piecing is not None]
        pieces.sort(key=lambda piece: -cut_piece(piece).area)
        options = {piece.name: _options(plan, cloth, piece) for piece in pieces}
        for piece in pieces:
            chosen[piece.name] = options[piece.name][0]
        for piece in pieces:
            found = _compare(plan, cloth, piece, options[piece.name], chosen, measure, share)
            trials[piece.name] = found
            chosen[piece.name] = found[0].way
            remarks.append(_remark(plan, piece, found))
    return Joined(divided(plan, chosen), _joinings(plan, chosen), tuple(remarks), trials)


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
    true = cut_piece(piece)
    turn = piece.grain == "crosswise"
    width = true.size[0] if turn else true.size[1]
    fits = width <= cloth.usable_width + LENGTH_REPORT
    others = [
        cut_piece(other).size[1] for other in plan.pieces_on(cloth.name) if other is not piece
    ]
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


def _compare(
    plan: Plan,
    cloth: Cloth,
    piece: PlanPiece,
    options: Sequence[Way],
    chosen: Mapping[str, Way],
    measure: Measure,
    share: float,
) -> tuple[Trial, ...]:
    """Lay every option briefly and the better ones again with more effort; the best first.

    An option whose proven length is no better than what another has reached is not looked at
    again (successive halving with proofs).
    """
    if len(options) == 1:
        return (_trial(plan, cloth, piece, options[0], chosen, measure, 0.0)[0],)
    running = list(options)
    found: dict[Way, Trial] = {}
    rounds = 1 + int(log(len(options), KEPT))
    while running:
        part = share / rounds / len(running)
        best = min((trial.cost for trial in found.values()), default=inf)
        for way in running:
            trial, least = _trial(plan, cloth, piece, way, chosen, measure, part)
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


def _rank(trial: Trial) -> tuple[float, int]:
    # Lengths equal to a tenth of a millimetre are the same: then the fewest joins.
    return round(trial.cost, 1), trial.joins


def _trial(
    plan: Plan,
    cloth: Cloth,
    piece: PlanPiece,
    way: Way,
    chosen: Mapping[str, Way],
    measure: Measure,
    share: float,
) -> tuple[Trial, float]:
    """Return one option as laid, and what its cost cannot fall short of."""
    assert piece.piecing is not None  # noqa: S101 - only such pieces are compared
    joins = _joins(piece, way) * piece.copies
    price = joins * piece.piecing.worth
    length, least = measure(divided(plan, {**chosen, piece.name: way}), cloth, share)
    return Trial(way, joins, length, length + price), least + price


def _joins(piece: PlanPiece, way: Way) -> int:
    """Return the joins of one copy."""
    return len(parts_of(piece, way)) - 1 if way else 0


def _remark(plan: Plan, piece: PlanPiece, trials: Sequence[Trial]) -> str:
    best = trials[0]
    others = [trial for trial in trials[1:] if bool(trial.joins) != bool(best.joins)]
    length = length_text(best.length, plan.units)
    if not best.joins:
        said = f"{piece.name} stays whole ({length})"
        if others:
            said += f"; pieced the lay would take {length_text(others[0].length, plan.units)}"
        return said
    count = "one join" if best.joins == 1 else f"{best.joins} joins"
    said = f"{piece.name} is pieced with {count} in all ({length})"
    if others:
        return f"{said}; whole the lay would take {length_text(others[0].length, plan.units)}"
    return f"{said}; whole it is too wide for the cloth"
