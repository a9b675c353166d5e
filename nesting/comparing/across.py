"""Rows of one layer set right by each other across cloths: what lies on one may lie on another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from ..model.comparison import ComparedRow, WhatIf
from ..model.plan import Cloth
from ..rules.purchase import buy
from ..tolerances import LENGTH_REPORT
from .candidates import Candidate
from .one import NARROWER

_HAIR = 0.01  # mm


def settle_across(
    rows: Iterable[ComparedRow], candidates: Mapping[int, Candidate]
) -> tuple[ComparedRow, ...]:
    """Return the rows, each with the shortest layout known of any cloth of its layer that serves.

    A layout serves another cloth that is at least as wide between the selvages, whose nap and
    sides allow all that it does, and that needs no more room between pieces. Cloth with a design,
    flaws, folds or panels, cloth already owned, and pieces that follow a selvage, neither give
    nor take. What to buy is reckoned anew, with the trim, shrinkage, step and price of its own.
    """
    kept = tuple(rows)
    plain = [row for row in kept if row.fits and _plain(candidates[row.number])]
    settled = []
    for row in kept:
        others = [one for one in plain if one.layer == row.layer and one.cloth != row.cloth]
        able = row in plain
        settled.append(_settled(row, others, candidates) if able else row)
    return tuple(settled)


def _plain(candidate: Candidate) -> bool:
    cloth, pieces = candidate.cloth, candidate.plan.pieces
    special = cloth.length is not None or cloth.panels or cloth.flaws or cloth.repeat is not None
    return not special and cloth.fold == "open" and all(piece.border is None for piece in pieces)


def _settled(
    row: ComparedRow, others: Sequence[ComparedRow], candidates: Mapping[int, Candidate]
) -> ComparedRow:
    cloth = candidates[row.number].cloth
    reversed_nap = replace(cloth, nap="none" if cloth.nap == "one-way" else "one-way")
    found = _shortest(row.usable_width, cloth, others, candidates)
    other_way = _shortest(row.usable_width, reversed_nap, others, candidates)
    narrow = replace(cloth, width=cloth.width - NARROWER)
    narrower = _shortest(narrow.usable_width, narrow, others, candidates)
    row = row if found is None else _laid_as(row, found, cloth)
    return replace(
        row,
        other_way=_better(row.other_way, other_way, cloth),
        narrower=_better(row.narrower, narrower, cloth),
    )


def _shortest(
    usable: float,
    cloth: Cloth,
    others: Iterable[ComparedRow],
    candidates: Mapping[int, Candidate],
) -> ComparedRow | None:
    serving = [
        one
        for one in others
        if one.usable_width <= usable + _HAIR and _serves(candidates[one.number].cloth, cloth)
    ]
    return min(serving, key=lambda one: one.length, default=None)


def _serves(giver: Cloth, cloth: Cloth) -> bool:
    """Tell whether what lies on one cloth may lie on another, width apart."""
    return (
        (giver.nap == "one-way" or cloth.nap == "none")
        and (giver.sides == "differ" or cloth.sides == "alike")
        and giver.gap >= cloth.gap
    )


def _laid_as(row: ComparedRow, found: ComparedRow, cloth: Cloth) -> ComparedRow:
    if found.length >= row.length - LENGTH_REPORT:
        return row
    bought = buy(cloth, found.length)
    strip = (found.length, row.usable_width - found.usable_width)
    return replace(
        row,
        length=found.length,
        made_of=bought.made_of,
        buy_length=bought.length,
        cost=None if bought.cost is None else Decimal(str(bought.cost)),
        used=found.used * found.usable_width / row.usable_width,
        joins=found.joins,
        status="proven best" if found.length <= row.proven_minimum + LENGTH_REPORT else "found",
        leftover=max((found.leftover or (0.0, 0.0), strip), key=lambda size: size[0] * size[1]),
        same_as=found.width if found.same_as is None else found.same_as,
        same_cloth=found.same_cloth or found.cloth,
    )


def _better(case: WhatIf | None, found: ComparedRow | None, cloth: Cloth) -> WhatIf | None:
    if case is None or found is None:
        return case
    if case.length is not None and case.length <= found.length:
        return case
    bought = buy(cloth, found.length)
    cost = None if bought.cost is None else Decimal(str(bought.cost))
    return replace(case, length=found.length, buy_length=bought.length, cost=cost, reason="")
