"""The layouts known from a row, each as a row of the cloth it lies on, and how one is taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from ..model.comparison import ComparedRow, LaidFigures, WhatIf
from ..model.plan import Cloth
from ..tolerances import LENGTH_REPORT
from .candidates import Candidate

NARROWER = 20.0
"""How much narrower, in mm, cloth may turn out than its label says."""

HAIR = 0.01
"""Widths that differ by less, in mm, are the same."""


def free_of_edges(candidate: Candidate) -> bool:
    """Tell whether a layout keeps its sense when cloth is added at the far selvage.

    Not on folded cloth, nor where a piece follows a selvage or is as wide as the cloth.
    """
    tied = any(piece.border is not None for piece in candidate.plan.pieces)
    return candidate.cloth.fold == "open" and not tied and not candidate.plan.breadths


def other_nap(cloth: Cloth) -> Cloth:
    """Return the cloth with the other way of the nap."""
    return replace(cloth, nap="none" if cloth.nap == "one-way" else "one-way")


def narrowed(cloth: Cloth) -> Cloth:
    """Return the cloth as narrow as it may turn out."""
    return replace(cloth, width=cloth.width - NARROWER)


def layouts_of(row: ComparedRow, cloth: Cloth) -> Iterator[tuple[ComparedRow, Cloth]]:
    """Yield each layout known from a row of a cloth, as a row of the cloth on which it lies.

    That is its own, the one of cloth a little narrower, and the one with the other nap.
    """
    if row.fits:
        yield row, cloth
    for case, on in ((row.narrower, narrowed(cloth)), (row.other_way, other_nap(cloth))):
        if case is not None and case.length is not None and case.figures is not None:
            yield _as_row(row, case, case.figures, on), on


def shortest(rows: Iterable[ComparedRow]) -> ComparedRow | None:
    """Return the shortest of some layouts, the first of equals; None where there is none."""
    return min(rows, key=lambda one: one.length, default=None)


def laid_as(row: ComparedRow, found: ComparedRow | None) -> ComparedRow:
    """Return a row with another layout that serves its cloth, where that is shorter.

    Buying and cost are the other's: they are right where trim, shrinkage, step and price are.
    """
    if found is None or (row.fits and found.length >= row.length - LENGTH_REPORT):
        return row
    strip = (found.length, row.usable_width - found.usable_width)
    elsewhere = found.cloth if found.cloth != row.cloth else ""
    return replace(
        row,
        length=found.length,
        made_of=found.made_of,
        buy_length=found.buy_length,
        cost=found.cost,
        used=found.used * found.usable_width / row.usable_width,
        joins=found.joins,
        status="proven best" if found.length <= row.proven_minimum + LENGTH_REPORT else "found",
        reason="",
        leftover=max((found.leftover or (0.0, 0.0), strip), key=lambda size: size[0] * size[1]),
        same_as=found.width if found.same_as is None else found.same_as,
        same_cloth=found.same_cloth or elsewhere,
    )


def told_as(case: WhatIf | None, found: ComparedRow | None) -> WhatIf | None:
    """Return what one thing otherwise would take: the shorter of what was found and a layout.

    None where nothing was asked.
    """
    if case is None or found is None:
        return case
    if case.length is not None and case.length <= found.length:
        return case
    figures = LaidFigures(found.made_of, found.used, found.leftover, found.joins)
    return WhatIf(case.case, found.length, found.buy_length, found.cost, figures=figures)


def _as_row(row: ComparedRow, case: WhatIf, figures: LaidFigures, cloth: Cloth) -> ComparedRow:
    return replace(
        row,
        width=cloth.width,
        usable_width=cloth.usable_width,
        nap=cloth.nap,
        status="found",
        reason="",
        length=case.length or 0.0,
        buy_length=case.buy_length or 0.0,
        cost=case.cost,
        made_of=figures.made_of,
        used=figures.used,
        leftover=figures.leftover,
        joins=figures.joins,
        same_as=None,
        same_cloth="",
    )
