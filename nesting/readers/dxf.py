"""DXF pattern files: after ASTM D6673, or plain drawings of closed outlines."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from ..errors import InputFileError, shown_path
from ..model.pattern import PatternFile
from .drawn import Drawing, Notes
from .dxf_d6673 import layer_number, read_block, style_level, system_text
from .dxf_entities import EntityReader
from .dxf_file import hidden_layers, millimetres_per_unit, open_dxf
from .dxf_plain import has_outline, read_sheet
from .files import refuse_unreadable
from .piece import RawPiece, finish_piece, refuse_same_names

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.insert import Insert


def read_dxf(path: Path, *, units: str | None = None) -> PatternFile:
    """Read a DXF pattern file.

    A file with a ``Piece Name`` text is read after ASTM D6673: one block per piece, roles by
    layer number. Any other is a plain drawing: every closed outline is a piece, closed outlines
    inside it are its cutouts, and it is named by its block, its layer or the text inside it.

    Parameters
    ----------
    path
        An ASCII or binary DXF file of any version.
    units
        One of ``mm cm m in yd``: the drawing unit of a file that names none.

    Returns
    -------
    PatternFile
        Pieces in millimetres, y up, right side up, with everything assumed, repaired or unread.

    Raises
    ------
    InputFileError
        If the file is no DXF, is cut short, damaged beyond mending, or holds no piece.
    InputError
        If its unit is not known, or an outline or a mark cannot be cut.
    """
    refuse_unreadable(path)
    notes = Notes(shown_path(path))
    document = open_dxf(path, notes)
    texts = _system_texts(document, shown_path(path))
    units_text = next((found["units"] for found in texts if "units" in found), None)
    to_mm = millimetres_per_unit(document, units_text, units, notes)
    reader = EntityReader(shown_path(path), to_mm, notes, hidden_layers(document))
    if any("piece name" in found for found in texts):
        raws = _d6673_pieces(document, reader, style_level(texts[0]), notes)
    else:
        raws = _plain_pieces(document, reader, notes)
    for layout in document.layouts:
        if layout.name != "Model" and len(layout) > 1:
            notes.unread(f"layout {layout.name}", "only the model is read, not its printed pages")
    if not raws:
        raise InputFileError(
            "no closed outline was found in it",
            remedy="export the pieces as closed outlines",
            file=path,
        )
    pieces = tuple(finish_piece(raw, notes) for raw in raws)
    refuse_same_names(pieces, shown_path(path))
    return PatternFile(shown_path(path), pieces, notes.as_tuple())


def _system_texts(document: Document, file: str) -> list[dict[str, str]]:
    """Return the system text of the sheet, then that of every block."""
    reader = EntityReader(file, 1.0, Notes(file), frozenset())
    spaces = [document.modelspace(), *(b for b in document.blocks if not b.is_any_layout)]
    return [
        system_text(reader.read(e for e in space if e.dxftype() in {"TEXT", "MTEXT"}).texts)
        for space in spaces
    ]


def _inserts(document: Document) -> list[Insert]:
    return [e for e in document.modelspace() if e.dxftype() == "INSERT"]  # type: ignore[misc]


def _d6673_pieces(
    document: Document, reader: EntityReader, style: dict[str, str], notes: Notes
) -> list[RawPiece]:
    """Read every block as a piece, in the order of their references, and the sheet itself."""
    raws: list[RawPiece] = []
    done: Counter[str] = Counter()
    for insert in _inserts(document):
        name = str(insert.dxf.name)
        done[name] += 1
        if done[name] == 1:
            _add(raws, read_block(name, reader.read([insert]), style, notes))
    for block in document.blocks:
        if block.is_any_layout or block.name in done or block.name.startswith("*"):
            continue
        drawing = reader.read(block)
        if any(layer_number(path.layer) == 1 for path in drawing.paths):
            notes.add("assumed", f"block {block.name}", "it is read though nothing refers to it")
            _add(raws, read_block(block.name, drawing, style, notes))
    _note_repeats(done, notes)
    sheet = reader.read(e for e in document.modelspace() if e.dxftype() != "INSERT")
    if sheet.paths or sheet.points:
        _add(raws, read_block("the sheet", sheet, {}, notes))
    _tell_sizes_apart(raws, notes)
    return raws


def _add(raws: list[RawPiece], raw: RawPiece | None) -> None:
    if raw is not None:
        raws.append(raw)


def _note_repeats(done: Counter[str], notes: Notes) -> None:
    for name, count in done.items():
        if count > 1:
            notes.add(
                "assumed",
                f"block {name}",
                f"it is drawn {count} times and read once; the plan says how often to cut it",
            )


def _tell_sizes_apart(raws: list[RawPiece], notes: Notes) -> None:
    """Name graded pieces by their size where the same piece comes in several."""
    names = Counter(raw.name for raw in raws)
    for raw in raws:
        size = raw.system_text.get("size name") or raw.system_text.get("size")
        if names[raw.name] > 1 and size:
            notes.add("assumed", raw.name, f"several sizes are drawn; named with size {size}")
            raw.name = f"{raw.name} {size}"


def _plain_pieces(document: Document, reader: EntityReader, notes: Notes) -> list[RawPiece]:
    """Read the sheet and every block on it.

    A block with an outline counts where it is first put; one without is a mark on the sheet.
    """
    raws: list[RawPiece] = []
    done: Counter[str] = Counter()
    loose = Drawing()
    for insert in _inserts(document):
        name = str(insert.dxf.name)
        drawing = reader.read([insert])
        if not has_outline(drawing):
            loose.extend(drawing)
            continue
        done[name] += insert.mcount
        if done[name] == insert.mcount:
            raws.extend(read_sheet(name, drawing, notes))
    _note_repeats(done, notes)
    loose.extend(reader.read(e for e in document.modelspace() if e.dxftype() != "INSERT"))
    raws.extend(read_sheet("", loose, notes))
    return raws
