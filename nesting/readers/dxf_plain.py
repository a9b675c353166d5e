"""Pieces of a plain DXF drawing: every closed outline, with what is drawn inside it."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import Final

from .. import tolerances
from ..geometry.rings import bounds
from ..model.pattern import Annotation
from .containment import Owners, nests, refuse_drawn_twice
from .drawn import Drawing, DrawnPath, Notes, join_chains
from .marks import add_path, add_point
from .outline import is_straight, open_outline_error
from .piece import RawPiece
from .roles import role_of

_NO_NAME_LAYERS: Final = frozenset({"", "0", "defpoints", "outline", "outlines", "cut"})


@dataclass(slots=True)
class _Sheet:
    """Closed and open paths of one block or of the sheet itself, roles told apart."""

    closed: list[DrawnPath]
    open: list[DrawnPath]
    marks: list[DrawnPath]


def read_sheet(block: str, drawing: Drawing, notes: Notes) -> list[RawPiece]:
    """Read every closed outline of a sheet as a piece.

    Nested closed outlines are cutouts; circles too small to be a piece are drill holes. Lines on
    a layer whose first word is a role (``grain``, ``sew``, ...) take that role.

    Parameters
    ----------
    block
        The block all of this was drawn in, empty for what lies on the sheet itself.
    drawing
        In millimetres.

    Raises
    ------
    InputError
        If an outline is open or drawn twice.
    """
    sheet = _sorted_paths(drawing)
    outlines = [path.points for path in sheet.closed]
    refuse_drawn_twice(outlines, [path.entity for path in sheet.closed], file=notes.file)
    found = nests(outlines)
    owners = Owners([outlines[nest.outer] for nest in found])
    pieces = [RawPiece("", outlines[nest.outer]) for nest in found]
    _annotate(pieces, owners, drawing, notes)
    _name(pieces, [sheet.closed[nest.outer].layer for nest in found], block, notes)
    for piece, nest in zip(pieces, found, strict=True):
        for index in nest.inner:
            _add_inner(piece, sheet.closed[index], notes)
    _give_marks(pieces, owners, sheet, drawing, notes)
    return pieces


def has_outline(drawing: Drawing) -> bool:
    """Return whether any closed outline is drawn that is not told to be something else."""
    return bool(_sorted_paths(drawing).closed)


def _sorted_paths(drawing: Drawing) -> _Sheet:
    marks: list[DrawnPath] = []
    lines: list[DrawnPath] = []
    for path in drawing.paths:
        (marks if role_of(path.layer) else lines).append(path)
    by_layer: dict[str, list[DrawnPath]] = {}
    for path in lines:
        by_layer.setdefault(path.layer, []).append(path)
    # Ends are joined within a layer first, so that a line meeting a corner steals no outline.
    closed: list[DrawnPath] = []
    loose: list[DrawnPath] = []
    for on_layer in by_layer.values():
        for path in join_chains(on_layer, tolerances.JOIN_ENDS):
            (closed if path.closed else loose).append(path)
    joined = join_chains(loose, tolerances.JOIN_ENDS)
    closed.extend(path for path in joined if path.closed)
    return _Sheet(closed, [path for path in joined if not path.closed], marks)


def _annotate(pieces: list[RawPiece], owners: Owners, drawing: Drawing, notes: Notes) -> None:
    for drawn in drawing.texts:
        if not drawn.text or drawn.text.startswith("#"):
            continue
        owner = owners.of_point(drawn.at)
        if owner is None:
            notes.unread(f"layer {drawn.layer}", f"the text {drawn.text[:40]!r} is in no piece")
        else:
            pieces[owner].annotations.append(Annotation(drawn.at, drawn.text))


def _name(pieces: list[RawPiece], layers: list[str], block: str, notes: Notes) -> None:
    shared = Counter(layers)
    for number, (piece, layer) in enumerate(zip(pieces, layers, strict=True), start=1):
        if block and len(pieces) == 1:
            piece.name = block
        elif shared[layer] == 1 and layer.strip().lower() not in _NO_NAME_LAYERS:
            piece.name = layer.strip()
        elif piece.annotations:
            piece.name = piece.annotations[0].text
        else:
            piece.name = f"{block} {number}" if block else f"outline {number}"
            left, low, right, high = bounds(piece.outline)
            notes.add(
                "assumed",
                piece.name,
                f"no block, layer or text names the outline of {right - left:.0f} x "
                f"{high - low:.0f} mm at ({left:.0f}, {low:.0f}) mm; it was numbered",
            )


def _add_inner(piece: RawPiece, path: DrawnPath, notes: Notes) -> None:
    left, low, right, high = bounds(path.points)
    size = max(right - left, high - low)
    if path.entity.startswith("CIRCLE") and size < tolerances.SMALLEST_PIECE:
        piece.drill_holes.append(((left + right) / 2.0, (low + high) / 2.0))
        notes.add("assumed", piece.name, f"a circle {size:.2f} mm across is a drill hole")
    else:
        piece.cutouts.append(path.points)


def _give_marks(
    pieces: list[RawPiece], owners: Owners, sheet: _Sheet, drawing: Drawing, notes: Notes
) -> None:
    for path in sheet.marks:
        owner = owners.of_path(path.points)
        if owner is None:
            notes.unread(path.entity, "it lies in no piece")
        else:
            add_path(pieces[owner], path, notes)
    for point in drawing.points:
        owner = owners.of_point(point.at)
        if owner is None or role_of(point.layer) is None:
            where = "it lies in no piece" if owner is None else "its layer tells no role"
            notes.unread(f"layer {point.layer}", f"POINT: {where}")
        else:
            add_point(pieces[owner], point, notes)
    for path in sheet.open:
        owner = owners.of_path(path.points)
        if owner is not None:
            pieces[owner].internal_lines.append(path.points)
            notes.add(
                "assumed",
                pieces[owner].name,
                f"open lines on layer {path.layer} are drawn on the piece, not cut",
            )
        elif is_straight(path.points):
            notes.unread(path.entity, "a straight line outside every piece")
        else:
            raise open_outline_error(path.points, file=notes.file, item=path.entity)
