"""Which parts of pieced pieces are sewn to which, where they lie on the cloth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, zip_longest

import numpy as np

from ..geometry.rings import FloatArray
from .layout import Joining, Layout, Placement

_ON_LINE = 1.0  # mm; a join's middle lies on its sew line, but for rounding in files


@dataclass(frozen=True, slots=True, eq=False)
class SeamSide:
    """One side of a join: a placement with the line along which it is sewn to another.

    Attributes
    ----------
    lay, placement
        Index of the lay, and of the placement in it.
    join
        Name of the join, which both its sides share: ``join 1``.
    line
        The stitching line of the join as placed, mm.
    other
        Lay and placement of the part it is sewn to.
    allowance
        Width of the seam allowance beyond the line, mm, the same on both sides.
    """

    lay: int
    placement: int
    join: str
    line: FloatArray
    other: tuple[int, int]
    allowance: float

    @property
    def length(self) -> float:
        """Length of the join, mm."""
        return float(np.linalg.norm(np.diff(self.line, axis=0), axis=1).sum())


def seam_sides(layout: Layout) -> tuple[SeamSide, ...]:
    """Return both sides of every join of a layout, by lay and placement.

    Copies of one hand are alike, so that the first main part goes with the first wedge of its
    hand, and so on; a placement cut double counts for both hands but is told once.
    """
    sides: dict[tuple[int, int, str, tuple[int, int]], SeamSide] = {}
    for joining in layout.joinings:
        for first, second in combinations(joining.parts, 2):
            for one, other in _met(layout, first, second):
                for side in _sides(layout, joining, one, other):
                    sides.setdefault((side.lay, side.placement, side.join, side.other), side)
    return tuple(sides[key] for key in sorted(sides))


def join_line(placement: Placement, join: str) -> FloatArray | None:
    """Return the straight sew line in whose middle the point of a join lies, or None."""
    middle = placement.points.get(join)
    for line in () if middle is None else placement.sew_lines:
        halfway = (line[0] + line[-1]) / 2
        if len(line) == 2 and float(np.linalg.norm(halfway - middle)) < _ON_LINE:
            return line
    return None


def _met(layout: Layout, first: str, second: str) -> Iterator[tuple[tuple[int, int], ...]]:
    """Yield lay and placement of copies of two parts that belong together."""
    for hand in ("R", "L", ""):
        found = [_copies(layout, part, hand) for part in (first, second)]
        for one, other in zip_longest(*found):
            if one is not None and other is not None:
                yield one, other


def _copies(layout: Layout, part: str, hand: str) -> list[tuple[int, int]]:
    """Return lay and placement of every copy of a part for one hand, by number of the copy."""
    copies = [
        (placement.copy, n, k)
        for n, lay in enumerate(layout.lays)
        for k, placement in enumerate(lay.placements)
        if placement.piece == part
        for own in _hands(placement)
        if own == hand
    ]
    return [(n, k) for _, n, k in sorted(copies)]


def _hands(placement: Placement) -> tuple[str, ...]:
    if placement.on_fold or placement.layers == 1:
        return (placement.hand,)
    return ("R", "L") if placement.hand else ("",) * placement.layers


def _sides(
    layout: Layout, joining: Joining, one: tuple[int, int], other: tuple[int, int]
) -> Iterator[SeamSide]:
    """Yield both sides of every join between two placements."""
    ends = [(at, layout.lays[at[0]].placements[at[1]]) for at in (one, other)]
    shared = [name for name in ends[0][1].points if name in ends[1][1].points]
    for name in shared:
        lines = [join_line(placement, name) for _, placement in ends]
        if lines[0] is None or lines[1] is None:
            continue
        yield SeamSide(*one, name, lines[0], other, joining.allowance)
        yield SeamSide(*other, name, lines[1], one, joining.allowance)
