"""The README stays true: its commands, options, plan, session, links and picture."""

import re
import shlex
import shutil
from pathlib import Path

import pytest
import typer
from nesting_cli.main import app
from typer.testing import CliRunner

from nesting import read_plan
from nesting.readers.plan_schema import (
    BreadthsTable,
    ClothTable,
    LayerTable,
    PieceTable,
    PlanTable,
    TrimTable,
)
from nesting.report.summary import WIDTH

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
COMMANDS = typer.main.get_command(app).commands
NOT_BUILT: set[str] = set()


def fenced(mark):
    """Return what stands in the fence right after an HTML comment, as ``.ci/run`` reads it."""
    found = re.findall(rf"<!-- {re.escape(mark)} -->\n```\w*\n(.*?)\n```\n", README, re.DOTALL)
    assert len(found) == 1, f"{mark}: {len(found)} fences"
    return found[0]


def section(heading):
    """Return the text under a heading of the second level."""
    return README.split(f"\n## {heading}\n", 1)[1].split("\n## ", 1)[0]


def code():
    """Return everything set as code: fences without their output, then inline code."""
    blocks = re.findall(r"^```(\w*)\n(.*?)\n```$", README, re.DOTALL | re.MULTILINE)
    lines = [
        line.removeprefix("$ ")
        for kind, block in blocks
        for line in block.splitlines()
        if kind == "sh" or (kind == "console" and line.startswith("$ "))
    ]
    rest = re.sub(r"^```.*?^```$", "", README, flags=re.DOTALL | re.MULTILINE)
    return lines + re.findall(r"`([^`\n]+)`", rest)


def options(command):
    """Return the options a command takes, long and short."""
    return {name for parameter in command.params for name in parameter.opts} | {"--help", "-h"}


def calls():
    """Return every call of the program in the README, as its words."""
    parts = [part for text in code() for part in re.split(r"&&|\|", text)]
    found = [shlex.split(part) for part in parts if re.match(r"\s*(\S*/)?yardage\s+\S", part)]
    assert len(found) > 10
    return found


@pytest.fixture
def plan(tmp_path):
    """Return the README's own plan, saved beside the sample pieces as it says."""
    shutil.copytree(ROOT / "sample_pieces" / "pieces", tmp_path / "pieces")
    path = tmp_path / "rain_cape.toml"
    path.write_text(fenced("plan: rain_cape.toml"), encoding="utf-8")
    return path


def test_two_commands_do_everything():
    """One line each: one ends in the demonstration, the other installs the tests and runs them."""
    demo, test = fenced("command: demo"), fenced("command: test")
    for line in (demo, test):
        assert "\n" not in line
        assert line.startswith("python3 -m venv .venv && ")
    # Both alike, so that one may follow the other in the same environment.
    assert re.search(r"pip install --editable \. && .*yardage demo ", demo)
    assert re.search(r'pip install --editable "\.\[test\]" && .*pytest$', test)


def test_every_command_and_option_is_there():
    """Each call names a command of the program, and only options that command takes."""
    top = options(typer.main.get_command(app)) | {"--install-completion", "--show-completion"}
    named = set()
    for _program, *words in calls():
        if words[0].startswith("-"):
            assert words[0] in top
            continue
        assert words[0] in COMMANDS
        named.add(words[0])
        given = {word.partition("=")[0] for word in words[1:] if word.startswith("-")}
        assert given <= options(COMMANDS[words[0]]), words
    assert named == set(COMMANDS)


def test_options_named_by_themselves_are_there():
    """An option named alone belongs to some command."""
    alone = {text for text in code() if re.fullmatch(r"--[a-z-]+", text)}
    assert alone
    assert alone <= set().union(*map(options, COMMANDS.values()))


def test_the_plan_is_read(plan):
    """The example is read without a fault, and shows the keys a first plan needs."""
    read = read_plan(plan)
    assert {cloth.name for cloth in read.cloths} == {"ink-blue loden", "striped sateen"}
    assert not read.notes
    assert all(piece.allowance == 15.0 for piece in read.pieces)


@pytest.mark.parametrize(
    ("table", "model"),
    [
        ("[[cloth]]", ClothTable),
        ("[[piece]]", PieceTable),
        ("[[layer]]", LayerTable),
        ("[[breadths]]", BreadthsTable),
        ("[[trim]]", TrimTable),
        ("top", PlanTable),
    ],
)
def test_every_key_of_a_plan_is_explained(table, model):
    """Each key has a row in a table or stands among what is not built yet, and no row is idle."""
    known = {field.alias or name for name, field in model.model_fields.items()}
    text = section("The plan file").split("**Not built yet.**")[0]
    if table == "top":
        rows = text.split("Each cloth is")[0]
        known -= {"cloth", "piece", "trim", "layer", "breadths"}
    else:
        rows = text.split(f"a `{table}`:")[1].split("\nEach ")[0]
    named = {
        key
        for row in re.findall(r"^\| (`.*?`) \|", rows, re.MULTILINE)
        for key in re.findall(r"`(\w+)`", row)
    }
    later = section("The plan file").split("**Not built yet.**")[1]
    unbuilt = {inline.strip("[]") for inline in re.findall(r"`([^`\n]+)`", later)}
    assert named <= known
    assert known - named <= unbuilt & NOT_BUILT


def test_the_session_of_check_is_real(plan, monkeypatch):
    """What the README shows of ``check`` is what the program prints, but for blank lines."""
    command, shown = fenced("session: check").split("\n", 1)
    printed = run_there(command, plan, monkeypatch).stdout
    assert words_of(shown) == words_of(printed)


def test_the_session_of_lay_has_what_is_printed(plan, monkeypatch):
    """A short run prints the same headings, and the same lines wherever no length is found."""
    command, shown = fenced("session: lay").split("\n", 1)
    result = run_there(re.sub(r"--seconds \d+", "--seconds 0.5", command), plan, monkeypatch)
    assert result.exit_code == 0
    assert steady(shown) == steady(result.stdout)
    assert max(map(len, shown.splitlines())) <= WIDTH + 8
    written = [path.name for path in (plan.parent / "yardage-rain_cape").iterdir()]
    assert written
    assert all(name in shown for name in written)


def run_there(command, plan, monkeypatch):
    """Run a command of the README in the plan's folder."""
    monkeypatch.chdir(plan.parent)
    program, *words = shlex.split(command.removeprefix("$ "))
    assert program == "yardage"
    return CliRunner().invoke(app, words)


def words_of(text):
    """Return the words of every line, without blank lines and the lines of a table."""
    lines = [line.split() for line in text.splitlines()]
    return [line for line in lines if line and not re.fullmatch(r"[─\-+ ]+", " ".join(line))]


def steady(text):
    """Return the lines that do not depend on how short a layout was found."""
    depends = (
        r"^(Buy|Made|Cloth used|Length|Left over|Total|  +\S|.* \d+\.\d\d$|.*: (best|done)|"
        r"preparing|written)"
    )
    return [line for line in text.splitlines() if line and not re.match(depends, line)]


def test_pictures_and_links_are_there():
    """Every file the README shows or links is in the project; the picture is small."""
    linked = re.findall(r"\]\(([^)#]+)\)", README)
    files = [ROOT / target for target in linked if "://" not in target]
    assert ROOT / "sample_pieces" / "marker.png" in files
    for path in files:
        assert path.is_file(), path
    picture = ROOT / "sample_pieces" / "marker.png"
    assert picture.read_bytes().startswith(b"\x89PNG\r\n")
    assert picture.stat().st_size < 250_000


def test_the_exit_codes_are_those_of_the_help():
    """The README's table and the program's help name the same codes."""
    table = re.findall(r"^\| (\d+) \|", section("Commands and exit codes"), re.MULTILINE)
    said = CliRunner().invoke(app, ["--help"]).stdout.split("Exit codes:")[1].split(".")[0]
    assert table == re.findall(r"\b\d+\b", said)
