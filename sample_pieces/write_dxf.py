"""Writes pieces as DXF after ASTM D6673: one block per piece, everything on its numbered layer.

The boundary is the cut line. R12 text form, millimetres, two decimals of meaning.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import ezdxf
import numpy as np
from ezdxf.layouts import BlockLayout

from .curves import Points, flatten
from .garment import Garment, cut_ring, fold_ends, placed_marks, sew_paths
from .sheet import set_out

BOUNDARY, TURN, CURVE, MIRROR, GRAIN, INTERNAL = "1", "2", "3", "6", "7", "8"
DRILL, SEW, NOTE = "13", "14", "15"
NOTCH_LAYERS = {"slit": "4", "T": "80", "castle": "81", "check": "82", "U": "83"}
NOTCH_DEPTH = 6.0
SHEET_WIDTH = 2400.0
TURN_DEGREES = 15.0
_TEXT_HEIGHT = 8.0


def write_dxf(path: Path, style: str, garments: Iterable[Garment]) -> None:
    """Write all pieces to one file, each with its cut line, stitching line and marks."""
    # Otherwise every run would stamp the file with the time and a new identifier.
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        _write_document(path, style, garments)
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = False


def _write_document(path: Path, style: str, garments: Iterable[Garment]) -> None:
    document = ezdxf.new("R12", units=0)
    for layer in ("1", "2", "3", "4", "6", "7", "8", "13", "14", "15", "80", "82"):
        document.layers.add(layer)
    model = document.modelspace()
    placed, _, height = set_out(garments, SHEET_WIDTH)
    texts = {
        "Style Name": style,
        "Creation Date": "2-11-2025",
        "Author": "theatre wardrobe",
        "Sample Size": "the queen",
        "Units": "METRIC",
    }
    for number, (key, value) in enumerate(texts.items()):
        at = (60.0, height + 20.0 + 16.0 * number)
        model.add_text(
            f"{key}: {value}", height=_TEXT_HEIGHT, dxfattribs={"layer": BOUNDARY, "insert": at}
        )
    for garment in placed:
        block = document.blocks.new(name=garment.name.upper().replace(" ", "_"))
        _write_piece(block, garment)
        model.add_blockref(block.name, (0.0, 0.0), dxfattribs={"layer": BOUNDARY})
    document.saveas(path)


def _write_piece(block: BlockLayout, garment: Garment) -> None:
    ring = np.round(cut_ring(garment), 2)
    _polyline(block, ring, BOUNDARY, closed=True)
    _turn_and_curve_points(block, ring)
    for sew in sew_paths(garment):
        _polyline(block, sew, SEW, closed=bool(np.allclose(sew[0], sew[-1])))
    for inside in garment.internal:
        _polyline(block, flatten(inside), INTERNAL, closed=False)
    _line(block, garment.grain, GRAIN)
    fold = fold_ends(garment)
    if fold is not None:
        _line(block, fold, MIRROR)
    for mark in placed_marks(garment, on_cut_line=True):
        block.add_point(
            (*np.round(mark.at, 2), NOTCH_DEPTH),
            dxfattribs={"layer": NOTCH_LAYERS[mark.kind], "angle": round(mark.angle, 2)},
        )
    for hole in garment.drills:
        block.add_point(np.round(hole, 2), dxfattribs={"layer": DRILL})
    _write_texts(block, garment)


def _write_texts(block: BlockLayout, garment: Garment) -> None:
    low = np.array(garment.grain).min(axis=0)
    right, left = garment.quantity
    lines = [f"Piece Name: {garment.name}", f"Quantity: {right},{left}", "Size: the queen"]
    if garment.material:
        lines.append(f"Material: {garment.material}")
    if garment.fold_edge:
        lines.append("Fold: Y")
    for number, text in enumerate(lines):
        at = (round(float(low[0]) + 8.0, 2), round(float(low[1]) + 12.0 * number, 2))
        block.add_text(text, height=_TEXT_HEIGHT, dxfattribs={"layer": BOUNDARY, "insert": at})
    note = (round(float(low[0]) + 8.0, 2), round(float(low[1]) + 12.0 * len(lines), 2))
    block.add_text("seams 15 mm", height=_TEXT_HEIGHT, dxfattribs={"layer": NOTE, "insert": note})


def _turn_and_curve_points(block: BlockLayout, ring: Points) -> None:
    """Tell the corners of the boundary from the points that only carry its curves."""
    back, ahead = ring - np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0) - ring
    cross = back[:, 0] * ahead[:, 1] - back[:, 1] * ahead[:, 0]
    angle = np.degrees(np.abs(np.arctan2(cross, (back * ahead).sum(axis=1))))
    for point, degrees in zip(ring, angle, strict=True):
        layer = TURN if degrees > TURN_DEGREES else CURVE
        block.add_point(tuple(point), dxfattribs={"layer": layer})


def _polyline(block: BlockLayout, points: Points, layer: str, *, closed: bool) -> None:
    corners = np.round(points[:-1] if closed and np.allclose(points[0], points[-1]) else points, 2)
    block.add_polyline2d(corners.tolist(), close=closed, dxfattribs={"layer": layer})


def _line(block: BlockLayout, ends: tuple[tuple[float, float], ...], layer: str) -> None:
    first, second = np.round(ends, 2).tolist()
    block.add_line(first, second, dxfattribs={"layer": layer})
