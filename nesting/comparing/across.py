"""Rows of one layer set right by each other across cloths: what lies on one may lie on another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal

from ..model.comparison import ComparedRow
from ..model.plan import Cloth
from ..rules.purchase import buy
from .candidates import Candidate
from .known import (
    HAIR,
    free_of_edges,
    laid_as,
    layouts_of,
    narrowed,
    other_nap,
    shortest,
    told_as,
)


def settle_across(
    rows: Iterable[ComparedRow], candidates: Mapping[int, Candidate]
) -> tuple[ComparedRow, ...]:
    """Return the rows, each with the shortest layout known of any cloth of its layer that serves.

    A layout serves another cloth that is at least as wide between the selvages, whose nap and
    sides allow all that it does, and that needs no more room between pieces. Cloth with a design,
    flaws, folds or panels, cloth already owned, breadths, and pieces that follow a selvage,
    neither give nor take. What to buy is reckoned anew, with the trim, shrinkage, step and price
    of its own.
    """
    kept = tuple(rows)
    plain = [row for row in kept if row.fits and _plain(candidates[row.number])]
    known = [pair for row in plain for pair in layouts_of(row, candidates[row.number].cloth)]
    settled = []
    for row in kept:
        others = [
            (one, on) for one, on in known if one.layer == row.layer and one.cloth != row.cloth
        ]
        settled.append(_settled(row, others, candidates) if row in plain else row)
    return tuple(settled)


def _plain(candidate: Candidate) -> bool:
    cloth = candidate.cloth
    special = cloth.length is not None or cloth.panels or cloth.flaws or cloth.repeat is not None
    return not special and free_of_edges(candidate)


def _settled(
    row: ComparedRow,
    others: Sequence[tuple[ComparedRow, Cloth]],
    candidates: Mapping[int, Candidate],
) -> ComparedRow:
    cloth = candidates[row.number].cloth
    return replace(
        laid_as(row, _shortest(cloth, others)),
        other_way=told_as(row.other_way, _shortest(other_nap(cloth), others)),
        narrower=told_as(row.narrower, _shortest(narrowed(cloth), others)),
    )


def _shortest(cloth: Cloth, others: Iterable[tuple[ComparedRow, Cloth]]) -> ComparedRow | None:
    """Return the shortest layout that serves a cloth, bought as that cloth is."""
    found = shortest(
        one
        for one, on in others
        if one.usable_width <= cloth.usable_width + HAIR and _serves(on, cloth)
    )
    if found is None:
        return None
    bought = buy(cloth, found.length)
    cost = None if bought.cost is None else Decimal(str(bought.cost))
    return replace(found, made_of=bought.made_of, buy_length=bought.length, cost=cost)


def _serves(giver: Cloth, cloth: Cloth) -> bool:
    """Tell whether what lies on one cloth may lie on another, width apart."""
    return (
        (giver.nap == "one-way" or cloth.nap == "none")
        and (giver.sides == "differ" or cloth.sides == "alike")
        and giver.gap >= cloth.gap
    )
