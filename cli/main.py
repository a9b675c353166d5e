"""The ``yardage`` command: which commands there are, and what happens when one of them fails."""

from __future__ import annotations

import signal
import sys
from typing import Annotated

import typer

from .bench import bench
from .check import check
from .compare import compare
from .demo import demo
from .draw import draw
from .failures import ReportingGroup
from .lay import lay

app = typer.Typer(
    name="yardage",
    cls=ReportingGroup,
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode="markdown",
    context_settings={"help_option_names": ["-h", "--help"]},
)
for command in (demo, check, lay, compare, draw, bench):
    app.command(no_args_is_help=command is not demo)(command)


def _show_version(value: bool) -> None:
    if value:
        from importlib.metadata import version  # noqa: PLC0415 - only when asked

        typer.echo(f"yardage {version('yardage')}")
        raise typer.Exit


@app.callback()
def yardage(
    _version: Annotated[
        bool,
        typer.Option("--version", callback=_show_version, is_eager=True, help="Say which it is."),
    ] = False,
) -> None:
    """How little cloth to buy for a costume, and exactly how to cut it.

    Try it at once with **yardage demo**; plan your own garment with **yardage check** and
    **yardage lay**.

    Exit codes: 0 done, 1 the input is wrong, 2 usage, 3 it does not fit, 4 the independent check
    refused the result, 130 interrupted (the best checked layout is saved).
    """


def run() -> None:
    """Run the command line; never returns normally."""
    # A request to end is the same as Ctrl-C, at any moment.
    signal.signal(signal.SIGTERM, signal.default_int_handler)
    for stream in (sys.stdout, sys.stderr):
        # A terminal without the fraction signs of a summary shows "?" rather than failing.
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
    app()
