"""The same on every Python and with the lowest releases allowed: quick tests, and one plan laid.

``python -m tests.trust.pythons`` makes an environment for each Python 3.11 or later that is found
(and with ``--lowest`` one of Python 3.11 with the lowest releases), installs the project, and adds
a row to pythons.csv for each. ``--here`` takes the environment it runs in, as it is.
"""

import argparse
import hashlib
import re
import shutil
import subprocess
import sys
import tempfile
from dataclasses import replace
from importlib import metadata
from pathlib import Path

from ..benchmarks.machine import ROOT, date
from ..benchmarks.tables import table
from .records import Pythons, here, record

PARTS = (
    "tests/readers", "tests/verify", "tests/report", "tests/test_units.py",
    "tests/cli/test_check.py", "tests/plot/test_fonts.py", "tests/trust/test_any_script.py",
)  # fmt: skip
MINORS = range(11, 20)
LIBRARIES = ("numpy", "numba", "ortools", "shapely", "matplotlib")
IMPORTED = {"nesting": "nesting", "command": "nesting_cli.main", "lay_plan": "nesting.planning"}
"""What is imported for its time: the package, the command line, the whole solver."""


def found():
    """Return every Python 3.11 or later on the path, the oldest first."""
    return [path for minor in MINORS if (path := shutil.which(f"python3.{minor}"))]


def install(python, folder, *, lowest):
    """Make an environment of a Python in a folder, with the project and its tests, editable."""
    subprocess.run([python, "-m", "venv", folder], check=True)
    own = Path(folder) / "bin" / "python"
    words = [own, "-m", "pip", "install", "--quiet"]
    if lowest:
        subprocess.run([*words, "uv"], check=True)
        words = [own, "-m", "uv", "pip", "install", "--python", own, "--quiet"]
        words += ["--resolution", "lowest-direct"]
    subprocess.run([*words, "--editable", f"{ROOT}[test]"], check=True)
    return own


def tested():
    """Return how many of the quick tests passed, failed and were skipped."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *PARTS],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    last = done.stdout.strip().splitlines()[-1]
    counts = {word: int(n) for n, word in re.findall(r"(\d+) (\w+)", last)}
    if not counts.get("passed") or counts.get("failed"):
        sys.stderr.write(done.stdout[-3000:])
    return counts.get("passed", 0), counts.get("failed", 0) + counts.get("errors", 0)


def laid():
    """Return the mark of a layout: one plan, one seed, one worker, a number of steps."""
    from nesting.model.stop import Stop  # noqa: PLC0415 - only in the environment that is tried
    from nesting.planning import lay_plan  # noqa: PLC0415
    from nesting.readers.plan import read_plan  # noqa: PLC0415
    from nesting.report.layout_file import layout_json  # noqa: PLC0415

    from .gowns import plan_in  # noqa: PLC0415

    with tempfile.TemporaryDirectory() as folder:
        plan = read_plan(plan_in(Path(folder), ("front", "back", "sleeve", "cuff", "collar")))
    layout = lay_plan(plan, stop=Stop(iterations=200), seed=1, workers=1)
    plain = replace(layout, solver=replace(layout.solver, seconds=0.0))
    return hashlib.sha256(layout_json(plain).encode()).hexdigest()[:12]


def import_seconds(module):
    """Return the least of three times that a fresh Python takes to import a module."""
    times = []
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, "-X", "importtime", "-c", f"import {module}"],
            capture_output=True, text=True, check=True, cwd=ROOT,
        )  # fmt: skip
        tops = re.findall(r"\| +(\d+) \| (\S+)$", done.stderr, flags=re.MULTILINE)
        times.append(sum(int(us) for us, name in tops if name == module) / 1e6)
    return round(min(times), 3)


def measured(releases):
    """Return the row of the environment this runs in."""
    mark = laid()
    passed, failed = tested()
    seconds = {f"import_{name}": import_seconds(module) for name, module in IMPORTED.items()}
    python, version, commit = here()
    with_ = " ".join(f"{name} {metadata.version(name)}" for name in LIBRARIES)
    return Pythons(
        releases, with_, passed, failed, mark, **seconds, python=python, version=version,
        commit=commit, date=date(),
    )  # fmt: skip


def written(rows):
    """Return PYTHONS.md."""
    heads = (
        "Python", "releases", "with", "passed", "failed", "layout", "import nesting s",
        "the command s", "the solver s", "commit", "date",
    )  # fmt: skip
    body = [
        (row.python, row.releases, row.libraries, str(row.passed), str(row.failed), row.layout,
         f"{row.import_nesting:.3f}", f"{row.import_command:.3f}", f"{row.import_lay_plan:.3f}",
         row.commit, row.date)
        for row in rows
    ]  # fmt: skip
    return (
        "# Every Python, and the lowest releases\n\nMade by `python -m tests.trust.pythons` from "
        "pythons.csv; rows are only added. *Passed*, *failed*: the quick parts of the suite. "
        "*Layout*: a mark of the layout file of one plan, one seed, one worker and 200 steps; "
        "the same mark, the same file. Times are those of `python -X importtime`, the least of "
        "three, on a machine that had other work too.\n\n"
        f"{table(heads, body)}\n"
    )


def main():
    """Try each Python, or the environment here, and record it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--lowest", action="store_true", help="the lowest releases, Python 3.11")
    parser.add_argument("--pythons", nargs="*", help="Pythons to try, rather than those found")
    parser.add_argument("--here", action="store_true", help="this environment, as it is")
    asked = parser.parse_args()
    releases = "lowest" if asked.lowest else "newest"
    if asked.here:
        record([measured(releases)], "PYTHONS.md", written)
        return
    chosen = asked.pythons or (found()[:1] if asked.lowest else found())
    for python in chosen:
        with tempfile.TemporaryDirectory() as folder:
            own = install(python, folder, lowest=asked.lowest)
            words = ["-m", "tests.trust.pythons", "--here", *(["--lowest"] * asked.lowest)]
            subprocess.run([own, *words], cwd=ROOT, check=True)


if __name__ == "__main__":
    main()
