"""``yardage bench``: the solver on open benchmark files, every result checked."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from nesting.errors import CheckRefusedError

from .console import ProgressWatch, print_table, say
from .failures import INTERRUPTED
from .interrupt import graceful_stop
from .options import DEFAULT_SECONDS, PROCESSORS, Json, Quiet, Seconds, Seed, Workers

if TYPE_CHECKING:
    from nesting.model.stop import Stop
    from nesting.readers.benchmark import Benchmark

_COLUMNS = ("instance", "seconds", "seed", "length", "density", "checked")
_CHECK_SHARE = 1e-6
"""Benchmark lengths have no unit: the check's tolerance is this share of the strip's width."""

Row = dict[str, str | float | int | bool]


def bench(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE", help="Benchmark instances (XML or JSON).", show_default=False
        ),
    ],
    *,
    seconds: Seconds = DEFAULT_SECONDS,
    seed: Seed = 0,
    workers: Workers = PROCESSORS,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Solve open benchmark instances and check every result independently.

    The density is the share of strip width times length that the pieces cover, in per cent.

    Example: **yardage bench shirts.xml swim.xml --seconds 60 --seed 1**
    """
    from nesting.model.stop import Stop  # noqa: PLC0415
    from nesting.readers.benchmark import read_benchmark  # noqa: PLC0415

    instances = [read_benchmark(path) for path in files]
    rows: list[Row] = []
    with graceful_stop(quiet=quiet) as asked, ProgressWatch(quiet=quiet, garment=False) as watch:
        for instance in instances:
            if asked():
                break
            row = _solve_one(
                instance,
                Stop(seconds=seconds),
                seed=seed,
                workers=workers,
                watch=watch,
                asked=asked,
            )
            rows.append(row)
        interrupted = asked()
    if as_json:
        typer.echo(json.dumps(rows))
    else:
        _print_table(rows)
    refused = [str(row["instance"]) for row in rows if not row["checked"]]
    if refused:
        raise CheckRefusedError(f"the independent check refused {', '.join(refused)}")
    if interrupted:
        raise typer.Exit(INTERRUPTED)


def _solve_one(
    instance: Benchmark,
    stop: Stop,
    *,
    seed: int,
    workers: int,
    watch: ProgressWatch,
    asked: Callable[[], bool],
) -> Row:
    from nesting.engine.solve import solve  # noqa: PLC0415 - compiles or loads the kernels
    from nesting.verify.check import check_result  # noqa: PLC0415

    problem = instance.problem
    result = solve(
        problem,
        stop=stop,
        seed=seed,
        workers=workers,
        on_event=lambda step: watch(instance.name, step),
        interrupted=asked,
    )
    findings = check_result(
        problem, result.layout, result.length, tolerance=_CHECK_SHARE * problem.width
    )
    for finding in findings:
        say(f"{instance.name}: {finding}")
    density = 100.0 * problem.area / (problem.width * result.length)
    return {
        "instance": instance.name,
        "seconds": round(result.seconds, 2),
        "seed": seed,
        "length": result.length,
        "density": round(density, 4),
        "checked": not findings,
    }


def _print_table(rows: list[Row]) -> None:
    texts = [
        (
            str(row["instance"]),
            f"{row['seconds']:.1f}",
            str(row["seed"]),
            f"{row['length']:.6g}",
            f"{row['density']:.2f}",
            "yes" if row["checked"] else "REFUSED",
        )
        for row in rows
    ]
    print_table(_COLUMNS, texts, right=("seconds", "seed", "length", "density"))
