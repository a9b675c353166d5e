"""Writes pieces as SVG in true size: a group per piece, its lines told by their class.

The outline is the stitching line, with its true curves; the allowances are the plan's business.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterable
from pathlib import Path

import numpy as np

from .curves import XY, Points, join
from .curves import Path as CurvePath
from .garment import Garment, fold_ends, placed_marks
from .sheet import set_out

NOTCH_LENGTH = 6.0
SHEET_WIDTH = 1700.0
_STYLE = {"fill": "none", "stroke": "black", "stroke-width": "0.5"}


def write_svg(path: Path, title: str, garments: Iterable[Garment]) -> None:
    """Write all pieces to one file, one user unit to the millimetre."""
    placed, width, height = set_out(garments, SHEET_WIDTH)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width:g}mm",
            "height": f"{height:g}mm",
            "viewBox": f"0 0 {width:g} {height:g}",
            **_STYLE,
        },
    )
    ET.SubElement(root, "title").text = title
    for garment in placed:
        _add_piece(root, garment, height)
    ET.indent(root)
    path.write_text(ET.tostring(root, encoding="unicode") + "\n", encoding="utf-8")


def _add_piece(root: ET.Element, garment: Garment, height: float) -> None:
    group = ET.SubElement(root, "g", {"id": identifier(garment.name)})
    ET.SubElement(group, "title").text = garment.name
    outline = join(*(edge.path for edge in garment.edges))
    ET.SubElement(group, "path", {"class": "outline", "d": path_data(outline, height) + " Z"})
    _add_line(group, "grain", garment.grain, height)
    fold = fold_ends(garment)
    if fold is not None:
        _add_line(group, "fold", fold, height)
    for inside in garment.internal:
        data = {"class": "internal", "d": path_data(inside, height)}
        ET.SubElement(group, "path", data)
    for mark in placed_marks(garment, on_cut_line=False):
        along = NOTCH_LENGTH * np.array(
            [np.cos(np.radians(mark.angle)), np.sin(np.radians(mark.angle))]
        )
        tip = (mark.at[0] + float(along[0]), mark.at[1] + float(along[1]))
        role = "notch" if mark.kind == "slit" else f"notch-{mark.kind.lower()}"
        _add_line(group, role, (mark.at, tip), height)
    for x, y in garment.drills:
        at = {"cx": f"{x:.2f}", "cy": f"{height - y:.2f}", "r": "1"}
        ET.SubElement(group, "circle", {"class": "drill", **at})


def identifier(name: str) -> str:
    """Return the name as an XML id, which may not hold blanks."""
    return name.replace(" ", "-")


def path_data(path: CurvePath, height: float) -> str:
    """Return SVG path data, y down the page."""

    def text(point: Points) -> str:
        return f"{point[0]:.2f},{height - point[1]:.2f}"

    parts = [f"M {text(path[0, 0])}"]
    for a, b, c, d in path:
        thirds = np.abs(b - (2 * a + d) / 3).max() + np.abs(c - (a + 2 * d) / 3).max()
        if thirds < 1e-9:
            parts.append(f"L {text(d)}")
        else:
            parts.append(f"C {text(b)} {text(c)} {text(d)}")
    return " ".join(parts)


def _add_line(group: ET.Element, role: str, ends: tuple[XY, XY], height: float) -> None:
    (x1, y1), (x2, y2) = ends
    data = {
        "class": role,
        "x1": f"{x1:.2f}",
        "y1": f"{height - y1:.2f}",
        "x2": f"{x2:.2f}",
        "y2": f"{height - y2:.2f}",
    }
    ET.SubElement(group, "line", data)
