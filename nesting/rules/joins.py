"""Where the joins of a pieced piece may lie: the candidates worth trying.

Joins run with the warp, since a join along it neither stretches nor drags (common practice). So
on the piece they are level lines in a frame whose x axis is the warp as the piece will lie.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np
import shapely

from ..errors import InputError
from ..geometry.rings import FloatArray, rotated
from ..model.plan import Cloth, PlanPiece
from ..tolerances import JOIN_ENDS, SAME_POINT
from .completion import MirrorLine
from .piecing import LEAST_JOIN, Line, count_joins, divide, region_of
from .true_piece import cut_piece, grain_angle

LEVELS = 400
"""Levels across a piece at which it is asked whether a join may lie there."""

EVEN = 3
"""Candidates spread evenly over where a join may lie, besides those that fit something."""

NARROWEST = 10.0
"""Millimetres of a part, without its allowances, below which it is a thread and no part."""

MOST = 40
"""Ways of joining one piece that are handed on, those with the fewest joins first."""


class Frame(NamedTuple):
    """A piece turned so that the warp of the cloth runs along x."""

    region: shapely.Polygon
    zone: shapely.Geometry | None
    angle: float

    def line(self, level: float) -> Line:
        """Return the join at a level in the coordinates of the pattern file."""
        x0, _, x1, _ = self.region.bounds
        ends = rotated(np.array([[x0, level], [x1, level]]), self.angle)
        return (float(ends[0, 0]), float(ends[0, 1])), (float(ends[1, 0]), float(ends[1, 1]))

    def may_join(self, level: float) -> bool:
        """Tell whether the whole of a level line within the piece lies where joins are allowed."""
        x0, _, x1, _ = self.region.bounds
        inside = shapely.intersection(
            self.region, shapely.LineString([(x0 - 1, level), (x1 + 1, level)])
        )
        if inside.length < LEAST_JOIN:
            return False
        return self.zone is None or bool(self.zone.covers(inside))


def frame_of(piece: PlanPiece) -> Frame:
    """Return a piece with the warp along x, and where its joins may lie.

    Raises
    ------
    InputError
        If the piece lies on the bias or on any grain, where no one direction is the warp's.
    """
    assert piece.piecing is not None  # noqa: S101 - the caller asks only for these
    if piece.grain not in {"lengthwise", "crosswise"}:
        raise InputError(
            f"a piece on {piece.grain} grain has no join along the warp",
            remedy="give the line of the join in piecing, or cut it lengthwise",
            item=f"piece {piece.name!r}",
        )
    turn = 90.0 if piece.grain == "crosswise" else 0.0
    region = region_of(cut_piece(piece))
    if turn:
        region = shapely.transform(region, lambda xy: rotated(xy, turn))
    angle = grain_angle(piece) - turn
    zone = None
    if piece.piecing.zones:
        rings = [shapely.Polygon(rotated(ring, -angle)) for ring in _both_zones(piece)]
        zone = shapely.union_all(rings).buffer(JOIN_ENDS)
    return Frame(region, zone, angle)


def _both_zones(piece: PlanPiece) -> list[FloatArray]:
    """Return the zones, and where the piece is drawn as a half their reflections."""
    assert piece.piecing is not None  # noqa: S101 - the caller asks only for these
    zones = list(piece.piecing.zones)
    if piece.pattern.mirror is None:
        return zones
    line = MirrorLine(*piece.pattern.mirror)
    return [*zones, *(line.reflect(zone) for zone in zones)]


def ways_to_join(
    piece: PlanPiece, cloth: Cloth, widths: Sequence[float] = ()
) -> tuple[tuple[Line, ...], ...]:
    """Return the ways in which a piece may be divided, each as the lines of its joins.

    Parameters
    ----------
    piece
        Its piecing says where, and how many joins at most.
    cloth
        Every part, its allowances included, fits its usable width.
    widths
        Widths of the other pieces on the cloth, mm: candidates beside which one of them fits
        exactly are tried too.

    Returns
    -------
    tuple
        Lines in the file's coordinates, fewest joins first, at most ``MOST`` ways. Empty where
        no join is allowed anywhere or none makes the parts fit.
    """
    piecing = piece.piecing
    assert piecing is not None  # noqa: S101 - the caller asks only for these
    if piecing.line is not None:
        return ((piecing.line,),)
    frame = frame_of(piece)
    levels = list(_levels(frame, cloth.usable_width, piecing.allowance, widths))
    found: list[tuple[Line, ...]] = []
    for count in range(1, piecing.most + 1):
        for chosen in combinations(levels, count):
            if len(found) >= MOST:
                return tuple(found)
            if _fits(frame, chosen, cloth.usable_width, piecing.allowance, piecing.most):
                found.append(tuple(frame.line(level) for level in chosen))
    return tuple(found)


def _levels(
    frame: Frame, width: float, allowance: float, others: Sequence[float]
) -> Iterator[float]:
    """Yield levels at which a join is allowed: where something fits, then spread evenly."""
    _, low, _, high = frame.region.bounds
    spans = _allowed(frame, low + NARROWEST, high - NARROWEST)
    wanted = []
    for room in (width, *(width - other for other in others), width / 2, width / 3):
        if room > allowance:
            wanted += [low + room - allowance, high - room + allowance]
    kept: list[float] = []
    for level in wanted:
        for start, end in spans:
            if start - SAME_POINT <= level <= end + SAME_POINT:
                kept.append(level)
    total = sum(end - start for start, end in spans)
    for start, end in spans:
        inner = max(0, round(EVEN * (end - start) / total)) if total > 0 else 0
        kept += [start, *np.linspace(start, end, inner + 2)[1:-1].tolist(), end]
    seen: list[float] = []
    for level in kept:
        if all(abs(level - other) > 1.0 for other in seen):
            seen.append(level)
            yield level


def _allowed(frame: Frame, low: float, high: float) -> list[tuple[float, float]]:
    """Return the spans of levels at which a join may lie."""
    if high <= low:
        return []
    levels = np.linspace(low, high, LEVELS)
    free = np.array([frame.may_join(float(level)) for level in levels])
    edges = np.flatnonzero(np.diff(np.concatenate([[False], free, [False]]).astype(int)))
    return [
        (float(levels[start]), float(levels[stop - 1]))
        for start, stop in zip(edges[::2], edges[1::2], strict=True)
    ]


def _fits(
    frame: Frame, levels: Sequence[float], width: float, allowance: float, most: int
) -> bool:
    """Tell whether parts joined at these levels fit the cloth, with no more joins than allowed."""
    x0, _, x1, _ = frame.region.bounds
    lines: list[Line] = [((x0, level), (x1, level)) for level in levels]
    if count_joins(frame.region, lines) > most:
        return False
    parts = divide(frame.region, lines, allowance)
    heights = [part.cut.bounds[3] - part.cut.bounds[1] for part in parts]
    bare = [part.region.bounds[3] - part.region.bounds[1] for part in parts]
    return bool(max(heights) <= width + SAME_POINT and min(bare) >= NARROWEST - SAME_POINT)
