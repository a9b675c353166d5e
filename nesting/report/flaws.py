"""How faulty a cloth is, in the trade's points, and its flaws in words.

ASTM D5430, the four-point system: a fault of up to 3 in counts 1 point, up to 6 in 2, up to 9 in
3, a longer one 4; a hole of up to 1 in counts 2, a larger one 4; no yard of the cloth more than 4.
What counts in trade is points per 100 square yards.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

import shapely

from ..model.layout import LaidFlaw
from ..units import MM_PER

_INCH: Final = MM_PER["in"]
_YARD: Final = MM_PER["yd"]
_HAIR: Final = 1e-6
_MOST_IN_A_YARD: Final = 4


@dataclass(frozen=True, slots=True)
class FaultPoints:
    """Points after ASTM D5430: in all, and per 100 square yards."""

    points: int
    per_100_square_yards: float


def fault_points(flaws: Iterable[LaidFlaw], width: float, length: float) -> FaultPoints:
    """Return the points of a piece of cloth.

    A fault is as long as its greater extent along or across, and belongs to the yard, counted
    from the cut end, in which it begins; one longer than a yard counts in each yard anew.

    Parameters
    ----------
    flaws
        As marked on the cloth.
    width, length
        Of the whole piece, edge to edge and end to end, mm.
    """
    in_yard: dict[int, int] = defaultdict(int)
    for flaw in flaws:
        for start, extent in _yards(flaw):
            in_yard[int((start + _HAIR) // _YARD)] += _points(
                extent, hole="hole" in flaw.kind.lower()
            )
    points = sum(min(one, _MOST_IN_A_YARD) for one in in_yard.values())
    square_yards = width * length / _YARD**2
    return FaultPoints(points, 100.0 * points / square_yards)


def _yards(flaw: LaidFlaw) -> Iterator[tuple[float, float]]:
    """Yield where each yard of a fault begins, and its greater extent in that yard."""
    shape = shapely.Polygon(flaw.outline)
    x0, y0, x1, y1 = shape.bounds
    start = x0
    while start < x1 - _HAIR:
        part = shapely.intersection(shape, shapely.box(start, y0, start + _YARD, y1))
        left, low, right, high = part.bounds
        yield start, max(right - left, high - low)
        start += _YARD


def _points(extent: float, *, hole: bool) -> int:
    inches = extent / _INCH - _HAIR
    if hole:
        return 2 if inches <= 1 else 4
    return 1 + sum(inches > limit for limit in (3, 6, 9))


def flaw_words(flaws: Iterable[LaidFlaw], points: FaultPoints) -> str:
    """Return the flaws of a piece of cloth on one line: how many of each kind, and the points."""
    kinds = Counter(flaw.kind or "unnamed" for flaw in flaws)
    told = ", ".join(f"{count} {kind}" if count > 1 else kind for kind, count in kinds.items())
    return (
        f"{told}; {points.points} points on the whole piece, "
        f"{points.per_100_square_yards:.1f} per 100 square yards (ASTM D5430)"
    )
