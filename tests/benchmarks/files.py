"""Where the open benchmark files are; tests that need one skip where it is absent."""

import os
from pathlib import Path

import pytest

FOLDER = Path(
    os.environ.get("YARDAGE_BENCHMARKS", Path(__file__).parents[3] / "shared" / "benchmarks")
)


def open_file(name):
    """Return the path of an ESICUP file, or skip the calling test."""
    path = FOLDER / f"{name}.xml"
    if not path.exists():
        pytest.skip(f"the open benchmark file {name}.xml is not here (YARDAGE_BENCHMARKS)")
    return path
