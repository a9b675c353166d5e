"""The list of what a wheel must hold, against wheels made wrong."""

import subprocess
import tomllib

from ..benchmarks.machine import ROOT
from .wheel import PLACES, expected, faults

TRACKED = [
    "README.md", ".ci/run", "nesting/py.typed", "nesting/units.py", "cli/main.py",
    "nesting/report/templates/page.css", "sample_pieces/pieces/a.dxf", "sample_pieces/marker.png",
    "tests/test_units.py",
]  # fmt: skip
RIGHT = [
    "nesting/py.typed", "nesting/units.py", "nesting_cli/main.py",
    "nesting/report/templates/page.css", "nesting_cli/sample_pieces/pieces/a.dxf",
    "yardage-1.dist-info/METADATA",
]  # fmt: skip


def test_a_right_wheel_has_no_fault():
    """Modules and data lie where they are imported from; the metadata are the builder's."""
    assert faults(RIGHT, TRACKED) == []


def test_what_is_missing_or_too_much_is_named():
    """A forgotten template, and a test that slipped in, are each told."""
    held = [*RIGHT, "tests/test_units.py"]
    held.remove("nesting/report/templates/page.css")
    assert faults(held, TRACKED) == [
        "nesting/report/templates/page.css is missing", "tests/test_units.py is too much",
    ]  # fmt: skip


def test_every_package_and_data_file_is_declared():
    """pyproject.toml names every folder with modules, and a pattern for every data file."""
    listed = subprocess.run(
        ["git", "ls-files", *PLACES], cwd=ROOT, capture_output=True, text=True, check=False
    )
    tool = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]
    data = tool["package-data"]
    for path in expected(listed.stdout.splitlines()):
        folder, _, name = path.rpartition("/")
        if name.endswith(".py"):
            assert folder.replace("/", ".") in tool["packages"]
            continue
        owner = max((p for p in data if path.startswith(p.replace(".", "/"))), key=len)
        rest = path[len(owner) + 1 :]
        assert any(rest == one or _fits(rest, one) for one in data[owner]), path


def _fits(name, pattern):
    """Tell whether a pattern such as ``pieces/*`` names a file of that folder."""
    folder, _, last = pattern.rpartition("/")
    inside = name.rpartition("/")
    return inside[0] == folder and inside[2].endswith(last.removeprefix("*"))
