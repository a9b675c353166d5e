"""Refresh every benchmark result with one command: measure what is missing, then report it.

::

    python -m tests.benchmarks.run                      # everything, about two hours
    python -m tests.benchmarks.run --quick              # one short run of each kind, kept apart
    python -m tests.benchmarks.run --instances swim mao --seconds 60 --seeds 0 1 --only layouts

Rows are added to ``results.csv`` and ``history.csv`` (layouts of open instances), ``scale.csv``
(drafted lays of growing size) and ``start.csv`` (compiling and loading), and ``RESULTS.md`` with
its figures is made anew from them. A measurement that is already there for the present state of
the layout code, whatever its result, is not made again; so a run that was cut off goes on where
it stopped, and rows of earlier commits stay.

``--seconds`` without ``--seeds`` takes five seeds, and three where the limit is 300 seconds or
more. Instances are names of files in the folder of open instances (``YARDAGE_BENCHMARKS``, see
``files.py``) or paths of XML or JSON files. Every layout is checked independently at the
instance's own outlines; a refused one is written down as such, never enters a mean, and ends the
command with exit code 4. Measure on a quiet machine: ``cpu_seconds`` tells what share of the
processors a run really had.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

from rich.console import Console
from rich.progress import Progress as Bar
from rich.progress import SpinnerColumn, TextColumn, TimeElapsedColumn

from nesting.engine.construct import first_layout
from nesting.engine.scaled import scale_problem
from nesting.engine.solve import solve
from nesting.engine.tables import build_tables
from nesting.model.stop import Stop
from nesting.readers.benchmark import read_benchmark
from nesting.verify.check import check_result

from . import report, scale, start
from .files import FOLDER as INSTANCE_FOLDER
from .machine import CodeChangedError, circumstances, date
from .pieces import drafted_lay
from .published import INSTANCES
from .records import FILL, FOLDER, SEARCH, Point, Run, append, read

SECONDS = (5.0, 60.0, 300.0)
SEEDS, LONG_SEEDS, LONG = 5, 3, 300.0
CHECK_SHARE = 1e-6
"""Instances have no unit: the deepest overlap allowed is this share of the strip's width."""

REFUSED, INTERRUPTED = 4, 130

_screen = Console(stderr=True)


def main(arguments=None):
    """Measure, report, and return the exit code."""
    asked = _parser().parse_args(arguments)
    folder = asked.folder
    if asked.quick:
        folder = Path(tempfile.mkdtemp(prefix="benchmarks-"))
    now = circumstances()
    if "+" in now["commit"] and not asked.quick:
        _screen.print(
            f"The layout code differs from its last commit: rows are marked {now['commit']}."
        )
    try:
        if asked.only in {None, "layouts"}:
            measure_layouts(
                [
                    INSTANCE_FOLDER / f"{n}.xml" if "." not in n else Path(n)
                    for n in asked.instances
                ],
                plan(asked.seconds, asked.seeds),
                asked.workers,
                now,
                folder,
            )
        if asked.only in {None, "scale"}:
            scale.measure_missing(scale.QUICK if asked.quick else scale.CASES, now, folder)
        if asked.only in {None, "start"}:
            start.measure(now, folder)
    except KeyboardInterrupt:
        _screen.print("Interrupted: the rows so far are kept; the same command goes on from here.")
        report.write(folder)
        return INTERRUPTED
    except CodeChangedError as error:
        report.write(folder)
        _screen.print(f"The last row is not kept: {error}.")
        return 1
    _screen.print(f"Written: {report.write(folder)}")
    refused = [run for run in read(Run, folder) if run.checked != "accepted"]
    return REFUSED if any(run.commit == now["commit"] for run in refused) else 0


def _parser():
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks.run",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--instances", nargs="+", default=INSTANCES, metavar="NAME")
    parser.add_argument("--seconds", nargs="+", type=float, metavar="S")
    parser.add_argument("--seeds", nargs="+", type=int, metavar="N")
    parser.add_argument("--workers", nargs="+", type=int, default=[2], metavar="K")
    parser.add_argument("--only", choices=["layouts", "scale", "start", "report"])
    parser.add_argument("--folder", type=Path, default=FOLDER, help="where the CSV files are")
    parser.add_argument("--quick", action="store_true", help="a trial in a folder of its own")
    return parser


def plan(seconds, seeds):
    """Return (seconds, seed) of every run, short ones first and seed by seed."""
    limits = sorted(seconds or SECONDS)
    return [
        (limit, seed)
        for limit in limits
        for seed in (seeds or range(LONG_SEEDS if limit >= LONG else SEEDS))
    ]


def measure_layouts(paths, pairs, workers, now, folder):
    """Measure the runs that are not in the results yet, appending each row as it comes."""
    instances = [read_benchmark(path) for path in paths]
    # Loading compiled kernels takes a second, which start.csv tells and runs should not.
    solve(drafted_lay(6, 3, 12, seed=0), stop=Stop(iterations=1))
    done = {run.key for run in read(Run, folder)}
    tasks = [
        (instance, method, seconds, seed, count)
        for instance in instances
        for method, seconds, seed, count in [(FILL, 0.0, 0, 1)]
    ] + [
        (instance, SEARCH, seconds, seed, count)
        for seconds, seed in pairs
        for count in workers
        for instance in instances
    ]
    tasks = [
        task for task in tasks
        if (task[1], now["commit"], task[0].name, task[3], task[2], task[4]) not in done
    ]  # fmt: skip
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Bar(*columns, console=_screen) as bar:
        line = bar.add_task("")
        for number, (instance, method, seconds, seed, count) in enumerate(tasks, 1):
            title = f"{number}/{len(tasks)} {instance.name} {seconds:g} s, seed {seed}"

            def tell(length, title=title, problem=instance.problem):
                best = "" if length is None else f": {_density(problem, length):.2f} %"
                bar.update(line, description=title + best)

            tell(None)
            if method == FILL:
                run, points = _fill(instance, now), []
            else:
                run, points = _search(instance, seconds, seed, count, now, tell)
            append([run], folder)
            append(points, folder)
            bar.console.print(
                f"{title}, {count} workers, {method}: {run.density:.2f} %, {run.checked}"
            )


def _search(instance, seconds, seed, workers, now, tell):
    """Run the engine once; return the row and the points of its history."""
    problem = instance.problem
    cpu = time.process_time()
    result = solve(
        problem,
        stop=Stop(seconds=seconds),
        seed=seed,
        workers=workers,
        on_event=lambda step: tell(step.length),
    )
    cpu = time.process_time() - cpu
    if result.stop_reason == "interrupted":
        raise KeyboardInterrupt
    run = Run(
        method=SEARCH, instance=instance.name, seed=seed, workers=workers, seconds=seconds,
        spent=round(result.seconds, 3), cpu_seconds=round(cpu, 3), length=result.length,
        density=round(_density(problem, result.length), 6),
        checked=_verdict(instance, result.layout, result.length),
        iterations=result.iterations, stop=result.stop_reason, date=date(), **now,
    )  # fmt: skip
    points = [
        Point(
            now["commit"], instance.name, seed, workers, seconds,
            round(when, 3), round(_density(problem, length), 4),
        )
        for when, length in result.history
    ]  # fmt: skip
    return run, points


def _fill(instance, now):
    """Lay an instance by plain bottom-left fill, neither searched nor polished."""
    problem = instance.problem
    clock, cpu = time.monotonic(), time.process_time()
    scaled = scale_problem(problem)
    found = first_layout(scaled, build_tables(scaled))
    spent, cpu = time.monotonic() - clock, time.process_time() - cpu
    layout = scaled.positions(found.shape, found.x, found.y)
    length = max(problem.shapes[p.shape].box[2] + p.x for p in layout)
    return Run(
        method=FILL, instance=instance.name, seed=0, workers=1, seconds=0.0,
        spent=round(spent, 3), cpu_seconds=round(cpu, 3), length=length,
        density=round(_density(problem, length), 6),
        checked=_verdict(instance, layout, length), iterations=0, stop="done",
        date=date(), **now,
    )  # fmt: skip


def _verdict(instance, layout, length):
    problem = instance.problem
    findings = check_result(problem, layout, length, tolerance=CHECK_SHARE * problem.width)
    for finding in findings:
        _screen.print(f"{instance.name}: {finding}")
    return "refused" if findings else "accepted"


def _density(problem, length):
    return 100.0 * problem.area / (problem.width * length)


if __name__ == "__main__":
    sys.exit(main())
