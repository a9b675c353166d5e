"""``yardage lay``: from a plan to checked layouts, markers, yardage and cost."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from .best_so_far import BestSoFar, layouts_to_resume
from .console import ProgressWatch, say, say_missing_letters, show
from .failures import DOES_NOT_FIT, INTERRUPTED
from .file_purposes import told_files
from .interrupt import graceful_stop
from .options import (
    DEFAULT_SECONDS,
    PROCESSORS,
    Json,
    Out,
    PlanFile,
    Quiet,
    Resume,
    Seconds,
    Seed,
    Units,
    Workers,
)
from .results import check_writable, write_results

if TYPE_CHECKING:
    from nesting.model.layout import Layout


def lay(
    plan: PlanFile,
    *,
    seconds: Seconds = DEFAULT_SECONDS,
    seed: Seed = 0,
    workers: Workers = PROCESSORS,
    out: Out = None,
    units: Units = None,
    resume: Resume = False,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Lay every cloth of a plan: how much to buy, and how to cut it.

    Writes a report page, a summary, a cutting list, and for each cloth its cutting plan (PDF), its
    marker (PNG, SVG), chalk coordinates and DXF; and layout.json, from which **yardage draw**
    makes more. Ctrl-C ends the search and keeps the best layout so far; while it goes on, the
    best so far stands in best-so-far.json, whatever may happen. **--resume** goes on from either.

    Example: **yardage lay gown.toml --seconds 60 --out gown-layout**
    """
    run_lay(
        plan, seconds=seconds, seed=seed, workers=workers, out=out, units=units, resume=resume,
        as_json=as_json, quiet=quiet,
    )  # fmt: skip


def run_lay(
    path: Path,
    *,
    seconds: float,
    seed: int,
    workers: int,
    out: Path | None,
    units: str | None,
    as_json: bool,
    quiet: bool,
    resume: bool = False,
) -> None:
    """Do the whole job on one plan file and end with the exit code of the contract.

    Raises
    ------
    typer.Exit
        With 3 when some cloth is too small, 130 when the search was interrupted; in both cases
        the results have been written.
    YardageError
        When anything is wrong; then nothing has been written.
    """
    # Reading and solving import the heavy libraries; help and completion must not wait for them.
    from nesting.model.stop import Stop  # noqa: PLC0415
    from nesting.planning import lay_plan  # noqa: PLC0415
    from nesting.plot.fonts import words_on  # noqa: PLC0415
    from nesting.readers.plan import read_plan  # noqa: PLC0415
    from nesting.report.layout_file import layout_to_dict  # noqa: PLC0415
    from nesting.report.summary import summarise  # noqa: PLC0415

    # A folder's name that ends in a dot or a blank would lose it on some systems.
    folder = out if out is not None else Path(f"yardage-{path.stem}".rstrip(". "))
    check_writable(folder)
    plan = read_plan(path, units=units)
    before = layouts_to_resume(folder, plan) if resume else ()
    kept = BestSoFar(folder, quiet=quiet)
    with kept.told_when_given_up(), graceful_stop(quiet=quiet) as asked_to_stop:
        with ProgressWatch(quiet=quiet) as watch:
            layout = lay_plan(
                plan,
                stop=Stop(seconds=seconds),
                seed=seed,
                workers=workers,
                on_event=watch,
                interrupted=asked_to_stop,
                keep=kept,
                before=before,
            )
        if kept.written:
            kept(layout)  # drawing it takes a while too
        summary = summarise(plan, layout)
        files = write_results(folder, layout, summary, plan)
        interrupted = asked_to_stop()
    if as_json:
        typer.echo(json.dumps(layout_to_dict(layout)))
    elif not quiet:
        show(summary)
    if not quiet:
        say(f"written to {folder}:")
        for line in told_files(files):
            say(line)
        say_missing_letters(words_on(layout.lays, layout.title))
    _end(layout, interrupted=interrupted)


def _end(layout: Layout, *, interrupted: bool) -> None:
    if interrupted:
        raise typer.Exit(INTERRUPTED)
    if any(lay.status == "does not fit" for lay in layout.lays):
        raise typer.Exit(DOES_NOT_FIT)
