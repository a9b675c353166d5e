"""Pieces made of parts, for the report page: how each goes together, in words and drawn."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt
import shapely
from shapely import affinity

from ..model.layout import Joining, Layout
from ..model.pattern import PatternPiece
from ..model.plan import Plan
from ..units import length_text

_FAR: Final = 1e5  # mm; beyond any piece
_EDGE: Final = 0.04  # of the larger side, kept free round the drawing

_Points = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class JoinedDrawing:
    """The whole as its pattern file draws it, y downwards; ``labels`` are x, y, text."""

    box: tuple[float, float, float, float]
    outline: str
    joins: tuple[str, ...]
    labels: tuple[tuple[float, float, str], ...]
    letters: float


@dataclass(frozen=True, slots=True)
class JoinedPiece:
    """One piece of parts; ``drawing`` needs the plan, and ``parts`` are (letter, name, where)."""

    name: str
    told: str
    parts: tuple[tuple[str, str, str], ...]
    drawing: JoinedDrawing | None


def joined_pieces(layout: Layout, plan: Plan | None = None) -> Iterator[JoinedPiece]:
    """Yield every piece that is sewn together of parts before it is a piece at all.

    Parts are lettered; each is told with the cloth it lies on and its numbers on that plan.
    """
    patterns = {} if plan is None else {piece.name: piece.pattern for piece in plan.pieces}
    for joining in layout.joinings:
        pattern = patterns.get(joining.piece)
        count = len(joining.lines)
        joins = "one join" if count == 1 else f"{count} joins"
        allowance = length_text(joining.allowance, layout.units)
        yield JoinedPiece(
            joining.piece,
            f"Each copy has {joins}; {allowance} is added on both sides of a join. Sew the parts "
            "together first, then treat the whole as one piece.",
            tuple(
                (_letter(k), name, _where(layout, name)) for k, name in enumerate(joining.parts)
            ),
            None if pattern is None else _drawing(joining, pattern),
        )


def _letter(number: int) -> str:
    return chr(ord("A") + number % 26) * (1 + number // 26)


def _where(layout: Layout, part: str) -> str:
    """Say which numbers a part has on which plan."""
    told = []
    for lay in layout.lays:
        numbers = [str(n) for n, one in enumerate(lay.placements, start=1) if one.piece == part]
        if numbers:
            word = "number" if len(numbers) == 1 else "numbers"
            told.append(f"{word} {' and '.join(numbers)} on {lay.cloth}")
    return ", ".join(told)


def _drawing(joining: Joining, pattern: PatternPiece) -> JoinedDrawing:
    whole = _whole(pattern)
    x0, y0, x1, y1 = whole.bounds
    size = max(x1 - x0, y1 - y0)
    edge = _EDGE * size
    return JoinedDrawing(
        (x0 - edge, -y1 - edge, x1 - x0 + 2 * edge, y1 - y0 + 2 * edge),
        f"{_path(np.asarray(whole.exterior.coords)[:-1])}Z",
        tuple(
            _path(np.asarray(part.coords))
            for start, end in joining.lines
            for part in shapely.get_parts(_run_on(start, end).intersection(whole))
            if part.length > 0
        ),
        tuple((x, -y, _letter(k)) for k, (x, y) in enumerate(joining.inside)),
        edge * 1.6,
    )


def _whole(pattern: PatternPiece) -> shapely.Polygon:
    """Return the outline of the whole; of a half, with its reflection."""
    half = shapely.Polygon(pattern.outline)
    if pattern.mirror is None:
        return half
    (ax, ay), (bx, by) = pattern.mirror
    angle = np.degrees(np.arctan2(by - ay, bx - ax))
    level = affinity.rotate(half, -angle, origin=(ax, ay))
    other = affinity.rotate(affinity.scale(level, 1, -1, origin=(ax, ay)), angle, origin=(ax, ay))
    both = half.buffer(0.1).union(other.buffer(0.1))
    return max(shapely.get_parts(both), key=lambda part: part.area)


def _run_on(start: tuple[float, float], end: tuple[float, float]) -> shapely.LineString:
    first, last = np.array(start), np.array(end)
    along = (last - first) / np.hypot(*(last - first))
    return shapely.LineString([first - _FAR * along, first + _FAR * along])


def _path(points: _Points) -> str:
    return "M" + "L".join(f"{x:.1f},{-y:.1f}" for x, y in points)
