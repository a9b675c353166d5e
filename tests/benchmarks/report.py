"""Write RESULTS.md and its figures from the CSV files alone.

``python -m tests.benchmarks.report`` writes them; with ``--check`` it only tells, by its exit
code, whether what stands there agrees with the CSV files.
"""

import argparse
import sys
from itertools import groupby
from pathlib import Path
from statistics import fmean

from nesting.atomic import write_atomic

from . import plots
from .published import BEST, INSTANCES, SOURCES
from .records import FILL, FOLDER, SEARCH, Point, Run, Scale, Start, read
from .tables import cell, hours, table

NAME, DENSITY_PLOT, SCALE_PLOT = "RESULTS.md", "density.png", "scale.png"


class Results:
    """All rows, and those among them that are the newest of their kind."""

    def __init__(self, folder=FOLDER):
        self.runs = read(Run, folder)
        self.points = read(Point, folder)
        self.scale = read(Scale, folder)
        self.start = read(Start, folder)

    def groups(self, method=SEARCH):
        """Return {(instance, seconds, workers): {commit: rows}}, commits from old to new."""
        found = {}
        for run in sorted((r for r in self.runs if r.method == method), key=lambda r: r.date):
            place = found.setdefault((run.instance, run.seconds, run.workers), {})
            place.setdefault(run.commit, []).append(run)
        return found

    def newest(self, method=SEARCH):
        """Return {(instance, seconds, workers): rows of the commit measured last}."""
        return {key: list(commits.values())[-1] for key, commits in self.groups(method).items()}

    def earlier(self):
        """Yield (key, rows) of every commit but the newest, from new to old."""
        for key, commits in self.groups().items():
            for rows in list(commits.values())[-2::-1]:
                yield key, rows


def text(results):
    """Return RESULTS.md."""
    parts = [
        "# Benchmark results",
        "Made from the CSV files of this folder by `python -m tests.benchmarks.report`; measured "
        "and refreshed by `python -m tests.benchmarks.run`. Do not edit.",
        "Density is the area of the pieces as a share of strip width times length, in per cent. "
        "Every layout was checked independently (by shapely, sharing no code with the engine) at "
        "the instance's own outlines: no overlap deeper than 10⁻⁶ of the strip's width. The "
        "*bottom-left fill* is the plain constructive method of our own code without any search "
        "(the best of four orders), on the same machine.",
    ]
    if not results.runs:
        parts.append("Nothing has been measured yet.")
    parts += [*_layouts(results), *_sources(results), *_curves(results)]
    parts += [*_scale(results), *_start(results), *_circumstances(results), *_earlier(results)]
    return "\n\n".join(parts) + "\n"


def _order(instance):
    return (INSTANCES.index(instance) if instance in INSTANCES else len(INSTANCES), instance)


def _layouts(results):
    newest = results.newest()
    fills = {key[0]: rows[-1] for key, rows in results.newest(FILL).items()}
    limits = sorted({key[1:] for key in newest})
    for seconds, workers in limits:
        yield f"## {seconds:g} seconds, {workers} worker{'s' * (workers != 1)}"
        rows = []
        for instance in sorted({k[0] for k in newest if k[1:] == (seconds, workers)}, key=_order):
            runs = newest[instance, seconds, workers]
            rows.append(
                [
                    instance, *_densities(runs), cell(_accepted_density(fills.get(instance))),
                    *(cell(source.values.get(instance)) for source in SOURCES),
                    *_against_best(instance, runs), runs[-1].commit,
                ]
            )  # fmt: skip
        heads = ["instance", "seeds", "mean", "best", "worst", "refused", "bottom-left fill"]
        heads += [source.label for source in SOURCES]
        heads += ["mean less best published", "best less best published", "commit"]
        yield table(heads, rows)


def _densities(runs):
    """Return seeds, mean, best, worst, and how many layouts the check refused."""
    good = [run.density for run in runs if run.checked == "accepted"]
    refused = str(len(runs) - len(good))
    if not good:
        return [str(len(runs)), cell(None), cell(None), cell(None), refused]
    return [str(len(runs)), cell(fmean(good)), cell(max(good)), cell(min(good)), refused]


def _accepted_density(run):
    return run.density if run is not None and run.checked == "accepted" else None


def _against_best(instance, runs):
    good = [run.density for run in runs if run.checked == "accepted"]
    best = BEST.values.get(instance)
    if not good or best is None:
        return [cell(None), cell(None)]
    return [f"{fmean(good) - best:+.2f}", f"{max(good) - best:+.2f}"]


def _sources(results):
    if results.runs:
        lines = [f"- *{source.label}*: {source.reference}." for source in SOURCES]
        yield "Published values, whose computing times are minutes to hours:\n\n" + "\n".join(
            lines
        )


def _curves(results):
    if results.points:
        yield "## Density over time"
        yield f"![Density over time for each instance, every seed]({DENSITY_PLOT})"


def _scale(results):
    rows = newest_scale(results)
    if not rows:
        return
    yield "## Growth with pieces and vertices"
    yield (
        "Invented garment pieces (gores, bodices, sleeves, bands, collars, pockets; "
        "`pieces.py`), all edges curved, mirrored by turns and free to lie end for end, on cloth "
        "of 140 cm; one process a row. *To 80 %*, *to 85 %*: seconds until a layout of that "
        "density; a dash where the time limit came first. *Boxes*, *no-fit "
        "polygons* and *first layout* are seconds too: until the boxes lie in rows, for the "
        "polygons alone, and until the first layout made with them. A *sweep* moves every "
        "overlapping piece once; an *evaluation* is the whole overlap of one piece at a random "
        "place with all others, none cut short. *Memory* is the greatest resident memory of the "
        "process, libraries included. Simplified outlines contain the true ones and exceed them "
        "by at most 0.3 mm: *growth* is what that adds to the area, *longer* what it adds to the "
        "length of the same layout, compacted with either outlines; measured on the smallest lay."
    )
    heads = [
        "pieces", "different", "vertices", "vertices kept", "growth %", "longer %",
        "boxes", "no-fit polygons", "first layout", "to 80 %", "to 85 %", "limit", "workers",
        "density reached", "sweeps/s", "evaluations/s", "memory MB", "checked", "commit",
    ]  # fmt: skip
    yield table(
        heads,
        [
            [
                str(r.pieces), str(r.drafted), f"{r.vertices}{' simplified' * bool(r.simplified)}",
                f"{r.kept:g}", cell(r.growth, 3), cell(r.longer, 3), cell(r.shown),
                cell(r.tables), cell(r.preparing),
                cell(r.to_80, 1), cell(r.to_85, 1), f"{r.seconds:g}", str(r.workers),
                cell(r.density), cell(r.sweeps_per_second, 0),
                f"{r.evaluations_per_second:,.0f}", cell(r.memory, 0), r.checked, r.commit,
            ]
            for r in rows
        ],
    )  # fmt: skip
    yield f"![Time, memory and speed against pieces and vertices]({SCALE_PLOT})"


def newest_scale(results):
    """Return the row measured last of every lay, in the order of the tables."""
    newest = {row.key[1:]: row for row in sorted(results.scale, key=lambda r: r.date)}
    return sorted(newest.values(), key=lambda r: (r.vertices, r.pieces, r.drafted, r.date))


def _start(results):
    if not results.start:
        return
    yield "## Start"
    yield (
        "A new process each. *Compiling* happens once after installing, with an empty cache; all "
        "else is with a full one, the quickest of three. *Libraries* are numpy, numba and the "
        "linear solver by themselves, *engine* is what importing it adds; the *first lay* (six "
        "pieces, two attempts) loads the compiled kernels, the *second lay* has them."
    )
    heads = [
        "compiling s", "libraries s", "engine s", "engine / libraries", "first lay s",
        "second lay s", "compiling / first lay", "commit", "date",
    ]  # fmt: skip
    yield table(
        heads,
        [
            [
                cell(r.compile), cell(r.libraries), cell(r.imported),
                cell(r.imported / r.libraries), cell(r.first_lay), cell(r.second_lay, 3),
                cell(r.compile / r.first_lay, 0), r.commit, r.date[:10],
            ]
            for r in sorted(results.start, key=lambda r: r.date, reverse=True)
        ],
    )  # fmt: skip


def _circumstances(results):
    rows = []
    for commit, measured in _by_commit([*results.runs, *results.scale, *results.start]):
        searched = [r for r in measured if isinstance(r, Run) and r.method == SEARCH]
        spent = sum(r.spent for r in searched)
        had = sum(r.cpu_seconds for r in searched) / spent if spent else None
        places = sorted({f"{r.cpu}, {r.cores} cores" for r in measured})
        rows.append(
            [
                commit, ", ".join(sorted({r.version for r in measured})), "; ".join(places),
                ", ".join(sorted({f"{r.python} / {r.numba}" for r in measured})),
                str(len(searched)), hours(spent), cell(had),
                f"{min(r.date for r in measured)[:10]} to {max(r.date for r in measured)[:10]}",
            ]
        )  # fmt: skip
    if rows:
        yield "## Machines and versions"
        yield (
            "*Processors had* is processor time over time spent in the layout runs: with two "
            "workers, 2 on a quiet machine and less where other work took its share. A commit "
            "with a plus had edits on top."
        )
        heads = ["commit", "version", "machine", "Python / numba", "runs", "spent"]
        yield table([*heads, "processors had", "measured"], rows)


def _by_commit(rows):
    """Return (commit, rows), the commit measured last first."""
    ordered = sorted(rows, key=lambda r: (r.commit, r.date))
    groups = [(c, list(g)) for c, g in groupby(ordered, key=lambda r: r.commit)]
    return sorted(groups, key=lambda group: group[1][-1].date, reverse=True)


def _earlier(results):
    rows = [
        [
            key[0],
            f"{key[1]:g}",
            str(key[2]),
            *_densities(runs),
            runs[-1].commit,
            runs[-1].date[:10],
        ]
        for key, runs in sorted(results.earlier(), key=lambda e: (_order(e[0][0]), e[0][1:]))
    ]
    if rows:
        yield "## Earlier commits"
        yield "Newest first within each instance and time limit."
        heads = ["instance", "seconds", "workers", "seeds", "mean", "best", "worst", "refused"]
        yield table([*heads, "commit", "date"], rows)


def write(folder=FOLDER):
    """Write the report and its figures; return the report's path."""
    results = Results(folder)
    if results.points:
        drawn = plots.density(results.points, results.newest(), results.newest(FILL))
        write_atomic(folder / DENSITY_PLOT, plots.png(drawn, [*results.runs, *results.points]))
    if results.scale:
        drawn = plots.scale(newest_scale(results))
        write_atomic(folder / SCALE_PLOT, plots.png(drawn, results.scale))
    return write_atomic(folder / NAME, text(results).encode())


def disagreements(folder=FOLDER):
    """Return what in the folder does not agree with its CSV files, each in a line."""
    results, found = Results(folder), []
    path = folder / NAME
    if not path.exists() or path.read_text("utf-8") != text(results):
        found.append(f"{NAME} is not what the CSV files give")
    drawn_from = {DENSITY_PLOT: [*results.runs, *results.points], SCALE_PLOT: results.scale}
    for name, rows in drawn_from.items():
        if rows and plots.digest_in(folder / name) != plots.digest(rows):
            found.append(f"{name} was drawn from other rows")
    return found


def main(arguments=None):
    """Write the report, or check it; return the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.report", description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare, write nothing")
    parser.add_argument("--folder", type=Path, default=FOLDER)
    asked = parser.parse_args(arguments)
    if not asked.check:
        write(asked.folder)
        return 0
    found = disagreements(asked.folder)
    sys.stderr.writelines(f"{line}; run python -m tests.benchmarks.report\n" for line in found)
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
