"""Rows of one cloth set right by each other: what lies on a narrower cloth lies on a wider one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ..model.comparison import ComparedRow
from ..model.plan import Cloth
from .candidates import Candidate
from .known import HAIR, NARROWER, free_of_edges, laid_as, layouts_of, shortest, told_as


def settle(
    rows: Iterable[ComparedRow], candidates: Mapping[int, Candidate]
) -> tuple[ComparedRow, ...]:
    """Return the rows, each with the shortest layout known to lie on its width.

    A search that was short may find less on a wider cloth than another found on a narrower one;
    that layout lies on the wider one as it is. So no row is longer than a narrower row of the
    same cloth, nor than what is known of that cloth 2 cm narrower, and no "if narrower" longer
    than what is known of such a width. Folded cloth, pieces that follow a selvage, and breadths
    are left as they are.
    """
    groups: dict[tuple[str, str], list[ComparedRow]] = {}
    for row in rows:
        groups.setdefault((row.layer, row.cloth), []).append(row)
    settled: list[ComparedRow] = []
    for group in groups.values():
        free = free_of_edges(candidates[group[0].number])
        settled += _settled(group, candidates) if free else group
    return tuple(settled)


def _settled(
    group: Sequence[ComparedRow], candidates: Mapping[int, Candidate]
) -> list[ComparedRow]:
    nap = candidates[group[0].number].cloth.nap
    known = [pair for row in group for pair in layouts_of(row, candidates[row.number].cloth)]
    return [_from_known(row, known, nap) for row in group]


def _from_known(
    row: ComparedRow, known: Sequence[tuple[ComparedRow, Cloth]], nap: str
) -> ComparedRow:
    """Return a row with the best of what is known of its width."""
    # One that does not fit is too narrow, or owned and too short: only that may be mended.
    if not row.fits and not row.owned:
        return row
    own = [one for one, cloth in known if cloth.nap == nap]
    others = [one for one, cloth in known if cloth.nap != nap]
    less = row.width - NARROWER
    return replace(
        laid_as(row, shortest(one for one in own if one.width <= row.width + HAIR)),
        other_way=told_as(
            row.other_way, shortest(one for one in others if one.width <= row.width + HAIR)
        ),
        narrower=told_as(row.narrower, shortest(one for one in own if one.width <= less + HAIR)),
    )
