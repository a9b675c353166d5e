"""``yardage bench``: the columns of the contract, and nothing unchecked passes."""

import json

import pytest

from nesting.verify import check
from nesting.verify.findings import Finding

COLUMNS = ["instance", "seconds", "seed", "length", "density", "checked"]


def test_json_rows(instance, run):
    """Four squares of 3 on a strip of 6 need length 6, all of it covered (closed form)."""
    result = run("bench", instance, "--seconds", "1", "--seed", "7", "--json")
    assert result.exit_code == 0, result.output
    (row,) = json.loads(result.stdout)
    assert list(row) == COLUMNS
    assert row["instance"] == "squares"
    assert row["seed"] == 7
    assert row["length"] == pytest.approx(6.0)
    assert row["density"] == pytest.approx(100.0, abs=1e-3)
    assert row["checked"] is True


def test_table(instance, run):
    """The table has the same columns and a line for each file."""
    result = run("bench", instance, instance, "--seconds", "0.5", "--quiet")
    assert result.exit_code == 0
    assert [line.split() for line in result.stdout.splitlines() if "instance" in line] == [COLUMNS]
    assert result.stdout.count("squares") == 2


def test_refused_result(instance, run, monkeypatch):
    """A result the check refuses is reported as such, and the exit code is 4."""
    monkeypatch.setattr(
        check, "check_result", lambda *_a, **_k: (Finding("overlap", "two items overlap"),)
    )
    result = run("bench", instance, "--seconds", "0.5", "--json")
    assert result.exit_code == 4
    (row,) = json.loads(result.stdout)
    assert row["checked"] is False
    assert "two items overlap" in result.stderr
    assert "refused squares" in result.stderr
