"""Cloth on the fold, grain and counts: stories by closed form, from plan files to checked lays."""

import json
from math import sqrt
from pathlib import Path

import pytest
from nesting_cli.main import app
from typer.testing import CliRunner

from nesting.readers.layout import read_layout
from nesting.readers.plan import read_plan
from nesting.verify.check import check_layout

HERE = Path(__file__).parent
SECONDS = 4


@pytest.fixture(scope="module")
def laid(tmp_path_factory):
    """Return a function that runs ``yardage lay`` on a story once: its lay and its summary."""
    done = {}

    def run(story):
        if story not in done:
            out = tmp_path_factory.mktemp(story) / "out"
            words = ["lay", str(HERE / f"{story}.toml"), "--seconds", str(SECONDS), "--json"]
            result = CliRunner().invoke(app, [*words, "--quiet", "--out", str(out)])
            assert result.exit_code == 0, result.stderr
            layout = read_layout(out / "layout.json")
            assert json.loads(result.stdout)["schema"] == "yardage-layout/1"
            assert check_layout(read_plan(HERE / f"{story}.toml"), layout) == ()
            done[story] = (layout.lays[0], (out / "summary.txt").read_text("utf-8"))
        return done[story]

    return run


def test_a_pair_on_the_bias_lies_on_opposite_diagonals(laid):
    """30 x 40 at 45 degrees spans (30 + 40) / sqrt 2 = 49.5 both ways; two lie side by side."""
    lay, _ = laid("bias")
    assert lay.status == "proven best"
    assert lay.length == pytest.approx(700 / sqrt(2), abs=0.1)
    first, second = (p.turned % 180.0 for p in lay.placements)
    assert {first, second} == {45.0, 135.0}


def test_three_of_one_breadth_take_twice_as_much_folded(laid):
    """45 x 50 on 140: three side by side, 50; folded 70 wide, one row double and one single."""
    lay, summary = laid("odd_count_folded")
    assert (lay.fold, lay.length) == ("lengthwise", pytest.approx(1000, abs=0.1))
    assert lay.folding.end == pytest.approx(500, abs=0.1)
    assert sorted(p.layers for p in lay.placements) == [1, 2]
    assert "3 pieces in all, cut from 2 outlines" in summary
    assert lay.without["the fold"] == pytest.approx(500, abs=0.1)


def test_the_best_fold_may_be_none(laid):
    """Of open 50 and folded 100 the shorter is taken, both are told, and why."""
    lay, _ = laid("odd_count")
    assert (lay.fold, lay.status) == ("open", "proven best")
    assert lay.length == pytest.approx(500, abs=0.1)
    said = " ".join(lay.remarks)
    assert "open 50.0 cm, folded lengthwise 100.0 cm" in said
    assert "of breadth an odd copy would lie single behind the fold" in said


def test_five_outlines_are_nine_cut_pieces(laid):
    """Fronts, two kinds of sleeve and two collars double; the back a half on the fold."""
    lay, summary = laid("counts")
    assert len(lay.placements) == 5
    assert sum(p.cuts for p in lay.placements) == 9
    assert [p.piece for p in lay.placements if p.on_fold] == ["back"]
    for line in (
        "front:        1 right, 1 left",
        "back:         1 whole",
        "upper-sleeve: 1 right, 1 left",
        "under-sleeve: 1 right, 1 left",
        "collar:       2 whole",
        "9 pieces in all, cut from 5 outlines",
    ):
        assert line in summary


def test_shrinkage_along_and_across(laid):
    """5.40 m at 7 per cent is 540 / 0.93 = 580.6, sold as 5.90 m; 150 at 3 per cent leaves 142.5.

    The dimensional change of ISO 5077; two panels of 71.5 no longer lie side by side.
    """
    lay, summary = laid("shrinkage")
    assert lay.usable_width == pytest.approx(1425)
    assert (lay.length, lay.status) == (pytest.approx(5400, abs=0.1), "proven best")
    assert lay.buy.length == pytest.approx(5900)
    assert lay.buy.made_of["shrinkage"] == pytest.approx(5400 / 0.93 - 5400)
    assert "5.90 m" in summary
