"""``yardage lay`` and ``demo``: what is written, what is printed where, and stopping early."""

import json
import signal
import time

import pytest

from nesting.readers.layout import read_layout

from .conftest import one_line
from .test_failures import altered


def test_writes_layout_markers_and_summary(plan, run, tmp_path):
    """The default folder is named after the plan; every result is in it, and it reads back."""
    result = run("lay", plan, "--seconds", "0.5")
    assert result.exit_code == 0, result.output
    folder = tmp_path / "here" / "yardage-apron"
    names = {path.name for path in folder.iterdir()}
    assert {"layout.json", "summary.txt"} < names
    endings = {name.rpartition(".")[2] for name in names}
    assert endings == {"json", "txt", "png", "svg", "pdf", "html", "csv", "dxf"}
    layout = read_layout(folder / "layout.json")
    assert len(layout.lays[0].placements) == 4
    assert (folder / "summary.txt").read_text("utf-8").strip() == result.stdout.strip()
    # Two panels of 30 cm by 20 cm lie side by side on 88 cm with both gussets: 30 cm.
    assert layout.lays[0].length == pytest.approx(300.0, abs=0.01)
    assert not [path for path in folder.parent.iterdir() if path.name.startswith(".")]


def test_json_is_alone_on_standard_output(plan, run):
    """One JSON document on stdout, the contract's schema, everything else on stderr."""
    result = run("lay", plan, "--seconds", "0.3", "--json")
    assert result.exit_code == 0
    document = json.loads(result.stdout)
    assert document["schema"] == "yardage-layout/1"
    assert document["lays"][0]["buy"]["cost"] == pytest.approx(0.3 * 9.5)
    assert "written to" in result.stderr


def test_quiet_says_nothing(plan, run, tmp_path):
    """With --quiet nothing is printed; with --json besides, only the document."""
    result = run("lay", plan, "--seconds", "0.3", "--quiet", "--out", "a")
    assert result.exit_code == 0
    assert not result.output
    assert (tmp_path / "here" / "a" / "layout.json").exists()
    result = run("lay", plan, "--seconds", "0.3", "--quiet", "--json", "--out", "b")
    assert not result.stderr
    json.loads(result.stdout)


def test_second_run_replaces_the_first(plan, run, tmp_path):
    """A folder that exists keeps what is not ours and gets the new results."""
    folder = tmp_path / "here" / "out"
    folder.mkdir()
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    assert run("lay", plan, "--seconds", "0.3", "--out", "out").exit_code == 0
    plan.write_text(plan.read_text("utf-8").replace("holland", "linen"), encoding="utf-8")
    assert run("lay", plan, "--seconds", "0.3", "--out", "out").exit_code == 0
    assert read_layout(folder / "layout.json").lays[0].cloth == "linen"
    assert (folder / "notes.txt").read_text("utf-8") == "mine"
    markers = {path.stem for path in folder.glob("marker-*")}
    assert len(markers) == 1, "a marker of the cloth that is gone was left"
    assert "linen" in markers.pop()
    chalked = {path.name for path in folder.glob("chalk-*")}
    assert chalked == {"chalk-linen.csv", "chalk-linen.txt"}
    page = (folder / "report.html").read_text("utf-8")
    assert "linen" in page
    assert "holland" not in page
    assert "Stop. Do not cut yet" in (folder / "cutting-list.txt").read_text("utf-8")


def test_owned_cloth_too_short(plan, run, tmp_path):
    """Cloth already owned that is too short: exit code 3, and the layout says by how much."""
    short = altered(plan, "price = 9.5", 'length = "20 cm"')
    result = run("lay", short, "--seconds", "0.3")
    assert result.exit_code == 3
    layout = read_layout(tmp_path / "here" / "yardage-apron" / "layout.json")
    assert layout.lays[0].status == "does not fit"
    assert layout.lays[0].reason


@pytest.mark.parametrize(
    "number", [signal.SIGINT, pytest.param(signal.SIGTERM, marks=pytest.mark.slow)]
)
def test_stopping_early_keeps_the_best_layout(number, command, tmp_path, bigger_plan):
    """Ctrl-C or a request to end: the best layout so far is checked and saved, exit code 130."""
    process = command("lay", bigger_plan, "--seconds", "600", "--out", "kept")
    while True:
        line = process.stderr.readline()
        assert line, "the run ended before it had a layout"
        if "best so far" in line:
            break
    time.sleep(0.2)
    process.send_signal(number)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130, err
    assert "Traceback" not in err
    layout = read_layout(tmp_path / "kept" / "layout.json")
    assert len(layout.lays[0].placements) == 31
    assert any("stopped early" in warning for warning in layout.warnings)
    assert "holland" in out


@pytest.fixture
def bigger_plan(plan):
    """Return the plan with more copies, so that nothing is proven best at once."""
    altered(plan, "cut = 2", "cut = 24")
    altered(plan, 'cut = "pair"', "cut = 7")
    return plan


@pytest.mark.slow
def test_demo_does_the_whole_job(run, tmp_path):
    """The costume that comes with the program is laid, its train pieced, and drawn."""
    result = run("demo", "--seconds", "3", "--out", "queen")
    assert result.exit_code == 0, result.output
    layout = read_layout(tmp_path / "here" / "queen" / "layout.json")
    assert len(layout.lays) >= 4
    assert {lay.status for lay in layout.lays} <= {"found", "proven best"}
    assert sum(len(lay.placements) for lay in layout.lays) >= 45
    # The train is wider than its silk and has to be joined; whether joining the side too saves
    # enough, so short a search finds on one day and not on another.
    joined = {joining.piece for joining in layout.joinings}
    assert {"over-train"} <= joined <= {"over-train", "over-train side"}
    assert (tmp_path / "here" / "queen" / "train.png").exists()


def test_units_for_files_that_do_not_say(plan, run):
    """A DXF without units is refused, and read once --units says them."""
    import ezdxf  # noqa: PLC0415

    document = ezdxf.new("R2010", units=0)
    block = document.blocks.new("panel")
    block.add_lwpolyline([(0, 0), (20, 0), (20, 30), (0, 30)], close=True)
    document.modelspace().add_blockref("panel", (0, 0))
    document.saveas(plan.parent / "panel.dxf")
    altered(plan, 'file = "pieces.svg"', 'file = "panel.dxf"')
    result = run("check", plan)
    assert result.exit_code == 1
    assert "--units" in one_line(result)
    result = run("check", plan, "--units", "cm")
    assert result.exit_code == 0
    assert "30.0 cm" in result.stdout


@pytest.mark.parametrize("name", ["lay", "compare"])
def test_a_folder_whose_name_none_can_have_is_refused_at_once(name, run, plan, tmp_path):
    """Longer than file systems allow: one line, before anything is solved."""
    result = run(name, plan, "--seconds", "600", "--out", tmp_path / ("é" * 200))
    assert result.exit_code == 1
    assert "no folder can have that name" in result.output
    assert "choose another folder with --out" in " ".join(result.output.split())


def test_no_folder_ends_in_a_dot_or_a_blank(plan, run, tmp_path):
    """A folder named after such a plan has a name that every system keeps as it is."""
    named = plan.rename(plan.with_name("apron. .toml"))
    assert run("lay", named, "--seconds", "0.3", "--quiet").exit_code == 0
    assert [path.name for path in (tmp_path / "here").iterdir()] == ["yardage-apron"]
