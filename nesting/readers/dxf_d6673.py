"""Pieces after ASTM D6673: one block per piece, roles by layer number, system text.

The standard (edition 10, withdrawn 2019) is read tolerantly, after secondary descriptions of it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final

import numpy as np
import shapely

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray, signed_area
from ..model.pattern import Annotation, Notch
from .drawn import Drawing, DrawnPath, DrawnText, Notes, join_chains
from .outline import open_outline_error
from .piece import RawPiece

_KEY = re.compile(r"^\s*([A-Za-z][A-Za-z _-]{0,40}?)\s*:\s*(.*?)\s*$")
_STYLE_KEYS: Final = frozenset({
    "style name", "creation date", "creation time", "author", "sample size",
    "grade rule table", "units",
})  # fmt: skip
_KNOWN_KEYS: Final = _STYLE_KEYS | frozenset({
    "piece name", "quantity", "rotation", "flip", "tilt", "fold",
    "material", "size name", "size", "category", "annotation",
})  # fmt: skip
_NOTCH_KINDS: Final = {4: "slit", 80: "T", 81: "castle", 82: "check", 83: "U"}
_MARKS_OF_BOUNDARY: Final = frozenset({2, 3})
_LINE_LISTS: Final = {
    6: "mirrors", 7: "grains", 8: "internal_lines", 9: "stripe_lines", 10: "plaid_lines",
    14: "sew_lines",
}  # fmt: skip
_LEFT_TO_PLAN: Final = ("rotation", "flip", "tilt")


def system_text(texts: Iterable[DrawnText]) -> dict[str, str]:
    """Return the ``Key: value`` texts with keys in lower case; of two the first counts."""
    found: dict[str, str] = {}
    for drawn in texts:
        match = _KEY.match(drawn.text)
        if match is None or drawn.text.lstrip().startswith("#"):
            continue
        key = " ".join(match[1].lower().replace("_", " ").split())
        if key in _KNOWN_KEYS:
            found.setdefault(key, match[2])
    return found


def style_level(texts: dict[str, str]) -> dict[str, str]:
    """Return the system text that speaks of the whole style, not of one piece."""
    return {key: value for key, value in texts.items() if key in _STYLE_KEYS}


def layer_number(layer: str) -> int | None:
    """Return the number of a layer after D6673, None for a layer with another name."""
    return int(layer) if layer.strip().isdecimal() and len(layer.strip()) <= 3 else None


def read_block(
    block: str, drawing: Drawing, style: dict[str, str], notes: Notes
) -> RawPiece | None:
    """Read one block as one piece.

    Parameters
    ----------
    block
        The block's name, used where the piece has none of its own.
    drawing
        All that the block holds, in millimetres.
    style
        The system text of the whole style.

    Returns
    -------
    RawPiece or None
        None when nothing in the block is a boundary; that is noted.

    Raises
    ------
    InputError
        If the boundary is open, or there are several.
    """
    own = system_text(drawing.texts)
    name = own.get("piece name", "")
    boundary, inner = _boundary(name or block, drawing, notes)
    if boundary is None:
        notes.unread(block, "no boundary (layer 1) is drawn in it")
        return None
    if not name:
        name = block
        notes.add("assumed", name, "the piece has no Piece Name; named after its block")
    raw = RawPiece(name, boundary.points, cutouts=[path.points for path in inner])
    if inner:
        notes.add("assumed", name, f"{len(inner)} outlines inside the boundary are cutouts")
    _sort_paths(raw, drawing, notes)
    _sort_points(raw, drawing, notes)
    raw.annotations.extend(
        Annotation(drawn.at, drawn.text)
        for drawn in drawing.texts
        if drawn.text and not drawn.text.startswith("#") and not system_text([drawn])
    )
    _apply_system_text(raw, style | own, notes)
    return raw


def _boundary(
    item: str, drawing: Drawing, notes: Notes
) -> tuple[DrawnPath | None, list[DrawnPath]]:
    drawn = [path for path in drawing.paths if layer_number(path.layer) == 1]
    chains = join_chains(drawn, tolerances.JOIN_ENDS)
    closed = [path for path in chains if path.closed]
    for path in chains:
        if not path.closed:
            raise open_outline_error(path.points, file=notes.file, item=item)
    if not closed:
        return None, []
    boundary = max(closed, key=lambda path: abs(signed_area(path.points)))
    inner = [path for path in closed if path is not boundary]
    whole = shapely.make_valid(shapely.Polygon(boundary.points))
    for path in inner:
        if not whole.covers(shapely.LinearRing(path.points)):
            x, y = path.points[0]
            raise InputError(
                f"a second boundary is drawn on layer 1 at ({x:.2f}, {y:.2f}) mm",
                remedy="export one block per piece, with one boundary each",
                file=notes.file,
                item=item,
            )
    return boundary, inner


def _sort_paths(raw: RawPiece, drawing: Drawing, notes: Notes) -> None:
    by_layer: dict[str, list[DrawnPath]] = {}
    for path in drawing.paths:
        by_layer.setdefault(path.layer, []).append(path)
    for layer, paths in by_layer.items():
        number = layer_number(layer)
        if number == 1 or number in _MARKS_OF_BOUNDARY:
            continue
        if number == 11:
            _read_cutouts(raw, paths, notes)
        elif number in _LINE_LISTS:
            lines: list[FloatArray] = getattr(raw, _LINE_LISTS[number])
            lines.extend(_as_line(path) for path in paths)
        elif number in _NOTCH_KINDS:
            raw.notches.extend(_notch_line(path, _NOTCH_KINDS[number]) for path in paths)
        elif number == 13:
            raw.drill_holes.extend(_middle(path) for path in paths)
        elif number == 84:
            _compare_with_copy(raw, paths, notes)
        elif number not in {85, 86, 87}:
            kinds = ", ".join(sorted({path.entity.split()[0] for path in paths}))
            notes.unread(raw.name, f"layer {layer} has no meaning for cutting ({kinds})")


def _read_cutouts(raw: RawPiece, paths: list[DrawnPath], notes: Notes) -> None:
    for path in join_chains(paths, tolerances.JOIN_ENDS):
        if not path.closed:
            raise open_outline_error(path.points, file=notes.file, item=f"{raw.name}, cutout")
        raw.cutouts.append(path.points)


def _sort_points(raw: RawPiece, drawing: Drawing, notes: Notes) -> None:
    for point in drawing.points:
        number = layer_number(point.layer)
        if number in _NOTCH_KINDS:
            kind = _NOTCH_KINDS[number]
            raw.notches.append(Notch(point.at, point.angle, point.depth, point.width, kind))
        elif number == 13:
            raw.drill_holes.append(point.at)
        elif number not in _MARKS_OF_BOUNDARY:
            notes.unread(raw.name, f"layer {point.layer} has no meaning for cutting (POINT)")


def _apply_system_text(raw: RawPiece, texts: dict[str, str], notes: Notes) -> None:
    raw.system_text = texts
    raw.material = texts.get("material", "")
    if "quantity" in texts:
        raw.quantity = _quantity(texts["quantity"])
        if raw.quantity is None:
            notes.unread(raw.name, f"Quantity is {texts['quantity']!r}, not two counts like 1,1")
    fold = texts.get("fold", "N").strip().upper()
    raw.may_fold = fold in {"Y", "YES"}
    if fold not in {"Y", "YES", "N", "NO", ""}:
        notes.unread(raw.name, f"Fold is {texts['fold']!r}, neither Y nor N")
    told = [key.capitalize() for key in _LEFT_TO_PLAN if texts.get(key)]
    if told:
        notes.unread(raw.name, f"{', '.join(told)}: the plan says how a piece may be turned")


def _quantity(text: str) -> tuple[int, int] | None:
    parts = [part.strip() for part in text.split(",")]
    if not 1 <= len(parts) <= 2 or not all(re.fullmatch(r"\d{1,4}", part) for part in parts):
        return None
    return int(parts[0]), int(parts[1]) if len(parts) == 2 else 0


def _compare_with_copy(raw: RawPiece, paths: list[DrawnPath], notes: Notes) -> None:
    """Compare the boundary with its dense copy, which the sender drew to check the reader."""
    for path in join_chains(paths, tolerances.JOIN_ENDS):
        if not path.closed or len(raw.outline) < 3:
            continue
        away = shapely.LinearRing(path.points).hausdorff_distance(shapely.LinearRing(raw.outline))
        if away > 2.0 * tolerances.FLATTEN:
            notes.add(
                "assumed",
                raw.name,
                f"the boundary on layer 1 is used, though its copy on layer 84 departs from it "
                f"by {away:.2f} mm",
            )


def _as_line(path: DrawnPath) -> FloatArray:
    return np.vstack([path.points, path.points[:1]]) if path.closed else path.points


def _middle(path: DrawnPath) -> tuple[float, float]:
    low, high = path.points.min(axis=0), path.points.max(axis=0)
    return float(low[0] + high[0]) / 2.0, float(low[1] + high[1]) / 2.0


def _notch_line(path: DrawnPath, kind: str) -> Notch:
    """Return a notch drawn as a line: it starts on the outline and ends inside the piece."""
    (ax, ay), (bx, by) = path.points[0], path.points[-1]
    angle = float(np.degrees(np.arctan2(by - ay, bx - ax))) % 360.0
    return Notch((float(ax), float(ay)), angle, float(np.hypot(bx - ax, by - ay)), 0.0, kind)
