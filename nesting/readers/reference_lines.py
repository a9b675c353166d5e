"""Stripe and plaid lines drawn on pieces, as points that must meet the design alike.

How they are read: a line that lies across the cloth fixes the piece's place along the design, a
line that lies along the cloth its place across. On a cloth with a repeat all pieces that carry
such a line are matched by it, unless the plan itself places a piece that way (by ``motif`` or
``[[match]]``); then the plan counts, not the drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import atan2, degrees
from typing import Final

from ..geometry.rings import FloatArray, Point
from ..model.pattern import ReadNote
from ..model.plan import Axis, Cloth, Match, PlanPiece
from .piece import far_ends

_STRAIGHT: Final = 1.0  # degrees by which a line may lean and still count as along or across
_AXES: Final[tuple[Axis, Axis]] = ("along", "across")


def match_lines(
    pieces: tuple[PlanPiece, ...],
    matches: tuple[Match, ...],
    cloths: Sequence[Cloth],
    file: str,
) -> tuple[tuple[PlanPiece, ...], tuple[Match, ...], tuple[ReadNote, ...]]:
    """Return the pieces with a point on each line that counts, all matches, and what was assumed.

    Parameters
    ----------
    pieces, matches
        As the plan gives them.
    cloths
        Those whose stripe and plaid lines count.
    file
        The plan's name, for the notes.
    """
    notes: list[ReadNote] = []
    for cloth in cloths:
        for axis in _AXES:
            found = _lined(pieces, matches, cloth, axis, notes, file)
            if sum(piece.copies for piece, _, _ in found) < 2:
                continue
            points = {piece.name: {name: at} for piece, name, at in found}
            pieces = tuple(
                replace(piece, points={**piece.points, **points.get(piece.name, {})})
                for piece in pieces
            )
            matches += (Match(tuple((piece.name, name) for piece, name, _ in found), axis),)
            names = ", ".join(piece.name for piece, _, _ in found)
            text = f"stripe and plaid lines place these pieces alike {axis} the design: {names}"
            notes.append(ReadNote("assumed", file, f"cloth {cloth.name!r}", text))
    return pieces, matches, tuple(notes)


def _lined(
    pieces: Sequence[PlanPiece],
    matches: Sequence[Match],
    cloth: Cloth,
    axis: Axis,
    notes: list[ReadNote],
    file: str,
) -> list[tuple[PlanPiece, str, Point]]:
    """Return the pieces that a line places along an axis, with the point's name and place."""
    repeat = cloth.repeat
    if repeat is None or not (repeat.along if axis == "along" else repeat.across):
        return []
    found = []
    for piece in pieces:
        if piece.cloth != cloth.name or len(piece.cloths) > 1 or _placed(piece, matches, axis):
            continue
        if piece.grain not in {"lengthwise", "crosswise"}:
            continue
        lines = [
            (f"{kind} line", line)
            for kind, drawn in (
                ("stripe", piece.pattern.stripe_lines),
                ("plaid", piece.pattern.plaid_lines),
            )
            for line in drawn
            if _fixes(piece, line) == axis
        ]
        if len(lines) > 1:
            text = f"{len(lines)} lines place it {axis} the design; the first is used"
            notes.append(ReadNote("assumed", file, f"piece {piece.name!r}", text))
        if lines:
            name, line = lines[0]
            (x0, y0), (x1, y1) = far_ends(line)
            free = name if name not in piece.points else f"{name} {axis}"
            found.append((piece, free, ((x0 + x1) / 2, (y0 + y1) / 2)))
    return found


def _placed(piece: PlanPiece, matches: Sequence[Match], axis: Axis) -> bool:
    """Tell whether the plan itself places a piece along this axis."""
    motif = piece.motif
    if motif is not None and motif.on[_AXES.index(axis)] is not None:
        return True
    return any(
        match.axis in {axis, "both"} and piece.name in {name for name, _ in match.points}
        for match in matches
    )


def _fixes(piece: PlanPiece, line: FloatArray) -> Axis | None:
    """Return the axis along which a line fixes the piece's place; None where it lies askew."""
    first, second = piece.pattern.grain or ((0.0, 0.0), (0.0, 1.0))
    start, end = far_ends(line)
    lean = (_direction(start, end) - _direction(first, second)) % 180.0
    with_grain = min(lean, 180.0 - lean) <= _STRAIGHT
    square = abs(lean - 90.0) <= _STRAIGHT
    if not (with_grain or square):
        return None
    lies_along = with_grain == (piece.grain == "lengthwise")
    return "across" if lies_along else "along"


def _direction(start: Point, end: Point) -> float:
    return degrees(atan2(end[1] - start[1], end[0] - start[0]))
