"""``yardage draw``: the markers of a layout, in whatever form a file's ending asks for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

import typer

from nesting.errors import InputError, NotBuiltError

from .console import say
from .options import Quiet

DRAWN: Final = ("png", "svg", "pdf")
_LATER: Final = ("dxf", "plt")


def draw(
    layout: Annotated[
        Path, typer.Argument(metavar="LAYOUT", help="A layout.json.", show_default=False)
    ],
    to: Annotated[
        list[Path],
        typer.Option(
            "--to", metavar="FILE", help="File to draw; its ending says how: png svg pdf."
        ),
    ],
    more: Annotated[
        list[Path] | None,
        typer.Argument(metavar="FILE", help="More files to draw.", show_default=False),
    ] = None,
    *,
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
    from nesting.plot.marker import write_marker  # noqa: PLC0415 - imports matplotlib

    for path in files:
        write_marker(read, path)
        if not quiet:
            say(f"written: {path}")


def _check_ending(path: Path) -> None:
    ending = path.suffix.lower().removeprefix(".")
    remedy = f"end the name in {', '.join(DRAWN[:-1])} or {DRAWN[-1]}"
    if ending in _LATER:
        raise NotBuiltError(f"drawing .{ending} is not built yet", remedy=remedy, file=path)
    if ending not in DRAWN:
        found = f"the ending .{ending} is not known" if ending else "the name has no ending"
        raise InputError(found, remedy=remedy, file=path)
