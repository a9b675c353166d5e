"""SVG at exact size, one unit to the millimetre, for cutting machines and projectors."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET  # only written with; nothing is parsed

import numpy as np

from ..model.pattern import PatternPiece
from .outlines import NOTCHES, Line, Role, piece_lines, word_place
from .patterns import FloatArray

_NAMESPACE: Final = "http://www.w3.org/2000/svg"
NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Letters that XML 1.0 cannot hold (section 2.2)."""

_TOP: Final = "top-of-the-garment"  # the id of the grain line's head
_MARGIN = 5.0  # mm around everything
_ROLES_DASHED: Final = {
    "sew": "8 4", "internal": "1 3", "stripe": "8 3 1 3", "plaid": "8 3 1 3", "fold": "16 4 4 4"
}  # fmt: skip
_CUT: Final = frozenset({"cut", "cutout", *NOTCHES.values()})


@dataclass(frozen=True, slots=True)
class _Look:
    """Colours and widths (mm) of lines: cut lines apart from all that is only marked."""

    paper: str | None
    cut: str
    mark: str
    cut_width: float
    mark_width: float


_PLAIN: Final = _Look(None, "#000000", "#0000ff", 0.3, 0.2)
_CONTRAST: Final = _Look("#000000", "#ffffff", "#ffffff", 2.0, 1.0)


def svg_of(
    pieces: Sequence[PatternPiece],
    title: str,
    *,
    cloth: Iterable[Line] = (),
    high_contrast: bool = False,
) -> bytes:
    """Return an SVG of pieces where they stand, its size in millimetres of cloth.

    Each piece is a group with its name as title; lines bear their role as class, so that a
    program can select them, and are also told by colour, width and dashes. Names are escaped, and
    characters that XML forbids become U+FFFD.

    Parameters
    ----------
    pieces
        In millimetres, y up.
    cloth
        More lines, such as the edges of the cloth.
    high_contrast
        White and thick on black, for a projector; else cut lines black and thin, all marks blue.
    """
    look = _CONTRAST if high_contrast else _PLAIN
    extra = list(cloth)
    points = np.vstack([*(piece.outline for piece in pieces), *(path for _, path in extra)])
    low, high = points.min(axis=0) - _MARGIN, points.max(axis=0) + _MARGIN
    page = _Page(float(low[0]), float(high[1]))
    width, height = (float(x) for x in high - low)
    root = ET.Element(
        "svg",
        {
            "xmlns": _NAMESPACE, "width": f"{width:.3f}mm", "height": f"{height:.3f}mm",
            "viewBox": f"0 0 {width:.3f} {height:.3f}",
        },
    )  # fmt: skip
    ET.SubElement(root, "title").text = _clean(title)
    _add_arrowhead(root, look)
    if look.paper:
        size = {"width": f"{width:.3f}", "height": f"{height:.3f}"}
        ET.SubElement(root, "rect", {**size, "class": "background", "fill": look.paper})
    if extra:
        group = ET.SubElement(root, "g", {"id": "the-cloth", "class": "cloth"})
        for role, path in extra:
            _add_path(group, role, path, page, look)
    for number, piece in enumerate(pieces, start=1):
        _add_piece(root, number, piece, page, look)
    content: bytes = ET.tostring(root, encoding="utf-8", xml_declaration=True)
    return content


@dataclass(frozen=True, slots=True)
class _Page:
    """The page's left and top in millimetres of cloth."""

    left: float
    top: float

    def of(self, points: FloatArray) -> FloatArray:
        """Return points as they lie on the page, y down."""
        found: FloatArray = np.column_stack([points[:, 0] - self.left, self.top - points[:, 1]])
        return found


def _add_arrowhead(root: ET.Element, look: _Look) -> None:
    size = {"markerWidth": "9", "markerHeight": "7", "refX": "8", "refY": "3.5"}
    kept = {"id": _TOP, "orient": "auto", "markerUnits": "userSpaceOnUse", **size}
    marker = ET.SubElement(ET.SubElement(root, "defs"), "marker", kept)
    head = {"d": "M1,0.5 L8,3.5 L1,6.5", "fill": "none", "stroke": look.mark}
    ET.SubElement(marker, "path", {**head, "stroke-width": f"{look.mark_width:g}"})


def _add_piece(
    root: ET.Element, number: int, piece: PatternPiece, page: _Page, look: _Look
) -> None:
    group = ET.SubElement(root, "g", {"id": f"piece-{number}", "class": "piece"})
    ET.SubElement(group, "title").text = _clean(piece.name)
    for role, path in piece_lines(piece):
        if role == "arrowhead":
            continue  # a marker on the grain line, so that programs see one line and not two
        _add_path(group, role, path, page, look)
    label = word_place(piece)
    if label is None:
        return
    ((x, y),) = page.of(np.array([(label.x, label.y)])).tolist()
    attributes = {
        "x": f"{x:.3f}", "y": f"{y:.3f}", "class": "words", "fill": look.mark,
        "font-family": "DejaVu Sans, sans-serif", "font-size": f"{label.size:g}",
        "text-anchor": "middle", "dominant-baseline": "central",
    }  # fmt: skip
    if label.angle:
        attributes["transform"] = f"rotate({-label.angle:.3f} {x:.3f} {y:.3f})"
    ET.SubElement(group, "text", attributes).text = _clean(piece.name)


def _add_path(group: ET.Element, role: Role, path: FloatArray, page: _Page, look: _Look) -> None:
    points = page.of(path)
    closed = len(points) > 3 and bool((path[0] == path[-1]).all())
    corners = points[:-1] if closed else points
    words = "M" + " L".join(f"{x:.4f},{y:.4f}" for x, y in corners) + ("Z" if closed else "")
    cut = role in _CUT
    attributes = {
        "class": role, "d": words, "fill": "none",
        "stroke": look.cut if cut else look.mark,
        "stroke-width": f"{look.cut_width if cut else look.mark_width:g}",
    }  # fmt: skip
    if role == "grain":
        attributes["marker-end"] = f"url(#{_TOP})"
    if role in _ROLES_DASHED:
        attributes["stroke-dasharray"] = _ROLES_DASHED[role]
    ET.SubElement(group, "path", attributes)


def _clean(words: str) -> str:
    """Return words on one line, without characters that XML cannot hold."""
    return " ".join(NOT_XML.sub("\N{REPLACEMENT CHARACTER}", words).split())
