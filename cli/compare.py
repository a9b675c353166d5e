"""``yardage compare``: the same garment on other cloths and widths, side by side."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Annotated

import typer

from .console import print_table, say
from .failures import INTERRUPTED
from .interrupt import graceful_stop
from .options import PROCESSORS, Json, PlanFile, Quiet, Seconds, Seed, Units, Workers

if TYPE_CHECKING:
    from nesting.model.comparison import ComparedRow, Comparison

_SECONDS = 60.0
_RIGHT = ("width", "usable", "lay", "end trim", "shrinkage", "motif start", "price", "cost")


def compare(
    plan: PlanFile,
    *,
    width: Annotated[
        list[str] | None,
        typer.Option(
            "--width",
            metavar="W",
            help="A further width for every cloth still to be bought, such as '140 cm'; "
            "give it several times.",
            show_default=False,
        ),
    ] = None,
    seconds: Seconds = _SECONDS,
    seed: Seed = 0,
    workers: Workers = PROCESSORS,
    units: Units = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Compare cloths and widths before paying.

    Every layer of the garment is laid on each of its cloths, in the plan's width and in each
    --width. Rows appear as they are finished; Ctrl-C keeps those.

    Example: **yardage compare gown.toml --width "140 cm" --width "150 cm"**
    """
    from nesting.comparing.run import compare as run_comparison  # noqa: PLC0415
    from nesting.model.stop import Stop  # noqa: PLC0415
    from nesting.readers.plan import read_plan  # noqa: PLC0415
    from nesting.report.compare import row_to_dict  # noqa: PLC0415
    from nesting.units import parse_length  # noqa: PLC0415

    read = read_plan(plan, units=units)
    widths = [parse_length(text, read.units) for text in width or ()]
    with graceful_stop(quiet=quiet) as asked:
        comparison = run_comparison(
            read,
            stop=Stop(seconds=seconds),
            widths=widths,
            seed=seed,
            workers=workers,
            on_row=None if quiet else _say_row,
            interrupted=asked,
        )
        interrupted = asked()
    if as_json:
        typer.echo(json.dumps({"rows": [row_to_dict(row) for row in comparison.rows]}))
    elif not quiet:
        _print(comparison)
    if interrupted:
        raise typer.Exit(INTERRUPTED)


def _say_row(row: ComparedRow) -> None:
    from nesting.report.compare import buy_text  # noqa: PLC0415 - loaded already
    from nesting.report.money import amount_text  # noqa: PLC0415

    if row.fits:
        told = f"buy {buy_text(row.buy_length)}, cost {amount_text(row.cost, row.currency)}"
    else:
        told = f"does not fit: {row.reason}"
    say(f"{row.cloth}, {row.width / 10:g} cm wide: {told}")


def _print(comparison: Comparison) -> None:
    from nesting.report.compare import (  # noqa: PLC0415 - loaded already
        BUYING_COLUMNS,
        JUDGING_COLUMNS,
        buying_rows,
        judging_rows,
    )

    typer.echo(comparison.title)
    for layer in comparison.layers:
        typer.echo(f"\n{layer}")
        print_table(BUYING_COLUMNS, buying_rows(comparison, layer), right=_RIGHT)
        print_table(JUDGING_COLUMNS, judging_rows(comparison, layer), right=("width", "joins"))
