"""A garment small enough to lay in a moment, and two ways to run the command."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from nesting_cli.main import app
from typer.testing import CliRunner

PIECES = """\
<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="400mm" viewBox="0 0 500 400">
  <g id="panel"><path d="M 0 0 H 200 V 300 H 0 Z"/>
    <line class="grain" x1="100" y1="250" x2="100" y2="50"/></g>
  <g id="gusset"><path d="M 250 0 H 350 L 300 120 Z"/>
    <line class="grain" x1="300" y1="100" x2="300" y2="10"/></g>
</svg>
"""

PLAN = """\
title = "Apron"
units = "cm"

[[cloth]]
name = "holland"
width = 90
selvage = 1
price = 9.5
price_per = "m"
step = "10 cm"

[[piece]]
name = "panel"
file = "pieces.svg"
cloth = "holland"
cut = "pair"

[[piece]]
name = "gusset"
file = "pieces.svg"
cloth = "holland"
cut = 2
"""


@pytest.fixture
def plan(tmp_path):
    """Return a plan file of four pieces on one cloth, its pattern beside it."""
    (tmp_path / "pieces.svg").write_text(PIECES, encoding="utf-8")
    path = tmp_path / "apron.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


@pytest.fixture
def instance(tmp_path):
    """Return a benchmark instance whose shortest strip is known: four squares of 3 on width 6."""
    square = [[0, 0], [3, 0], [3, 3], [0, 3]]
    data = {"name": "squares", "width": 6, "items": [{"quantity": 4, "outline": square}]}
    path = tmp_path / "squares.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


@pytest.fixture
def run(monkeypatch, tmp_path):
    """Return a function that runs the command in this process, in an empty folder."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.delenv("YARDAGE_TRACEBACK", raising=False)
    runner = CliRunner()

    def call(*arguments):
        return runner.invoke(app, [str(argument) for argument in arguments])

    return call


@pytest.fixture
def command(tmp_path):
    """Return a function that starts the installed command as a process of its own."""
    program = Path(sys.executable).with_name("yardage")
    if not program.exists():
        pytest.skip("the yardage command is not installed beside this Python")

    def start(*arguments, **environment):
        return subprocess.Popen(
            [program, *map(str, arguments)],
            cwd=tmp_path,
            env={**os.environ, "COLUMNS": "100", **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    return start


def one_line(result):
    """Return standard error, having made sure that it is one line and no traceback."""
    assert result.stderr.count("\n") == 1, result.stderr
    assert result.stderr.startswith("yardage: ")
    assert "Traceback" not in result.stderr
    return result.stderr
