"""The committed results agree with their report, with the instances, and with themselves."""

import json
from dataclasses import replace

import pytest
import shapely

from nesting.readers.benchmark import read_benchmark

from . import plots, report, run, scale
from .files import FOLDER as INSTANCE_FOLDER
from .pieces import drafted_lay
from .published import INSTANCES, SOURCES
from .records import FILL, SEARCH, Point, Run, Scale, Start, append, read

WHERE = {
    "cpu": "a processor", "cores": 2, "python": "3.11.0", "numba": "0.60.0", "version": "0.1.0",
}  # fmt: skip


def row(**changes):
    """Return a row of a run, with what matters to a test changed."""
    usual = Run(
        method=SEARCH, instance="swim", seed=0, workers=2, seconds=60.0, spent=60.1,
        cpu_seconds=119.0, length=6000.0, density=73.5, checked="accepted", iterations=40,
        stop="time", commit="aaaa", date="2026-01-01T00:00:00+00:00", **WHERE,
    )  # fmt: skip
    return replace(usual, **changes)


def scale_row(**changes):
    """Return a row of a drafted lay, with what matters to a test changed."""
    usual = Scale(
        pieces=50, drafted=12, vertices=60, simplified="", kept=60.0, growth=0.0, longer=None,
        seed=0, workers=2, seconds=60.0, tables=1.0, shown=0.1, preparing=2.0, to_80=5.0,
        to_85=None,
        density=84.0, sweeps_per_second=300.0, evaluations_per_second=1e6, memory=250.0,
        checked="accepted", commit="aaaa", date="2026-01-01T00:00:00+00:00", **WHERE,
    )  # fmt: skip
    return replace(usual, **changes)


# ---------------------------------------------------------------- what is committed here


def test_the_report_agrees_with_the_rows():
    """RESULTS.md and its figures are what the committed CSV files give."""
    assert report.disagreements() == []


def test_every_row_was_checked_and_none_was_refused():
    """Rows say what the independent check found; no newest layout was refused by it."""
    results = report.Results()
    assert {r.checked for r in [*results.runs, *results.scale]} <= {"accepted", "refused"}
    newest = [
        one
        for method in (SEARCH, FILL)
        for rows in results.newest(method).values()
        for one in rows
    ]
    assert [r for r in [*newest, *report.newest_scale(results)] if r.checked != "accepted"] == []


def test_densities_follow_from_the_instances():
    """Density is area over width times length, recomputed from the instance's own file."""
    known = {}
    for name in {one.instance for one in read(Run)}:
        path = INSTANCE_FOLDER / f"{name}.xml"
        if path.exists():
            known[name] = read_benchmark(path).problem
    runs = [one for one in read(Run) if one.instance in known]
    if not runs:
        pytest.skip("no results here, or no instances (YARDAGE_BENCHMARKS) to recompute them from")
    for one in runs:
        problem = known[one.instance]
        placed = sum(min(problem.shapes[s].area for s in item.shapes) for item in problem.items)
        assert one.density == pytest.approx(100 * placed / (problem.width * one.length), abs=2e-6)
        assert one.density <= 100 * (1 + 1e-6)


def test_no_measurement_stands_twice_and_no_run_was_cut_short():
    """One row a measurement; a run that its time limit ended took that time."""
    for kind in (Run, Scale):
        keys = [one.key for one in read(kind)]
        assert len(keys) == len(set(keys))
    for one in read(Run):
        assert one.stop in {"time", "proven", "no gain", "done"}
        if one.stop == "time":
            assert one.spent >= one.seconds


def test_histories_rise_to_the_density_of_their_run():
    """Every searched run has its history, which never falls and ends at its result."""
    histories = {}
    for p in read(Point):
        histories.setdefault((p.commit, p.instance, p.seed, p.seconds, p.workers), []).append(p)
    searched = [one for one in read(Run) if one.method == SEARCH]
    keys = {(r.commit, r.instance, r.seed, r.seconds, r.workers): r for r in searched}
    assert set(histories) == set(keys)
    for key, points in histories.items():
        densities = [p.density for p in points]
        assert densities == sorted(densities)
        assert [p.time for p in points] == sorted(p.time for p in points)
        assert densities[-1] == pytest.approx(keys[key].density, abs=0.001)


# ---------------------------------------------------------------- how the report is made


def test_worse_and_earlier_rows_stay(tmp_path):
    """The main table shows the newest commit even where it is worse; the older one is kept."""
    later = {"commit": "bbbb", "date": "2026-02-01T00:00:00+00:00"}
    append([row(density=74.25), row(seed=1, density=75.75)], tmp_path)
    append([row(density=71.5, **later), row(seed=1, density=72.5, **later)], tmp_path)
    append([row(method=FILL, seconds=0.0, workers=1, density=62.125)], tmp_path)
    main, earlier = report.text(report.Results(tmp_path)).split("## Earlier commits")
    line = next(li for li in main.splitlines() if li.startswith("| swim"))
    # The published values are those of section "swim" of published.py.
    assert line == (
        "| swim | 2 | 72.00 | 72.50 | 71.50 | 0 | 62.12 | 74.37 | 75.04 | 75.94 "
        "| -3.94 | -3.44 | bbbb |"
    )
    assert "| swim | 60 | 2 | 2 | 75.00 | 75.75 | 74.25 | 0 | aaaa | 2026-01-01 |" in earlier


def test_a_refused_layout_counts_for_nothing(tmp_path):
    """It is told in its column and enters neither mean nor best."""
    append([row(density=74.0), row(seed=1, density=99.0, checked="refused")], tmp_path)
    line = next(
        li for li in report.text(report.Results(tmp_path)).splitlines() if li.startswith("| swim")
    )
    assert line.startswith("| swim | 2 | 74.00 | 74.00 | 74.00 | 1 | - |")


def test_check_notices_rows_added_and_text_changed(tmp_path, capsys):
    """``--check`` passes after writing, and fails once rows, text or figures differ."""
    point = Point("aaaa", "swim", 0, 2, 60.0, 1.5, 73.5)
    start = Start(0.5, 0.3, 20.0, 0.9, 0.01, commit="aaaa", date="2026-01-01", **WHERE)
    for rows in ([row()], [point], [scale_row()], [start]):
        append(rows, tmp_path)
    folder = ["--folder", str(tmp_path)]
    assert report.main(folder) == 0
    assert report.main(["--check", *folder]) == 0
    append([scale_row(pieces=100)], tmp_path)
    assert report.main(["--check", *folder]) == 1
    said = capsys.readouterr().err
    assert "RESULTS.md" in said
    assert "scale.png" in said
    assert "density.png" not in said
    report.write(tmp_path)
    page = tmp_path / report.NAME
    page.write_text(page.read_text("utf-8").replace("73.50", "75.90"), "utf-8")
    assert report.disagreements(tmp_path) == ["RESULTS.md is not what the CSV files give"]


def test_figures_are_drawn_for_every_instance(tmp_path):
    """One panel an instance, titled with its name, its published best as a line."""
    runs = [row(instance=name) for name in INSTANCES]
    append(runs, tmp_path)
    for name in INSTANCES:
        append([Point("aaaa", name, 0, 2, 60.0, t, 70.0 + t) for t in (1.0, 3.0)], tmp_path)
    results = report.Results(tmp_path)
    figure = plots.density(results.points, results.newest(), results.newest(FILL))
    titles = [axes.get_title(loc="left") for axes in figure.axes]
    assert titles == list(INSTANCES)
    assert plots.png(figure, results.points).startswith(b"\x89PNG")


def test_published_values_are_possible():
    """Published densities grow from 2006 to 2013, as they do in the literature."""
    for name in INSTANCES:
        values = [s.values[name] for s in SOURCES if name in s.values]
        assert values == sorted(values)
        assert values[-1] <= 100


def test_other_columns_are_refused(tmp_path):
    """A file of another form is neither read nor added to."""
    (tmp_path / "results.csv").write_text("instance,density\nswim,99\n")
    with pytest.raises(ValueError, match="has the columns"):
        read(Run, tmp_path)
    with pytest.raises(ValueError, match="has the columns"):
        append([row()], tmp_path)


# ---------------------------------------------------------------- how rows are measured


def test_a_measurement_is_made_once(tmp_path):
    """A second run of the same command adds nothing; another seed adds its rows only.

    Two gores from one length, 100 % of the cloth: household sewing texts of about 1915.
    """
    path = tmp_path / "gores.json"
    gore = {"outline": [[0, 0], [40, 0], [40, 12], [0, 24]], "quantity": 2, "angles": [0, 180]}
    path.write_text(json.dumps({"name": "gores", "width": 36, "items": [gore]}))
    command = ["--instances", str(path), "--seconds", "5", "--only", "layouts", "--folder"]
    assert run.main([*command, str(tmp_path), "--seeds", "0"]) == 0
    first = (tmp_path / "results.csv").read_text()
    assert run.main([*command, str(tmp_path), "--seeds", "0"]) == 0
    assert (tmp_path / "results.csv").read_text() == first
    assert run.main([*command, str(tmp_path), "--seeds", "0", "1"]) == 0
    runs = read(Run, tmp_path)
    assert [(r.method, r.seed, r.checked) for r in runs] == [
        (FILL, 0, "accepted"), (SEARCH, 0, "accepted"), (SEARCH, 1, "accepted"),
    ]  # fmt: skip
    assert [r.density for r in runs[1:]] == [pytest.approx(100.0, abs=1e-3)] * 2
    assert report.disagreements(tmp_path) == []


def test_the_plan_of_runs():
    """Five seeds, three where a run takes five minutes, short limits first; or what is asked."""
    pairs = run.plan(None, None)
    assert len(pairs) == 5 + 5 + 3
    assert pairs[0] == (5.0, 0)
    assert pairs[-1] == (300.0, 2)
    assert run.plan([2.0], [7]) == [(2.0, 7)]


@pytest.mark.parametrize("vertices", [10, 60, 300])
def test_drafted_pieces_are_sound_and_repeatable(vertices):
    """Simple outlines of exactly the vertices asked for, every one a true corner."""
    problem = drafted_lay(40, 10, vertices, seed=3)
    assert len(problem.items) == 40
    for shape in problem.shapes:
        polygon = shapely.Polygon(shape.outer)
        assert polygon.is_valid
        assert len(polygon.simplify(1e-9).exterior.coords) - 1 == vertices
    again = drafted_lay(40, 10, vertices, seed=3)
    assert all(
        (a.outer == b.outer).all() for a, b in zip(problem.shapes, again.shapes, strict=True)
    )


def test_peak_memory_grows_with_what_is_held():
    """Holding as much again as the process ever held at least shows."""
    before = scale.peak_memory()
    held = bytearray(int(before * 1e6))
    held[::4096] = b"x" * len(held[::4096])
    assert scale.peak_memory() > before + 32
