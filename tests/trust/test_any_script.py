"""Names in any script come through everything that is written, and no file is named by them."""

import csv
import re
from dataclasses import replace

import html5lib
import pytest
from hypothesis import given
from hypothesis import strategies as st
from nesting_cli.results import write_results

from nesting.model.reading_order import one_form
from nesting.plot.marker import lay_stems
from nesting.readers.layout import read_layout
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.report.summary import summarise

from ..handmade import two_gores
from .gowns import DXF_NAMES, NAMES, layout_named, plan_in


@pytest.fixture(scope="module")
def results(tmp_path_factory):
    """Return the folder of results of a lay whose pieces have names in any script."""
    folder = tmp_path_factory.mktemp("r\u00e9sultats d'essai") / "f\u00fcr mich"
    layout = layout_named([one_form(name) for name in NAMES])
    write_results(folder, layout, summarise(None, layout))
    return folder


def test_names_of_a_plan_are_those_of_its_pattern_file(tmp_path):
    """In any script a piece is found by its name, which then is in the one form."""
    plan = read_plan(plan_in(tmp_path))
    assert [piece.name for piece in plan.pieces] == [one_form(name) for name in NAMES]
    assert [piece.pattern.name for piece in plan.pieces] == [one_form(name) for name in NAMES]


def test_names_come_back_from_the_layout_file(results):
    """``layout.json`` is UTF-8 and holds the names as they are, without marks of direction."""
    layout = read_layout(results / "layout.json")
    assert [one.piece for one in layout.lays[0].placements] == [one_form(name) for name in NAMES]


def test_names_come_back_from_dxf_and_tables(results):
    """Files for machines hold the names as they are."""
    (dxf,), (table,) = results.glob("lay-*.dxf"), results.glob("chalk-*.csv")
    pieces = read_pattern(dxf).pieces
    assert all(name in piece.name for name, piece in zip(DXF_NAMES, pieces, strict=True))
    rows = csv.DictReader(table.read_text("utf-8").splitlines())
    assert {row["piece"].split(", ")[0] for row in rows} == {one_form(name) for name in NAMES}


@pytest.mark.parametrize("name", ["summary.txt", "cutting-list.txt"])
def test_every_name_stands_in_the_words(name, results):
    """The words tell of every piece by its name; lines end as said, on every system."""
    content = (results / name).read_bytes()
    assert b"\r" not in content
    text = content.decode("utf-8")
    assert [one for one in NAMES if one_form(one) not in text] == []


def test_the_page_keeps_figures_in_their_place(results):
    """A browser reads every name on the page, marked off from the figures after it."""
    page = html5lib.parse((results / "report.html").read_bytes(), namespaceHTMLElements=False)
    text = " ".join(page.itertext())
    assert [name for name in NAMES if one_form(name) not in text] == []
    for name in NAMES[3:5]:
        around = re.findall(f"(.?){name}(.?)", text)
        assert set(around) == {("\N{LEFT-TO-RIGHT MARK}",) * 2}


# Names of files


PORTS = {f"{port}{n}" for port in ("com", "lpt") for n in range(10)}
RESERVED = {"con", "prn", "aux", "nul", *PORTS}
"""Names no file may have on Windows, with any ending (its rules for naming files)."""
ODD = ["CON", "nul", "aux.", "a:b*c?d<e>f|g", "dot. ", "..", "\u7d79", "Con", "a/b", "x" * 300]


@given(st.lists(st.one_of(st.text(min_size=1), st.sampled_from(ODD)), min_size=1, max_size=5))
def test_files_named_after_cloths(names):
    """No two are one where case or accents do not count, and each may stand on every system."""
    _, layout = two_gores()
    (lay,) = layout.lays
    named = replace(layout, lays=tuple(replace(lay, cloth=name) for name in names))
    stems = [stem for _, stem in lay_stems(named)]
    assert len({stem.casefold() for stem in stems}) == len(names)
    for stem in stems:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*-?", stem)
        assert len(f"marker-{stem}.png".encode()) < 100
        assert f"marker-{stem}" not in RESERVED


def test_no_file_has_a_name_another_system_refuses(results):
    """Whatever cloths and pieces are called, the files can be copied to any system."""
    for path in results.iterdir():
        assert re.fullmatch(r"[a-z0-9][a-z0-9.-]*[a-z0-9]", path.name)
        assert path.name.split(".")[0] not in RESERVED
