"""Options of ``yardage draw``: what is drawn, how large, and on what."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

Cloth = Annotated[
    str | None,
    typer.Option("--cloth", metavar="NAME", help="Only this cloth.", show_default="all"),
]
Panel = Annotated[
    int | None,
    typer.Option(
        "--panel", metavar="N", min=1, help="Only this owned piece of the cloth.",
        show_default="all",
    ),
]  # fmt: skip
FullSize = Annotated[
    bool, typer.Option("--full-size", help="At exact size; dxf and plt always are.")
]
Pieces = Annotated[
    bool, typer.Option("--pieces", help="One of each piece by itself, its top up, not the lay.")
]
Piece = Annotated[
    list[str] | None,
    typer.Option(
        "--piece", metavar="NAME", help="Only this piece, by itself.", show_default=False
    ),
]
PaperName = Annotated[
    str | None,
    typer.Option(
        "--paper",
        metavar="PAPER",
        help='A4, A3, A0, Letter, a size such as "610 x 914 mm", or "long" for one page.',
        show_default="A4, or Letter for inches and yards",
    ),
]
Landscape = Annotated[
    bool, typer.Option("--landscape", help="Sheets lying; else standing, or as takes fewer.")
]
Scale = Annotated[
    str,
    typer.Option(
        "--scale", metavar="SCALE", help="Of a cutting plan (pdf): 1:10, 1:20, another, or fit."
    ),
]
Side = Annotated[
    Literal["right", "wrong"],
    typer.Option("--side", help="Which side of the cloth is up on a cutting plan (pdf)."),
]
HighContrast = Annotated[
    bool,
    typer.Option("--high-contrast", help="White on black for a projector (exact svg)."),
]
CuttingListOnly = Annotated[
    bool,
    typer.Option("--cutting-list", help="The cutting list and its label slips (pdf, txt)."),
]
Chalk = Annotated[
    bool, typer.Option("--chalk", help="Where to chalk every point, instead (txt, csv).")
]
Plan = Annotated[
    Path | None,
    typer.Option(
        "--plan", metavar="PLAN", help="The plan of the layout: adds costs and cautions (html).",
        show_default=False,
    ),
]  # fmt: skip
