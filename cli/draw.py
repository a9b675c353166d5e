"""``yardage draw``: a layout on paper or for machines, by the ending of each file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

import typer

from nesting.errors import InputError

from .console import say
from .drawing_options import (
    Cloth,
    FullSize,
    HighContrast,
    Landscape,
    Panel,
    PaperName,
    Piece,
    Pieces,
    Scale,
    Side,
)
from .options import Quiet

DRAWN: Final = ("png", "svg", "pdf", "dxf", "plt")


def draw(
    layout: Annotated[
        Path, typer.Argument(metavar="LAYOUT", help="A layout.json.", show_default=False)
    ],
    to: Annotated[
        list[Path],
        typer.Option(
            "--to", metavar="FILE", help="File to draw; its ending says how: png svg pdf dxf plt."
        ),
    ],
    more: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE", help="More files to draw.", show_default=False),
    ] = None,
    *,
    cloth: Cloth = None,
    panel: Panel = None,
    full_size: FullSize = False,
    pieces: Pieces = False,
    piece: Piece = None,
    scale: Scale = "fit",
    side: Side = "right",
    paper: PaperName = None,
    landscape: Landscape = False,
    high_contrast: HighContrast = False,
    quiet: Quiet = False,
) -> None:
    """Draw a layout that was saved, in one or several forms.

    Example: **yardage draw gown-layout/layout.json --to marker.pdf marker.png**
    """
    files = [*to, *(more or [])]
    for path in files:
        _check_ending(path)
    from nesting.readers.layout import read_layout  # noqa: PLC0415 - help must not wait for it

    read = read_layout(layout)
    from nesting.drawings import DrawingOptions, write_drawing  # noqa: PLC0415 - matplotlib

    options = DrawingOptions(
        cloth=cloth,
        panel=panel,
        full_size=full_size,
        each=pieces,
        pieces=tuple(piece or ()),
        high_contrast=high_contrast,
        scale=scale,
        side=side,
        paper=paper,
        landscape=landscape,
    )
    for path in files:
        write_drawing(read, path, options)
        if not quiet:
            say(f"written: {path}")


def _check_ending(path: Path) -> None:
    ending = path.suffix.lower().removeprefix(".")
    remedy = f"end the name in {', '.join(DRAWN[:-1])} or {DRAWN[-1]}"
    if ending not in DRAWN:
        found = f"the ending .{ending} is not known" if ending else "the name has no ending"
        raise InputError(found, remedy=remedy, file=path)
