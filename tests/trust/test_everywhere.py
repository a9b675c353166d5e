"""The same answer everywhere: whatever the system, its language, and the maker's own script."""

import ast
import locale
import os
import re
import subprocess
import sys
import unicodedata
from functools import cache
from inspect import isclass
from pathlib import Path

import pytest
from pydantic import BaseModel

from nesting.drawings import DrawingOptions, write_drawing
from nesting.errors import InputFileError
from nesting.model.resume import fingerprint
from nesting.readers import plan_schema
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.report.layout_file import layout_json
from nesting.report.summary import summarise

from ..benchmarks.machine import ROOT
from ..handmade import two_gores
from . import pythons, spoil
from .fuzz import READERS
from .gowns import NAMES, plan_in
from .records import Pythons, read

# Files, as systems and programs differ in saving them


@pytest.mark.parametrize("kind", READERS)
@pytest.mark.parametrize(
    "saved",
    [
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.replace("\n", "\r").encode(),
        lambda text: b"\xef\xbb\xbf" + text.encode(),
    ],
    ids=["CR LF", "CR", "byte-order mark"],
)
def test_line_ends_and_marks_change_nothing(kind, saved, tmp_path):
    """A file says the same however its lines end, and with a byte-order mark before it."""
    (tmp_path / "pieces.svg").write_bytes(spoil.SVG.encode())
    path = tmp_path / f"right.{kind}"
    for text in spoil.right_files(kind):
        path.write_bytes(text.encode())
        before = READERS[kind](path)
        path.write_bytes(saved(text))
        after = READERS[kind](path)
        assert fingerprint(after) == fingerprint(before)
        assert getattr(after, "notes", ()) == getattr(before, "notes", ())


@pytest.mark.parametrize("form", ["NFC", "NFD"])
def test_names_in_both_forms_of_an_accent(form, tmp_path):
    """A plan typed on one system finds folders, files and pieces named on another."""
    other = {"NFC": "NFD", "NFD": "NFC"}[form]
    names = [unicodedata.normalize(form, name) for name in ("\u00c4rmel", "cr\u00eape")]
    folder = tmp_path / unicodedata.normalize(form, "Gr\u00f6\u00dfe und Ma\u00df")
    file = unicodedata.normalize(form, "St\u00fccke \u00e9.svg")
    path = plan_in(folder, names, file)
    text = unicodedata.normalize(other, path.read_text("utf-8"))
    path.write_bytes(text.encode())
    plan = read_plan(path)
    assert [piece.name for piece in plan.pieces] == ["\u00c4rmel", "cr\u00eape"]


def test_a_path_with_backslashes(tmp_path):
    """A plan written where folders are parted by backslashes is read everywhere."""
    (tmp_path / "my pieces").mkdir()
    path = plan_in(tmp_path, ("front",), "my pieces/a.svg", "my pieces\\a.svg")
    assert read_plan(path).pieces[0].name == "front"


def test_a_backslash_does_not_lead_out_unsaid(tmp_path):
    """What leads out of the plan's folder is refused unless it is said, in either spelling."""
    path = plan_in(tmp_path / "in", ("front",), "a.svg", "sub\\..\\..\\a.svg")
    (tmp_path / "in" / "sub").mkdir()
    (tmp_path / "a.svg").write_bytes((tmp_path / "in" / "a.svg").read_bytes())
    with pytest.raises(ValueError, match="leads out"):
        read_plan(path)


def test_two_names_that_are_one_in_any_form(tmp_path):
    """Two pieces whose names differ only in how an accent is kept are two of one name."""
    with pytest.raises(ValueError, match="two pieces of the file have this name"):
        read_pattern(plan_in(tmp_path, ("\u00c4", "A\u0308")).with_name("pieces.svg"))


# Decimal commas

LENGTHS = """
title = "commas"
units = "cm"
[[cloth]]
name = "silk"
width = "112§5 cm"
widths = ["140§25 cm"]
selvage = "1§5 cm"
end_trim = "3§5 cm"
gap = "2§5 mm"
step = "10§5 cm"
repeat = { along = "32§5 cm", across = "16§5 cm", offset = ["1§5 cm", "2§5 cm"] }
[[cloth]]
name = "folded"
width = "90§5 cm"
fold = "partial"
fold_depth = "30§5 cm"
length = "4§25 m"
[[cloth]]
name = "scraps"
panels = [ { length = "98§5 cm", width = "70§5 cm" } ]
flaws = [
  { along = ["0§5 cm", "2§5 cm"], across = ["0§5 cm", "1§5 cm"], panel = 1 },
  { outline = [["5§5 cm", "0§5 cm"], ["7§5 cm", "0§5 cm"], ["6§5 cm", "2§5 cm"]], panel = 1 },
]
[[cloth]]
name = "border print"
width = "90§5 cm"
[[piece]]
name = "a"
file = "pieces.svg"
cloth = "silk"
allowance = "1§5 cm"
points = { bust = ["5§5 cm", "10§5 cm"] }
motif = { point = "bust", on = ["1§5 cm", "2§5 cm"] }
edges = { hem = { from = ["0 cm", "20§0 cm"], to = ["10§0 cm", "20§0 cm"], allowance = "4§5 cm" } }
[[piece]]
name = "b"
file = "pieces.svg"
cloth = "folded"
[[piece]]
name = "c"
file = "pieces.svg"
cloth = "scraps"
[[piece]]
name = "d"
file = "pieces.svg"
cloth = "border print"
edges = { side = { from = ["36§0 cm", "0§0 cm"], to = ["36§0 cm", "20§0 cm"] } }
border = { edge = "side", selvage = "near", distance = "2§5 cm" }
[[piece]]
name = "e"
file = "pieces.svg"
cloth = "folded"
edges = { foot = { from = ["48§0 cm", "20§0 cm"], to = ["58§0 cm", "20§0 cm"] } }
piecing = { within = "5§5 cm", of = "foot", allowance = "1§25 cm", worth = "2§5 cm" }
[[piece]]
name = "f"
file = "pieces.svg"
cloth = "folded"
piecing = { below = [["60§5 cm", "9§5 cm"], ["70§5 cm", "9§5 cm"]] }
[[piece]]
name = "g"
file = "pieces.svg"
cloth = "folded"
piecing = { zones = [[
  ["72§5 cm", "1§5 cm"], ["81§5 cm", "1§5 cm"], ["77§5 cm", "9§5 cm"],
]], line = [["77§5 cm", "0§5 cm"], ["77§5 cm", "19§5 cm"]] }
[[breadths]]
name = "petticoat"
cloth = "border print"
round = "180§5 cm"
length = "60§5 cm"
hem = "4§5 cm"
top = "1§5 cm"
seam = "1§25 cm"
[[trim]]
name = "bone"
length = ["20§5 cm", "30§25 cm"]
less = "0§5 cm"
turn_back = "0§25 cm"
joins = 1
overlap = "1§5 cm"
step = "25§5 cm"
"""
"""Every key that takes a length, § for the decimal mark."""


def test_every_length_of_a_plan_takes_a_decimal_comma(tmp_path):
    """A plan written with commas is the plan written with points, key by key."""
    path = plan_in(tmp_path, tuple("abcdefg"))
    plans = []
    for mark in ",.":
        path.write_bytes(LENGTHS.replace("§", mark).encode())
        plans.append(fingerprint(read_plan(path)))
    assert plans[0] == plans[1]


def test_every_length_stands_in_that_plan():
    """Each key of a plan that takes a length is among them, so that a new one is tried too."""
    taken = {
        field.alias or name
        for table in vars(plan_schema).values()
        if isclass(table) and issubclass(table, BaseModel)
        for name, field in table.model_fields.items()
        if "_length" in f"{field.metadata}{field.annotation}"
    }
    assert len(taken) >= 30
    assert taken <= set(re.findall(r"(\w+) = ", LENGTHS))


# Languages and terminals


def comma_locale():
    """Return a language of this machine that writes a decimal comma, or None."""
    before = locale.setlocale(locale.LC_ALL)
    try:
        for name in ("de_DE.UTF-8", "fr_FR.UTF-8", "es_ES.UTF-8", "pl_PL.UTF-8", "German_Germany"):
            try:
                locale.setlocale(locale.LC_ALL, name)
            except locale.Error:
                continue
            if locale.localeconv()["decimal_point"] == ",":
                return name
    finally:
        locale.setlocale(locale.LC_ALL, before)
    return None


def drawn(folder):
    """Return the bytes of a layout in every form for machines and words, and the layout again."""
    _, layout = two_gores()
    found = [layout_json(layout), summarise(None, layout)]
    for ending in ("dxf", "plt", "svg", "csv", "txt"):
        path = folder / f"a.{ending}"
        write_drawing(layout, path, DrawingOptions(full_size=ending == "svg"))
        found.append(path.read_bytes())
    plan = read_plan(plan_in(folder, ("a",)))
    dxf = read_pattern(folder / "a.dxf")
    return [*found, fingerprint(plan), fingerprint(dxf)]


def test_a_language_with_decimal_commas_changes_nothing(tmp_path):
    """Where a program around it sets such a language, files are read and written the same."""
    name = comma_locale()
    if name is None:
        pytest.skip("no language with a decimal comma is installed on this machine")
    plain = drawn(tmp_path)
    before = locale.setlocale(locale.LC_ALL)
    try:
        locale.setlocale(locale.LC_ALL, name)
        assert drawn(tmp_path) == plain
    finally:
        locale.setlocale(locale.LC_ALL, before)


BARE = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}


TERMINALS = [
    ({**BARE, "PYTHONIOENCODING": "cp1252:strict"}, "gown.toml", 0),
    ({**BARE, "PYTHONIOENCODING": "ascii:strict"}, "Gr\u00f6\u00dfe.toml", 1),
]


def test_poor_terminals(tmp_path):
    """Tables and errors are shown with what letters the terminal has; nothing ends in a fault."""
    plan = plan_in(tmp_path / "Ma\u00df", file="St\u00fccke.svg", title=NAMES[0])
    plain = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG"))}
    code = "from nesting_cli.main import run; run()"
    running = [
        subprocess.Popen(
            [sys.executable, "-c", code, "check", plan.with_name(name)],
            env={**plain, **settings}, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )
        for settings, name, _ in TERMINALS
    ]  # fmt: skip
    for process, (_, _, expected) in zip(running, TERMINALS, strict=True):
        out, told = process.communicate(timeout=120)
        assert process.returncode == expected, told
        if expected:
            assert told.count(b"\n") == 1
            assert b"there is no such file" in told
        else:
            assert not told
            assert out.count(b"20.0 cm") == len(NAMES)


def test_a_file_whose_name_no_text_can_hold(tmp_path):
    """A name of bytes that are no text is shown with marks in their place, and a title still."""
    plan = plan_in(tmp_path, ("front",))
    odd = os.fsdecode(os.fsencode(tmp_path) + b"/gow\xff.toml")
    try:
        Path(odd).write_bytes(plan.read_bytes().replace(b'title = "Gown"', b""))
    except (OSError, UnicodeEncodeError):
        pytest.skip("this system has no such names")
    read = read_plan(Path(odd))
    assert read.title == "gow\N{REPLACEMENT CHARACTER}"
    with pytest.raises(InputFileError) as caught:
        read_plan(Path(odd).with_suffix(".none"))
    assert str(caught.value).isprintable()


def test_the_table_of_pythons_is_made_from_the_rows():
    """PYTHONS.md is what the rows of pythons.csv give, so no figure in it was typed."""
    table = Path(__file__).parent / "PYTHONS.md"
    assert table.read_text("utf-8") == pythons.written(read(Pythons))


def test_every_python_laid_the_same():
    """On the newest releases one plan gave one and the same file on every Python of a commit."""
    marks = {}
    for row in read(Pythons):
        if row.releases == "newest":
            marks.setdefault(row.commit, set()).add(row.layout)
    assert all(len(found) == 1 for found in marks.values())


# What other systems lack

LACKING = {
    "fork", "forkpty", "kill", "killpg", "setsid", "setpgid", "nice", "sync", "O_DIRECTORY",
    "getuid", "geteuid", "uname", "sched_getaffinity", "fchmod", "chown", "mkfifo", "SIGKILL",
    "SIGALRM", "SIGHUP", "SIGUSR1", "SIGUSR2", "setitimer", "alarm", "pause", "tzset",
}  # fmt: skip
"""Names of the modules os, signal and time that Python documents as not there on Windows."""
UNIX = {"fcntl", "resource", "pwd", "grp", "termios", "tty", "pty", "posix", "syslog"}
"""Modules that are not there on Windows."""


@cache
def used():
    """Return (file, of what, name) of all that the modules of the two packages use."""
    return frozenset(
        (path.name, owner, name)
        for folder in ("nesting", "cli")
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        for owner, name in _named(node)
    )


def _named(node):
    if isinstance(node, ast.Attribute):
        yield node.value.id if isinstance(node.value, ast.Name) else "", node.attr
    elif isinstance(node, ast.Import | ast.ImportFrom):
        for name in [getattr(node, "module", None) or "", *(one.name for one in node.names)]:
            yield "import", name.split(".")[0]


def test_nothing_is_used_that_another_system_lacks():
    """Neither calls nor modules of one kind of system only, nor what depends on its language."""
    for file, owner, name in used():
        assert owner not in {"os", "signal", "time"} or name not in LACKING, file
        assert owner != "import" or name not in UNIX | {"locale"}, file
        assert name not in {"strftime", "atof", "setlocale"}, file


def test_files_are_written_as_bytes():
    """So that their line ends and their encoding are those the code says, on every system."""
    assert {file for file, _, name in used() if name == "write_text"} == set()
