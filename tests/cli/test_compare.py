"""``yardage compare``: tables, files, JSON, refusals, interruption."""

import csv
import json
import shutil
import signal
import threading
from pathlib import Path

import pytest
from nesting_cli import compare as compare_module

from .conftest import one_line

STORIES = Path(__file__).parent.parent / "stories"
QUICK = ("--seconds", "2", "--workers", "1")
WRITTEN = {
    "comparison.txt", "comparison.csv", "comparison-whole-dress.csv", "comparison-cost-sheet.csv",
    "comparison-rules.csv", "comparison.png", "comparison.svg", "comparison.pdf",
    "comparison.json", "comparison.html",
}  # fmt: skip


@pytest.fixture
def maiden(tmp_path):
    """Return a plan with layers, trims and a budget, all of straight panels."""
    for name in ("cloud_maiden.svg", "cloud_maiden.toml"):
        shutil.copy(STORIES / name, tmp_path)
    return tmp_path / "cloud_maiden.toml"


def test_a_dress_before_paying(run, maiden, tmp_path):
    """Tables on stdout, rows on stderr as they come, files in a folder."""
    result = run("compare", maiden, *QUICK)
    assert result.exit_code == 0
    for text in (
        "outer: what to buy", "cheapest", "8.40 dearer", "Best under 100.00 EUR", "98.15 EUR",
        "Cost sheet of the best under the budget", "336.0 cm + 4.0 cm for 2 joins = 340.0 cm",
    ):  # fmt: skip
        assert text in result.stdout
    assert "white cotton, 92 cm wide: buy 2.80 m (3 1/8 yd), cost 58.80 EUR" in result.stderr
    folder = tmp_path / "here" / "yardage-cloud_maiden-compared"
    assert {path.name for path in folder.iterdir()} == WRITTEN
    assert (folder / "comparison.txt").read_text("utf-8").strip() == result.stdout.strip()


def test_json_csv_widths_and_budget(run, maiden, tmp_path):
    """One JSON document on stdout; a width more for every cloth; a budget below the cheapest."""
    table = tmp_path / "table.csv"
    result = run(
        "compare", maiden, *QUICK, "--json", "--quiet", "--width", "55 in", "--budget", "70",
        "--csv", table, "--out", tmp_path / "out",
    )  # fmt: skip
    assert (result.exit_code, result.stderr) == (0, "")
    data = json.loads(result.stdout)
    assert len(data["rows"]) == 6
    assert {row["width"] for row in data["rows"]} == {1400.0, 920.0, 1150.0, 1397.0}
    assert data["whole_dress"]["chosen"] is None
    assert "Nothing can be had for 70.00 EUR: the cheapest" in data["budget_says"]
    with table.open(encoding="utf-8", newline="") as stream:
        assert len(list(csv.DictReader(stream))) == 6
    assert (tmp_path / "table-cost-sheet.csv").is_file()


@pytest.mark.slow
def test_the_report_page_shows_a_comparison_of_the_same_plan(run, plan, tmp_path):
    """In the same folder; of a plan that has changed since, or a spoiled file, nothing."""
    both = tmp_path / "both"
    page, kept = both / "report.html", both / "comparison.json"
    assert run("compare", plan, *QUICK, "--out", both, "--width", "70 cm").exit_code == 0

    def told():
        assert run("lay", plan, *QUICK, "--out", both).exit_code == 0
        return "Compared: holland: what to buy" in page.read_text("utf-8")

    assert told()
    assert "Compared: the whole dress" in page.read_text("utf-8")
    assert "70.0 cm" in page.read_text("utf-8")
    whole = json.loads(kept.read_text("utf-8"))
    whole["report_page"][0]["rows"][0].pop()
    for spoiled in ("{", "[]", '{"schema": 1}', json.dumps(whole)):
        kept.write_text(spoiled, "utf-8")
        assert not told()
    assert run("compare", plan, *QUICK, "--out", both).exit_code == 0
    plan.write_text(plan.read_text("utf-8").replace("price = 9.5", "price = 12"), "utf-8")
    assert not told()


def test_a_candidate_too_narrow_is_a_row(run, plan):
    """Not an error: the others are compared, and the reason is told."""
    result = run("compare", plan, *QUICK, "--width", "15 cm")
    assert result.exit_code == 0
    assert "does not fit: piece 'panel'" in result.stdout
    assert "cheapest" in result.stdout


def test_nothing_fits_at_all(run, plan, tmp_path):
    """Exit code 3; the table is written all the same, without a plot."""
    plan.write_text(plan.read_text("utf-8").replace("width = 90", "width = 15"), encoding="utf-8")
    result = run("compare", plan, *QUICK, "--out", tmp_path / "out")
    assert result.exit_code == 3
    assert "no cloth of known price fits for holland" in result.stdout
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert "comparison.png" not in names
    assert "comparison.json" in names


@pytest.mark.parametrize(
    ("arguments", "parts"),
    [
        (("--width", "wide"), ["--width", "'wide' is not a length"]),
        (("--width", "0"), ["--width", "'0' is no width of cloth"]),
        (("--width", "1 cm"), ["nothing is left between the selvages of 'holland'"]),
    ],
)
def test_a_wrong_width_is_one_line(run, plan, arguments, parts):
    """Before anything is solved or written."""
    result = run("compare", plan, *QUICK, "--quiet", *arguments)
    assert result.exit_code == 1
    line = one_line(result)
    for part in parts:
        assert part in line


def test_two_currencies_are_one_line(run, maiden, monkeypatch):
    """Told with the plan's file, before anything is solved, and nothing is written."""
    monkeypatch.setattr("nesting.comparing.run.compare", lambda *_, **__: pytest.fail("solved"))
    text = maiden.read_text("utf-8").replace('name = "lawn"', 'name = "lawn"\ncurrency = "GBP"')
    maiden.write_text(text, encoding="utf-8")
    result = run("compare", maiden, *QUICK, "--quiet")
    assert result.exit_code == 1
    assert "they cannot stand in one total" in one_line(result)
    assert "cloud_maiden.toml" in one_line(result)
    assert not Path("yardage-cloud_maiden-compared").exists()


def test_ctrl_c_keeps_the_finished_rows(run, maiden, monkeypatch, tmp_path):
    """Interrupted after the first row: it is shown and written, the others are named."""
    said = compare_module._say_row

    def interrupt(row):
        said(row)
        if threading.current_thread() is threading.main_thread():
            signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(compare_module, "_say_row", interrupt)
    result = run("compare", maiden, *QUICK, "--out", tmp_path / "out")
    assert result.exit_code == 130
    assert "Not finished: white cotton, 92.0 cm wide; lawn, 115.0 cm wide" in result.stdout
    data = json.loads((tmp_path / "out" / "comparison.json").read_text("utf-8"))
    assert [row["cloth"] for row in data["rows"]] == ["white silk"]
