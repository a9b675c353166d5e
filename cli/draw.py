"""``yardage draw``: a layout on paper, in words or for machines, by the ending of each file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Final, Literal

import typer

from nesting.errors import InputError

from .console import say, say_missing_letters
from .drawing_options import (
    Chalk,
    Cloth,
    CuttingListOnly,
    FullSize,
    HighContrast,
    Landscape,
    Panel,
    PaperName,
    Piece,
    Pieces,
    Plan,
    Scale,
    Side,
)
from .options import Quiet

if TYPE_CHECKING:
    from nesting.model import plan as model
    from nesting.model.layout import Layout

DRAWN: Final = ("png", "svg", "pdf", "dxf", "plt", "html", "txt", "csv")


def draw(
    layout: Annotated[
        Path, typer.Argument(metavar="LAYOUT", help="A layout.json.", show_default=False)
    ],
    to: Annotated[
        list[Path],
        typer.Option(
            "--to",
            metavar="FILE",
            help="File to draw; its ending says how: png svg pdf dxf plt html txt csv.",
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
    cutting_list: CuttingListOnly = False,
    chalk: Chalk = False,
    plan: Plan = None,
    quiet: Quiet = False,
) -> None:
    """Draw a layout that was saved, in one or several forms.

    A pdf is the cutting plan, and with **--full-size** sheets to join; html is the report page,
    txt the cutting list, csv the chalk coordinates.

    Example: **yardage draw gown-layout/layout.json --to marker.pdf marker.png**
    """
    files = _known_endings([*to, *(more or [])])
    words = _words(cutting_list=cutting_list, chalk=chalk)
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
        words=words,
        plan=None if plan is None else _plan_of(read, plan),
    )
    for path in files:
        write_drawing(read, path, options)
        if not quiet:
            say(f"written: {path}")
    if not quiet:
        _say_missing_letters(read, files)


def _say_missing_letters(layout: Layout, files: list[Path]) -> None:
    """Say which letters of the layout's names the drawings cannot show, if any is a drawing."""
    from nesting.plot.fonts import words_on  # noqa: PLC0415 - loaded already

    if any(path.suffix.lower() in {".png", ".svg", ".pdf"} for path in files):
        say_missing_letters(words_on(layout.lays, layout.title))


def _words(*, cutting_list: bool, chalk: bool) -> Literal["", "cutting list", "chalk coordinates"]:
    """Return which words are asked for rather than a drawing."""
    if cutting_list and chalk:
        raise InputError(
            "one file holds either the cutting list or the chalk coordinates",
            remedy="give --cutting-list or --chalk, not both",
        )
    return "cutting list" if cutting_list else "chalk coordinates" if chalk else ""


def _plan_of(layout: Layout, path: Path) -> model.Plan:
    """Read the plan of a layout; another one would tell of other cloths."""
    from nesting.readers.plan import read_plan  # noqa: PLC0415

    plan = read_plan(path)
    missing = {lay.cloth for lay in layout.lays} - {cloth.name for cloth in plan.cloths}
    if missing:
        raise InputError(
            f"it has no cloth {min(missing)!r}, which the layout lays",
            remedy="name the plan from which the layout was made",
            file=path,
        )
    return plan


def _known_endings(files: list[Path]) -> list[Path]:
    """Return the files, once each is seen to end in what can be drawn."""
    remedy = f"end the name in {', '.join(DRAWN[:-1])} or {DRAWN[-1]}"
    for path in files:
        ending = path.suffix.lower().removeprefix(".")
        if ending not in DRAWN:
            found = f"the ending .{ending} is not known" if ending else "the name has no ending"
            raise InputError(found, remedy=remedy, file=path)
    return files
