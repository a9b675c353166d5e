"""What a machine draws of a lay: the lines of pieces and cloth, told by their role."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final, Literal, TypeAlias

import numpy as np
import shapely

from ..model.layout import Lay
from ..model.pattern import PatternPiece
from .cloth import shown_length
from .fit import Label, fit_inside
from .notches import notch_lines
from .patterns import FloatArray

Role: TypeAlias = Literal[
    "cut", "cutout", "sew", "internal", "stripe", "plaid", "drill", "grain", "arrowhead", "fold",
    "cloth", "flaw", "notch", "notch-t", "notch-castle", "notch-check", "notch-u",
]  # fmt: skip
Line: TypeAlias = tuple[Role, FloatArray]

NOTCHES: Final[dict[str, Role]] = {
    "slit": "notch", "T": "notch-t", "castle": "notch-castle", "check": "notch-check",
    "U": "notch-u",
}  # fmt: skip
"""The role of each kind of notch."""

_HOLE = 2.0  # mm, radius of the circle round a drill hole
_CIRCLE = np.array([(math.cos(math.tau * k / 16), math.sin(math.tau * k / 16)) for k in range(17)])
_LETTERS = (24.0, 18.0, 13.0, 9.0, 6.0, 4.0)  # mm, sizes tried for words
_BESIDE_LINES = 3.0  # mm kept free beside the grain line and internal lines
_LEAST_PART = 2000.0  # square millimetres of a piece that bear its words
_HEAD = 6.0  # mm, length of the arrow's head
_NOTCH = 4.0  # mm, least depth of a notch's sign
_POINTS_PER_NOTCH = 4.0  # the least notch of ``notch_lines``, in points


def piece_lines(piece: PatternPiece) -> Iterator[Line]:
    """Yield every line of a piece with its role, in millimetres; rings come back to their start.

    Notches, drill holes and the grain arrow's head come as strokes that a pen can draw.
    """
    yield "cut", _closed(piece.outline)
    for ring in piece.cutouts:
        yield "cutout", _closed(ring)
    for notch in piece.notches:
        # The strokes of every sign follow each other, so a pen draws it in one.
        path = np.vstack(notch_lines(notch, piece.outline, _NOTCH / _POINTS_PER_NOTCH))
        yield NOTCHES.get(notch.kind, "notch"), path
    for hole in piece.drill_holes:
        yield "drill", np.array(hole) + _HOLE * _CIRCLE
    kinds: tuple[tuple[Role, Sequence[FloatArray]], ...] = (
        ("sew", piece.sew_lines), ("internal", piece.internal_lines),
        ("stripe", piece.stripe_lines), ("plaid", piece.plaid_lines),
    )  # fmt: skip
    for role, paths in kinds:
        for path in paths:
            yield role, path
    if piece.grain is not None:
        yield from _arrow(np.array(piece.grain))
    if piece.mirror is not None:
        yield "fold", np.array(piece.mirror)


def cloth_lines(lay: Lay) -> Iterator[Line]:
    """Yield the lines of the cloth itself: edges, selvages, both ends, fold lines, flaws."""
    length = shown_length(lay)
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    for y in dict.fromkeys((low, 0.0, lay.usable_width, high)):
        yield "cloth", np.array([(0.0, y), (length, y)])
    for x in (0.0, length):
        yield "cloth", np.array([(x, low), (x, high)])
    if lay.folding is not None:
        for edge in lay.folding.edges:
            yield "fold", np.array(edge)
    if lay.panel_outline is not None:
        yield "cloth", _closed(lay.panel_outline)
    for flaw in lay.flaws:
        yield "flaw", _closed(flaw.outline)


def word_place(piece: PatternPiece, within: shapely.Polygon | None = None) -> Label | None:
    """Return where the words of a piece stand, in millimetres: off its lines if they can.

    ``within`` keeps them on one part of the drawing; None where that shows too little of the
    piece. A piece too small for any words has the smallest in its midst, over its edge.
    """
    region = shapely.Polygon(piece.outline, piece.cutouts)
    if within is not None and not within.covers(region):
        region = region.intersection(within)
        if region.area < _LEAST_PART:
            return None
    paths = [*piece.internal_lines, *([] if piece.grain is None else [np.array(piece.grain)])]
    lines = shapely.MultiLineString([shapely.LineString(path) for path in paths])
    for free in (region.difference(lines.buffer(_BESIDE_LINES)), region):
        label = fit_inside(free, [[piece.name]], _LETTERS)
        if label is not None:
            return label
    middle = region.representative_point()
    return Label(float(middle.x), float(middle.y), 0.0, _LETTERS[-1], (piece.name,))


def _arrow(grain: FloatArray) -> Iterator[Line]:
    """Yield the grain line and the head at its second end, the one towards the top."""
    yield "grain", grain
    along = grain[1] - grain[0]
    length = float(np.hypot(*along))
    if length == 0.0:
        return
    back = -along / length * min(_HEAD, length / 3.0)
    side = np.array([-back[1], back[0]]) * 0.4
    yield "arrowhead", np.array([grain[1] + back + side, grain[1], grain[1] + back - side])


def _closed(ring: FloatArray) -> FloatArray:
    return np.vstack([ring, ring[:1]])
