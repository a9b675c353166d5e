"""Spoiled files end in a result or in one line, quickly, whatever was done to them."""

import subprocess
import sys
import tempfile
from pathlib import Path
from xml.etree import ElementTree as ET

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputFileError, YardageError
from nesting.readers.outline import clean_outline
from nesting.readers.pattern import read_pattern

from ..benchmarks.machine import ROOT
from . import spoil
from .fuzz import READERS, written
from .records import Fuzz, read


@pytest.mark.parametrize("kind", READERS)
def test_what_is_spoiled_was_right(kind, tmp_path):
    """Every file that is spoiled is read without complaint before that."""
    (tmp_path / "pieces.svg").write_text(spoil.SVG, encoding="utf-8")
    for text in spoil.right_files(kind):
        path = tmp_path / f"right.{kind}"
        path.write_text(text, encoding="utf-8")
        READERS[kind](path)


@pytest.mark.parametrize("kind", READERS)
@settings(max_examples=60, deadline=5000, suppress_health_check=list(HealthCheck))
@given(chance=st.randoms())
def test_spoiled_files(kind, chance):
    """Altered at the joints of its format a file is read, or refused in one line naming it."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "pieces.svg").write_text(spoil.SVG, encoding="utf-8")
        path = folder / f"spoiled.{kind}"
        path.write_bytes(spoil.spoiled(kind, chance))
        try:
            READERS[kind](path)
        except YardageError as error:
            assert "\n" not in str(error)  # noqa: PT017 - both ends are right
            assert str(error).startswith(name)  # noqa: PT017
        assert {one.name for one in folder.iterdir()} == {"pieces.svg", path.name}


def dry_run(command, *words, faults):
    """Return what a recorded run prints that records nothing, in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", f"tests.trust.{command}", *words, "--dry", "--faults", faults],
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip


def test_the_recorded_run_can_be_repeated(tmp_path):
    """A few files by the one command, in a process that hears what is opened and fetched."""
    said = dry_run("fuzz", "--inputs", "20", "--readers", "svg", "--here", faults=tmp_path)
    assert "inputs=20" in said
    assert "crashed=0, slow=0, touched=0" in said


def test_the_guided_run_can_be_repeated(tmp_path):
    """A few files led by what they reach, where atheris is installed; the count is kept."""
    pytest.importorskip("atheris", reason="the extra `guided` is not installed")
    said = dry_run("guided", "--inputs", "100", "--reader", "svg", faults=tmp_path)
    assert "inputs=100," in said
    assert "crashed=0, slow=0, touched=0" in said


def test_the_table_is_made_from_the_rows():
    """FUZZ.md is what the rows of fuzz.csv give, so no figure in it was typed."""
    table = Path(__file__).parent / "FUZZ.md"
    assert table.read_text("utf-8") == written(read(Fuzz))


@pytest.mark.parametrize(
    "body",
    [
        '<!DOCTYPE svg [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]><svg>&b;</svg>',
        '<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hostname">]><svg><text>&a;</text></svg>',
        '<!DOCTYPE svg [<!ENTITY % a SYSTEM "http://127.0.0.1:9/a">%a;]><svg/>',
    ],
)
def test_entities_are_refused(body, tmp_path):
    """Neither an entity that grows nor one that fetches is expanded."""
    path = tmp_path / "page.svg"
    path.write_text(body, encoding="utf-8")
    with pytest.raises(InputFileError, match="declares XML entities"):
        read_pattern(path)


def test_nothing_outside_the_page_is_fetched(tmp_path):
    """References to other files and hosts open nothing: only the page itself is ever opened."""
    far = "http://127.0.0.1:9/far.svg#patch"
    (tmp_path / "near.svg").write_text(spoil.SVG, encoding="utf-8")
    root = ET.fromstring(spoil.SVG)  # noqa: S314 - our own text
    for name, target in (("use", far), ("use", "near.svg#patch"), ("image", "near.svg")):
        ET.SubElement(
            root, f"{{http://www.w3.org/2000/svg}}{name}",
            {"{http://www.w3.org/1999/xlink}href": target},
        )  # fmt: skip
    page = tmp_path / "page.svg"
    text = ET.tostring(root, encoding="unicode")
    page.write_text(f'<?xml-stylesheet href="{far}"?>{text}', encoding="utf-8")
    code = (
        "import sys\nfrom pathlib import Path\nfrom nesting.readers.pattern import read_pattern\n"
        "heard = []\n"
        "def hear(event, a):\n"
        "    if event == 'open' and str(a[0]).endswith('.svg') or event.startswith('socket'):\n"
        "        heard.append(str(a[0]))\n"
        "sys.addaudithook(hear)\n"
        "try:\n    read_pattern(Path(sys.argv[1]))\n"
        "except ValueError as error:\n    print(error)\n"
        "print(sorted(set(heard)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(page)], cwd=ROOT, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == str([str(page)])


def test_many_points_and_many_hairs_take_no_time():
    """Tens of thousands of points in a line, or of hairs on it, are dropped: not by the square."""
    count = 30_000
    line = np.column_stack([np.linspace(0, 1e4, count), np.zeros(count)])
    ends = np.array([[1e4, 100.0], [0.0, 100.0]])
    assert len(clean_outline(np.vstack([line, ends]), file="a.svg", item="a").ring) == 4
    comb = np.repeat(line[::3], 3, axis=0)
    comb[1::3, 1] = -5.0
    clean = clean_outline(np.vstack([comb, ends]), file="a.svg", item="a")
    assert len(clean.ring) == 4
    assert len(clean.repairs) == count // 3


def test_a_curve_of_kilometres_is_refused_at_once(tmp_path):
    """A slip in a radius is told as such before it becomes a million chords."""
    path = tmp_path / "page.svg"
    path.write_text(spoil.SVG.replace('ry="6"', 'ry="2147483648"'), encoding="utf-8")
    with pytest.raises(YardageError, match="too large"):
        read_pattern(path)


@pytest.mark.parametrize(
    ("old", "new"),
    [("rotate(3)", "rotate(٣)"), ("M 0 0 H 200", "M 0 0 H ٢00"), ('ry="6"', 'ry="٦"')],
)
def test_digits_of_other_scripts_are_no_numbers(old, new, tmp_path):
    """SVG 1.1, section 4.2: a number is of the digits 0 to 9; others are refused, not guessed."""
    path = tmp_path / "page.svg"
    assert old in spoil.SVG
    path.write_text(spoil.SVG.replace(old, new), encoding="utf-8")
    with pytest.raises(YardageError):
        read_pattern(path)


@pytest.mark.parametrize(
    "inner", ["scale(1e300)", "translate(1e300 0)", "matrix(1 0 0 1e300 0 0)"]
)
def test_transforms_that_multiply_beyond_all_bounds_are_refused(inner, tmp_path):
    """Found by the guided run: groups in groups whose scales overflow together, without a word."""
    path = tmp_path / "page.svg"
    nested = f'<g transform="scale(1e200)"><g transform="{inner}"><g id="panel"'
    text = spoil.SVG.replace('<g id="panel"', nested, 1).replace("</g>", "</g></g></g>", 1)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(YardageError, match="beyond all bounds"):
        read_pattern(path)


@pytest.mark.parametrize("angle", ["1e308", "-1e400", "skewed"])
def test_a_turn_beyond_all_bounds_is_refused(angle, tmp_path):
    """An angle too large to be one is told, and does not end the program."""
    path = tmp_path / "page.svg"
    path.write_text(spoil.SVG.replace("rotate(3)", f"rotate({angle})"), encoding="utf-8")
    with pytest.raises(YardageError, match="transform"):
        read_pattern(path)
