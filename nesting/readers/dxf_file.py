"""Opening a DXF file: refused, recovered or mended, and told so; and the unit it is drawn in."""

from __future__ import annotations

import logging
import os
from io import BytesIO
from typing import TYPE_CHECKING, Final

from ezdxf import document as ezdxf_document
from ezdxf import recover
from ezdxf.audit import AuditError
from ezdxf.lldxf.tagger import binary_tags_loader

from ..errors import InputError, InputFileError
from ..units import MM_PER

if TYPE_CHECKING:
    from pathlib import Path

    from ezdxf.document import Drawing as Document

    from .drawn import Notes

# What ezdxf has to say is told in notes; without a handler Python would print it on stderr.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

_MOST_REPAIRS: Final = 20
_BINARY: Final = b"AutoCAD Binary DXF"
_UNSAFE: Final = frozenset({
    AuditError.INVALID_FLOATING_POINT_VALUE, AuditError.INVALID_INTEGER_VALUE,
    AuditError.MODELSPACE_NOT_FOUND, AuditError.INVALID_BLOCK_REFERENCE_CYCLE,
})  # fmt: skip
"""Faults whose mending would be a guess at what was drawn."""

INSUNITS: Final[dict[int, tuple[str, float]]] = {
    1: ("inches", 25.4),
    2: ("feet", 304.8),
    4: ("millimetres", 1.0),
    5: ("centimetres", 10.0),
    6: ("metres", 1000.0),
    10: ("yards", 914.4),
    14: ("decimetres", 100.0),
}
"""DXF header variable $INSUNITS: the units cloth is measured in, and their millimetres."""

_UNITS_TEXT: Final[dict[str, float]] = {"english": 25.4, "metric": 1.0}
"""ASTM D6673, style text ``Units``: English is inches, metric is millimetres."""

_HOW = "give the unit with --units mm, cm, m, in or yd, or set $INSUNITS when exporting"


def open_dxf(path: Path, notes: Notes) -> Document:
    """Open a DXF file of any version, mending what can be mended.

    Raises
    ------
    InputFileError
        If it is no DXF file, breaks off before its end, or cannot be mended.
    """
    head = _refuse_truncated(path)
    try:
        if not head.startswith(_BINARY) and b"\n" not in head:  # lines ended as on old computers
            content = path.read_bytes().replace(b"\r", b"\n")
            document, auditor = recover.read(BytesIO(content))
        elif head.startswith(_BINARY):
            document = ezdxf_document.Drawing.load(binary_tags_loader(path.read_bytes()))
            auditor = document.audit()
        else:
            document, auditor = recover.readfile(path)
    except Exception as error:  # damage makes the recovery fail in any way at all
        raise InputFileError(
            f"it cannot be read as DXF ({error})",
            remedy="export it again as ASCII DXF",
            file=path,
        ) from error
    for fault in auditor.errors:
        if fault.code in _UNSAFE:
            raise InputFileError(
                f"it is damaged where no mending is safe ({fault.message})",
                remedy="export it again as ASCII DXF",
                file=path,
            )
        notes.add("assumed", "", f"{fault.message.rstrip('.')}; left as it is")
    fixes = [fix.message for fix in auditor.fixes]
    for message in fixes[:_MOST_REPAIRS]:
        notes.add("repaired", "", message.rstrip("."))
    if len(fixes) > _MOST_REPAIRS:
        notes.add("repaired", "", f"{len(fixes) - _MOST_REPAIRS} more faults of the DXF file")
    return document


def _refuse_truncated(path: Path) -> bytes:
    """Refuse a file that is no DXF or lacks the end mark; return how it begins."""
    with path.open("rb") as stream:
        head = stream.read(4096)
        stream.seek(0, os.SEEK_END)
        stream.seek(max(0, stream.tell() - 4096))
        tail = stream.read()
    if b"SECTION" not in head.upper():
        raise InputFileError(
            "it does not begin like a DXF file",
            remedy="export the pattern as DXF; renaming a file does not convert it",
            file=path,
        )
    if b"EOF" not in tail.upper().split(b"ENDSEC")[-1]:
        raise InputFileError(
            "it breaks off before its end (the closing EOF is missing)",
            remedy="copy or export it again; part of the pattern is lost",
            file=path,
        )
    return head


def millimetres_per_unit(
    document: Document, units_text: str | None, units: str | None, notes: Notes
) -> float:
    """Return the millimetres in one drawing unit.

    The ``Units`` text of ASTM D6673 wins over $INSUNITS, which is known to be wrong in the
    field; that wins over ``units``, which the maker gives for files that are silent.

    Raises
    ------
    InputError
        If a unit is not known, or none is given anywhere.
    """
    if units is not None and units not in MM_PER:
        raise InputError(f"{units!r} is not a unit", remedy="use mm, cm, m, in or yd")
    header = _insunits(document, notes, needed=units_text is None and units is None)
    if units_text is not None:
        found = _UNITS_TEXT.get(units_text.strip().casefold())
        if found is None:
            raise InputError(
                f"Units is {units_text!r}, which is neither ENGLISH nor METRIC",
                remedy="export it again with one of the two",
                file=notes.file,
                item="Units",
            )
        if header is not None and header[1] != found:
            notes.add("assumed", "Units", f"{units_text} is right and $INSUNITS {header[0]} wrong")
    elif header is not None:
        found = header[1]
    elif units is not None:
        found = MM_PER[units]
        notes.add("assumed", "", f"the file names no unit; read in {units} as asked")
    else:
        raise InputError(
            "the file does not say in which unit it is drawn", remedy=_HOW, file=notes.file
        )
    if units is not None and MM_PER[units] != found:
        notes.add("assumed", "", f"the file names its own unit; {units} was not used")
    return found


def _insunits(document: Document, notes: Notes, *, needed: bool) -> tuple[str, float] | None:
    code = int(document.header.get("$INSUNITS", 0))
    if code == 0 or code in INSUNITS:
        return INSUNITS.get(code)
    if needed:
        raise InputError(
            f"$INSUNITS is {code}, which is no unit cloth is measured in",
            remedy=_HOW,
            file=notes.file,
            item="$INSUNITS",
        )
    notes.add("assumed", "$INSUNITS", f"{code} is no unit cloth is measured in; not used")
    return None


def hidden_layers(document: Document) -> frozenset[str]:
    """Return the layers switched off or frozen, in lower case."""
    return frozenset(
        str(layer.dxf.name).lower()
        for layer in document.layers
        if layer.is_off() or layer.is_frozen()
    )
