"""Where to put the chalk: points of every cut line, measured from the squared end and a selvage.

A cut line is chalked by marking points and joining them along a ruler. The points are the
corners, and as many points of every curve as keep the lines between them near the true one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from ..model.layout import Lay, Placement
from .cutting_order import cutting_order

FloatArray: TypeAlias = npt.NDArray[np.float64]

WITHIN: Final = 0.3
"""Most that the chalked line is off the cut line before rounding, mm: what all the steps before
leave of the half millimetre between the file and the chalk line."""

_CORNER: Final = math.radians(25.0)
"""A cut line that turns by more than this at one point has a corner there; the chords of a curve
turn by less, unless its radius is under 4 mm."""

Kind = Literal["corner", "curve", "cutout", "notch", "drill hole", "named point", "grain"]


@dataclass(frozen=True, slots=True)
class ChalkPoint:
    """One point to mark: millimetres along from the squared end and across from the near selvage.

    ``number`` counts the points of the piece from 1 in the order in which to mark them;
    ``name`` is set for named points only.
    """

    number: int
    kind: Kind
    along: float
    across: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Diagonal:
    """Straight from one numbered point to another, in millimetres: proves both are right."""

    start: int
    end: int
    length: float


@dataclass(frozen=True, slots=True)
class ChalkedPiece:
    """One placement to chalk.

    ``index`` is its place among the lay's placements. ``points`` begin with the cut line, counter-
    clockwise from the corner nearest to the squared end and the near selvage; cutouts and marks
    follow. ``diagonals`` are the longest line across the piece and the widest one over it.
    """

    index: int
    points: tuple[ChalkPoint, ...]
    diagonals: tuple[Diagonal, ...]

    @property
    def cut_line(self) -> tuple[ChalkPoint, ...]:
        """The points to join, in order and back to the first."""
        return tuple(point for point in self.points if point.kind in {"corner", "curve"})


def chalk(lay: Lay, *, within: float = WITHIN) -> tuple[ChalkedPiece, ...]:
    """Return the points to mark for every placement of a lay, in the cutting order.

    Parameters
    ----------
    lay
        Its placements are measured where they lie, on cloth folded as the lay says.
    within
        Millimetres; no point of the chalked line is farther than this from the true cut line,
        and none of the true one farther from the chalked, before any rounding.

    Raises
    ------
    ValueError
        If ``within`` is not positive.
    """
    if not within > 0:
        raise ValueError(f"within must be positive, not {within}")
    return tuple(_piece(n, lay.placements[n], within) for n in cutting_order(lay))


def _piece(index: int, placement: Placement, within: float) -> ChalkedPiece:
    found = list(_all_points(placement, within))
    points = tuple(
        ChalkPoint(number, kind, float(at[0]), float(at[1]), name)
        for number, (kind, at, name) in enumerate(found, start=1)
    )
    line = np.array([at for kind, at, _ in found if kind in {"corner", "curve"}])
    return ChalkedPiece(index, points, _diagonals(line))


def _all_points(
    placement: Placement, within: float
) -> Iterator[tuple[Kind, Sequence[float] | FloatArray, str]]:
    for at, is_corner in _ring(placement.outline, within):
        yield "corner" if is_corner else "curve", at, ""
    for hole in placement.cutouts:
        for at, _ in _ring(hole, within):
            yield "cutout", at, ""
    for notch in placement.notches:
        yield "notch", notch.at, ""
    for drilled in placement.drill_holes:
        yield "drill hole", drilled, ""
    for name, named in placement.points.items():
        yield "named point", named, name
    for end in placement.grain:
        yield "grain", end, ""


def _ring(ring: FloatArray, within: float) -> Iterator[tuple[FloatArray, bool]]:
    """Yield the points of a ring to mark, and whether each is a corner."""
    corners = _apart(ring, _corners(ring), within)
    if not len(corners):
        # A curve all round: its first point, and the one farthest from it, divide it.
        first = int(ring.sum(axis=1).argmin())
        second = int(np.linalg.norm(ring - ring[first], axis=1).argmax())
        stops = sorted({first, second})
    else:
        stops = sorted(corners)
    is_corner = set(corners)
    begin = min(stops, key=lambda k: (float(ring[k].sum()), k))
    turn = stops.index(begin)
    stops = [*stops[turn:], *stops[:turn], begin]
    for start, end in pairwise(stops):
        count = (end - start) % len(ring) or len(ring)
        stretch = ring[(start + np.arange(count + 1)) % len(ring)]
        for k in _kept(stretch, within)[:-1]:
            yield stretch[k], k == 0 and start in is_corner


def _corners(ring: FloatArray) -> list[int]:
    into, out = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    crossed = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turned = np.abs(np.arctan2(crossed, (into * out).sum(axis=1)))
    return [int(k) for k in np.flatnonzero(turned > _CORNER)]


def _apart(ring: FloatArray, corners: list[int], least: float) -> list[int]:
    """Return corners without those that no chalk can tell from the one before."""
    kept: list[int] = []
    for k in corners:
        if not kept or float(np.linalg.norm(ring[k] - ring[kept[-1]])) > least:
            kept.append(k)
    return kept


def _kept(path: FloatArray, within: float) -> list[int]:
    """Return the indices of the points of a path that stand for it, first and last included.

    As few as reaching as far as possible from each to the next allows, and then as even as
    that number allows.
    """
    kept = _reached(path, within)
    low, high = 0.0, within
    for _ in range(12):  # to a four-thousandth of the distance
        middle = (low + high) / 2
        other = _reached(path, middle)
        if len(other) <= len(kept):
            kept, high = other, middle
        else:
            low = middle
    return kept


def _reached(path: FloatArray, within: float) -> list[int]:
    kept = [0]
    while kept[-1] < len(path) - 1:
        start = kept[-1]
        end = start + 1
        while end + 1 < len(path) and _off(path[start : end + 2]) <= within:
            end += 1
        kept.append(end)
    return kept


def _off(path: FloatArray) -> float:
    """Return how far the points of a path are off the straight line between its ends."""
    start, chord = path[0], path[-1] - path[0]
    square = float(chord @ chord)
    rest = path - start
    if square > 0:
        share = np.clip(rest @ chord / square, 0.0, 1.0)
        rest = rest - share[:, None] * chord
    return float(np.linalg.norm(rest, axis=1).max())


def _diagonals(line: FloatArray) -> tuple[Diagonal, ...]:
    """Return the longest line between two points of a cut line, and the widest one over it."""
    apart = np.linalg.norm(line[:, None] - line[None, :], axis=2)
    first, second = divmod(int(apart.argmax()), len(line))
    chord = line[second] - line[first]
    rest = line - line[first]
    off = chord[0] * rest[:, 1] - chord[1] * rest[:, 0]
    ends = {(min(first, second), max(first, second))}
    third, fourth = int(off.argmax()), int(off.argmin())
    if off[third] <= 0 or off[fourth] >= 0:  # all on one side: from the point farthest out
        out = fourth if off[third] <= 0 else third
        third, fourth = out, int(apart[out].argmax())
    ends.add((min(third, fourth), max(third, fourth)))
    pairs = sorted(ends, key=lambda pair: -apart[pair])
    if len(pairs) == 2 and pairs[0][0] == pairs[1][0]:
        pairs[1] = (pairs[1][1], pairs[1][0])  # no two begin at one point
    return tuple(Diagonal(a + 1, b + 1, float(apart[a, b])) for a, b in pairs if a != b)
