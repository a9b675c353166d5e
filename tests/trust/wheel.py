"""What a built wheel holds: every module and data file of the packages, and nothing else.

``python -m tests.trust.wheel FILE.whl`` says what is missing or too much, and ends with 1 then.
"""

import subprocess
import sys
import zipfile
from pathlib import PurePosixPath

from ..benchmarks.machine import ROOT

PLACES = {"nesting": "nesting", "cli": "nesting_cli", "sample_pieces": "nesting_cli/sample_pieces"}
"""Folders of the project, and where their files lie in the wheel."""
DATA = {".html", ".css", ".js", ".toml", ".svg", ".dxf", ".typed"}
"""Endings of the files that the packages read besides their modules."""


def expected(tracked):
    """Return where every module and data file lies in a wheel, of the project's tracked files."""
    found = set()
    for name in map(PurePosixPath, tracked):
        place = PLACES.get(name.parts[0])
        if place is not None and name.suffix in {".py", *DATA}:
            found.add(f"{place}/{PurePosixPath(*name.parts[1:])}")
    return found


def faults(held, tracked):
    """Return what a wheel lacks and what it should not hold, in words."""
    own = {name for name in held if ".dist-info/" not in name}
    right = expected(tracked)
    return [f"{name} is missing" for name in sorted(right - own)] + [
        f"{name} is too much" for name in sorted(own - right)
    ]


def main():
    """Compare one wheel with what the project tracks."""
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    with zipfile.ZipFile(sys.argv[1]) as wheel:
        found = faults(wheel.namelist(), listed.stdout.splitlines())
    sys.stdout.write("\n".join(found or ["the wheel holds the packages and nothing else"]) + "\n")
    raise SystemExit(bool(found))


if __name__ == "__main__":
    main()
