"""Arguments and options that several commands share, so that they mean the same everywhere."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Final, Literal

import typer

PlanFile = Annotated[
    Path, typer.Argument(metavar="PLAN", help="The plan file (TOML).", show_default=False)
]
Seconds = Annotated[
    float,
    typer.Option(
        "--seconds",
        metavar="S",
        min=0.1,
        max=86_400.0,
        help="How long to look for shorter layouts, in all; such runs are not repeatable.",
    ),
]
Seed = Annotated[
    int, typer.Option("--seed", metavar="N", min=0, help="Where the random search starts.")
]
Workers = Annotated[
    int, typer.Option("--workers", metavar="K", min=1, max=256, help="How many processors to use.")
]
Out = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="DIR",
        file_okay=False,
        help="Folder for the results.",
        show_default="yardage-<plan name> in the current folder",
    ),
]
Json = Annotated[
    bool,
    typer.Option("--json", help="Print one JSON document; everything else goes to stderr."),
]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")]
Units = Annotated[
    Literal["mm", "cm", "m", "in", "yd"] | None,
    typer.Option(
        "--units",
        help="Unit of pattern files that do not say theirs.",
        show_default="an error where a file does not say",
    ),
]
Resume = Annotated[
    bool,
    typer.Option(
        "--resume",
        help="Go on from the layout in the results folder, of this very plan; never worse.",
    ),
]

DEFAULT_SECONDS: Final = 20.0
PROCESSORS: Final = os.cpu_count() or 1
