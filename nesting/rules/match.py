"""Matches and motifs of a cloth, settled against each other.

Every reason why a piece lies where it does says the same thing: its position is some place of
the design plus a known step, give or take whole repeats. The places are those of the cloth's own
design (:data:`CLOTH`) and one for each match, unknown until pieces are laid. A piece held for
several reasons ties their places to each other; here they are all expressed by as few as
possible, and where two reasons cannot both hold, that is refused by name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ..geometry.rings import Point
from ..tolerances import MOTIF
from .motif import Grid

CLOTH: Final = -1
"""The place that is the start of the cloth's own repeat; matches count from 0."""


@dataclass(frozen=True, slots=True)
class Held:
    """One reason: the piece's position is the place ``by`` plus ``step``; ``why`` in words."""

    by: int
    step: Point
    why: str


@dataclass(frozen=True, slots=True)
class Settled:
    """A place as another one, ``root``, plus ``step``; the root is CLOTH where that can be."""

    root: int
    step: Point


class ContradictionError(ValueError):
    """Two reasons that cannot both hold for a piece: its name, both in words, by how much."""

    def __init__(self, piece: str, one: str, other: str, miss: float) -> None:
        super().__init__(f"{piece}: {one}; {other}")
        self.piece, self.one, self.other, self.miss = piece, one, other, miss


def settle(grid: Grid, held: Iterable[tuple[str, Sequence[Held]]]) -> Mapping[int, Settled]:
    """Return every place by its root.

    Parameters
    ----------
    grid
        The vectors by which two places may differ and still look alike.
    held
        For each way a piece may lie: its name and all reasons that hold it.

    Raises
    ------
    ContradictionError
        If the reasons of a piece, or of several pieces in turn, contradict each other.
    """
    found: dict[int, Settled] = {}
    pieces = [(name, tuple(reasons)) for name, reasons in held if reasons]
    places = sorted({reason.by for _, reasons in pieces for reason in reasons})
    for place in places:
        if place not in found:
            found[place] = Settled(place, (0.0, 0.0))
            while _spread(grid, pieces, found):
                pass
    return found


def _spread(
    grid: Grid, pieces: Sequence[tuple[str, Sequence[Held]]], found: dict[int, Settled]
) -> bool:
    """Express places by those already found, one piece after the other; tell whether any was."""
    more = False
    for name, reasons in pieces:
        known = next((reason for reason in reasons if reason.by in found), None)
        if known is None:
            continue
        base = found[known.by]
        for reason in reasons:
            step = tuple(
                b + k - r for b, k, r in zip(base.step, known.step, reason.step, strict=True)
            )
            if reason.by not in found:
                found[reason.by] = Settled(base.root, (step[0], step[1]))
                more = True
                continue
            other = found[reason.by]
            miss = grid.miss(step[0] - other.step[0], step[1] - other.step[1])
            if miss > MOTIF / 2:
                raise ContradictionError(name, known.why, reason.why, miss)
    return more
