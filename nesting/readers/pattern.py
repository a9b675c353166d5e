"""Any pattern file, by its ending."""

from __future__ import annotations

from pathlib import Path

from ..errors import InputFileError
from ..model.pattern import PatternFile
from .dxf import read_dxf
from .files import refuse_unreadable
from .svg import read_svg


def read_pattern(path: Path, *, units: str | None = None) -> PatternFile:
    """Read the pieces of a DXF or SVG file.

    Parameters
    ----------
    path
        Ends in ``.dxf`` or ``.svg``, in either case.
    units
        One of ``mm cm m in yd``: the drawing unit of a DXF file that names none. SVG files
        carry their own.

    Returns
    -------
    PatternFile
        Pieces in millimetres, y up, right side up, with everything assumed, repaired or unread.

    Raises
    ------
    InputFileError
        If the file is missing, a directory, empty, over 50 MB, of another kind, or damaged.
    InputError
        If its unit is not known, or an outline or a mark cannot be cut.
    """
    refuse_unreadable(path)
    match path.suffix.lower():
        case ".dxf":
            return read_dxf(path, units=units)
        case ".svg":
            return read_svg(path)
        case ending:
            raise InputFileError(
                f"{ending or 'a name without an ending'} is not a kind of pattern file that is "
                "read",
                remedy="export the pattern as .dxf or .svg",
                file=path,
            )
