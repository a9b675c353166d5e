"""SVG pattern files: groups named as pieces, and lines told by a word."""

from __future__ import annotations

from pathlib import Path

from ..errors import InputFileError, shown_path
from ..model.pattern import PatternFile
from .drawn import Notes
from .files import refuse_unreadable
from .piece import finish_piece, refuse_same_names
from .svg_page import open_svg, page_to_mm
from .svg_pieces import page_pieces
from .svg_tree import TreeReader


def read_svg(path: Path) -> PatternFile:
    """Read an SVG pattern file.

    A named group is a piece: its largest closed outline is the cut line, everything else in it is
    told by the first word of its id, label, title or class (``grain``, ``top``, ``fold``,
    ``notch``, ``drill``, ``sew``, ``internal``, ``cutout``, ``stripe``, ``plaid``), or by that of
    the group around it. A closed outline in no such group, with a name, is a piece by itself. The
    name is the label, else the title, else the id.

    Parameters
    ----------
    path
        A plain SVG file; sizes from width, height and viewBox, or 96 px per inch.

    Returns
    -------
    PatternFile
        Pieces in millimetres, right side up as on the page. The origin is the upper left corner
        of the page and y runs up, so what lies on the page has y below zero.

    Raises
    ------
    InputFileError
        If the file is unreadable, no SVG, or holds no piece.
    InputError
        If an outline or a mark in it cannot be cut.
    """
    refuse_unreadable(path)
    notes = Notes(shown_path(path))
    root = open_svg(path)
    page = TreeReader(root, notes).read(page_to_mm(root, notes))
    raws = page_pieces(page, notes)
    if not raws:
        raise InputFileError(
            "no named group or outline was found in it",
            remedy="put each piece into a group and give the group a name (id or label)",
            file=path,
        )
    pieces = tuple(finish_piece(raw, notes) for raw in raws)
    refuse_same_names(pieces, shown_path(path))
    return PatternFile(shown_path(path), pieces, notes.as_tuple())
