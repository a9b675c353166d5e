"""``yardage compare``: the same garment on other cloths and widths, side by side."""

from __future__ import annotations

import json
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from .compare_results import csv_files, results, write_all
from .console import say, say_missing_letters, show, table_text
from .failures import DOES_NOT_FIT, INTERRUPTED
from .interrupt import graceful_stop
from .options import PROCESSORS, Json, PlanFile, Quiet, Seed, Units, Workers
from .results import check_writable

if TYPE_CHECKING:
    from nesting.model.comparison import ComparedRow, Comparison
    from nesting.model.events import Progress
    from nesting.model.plan import Plan
    from nesting.report.comparison_report import ComparisonReport

TotalSeconds = Annotated[
    float | None,
    typer.Option(
        "--seconds",
        metavar="S",
        min=0.0,
        help="Time to look for layouts, for all candidates together.",
        show_default="0.6 s a piece to lay, shared by the processors",
    ),
]
Widths = Annotated[
    list[str] | None,
    typer.Option(
        "--width",
        metavar="W",
        help="A further width for every cloth still to be bought, such as '140 cm'; give it "
        "several times.",
        show_default=False,
    ),
]
Budget = Annotated[
    float | None,
    typer.Option(
        "--budget",
        metavar="AMOUNT",
        min=0.0,
        help="What the whole dress may cost.",
        show_default="the plan's",
    ),
]
Folder = Annotated[
    Path | None,
    typer.Option(
        "--out",
        metavar="DIR",
        file_okay=False,
        help="Folder for tables and plots.",
        show_default="yardage-<plan name>-compared in the current folder",
    ),
]
Csv = Annotated[
    Path | None,
    typer.Option(
        "--csv",
        metavar="FILE",
        dir_okay=False,
        help="Write the candidates as CSV, and the other tables beside it.",
        show_default=False,
    ),
]
Cluster = Annotated[
    str | None,
    typer.Option(
        "--cluster",
        metavar="ADDRESS",
        help="Solve on a Dask cluster, such as tcp://10.0.0.5:8786.",
        show_default=False,
    ),
]


def compare(
    plan: PlanFile,
    *,
    width: Widths = None,
    budget: Budget = None,
    seconds: TotalSeconds = None,
    seed: Seed = 0,
    workers: Workers = PROCESSORS,
    out: Folder = None,
    csv: Csv = None,
    cluster: Cluster = None,
    units: Units = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Compare cloths and widths, count trims and total the dress, before paying.

    Every layer of the garment is laid on each of its cloths, in the plan's width and in each
    --width. Rows appear as they are finished; Ctrl-C keeps those.

    Example: **yardage compare gown.toml --width "140 cm" --width "150 cm"**
    """
    from nesting.comparing.cluster import on_cluster  # noqa: PLC0415 - help must not wait
    from nesting.comparing.run import compare as run_comparison  # noqa: PLC0415
    from nesting.comparing.run import fair_seconds  # noqa: PLC0415
    from nesting.model.stop import Stop  # noqa: PLC0415
    from nesting.report.comparison_report import comparison_report, report_to_dict  # noqa: PLC0415

    folder = out if out is not None else Path(f"yardage-{plan.stem}-compared")
    check_writable(folder)
    read = _read(plan, units)
    widths = _read_widths(width or [], read.units)
    with graceful_stop(quiet=quiet) as asked:
        there = nullcontext((None, workers)) if cluster is None else on_cluster(cluster)
        with there as (executor, slots):
            if seconds is None:
                seconds = fair_seconds(read, widths, slots)
            if not quiet:
                say(f"comparing for about {seconds:.0f} s, {slots} at a time")
            comparison = run_comparison(
                read,
                stop=Stop(seconds=seconds),
                widths=widths,
                seed=seed,
                workers=slots,
                executor=executor,
                on_row=None if quiet else _say_row,
                on_event=None if quiet else _say_preparing,
                interrupted=asked,
            )
        report = comparison_report(read, comparison, budget)
        text = _text(report)
        written = write_all(folder, results(report, text))
        if csv is not None:
            write_all(csv.parent, csv_files(report, csv.name))
        interrupted = asked()
    if as_json:
        typer.echo(json.dumps(report_to_dict(report)))
    elif not quiet:
        show(text)
    if not quiet:
        _say_written(folder, written, comparison)
    if interrupted:
        raise typer.Exit(INTERRUPTED)
    if report.alternatives.missing and not any(row.fits for row in comparison.rows):
        raise typer.Exit(DOES_NOT_FIT)


def _read(path: Path, units: str | None) -> Plan:
    """Read the plan, and refuse two currencies before anyone has waited for a total."""
    from nesting.comparing.candidates import layers_of  # noqa: PLC0415 - help must not wait
    from nesting.readers.plan import read_plan  # noqa: PLC0415
    from nesting.report.cost import refuse_two_currencies  # noqa: PLC0415

    plan = read_plan(path, units=units)
    refuse_two_currencies(plan, (name for layer in layers_of(plan) for name in layer.cloths))
    return plan


def _read_widths(texts: list[str], units: str) -> list[float]:
    from nesting.errors import InputError  # noqa: PLC0415 - loaded already
    from nesting.tolerances import LARGEST_PIECE  # noqa: PLC0415
    from nesting.units import parse_length  # noqa: PLC0415

    widths = []
    for text in texts:
        try:
            width = parse_length(text, units)
        except InputError as error:
            raise InputError(error.problem, remedy=error.remedy, item="--width") from None
        if not 0 < width <= LARGEST_PIECE:
            raise InputError(
                f"{text!r} is no width of cloth", remedy="write --width '140 cm'", item="--width"
            )
        widths.append(width)
    return widths


def _say_written(folder: Path, names: list[str], comparison: Comparison) -> None:
    from nesting.plot.comparison import words_of  # noqa: PLC0415 - imports matplotlib

    say(f"written to {folder}: {', '.join(names)}")
    say_missing_letters(words_of(comparison))


def _say_preparing(step: Progress) -> None:
    if step.phase == "compiling":
        say("preparing the solver for this computer: first run only, up to a minute or two")


def _say_row(row: ComparedRow) -> None:
    from nesting.report.compare import buy_text  # noqa: PLC0415 - loaded already
    from nesting.report.money import amount_text  # noqa: PLC0415

    if row.fits:
        cost = amount_text(row.cost, row.currency)
        told = f"buy {buy_text(row.buy_length, row.price_per)}, cost {cost}"
    else:
        told = f"does not fit: {row.reason}"
    say(f"{row.cloth}, {row.width / 10:g} cm wide: {told}")


def _text(report: ComparisonReport) -> str:
    """Return the whole report in words."""
    from nesting.report.comparison_report import report_tables  # noqa: PLC0415 - loaded already

    comparison = report.comparison
    blocks = [f"{comparison.title}\n{'=' * len(comparison.title)}"]
    for table in report_tables(report):
        shown = table_text(table.columns, table.rows, right=table.right) if table.rows else ""
        blocks.append("\n".join(text for text in (table.heading, shown, table.remark) if text))
    if comparison.unfinished:
        blocks.append(f"Not finished: {'; '.join(comparison.unfinished)}")
    return "\n\n".join(blocks) + "\n"
