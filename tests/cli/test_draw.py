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


@pytest.mark.parametrize(
    ("name", "said"),
    [("m.dxf", "not built yet"), ("m.plt", "not built yet"), ("m.bmp", ".bmp"), ("m", "ending")],
)
def test_other_endings_are_refused_by_name(name, said, layout, run, tmp_path):
    """What is not built, or not known, is said, and nothing at all is drawn."""
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
