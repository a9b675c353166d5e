"""Rows of one cloth set right by each other: what lies on a narrower cloth lies on a wider one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Literal

from ..model.comparison import ComparedRow, WhatIf
from ..tolerances import LENGTH_REPORT
from .candidates import Candidate
from .one import NARROWER

_HAIR = 0.01  # mm


def settle(
    rows: Iterable[ComparedRow], candidates: Mapping[int, Candidate]
) -> tuple[ComparedRow, ...]:
    """Return the rows, each with the shortest layout known to lie on its width.

    A search that was short may find less on a wider cloth than another found on a narrower one;
    that layout lies on the wider one as it is. So no row is longer than a narrower row of the
    same cloth, and no "if narrower" longer than what is known of such a width. Folded cloth, and
    pieces that follow a selvage, are left as they are.
    """
    groups: dict[tuple[str, str], list[ComparedRow]] = {}
    for row in rows:
        groups.setdefault((row.layer, row.cloth), []).append(row)
    settled: list[ComparedRow] = []
    for group in groups.values():
        settled += _settled(group) if _free(candidates[group[0].number]) else group
    return tuple(settled)


def _free(candidate: Candidate) -> bool:
    """Tell whether a layout keeps its sense when cloth is added at the far selvage."""
    borders = any(piece.border is not None for piece in candidate.plan.pieces)
    return candidate.cloth.fold == "open" and not borders


def _settled(group: Sequence[ComparedRow]) -> list[ComparedRow]:
    done: list[ComparedRow] = []
    for row in sorted(group, key=lambda one: (one.width, one.number)):
        known = [one for one in done if one.fits]
        done.append(_shortest(row, known) if row.fits else row)
    return done


def _shortest(row: ComparedRow, narrower: Sequence[ComparedRow]) -> ComparedRow:
    """Return a row with the best of what is known of its width; ``narrower`` are settled rows."""
    best = min(narrower, key=lambda one: one.length, default=row)
    if best.length < row.length - LENGTH_REPORT:
        share = best.usable_width / row.usable_width
        proven = best.length <= row.proven_minimum + LENGTH_REPORT
        row = replace(
            row,
            length=best.length,
            made_of=best.made_of,
            buy_length=best.buy_length,
            cost=best.cost,
            used=best.used * share,
            joins=best.joins,
            status="proven best" if proven else "found",
            leftover=_larger(best, row),
            same_as=best.width if best.same_as is None else best.same_as,
        )
    others = [one.other_way for one in narrower if one.other_way is not None]
    less = row.width - NARROWER + _HAIR
    fitting = [_as_narrower(one) for one in narrower if one.width <= less]
    return replace(
        row,
        other_way=_better(row.other_way, others),
        narrower=_better(row.narrower, fitting),
    )


def _larger(best: ComparedRow, row: ComparedRow) -> tuple[float, float]:
    """Return the larger clean leftover: the narrower lay's own, or the strip beside it."""
    strip = (best.length, row.usable_width - best.usable_width)
    return max((best.leftover or (0.0, 0.0), strip), key=lambda size: size[0] * size[1])


def _as_narrower(row: ComparedRow) -> WhatIf:
    case: Literal["narrower"] = "narrower"
    return WhatIf(case, row.length, row.buy_length, row.cost)


def _better(found: WhatIf | None, known: Iterable[WhatIf]) -> WhatIf | None:
    """Return the shortest of what was found and what is known; None where nothing was asked."""
    if found is None:
        return None
    laid = [one for one in (found, *known) if one.length is not None]
    return min(laid, key=lambda one: one.length or 0.0, default=found)
