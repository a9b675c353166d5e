"""The marker: a picture of every lay, reduced, with everything the cutter has to see."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Final

from ..atomic import write_atomic
from ..errors import InputError
from ..model.layout import Lay, Layout
from .drawing import draw_marker
from .sheet import render

__all__ = ["FORMATS", "draw_marker", "write_marker", "write_markers"]

FORMATS: Final = ("png", "svg", "pdf")


def write_marker(layout: Layout, path: str | Path, *, lay_index: int | None = None) -> Path:
    """Draw a layout to a file; the ending decides: png, svg or pdf.

    A long lay is drawn in several rows; a PDF has A4 pages (larger only where the key needs it).
    Without ``lay_index`` all lays are drawn, one below the other or page after page. The same
    layout gives the same SVG and PDF, byte for byte, with the same version of matplotlib.

    Returns
    -------
    Path
        The file written; it appears whole or not at all.

    Raises
    ------
    InputError
        If the ending is another, there is no such lay, or no piece is laid.
    InputFileError
        If the file cannot be written.
    """
    target = Path(path)
    ending = target.suffix.lower().removeprefix(".")
    if ending not in FORMATS:
        raise InputError(
            f"cannot draw to a file ending in {target.suffix!r}",
            remedy=f"end the name in {', '.join(FORMATS)}",
            file=target,
        )
    return write_atomic(target, render(layout, _drawable(layout, lay_index), ending))


def write_markers(
    layout: Layout, folder: str | Path, formats: Iterable[str] = FORMATS
) -> tuple[Path, ...]:
    """Draw every lay to files of its own, named after its cloth, and return their paths.

    ``marker-red-silk.png`` and so on; lays without pieces are left out. The folder must exist.

    Raises
    ------
    InputError, InputFileError
        As :func:`write_marker`.
    """
    endings = tuple(formats)
    return tuple(
        write_marker(layout, Path(folder) / f"marker-{stem}.{ending}", lay_index=index)
        for index, stem in lay_stems(layout)
        for ending in endings
    )


def lay_stems(layout: Layout) -> Iterator[tuple[int, str]]:
    """Yield index and a part of a file name for every lay with pieces; no two alike.

    ``red-silk`` for a cloth called Red Silk: letters, digits and hyphens only.
    """
    used: set[str] = set()
    for index, lay in enumerate(layout.lays):
        if not lay.placements:
            continue
        panel = "" if lay.panel is None else f"-panel-{lay.panel}"
        plain = f"{_safe(lay.cloth)}{panel}"
        stem, n = plain, 1
        while stem in used:
            n += 1
            stem = f"{plain}-{n}"
        used.add(stem)
        yield index, stem


def _safe(name: str) -> str:
    """Return a name for files on any system: lower-case letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "cloth"


def _drawable(layout: Layout, lay_index: int | None) -> list[Lay]:
    """Return the lays to draw: one, or all that have pieces."""
    if lay_index is not None and not 0 <= lay_index < len(layout.lays):
        raise InputError(
            f"there is no lay number {lay_index}",
            remedy=f"the layout has {len(layout.lays)}, counted from 0",
        )
    chosen = layout.lays if lay_index is None else (layout.lays[lay_index],)
    lays = [lay for lay in chosen if lay.placements]
    if not lays:
        raise InputError("no piece is laid, so there is nothing to draw", item=layout.title)
    return lays
