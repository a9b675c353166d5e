"""Whatever is wrong ends in one line and the exit code of the contract, with nothing written."""

import pytest

from nesting import planning
from nesting.errors import CheckRefusedError

from .conftest import one_line


def altered(plan, old, new):
    """Rewrite a plan in place, making sure that something changed."""
    text = plan.read_text("utf-8")
    assert old in text
    plan.write_text(text.replace(old, new, 1), encoding="utf-8")
    return plan


BAD_PLANS = {
    "unknown key": ("selvage = 1", "selvedge = 1", "selvedge"),
    "negative width": ("width = 90", "width = -90", "width"),
    "nonsense length": ("width = 90", 'width = "ninety"', "ninety"),
    "zero count": ("cut = 2", "cut = 0", "gusset"),
    "unknown cloth": ('cloth = "holland"\ncut = 2', 'cloth = "linen"\ncut = 2', "linen"),
    "no such piece": ('name = "gusset"', 'name = "godet"', "godet"),
    "no such file": ('file = "pieces.svg"', 'file = "peices.svg"', "peices.svg"),
    "duplicate name": ('name = "gusset"', 'name = "panel"', "panel"),
    "not built yet": ("selvage = 1", 'fold = "lengthwise"\nrepeat = { along = 10 }', "repeat"),
    "not TOML": ("[[cloth]]", "[[cloth", "apron.toml"),
}


@pytest.mark.parametrize("command", ["lay", "check"])
@pytest.mark.parametrize("fault", BAD_PLANS)
def test_bad_plan(fault, command, plan, run, tmp_path):
    """Each fault is named on one line, exit code 1, and no file or folder appears."""
    old, new, said = BAD_PLANS[fault]
    before = sorted(tmp_path.rglob("*"))
    result = run(command, altered(plan, old, new))
    assert result.exit_code == 1
    assert said in one_line(result)
    assert not result.stdout
    assert sorted(tmp_path.rglob("*")) == before


@pytest.mark.parametrize(
    "arguments",
    [("lay", "nowhere.toml"), ("check", "nowhere.toml"), ("bench", "nowhere.xml"),
     ("draw", "nowhere.json", "--to", "marker.png")],
)  # fmt: skip
def test_missing_file(arguments, run):
    """A file that is not there is named."""
    result = run(*arguments)
    assert result.exit_code == 1
    assert "nowhere" in one_line(result)


@pytest.mark.parametrize(
    "arguments",
    [("lay",), ("lay", "--nonsense"), ("iron", "x"), ("lay", "a.toml", "--seconds", "0"),
     ("lay", "a.toml", "--seconds", "soon"), ("lay", "a.toml", "--workers", "0"),
     ("draw", "layout.json"), ("check", "a.toml", "--units", "ell")],
)  # fmt: skip
def test_wrong_usage(arguments, run):
    """Wrong usage ends with exit code 2 and nothing on standard output but help."""
    result = run(*arguments)
    assert result.exit_code == 2
    assert "Traceback" not in result.output


@pytest.mark.parametrize("command", ["lay", "check"])
def test_piece_wider_than_the_cloth(command, plan, run, tmp_path):
    """A piece too wide for its cloth: exit code 1, both widths and what would help."""
    narrow = altered(plan, "width = 90", "width = 15")
    result = run(command, narrow)
    assert result.exit_code == 1
    line = one_line(result)
    assert "20.0 cm" in line
    assert "13.0 cm" in line
    assert not list((tmp_path / "here").iterdir())


def test_refused_by_the_check(plan, run, monkeypatch, tmp_path):
    """A layout the independent check refuses: exit code 4, nothing written."""

    def refuse(*_args, **_kwargs):
        raise CheckRefusedError("two pieces overlap", file="apron.toml")

    monkeypatch.setattr(planning, "lay_plan", refuse)
    result = run("lay", plan)
    assert result.exit_code == 4
    assert "two pieces overlap" in one_line(result)
    assert not list((tmp_path / "here").iterdir())


def test_unforeseen_error(plan, run, monkeypatch):
    """A fault of the program is one line too; the traceback is shown when asked for."""

    def stumble(*_args, **_kwargs):
        raise KeyError("no such thing\nat all")

    monkeypatch.setattr(planning, "lay_plan", stumble)
    result = run("lay", plan)
    assert result.exit_code == 1
    assert "YARDAGE_TRACEBACK=1" in one_line(result)
    monkeypatch.setenv("YARDAGE_TRACEBACK", "1")
    result = run("lay", plan)
    assert result.exit_code == 1
    assert "Traceback (most recent call last)" in result.stderr
    assert "in stumble" in result.stderr


def test_interrupted_before_a_layout(plan, run, monkeypatch, tmp_path):
    """An interruption that leaves no layout: exit code 130, said so, nothing written."""

    def interrupted(*_args, **_kwargs):
        raise KeyboardInterrupt

    monkeypatch.setattr(planning, "lay_plan", interrupted)
    result = run("lay", plan)
    assert result.exit_code == 130
    assert "nothing was written" in one_line(result)
    assert not list((tmp_path / "here").iterdir())


def test_a_marker_that_fails_leaves_nothing_behind(plan, run, monkeypatch, tmp_path):
    """When one file cannot be written none is, and no temporary folder stays."""
    from nesting.plot import marker  # noqa: PLC0415

    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(marker, "write_markers", full)
    result = run("lay", plan, "--seconds", "0.3", "--quiet")
    assert result.exit_code == 1
    assert "No space left" in one_line(result)
    assert not list((tmp_path / "here").iterdir())


def test_results_cannot_go_into_a_file(plan, run, tmp_path):
    """A folder that is a file, or lies in one, is refused before anything is solved."""
    (tmp_path / "here" / "taken").write_text("mine", encoding="utf-8")
    result = run("lay", plan, "--out", "taken/below")
    assert result.exit_code == 1
    assert "--out" in one_line(result)
    assert (tmp_path / "here" / "taken").read_text("utf-8") == "mine"
