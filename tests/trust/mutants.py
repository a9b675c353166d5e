"""Mutants of the checker and the rules: ``python -m tests.trust.mutants --package verify``.

mutmut changes one thing in one function of the package, again and again, and runs the tests that
cover the function; a mutant that no test notices has survived. Rows are added to mutants.csv and
survivors.csv, and MUTANTS.md is written anew from all of them. ``--share 0.3 --seed 1`` tries a
sample; ``--dry`` records nothing, and lists the survivors; ``--only '*piecing*'`` tries those
whose names match. Needs the extra ``mutation``.
"""

import argparse
import json
import shutil
import subprocess
import sys
import tempfile
import time
from math import sqrt
from pathlib import Path

from ..benchmarks.machine import ROOT, date
from ..benchmarks.tables import cell, table
from .fuzz import say
from .records import FOLDER, Mutants, Survivor, append, here, read


def run(package, share, seed, only):
    """Let mutmut try mutants in a process of its own; return their number and each tried."""
    # Other files stay, since compiled kernels lie beside them; mutmut renews what has changed.
    for stale in (f"nesting/{package}", "tests"):
        shutil.rmtree(ROOT / "mutants" / stale, ignore_errors=True)
    (ROOT / "mutants" / "mutmut-stats.json").unlink(missing_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "tried.json"
        subprocess.run(
            [sys.executable, "-P", str(FOLDER / "mutant_run.py"), package, str(share), str(seed),
             str(out), *only],
            cwd=ROOT, check=True,
        )  # fmt: skip
        done = json.loads(out.read_text(encoding="utf-8"))
    return done["made"], done["tried"]


def between(good, tried):
    """Return the 95 % interval of a share, in per cent, seen in a sample.

    Wilson, "Probable inference, the law of succession, and statistical inference", Journal of
    the American Statistical Association 22 (1927).
    """
    z, p = 1.959964, good / tried
    middle = (p + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z / (1 + z * z / tried) * sqrt(p * (1 - p) / tried + z * z / (4 * tried * tried))
    return 100.0 * (middle - half), 100.0 * (middle + half)


def rows(package, seed, made, tried, seconds):
    """Return the row of a run and those of its survivors."""
    ends = [one["status"] for one in tried]
    killed, slow, bare = (ends.count(end) for end in ("killed", "timeout", "no tests"))
    low, high = between(killed, len(tried)) if len(tried) < made else (None, None)
    now = date()
    row = Mutants(
        package, made, len(tried), killed, len(tried) - killed - slow, bare, slow,
        100.0 * killed / len(tried), low, high, seed, seconds, *here(), now,
    )  # fmt: skip
    survivors = [
        Survivor(
            package, now, one["file"], one["line"], one["status"], one["before"], one["after"]
        )
        for one in sorted(tried, key=lambda one: (one["file"], one["line"], one["after"]))
        if one["status"] != "killed"
    ]
    return row, survivors


def written(runs, survivors):
    """Return MUTANTS.md."""
    heads = ("package", "mutants", "tried", "killed", "survived", "of these untested", "timed out",
             "killed %", "95 % interval", "seed", "seconds", "commit", "date")  # fmt: skip
    body = [
        (row.package, *map(str, (row.made, row.tried, row.killed, row.survived, row.untested)),
         str(row.timed_out), cell(row.share, 1),
         "-" if row.low is None else f"{row.low:.1f} to {row.high:.1f}",
         str(row.seed), cell(row.seconds, 0), row.commit, row.date)
        for row in runs
    ]  # fmt: skip
    newest = {row.package: row.date for row in runs}
    lists = []
    for package, when in sorted(newest.items()):
        lists += [f"## Survivors of the newest run of nesting/{package}", ""]
        lists += [
            f"- `{one.file}:{one.line}` {'' if one.status == 'survived' else one.status + ': '}"
            f"`` {one.before} `` became `` {one.after} ``"
            for one in survivors
            if (one.package, one.date) == (package, when)
        ]
        lists.append("")
    return (
        "# Mutants\n\nMade by `python -m tests.trust.mutants` from mutants.csv and "
        "survivors.csv; rows are only added. One thing is changed in one function, and the "
        "quickest tests that cover the function are run, twelve seconds of them at most (four in "
        "the first run). *Killed*: a test fails; *survived*: none does, mutants that are the "
        "same program in other words included; *timed out*: stopped after several times the "
        "tests' own time, and not counted as killed. The interval is Wilson's, where only a "
        "sample was tried. No file, function or kind of change is left out beyond what mutmut "
        "never changes: decorated functions, statements outside functions, annotations, calls "
        "of `len` and `isinstance`, documentation, and the text of formatted strings.\n\n"
        f"{table(heads, body)}\n\n" + "\n".join(lists)
    )


def refuse_edited():
    """Refuse to record what is measured on code that no commit holds."""
    edited = subprocess.run(
        ["git", "status", "--porcelain", "--", "nesting", "tests", "pyproject.toml"], cwd=ROOT,
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    if edited:
        sys.exit(f"what is recorded is measured on a commit; commit first, or --dry:\n{edited}")


def main():
    """Try mutants, record what became of them and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--package", choices=("verify", "rules"), required=True)
    parser.add_argument("--share", type=float, default=1.0, help="of the mutants, drawn by seed")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", action="append", default=[], help="pattern of names; with --dry")
    parser.add_argument("--dry", action="store_true", help="record nothing, list the survivors")
    asked = parser.parse_args()
    if asked.only and not asked.dry:
        parser.error("--only needs --dry: a part chosen by hand is no sample")
    if not asked.dry:
        refuse_edited()
    began = time.perf_counter()
    made, tried = run(asked.package, asked.share, asked.seed, asked.only)
    row, survivors = rows(asked.package, asked.seed, made, tried, time.perf_counter() - began)
    if asked.dry:
        for one in survivors:
            say(f"{one.file}:{one.line} {one.status}\n    {one.before}\n    {one.after}")
    else:
        append([row])
        append(survivors)
        (FOLDER / "MUTANTS.md").write_text(
            written(read(Mutants), read(Survivor)), encoding="utf-8"
        )
    say(row)


if __name__ == "__main__":
    main()
