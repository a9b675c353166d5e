"""Pieces as DXF after ASTM D6673: one block per piece, everything on its numbered layer.

R12 text form, millimetres with two decimals; written after secondary descriptions of the standard
(edition 10, withdrawn 2019).
"""

from __future__ import annotations

import io
import logging
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

import numpy as np
from ezdxf._options import options
from ezdxf.filemanagement import new
from ezdxf.layouts.base import BaseLayout

from ..errors import one_line
from ..model.pattern import Notch, PatternPiece
from .patterns import FloatArray, Point

# Without a handler Python would print on stderr what ezdxf has to say of every R12 file.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

_BOUNDARY, _TURN, _CURVE, _MIRROR, _GRAIN, _INTERNAL = "1", "2", "3", "6", "7", "8"
_STRIPE, _PLAID, _CUTOUT, _DRILL, _SEW, _NOTE = "9", "10", "11", "13", "14", "15"
_NOTCHES: Final = {"slit": "4", "T": "80", "castle": "81", "check": "82", "U": "83"}
_LAYERS: Final = (
    _BOUNDARY, _TURN, _CURVE, _MIRROR, _GRAIN, _INTERNAL, _STRIPE, _PLAID, _CUTOUT, _DRILL, _SEW,
    _NOTE, *_NOTCHES.values(),
)  # fmt: skip
_DECIMALS = 2  # of a millimetre, as the standard has it
_TURN_DEGREES = 15.0  # a corner sharper than this is a turn point, else a point of a curve
_LAST_LETTER = 0xFFFF
_LETTERS = 8.0  # mm high
_PIECE_KEYS: Final = ("size name", "size", "category", "annotation")
_OWN_KEYS: Final = frozenset(
    {"piece name", "quantity", "material", "fold", "units", "style name", "author"}
)


def dxf_of(
    pieces: Sequence[PatternPiece], title: str, style: Mapping[str, str] | None = None
) -> bytes:
    """Return a DXF file of pattern pieces where they stand.

    Parameters
    ----------
    pieces
        In millimetres; the outline is the boundary. Names should differ.
    title
        The Style Name.
    style
        More system text of the whole style, as read from another file: keys in lower case.

    Returns
    -------
    bytes
        The same for the same pieces, with the same version of ezdxf.
    """
    # Otherwise every run would stamp the file with the time and a new identifier.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        document = new("R12")
        for layer in _LAYERS:
            document.layers.add(layer)
        model = document.modelspace()
        _write_style(model, title, style or {}, pieces)
        for number, piece in enumerate(pieces, start=1):
            block = document.blocks.new(name=_block_name(number, piece.name))
            _write_piece(block, piece)
            model.add_blockref(block.name, (0.0, 0.0), dxfattribs={"layer": _BOUNDARY})
        stream = io.StringIO()
        document.write(stream)
    finally:
        options.write_fixed_meta_data_for_testing = before
    # R12 knows no other encoding; letters beyond it travel as \U+XXXX, which readers decode.
    return stream.getvalue().encode(document.encoding, errors="dxfreplace")


def _block_name(number: int, name: str) -> str:
    """Return a name that R12 takes: at most 31 capitals, digits, hyphens and underscores."""
    plain = "".join(c if c.isascii() and c.isalnum() else "_" for c in name.upper())
    return f"P{number}_{plain}"[:31].rstrip("_")


def _write_style(
    model: BaseLayout, title: str, style: Mapping[str, str], pieces: Sequence[PatternPiece]
) -> None:
    texts = {"style name": title or "untitled", "author": "yardage", "units": "METRIC"}
    texts |= {key: value for key, value in style.items() if key not in {"units", "style name"}}
    top = max(float(piece.outline[:, 1].max()) for piece in pieces)
    left = min(float(piece.outline[:, 0].min()) for piece in pieces)
    for line, (key, value) in enumerate(texts.items()):
        _text(model, f"{key.title()}: {value}", (left, top + 20.0 + 16.0 * line), _BOUNDARY)


def _write_piece(block: BaseLayout, piece: PatternPiece) -> None:
    ring = _ring(piece.outline)
    block.add_polyline2d(ring.tolist(), close=True, dxfattribs={"layer": _BOUNDARY})
    _turn_and_curve_points(block, ring)
    for cutout in piece.cutouts:
        block.add_polyline2d(_ring(cutout).tolist(), close=True, dxfattribs={"layer": _CUTOUT})
    for layer, paths in (
        (_INTERNAL, piece.internal_lines), (_SEW, piece.sew_lines),
        (_STRIPE, piece.stripe_lines), (_PLAID, piece.plaid_lines),
    ):  # fmt: skip
        for path in paths:
            _line_or_path(block, path, layer)
    for layer, ends in ((_GRAIN, piece.grain), (_MIRROR, piece.mirror)):
        if ends is not None:
            _line_or_path(block, np.array(ends), layer)
    for notch in piece.notches:
        _notch(block, notch)
    for hole in piece.drill_holes:
        block.add_point(_rounded(hole), dxfattribs={"layer": _DRILL})
    _write_texts(block, piece)


def _write_texts(block: BaseLayout, piece: PatternPiece) -> None:
    low = piece.outline.mean(axis=0) if piece.grain is None else np.array(piece.grain).min(axis=0)
    lines = [f"Piece Name: {piece.name}"]
    if piece.quantity is not None:
        lines.append("Quantity: {},{}".format(*piece.quantity))
    if piece.material:
        lines.append(f"Material: {piece.material}")
    if piece.may_fold:
        lines.append("Fold: Y")
    lines += [
        f"{key.title()}: {piece.system_text[key]}"
        for key in _PIECE_KEYS
        if key in piece.system_text and key not in _OWN_KEYS
    ]
    for number, line in enumerate(lines):
        _text(block, line, (float(low[0]) + 8.0, float(low[1]) + 12.0 * number), _BOUNDARY)
    for note in piece.annotations:
        _text(block, note.text, note.at, _NOTE)


def _notch(block: BaseLayout, notch: Notch) -> None:
    """Write a notch: its depth travels in the place of the height, its width in the thickness."""
    attributes: dict[str, object] = {"layer": _NOTCHES.get(notch.kind, _NOTCHES["slit"])}
    if notch.angle is not None:
        attributes["angle"] = round(notch.angle, _DECIMALS)
    if notch.width:
        attributes["thickness"] = round(notch.width, _DECIMALS)
    at = (*_rounded(notch.at), round(notch.depth, _DECIMALS))
    block.add_point(at, dxfattribs=attributes)


def _line_or_path(block: BaseLayout, path: FloatArray, layer: str) -> None:
    """Write a straight piece of a line as LINE, a longer one as POLYLINE, closed where it is."""
    points = np.round(path, _DECIMALS)
    if len(points) == 2:
        block.add_line(points[0].tolist(), points[1].tolist(), dxfattribs={"layer": layer})
        return
    closed = bool((points[0] == points[-1]).all())
    corners = points[:-1] if closed else points
    block.add_polyline2d(corners.tolist(), close=closed, dxfattribs={"layer": layer})


def _turn_and_curve_points(block: BaseLayout, ring: FloatArray) -> None:
    """Tell the corners of the boundary from the points that only carry its curves."""
    back, ahead = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    angles = np.degrees(np.abs(np.arctan2(cross, (back * ahead).sum(axis=1))))
    for point, degrees in zip(ring.tolist(), angles, strict=True):
        layer = _TURN if degrees > _TURN_DEGREES else _CURVE
        block.add_point(point, dxfattribs={"layer": layer})


def _text(block: BaseLayout, words: str, at: Iterable[float], layer: str) -> None:
    # \U+XXXX has four digits: no letter beyond the first 65536 can be told in this form.
    plain = "".join(c if ord(c) <= _LAST_LETTER else "\N{REPLACEMENT CHARACTER}" for c in words)
    block.add_text(
        one_line(plain),
        height=_LETTERS,
        dxfattribs={"layer": layer, "insert": tuple(round(x, _DECIMALS) for x in at)},
    )


def _ring(points: FloatArray) -> FloatArray:
    """Return a ring to two decimals, without points that then fall together."""
    rounded: FloatArray = np.round(points, _DECIMALS)
    kept: FloatArray = rounded[(rounded != np.roll(rounded, 1, axis=0)).any(axis=1)]
    return kept


def _rounded(point: Point) -> Point:
    return round(point[0], _DECIMALS), round(point[1], _DECIMALS)
