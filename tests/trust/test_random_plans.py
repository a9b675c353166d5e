"""Random plans are laid soundly or refused in one line, and every wrong layout is refused."""

import random
from pathlib import Path

import pytest

from nesting.errors import InputError

from . import plans
from .plans import run, written
from .random_plans import random_plan
from .records import FOLDER, Plans, Tally, read


@pytest.mark.parametrize("first", [5])
def test_random_plans_have_no_fault(first, tmp_path):
    """Laid and accepted, or refused in one line; what is then made wrong is refused for that."""
    row, _ = run(1, 0, first, tmp_path)
    assert (row.unsound, row.crashed, row.caught) == (0, 0, row.wrong)
    assert list(tmp_path.iterdir()) == []


def test_a_plan_repeats_itself():
    """A seed and a number give one plan, so that a fault can be found again."""
    one, other = (random_plan(random.Random("3-14")) for _ in "ab")  # noqa: S311
    assert (one.toml, one.svg, one.rules) == (other.toml, other.svg, other.rules)


def test_the_run_tells_what_it_finds(tmp_path, monkeypatch, capsys):
    """A blind check, a crash, a line that names no file: each is a fault, and kept."""
    monkeypatch.setattr(plans, "check_layout", lambda *_: ())
    row, tallies = run(1, 0, 5, tmp_path / "blind")
    assert (row.laid, row.caught) == (1, 0)
    assert row.wrong == sum(one.tried for one in tallies if one.sort == "wrong") > 0
    assert {path.name for path in tmp_path.glob("blind/*/*")} == {
        "plan.toml", "pieces.svg", "fault.txt",
    }  # fmt: skip
    assert "passes as right" in capsys.readouterr().out
    with monkeypatch.context() as patch:
        patch.setattr(plans, "read_plan", lambda _: 1 / 0)
        assert run(1, 0, 5, tmp_path / "crash")[0].crashed == 1
    monkeypatch.setattr(plans, "read_plan", lambda _: (_ for _ in ()).throw(InputError("no")))
    assert run(1, 0, 5, tmp_path / "unnamed")[0].refused == 1
    assert (tmp_path / "unnamed" / "0-5" / "fault.txt").read_text("utf-8") == "no"


def test_the_tables_are_made_from_the_rows():
    """PLANS.md is what the rows give; no recorded run of this or an older version is left out."""
    table = Path(FOLDER) / "PLANS.md"
    assert table.read_text("utf-8") == written(read(Plans), read(Tally))
