"""``yardage draw``: saved layouts, by the ending of each file."""

import json

import pytest

from .conftest import one_line


@pytest.fixture
def layout(plan, run, tmp_path):
    """Return the path of a layout of the apron."""
    assert run("lay", plan, "--seconds", "0.3", "--quiet", "--out", "laid").exit_code == 0
    return tmp_path / "here" / "laid" / "layout.json"


def test_draws_every_form(layout, run, tmp_path):
    """Each file is what its ending says, told by its first bytes (PNG, PDF and SVG standards)."""
    result = run("draw", layout, "--to", "a.png", "b.pdf", "c.svg")
    assert result.exit_code == 0, result.output
    here = tmp_path / "here"
    assert (here / "a.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")
    assert (here / "b.pdf").read_bytes().startswith(b"%PDF-")
    assert "<svg" in (here / "c.svg").read_text("utf-8")[:2000]


def test_draws_for_machines(layout, run, tmp_path):
    """DXF and HP-GL by their endings, and SVG at exact size when asked for."""
    result = run("draw", layout, "--to", "a.dxf", "b.plt", "c.svg", "--full-size")
    assert result.exit_code == 0, result.output
    here = tmp_path / "here"
    assert "SECTION" in (here / "a.dxf").read_text("ascii")[:100]
    assert (here / "b.plt").read_bytes().startswith(b"IN;")
    assert 'mm"' in (here / "c.svg").read_text("utf-8")[:300]


def test_draws_single_pieces(layout, run, tmp_path):
    """One of each piece, or only the named one."""
    assert run("draw", layout, "--to", "all.svg", "--pieces").exit_code == 0
    assert run("draw", layout, "--to", "one.svg", "--piece", "gusset").exit_code == 0
    everything, one = (
        (tmp_path / "here" / name).read_text("utf-8") for name in ("all.svg", "one.svg")
    )
    assert (everything.count("<g "), one.count("<g ")) == (2, 1)
    assert "panel" not in one


def test_draws_all_that_lay_writes_in_words(layout, run, tmp_path):
    """Report page, cutting list and chalk coordinates come from the saved layout as from `lay`."""
    laid, here = layout.parent, tmp_path / "here"
    assert run("draw", layout, "--to", "list.txt", "chalk.csv", "page.html").exit_code == 0
    assert run("draw", layout, "--to", "list.pdf", "--cutting-list").exit_code == 0
    assert run("draw", layout, "--to", "chalk.txt", "--chalk").exit_code == 0
    (table,) = laid.glob("chalk-*.csv")
    (sheet,) = laid.glob("chalk-*.txt")
    for drawn, first in (
        ("list.txt", "cutting-list.txt"), ("list.pdf", "cutting-list.pdf"),
        ("chalk.csv", table.name), ("chalk.txt", sheet.name),
    ):  # fmt: skip
        assert (here / drawn).read_bytes() == (laid / first).read_bytes(), drawn
    assert "<!doctype html>" in (here / "page.html").read_text("utf-8")[:200].lower()


def test_the_plan_adds_what_a_layout_does_not_carry(layout, plan, run, tmp_path):
    """With the plan the page is the one that `lay` wrote; another plan is refused."""
    assert run("draw", layout, "--to", "page.html", "--plan", plan).exit_code == 0
    again, first = (tmp_path / "here" / "page.html"), layout.parent / "report.html"
    assert again.read_text("utf-8") == first.read_text("utf-8")
    text = plan.read_text("utf-8")
    other = plan.with_name("other.toml")
    name = json.loads(layout.read_text("utf-8"))["lays"][0]["cloth"]
    other.write_text(text.replace(name, "quite another"), "utf-8")
    result = run("draw", layout, "--to", "p.html", "--plan", other)
    assert result.exit_code == 1
    assert f"no cloth '{name}'" in one_line(result)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("m.png", "--chalk"), "chalk coordinates cannot be written to such a file"),
        (("m.csv", "--cutting-list"), "end the name in pdf or txt"),
        (("m.txt", "--cutting-list", "--chalk"), "not both"),
    ],
)
def test_words_go_into_files_of_words(arguments, said, layout, run, tmp_path):
    """What cannot be is said in one line, and nothing is written."""
    result = run("draw", layout, "--to", *arguments)
    assert result.exit_code == 1
    assert said in one_line(result)
    assert not list((tmp_path / "here").glob("m.*"))


@pytest.mark.parametrize(
    ("arguments", "said"),
    [(("--cloth", "silk"), "no cloth 'silk'"), (("--piece", "sleeve"), "no piece 'sleeve'")],
)
def test_what_is_not_there_is_said(arguments, said, layout, run, tmp_path):
    """One line names what there is instead, and nothing is written."""
    result = run("draw", layout, "--to", "m.dxf", *arguments)
    assert result.exit_code == 1
    assert said in one_line(result)
    assert not (tmp_path / "here" / "m.dxf").exists()


@pytest.mark.parametrize(
    ("name", "said"),
    [("m.bmp", ".bmp"), ("m", "ending")],
)
def test_other_endings_are_refused_by_name(name, said, layout, run, tmp_path):
    """What is not known is said, and nothing at all is drawn."""
    result = run("draw", layout, "--to", "first.png", "--to", name)
    assert result.exit_code == 1
    assert said in one_line(result)
    assert not (tmp_path / "here" / "first.png").exists()


def test_not_a_layout(run, tmp_path):
    """A file that is no layout is refused with one line."""
    path = tmp_path / "x.json"
    path.write_text(json.dumps({"schema": "something else"}), encoding="utf-8")
    result = run("draw", path, "--to", "m.png")
    assert result.exit_code == 1
    assert "x.json" in one_line(result)


def test_letters_no_font_has_are_told_once_whichever_file_comes_last(layout, run, monkeypatch):
    """A drawing before a list in words shows boxes all the same; a list alone shows none."""
    monkeypatch.setattr("nesting.plot.fonts.letters_without_font", lambda _words: "\u7d79")
    told = run("draw", layout, "--to", "marker.svg", "list.txt")
    assert told.output.count("no font on this computer has") == 1
    silent = run("draw", layout, "--to", "list.txt")
    assert "no font" not in silent.output
