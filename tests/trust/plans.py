"""Random plans by the thousand: ``python -m tests.trust.plans --count 2000 --seed 0``.

Every plan is laid briefly and passes the independent check, or ends in one line of the program's
own. Every layout is then made wrong in all ways its plan allows, each of which the check must
refuse for that reason. Rows are added to plans.csv and plan_tallies.csv, and PLANS.md is written
anew from all of them. Faulty plans are kept in a folder; ``--first N --count 1`` repeats one.
"""

import argparse
import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from nesting.errors import CheckRefusedError, YardageError
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.plan import read_plan
from nesting.verify.check import check_layout

from ..benchmarks.machine import date
from ..benchmarks.tables import cell, table
from .fuzz import say
from .random_plans import random_plan
from .records import FOLDER, Plans, Tally, append, here, read
from .wrong_layouts import wrong_layouts

BRIEF = Stop(seconds=0.4, iterations=2)
"""The time is for plans of which a bound would be proven for long; most end by iterations."""

LONG = 10.0
"""Seconds above which a plan's rules are told, to be looked into."""


@dataclass
class Laid:
    """What became of a number of plans; the two counters hold (name): tried, and good of these."""

    ends: Counter = field(default_factory=Counter)
    tried: Counter = field(default_factory=Counter)
    good: Counter = field(default_factory=Counter)
    longest: float = 0.0

    def one(self, draft, folder):
        """Read, lay and spoil one plan; return its faults, a line each."""
        path = written_plan(draft, folder)
        began = time.perf_counter()
        try:
            plan = read_plan(path)
            layout = lay_plan(plan, stop=BRIEF)
        except CheckRefusedError as error:
            end, faults = "unsound", [str(error)]
        except YardageError as error:
            line = str(error)
            end, faults = "refused", [line] if "\n" in line or str(path) not in line else []
        except Exception:
            end, faults = "crashed", [traceback.format_exc()]
        else:
            end, faults = "laid", self.spoiled(plan, layout)
            self.ends["unfit"] += any(lay.status == "does not fit" for lay in layout.lays)
        spent = time.perf_counter() - began
        self.longest = max(self.longest, spent)
        if spent > LONG:
            say(f"{draft.rules} took {spent:.1f} s")
        self.ends[end] += 1
        rules = [("rule", rule) for rule in draft.rules]
        self.tried.update(rules)
        self.good.update(rules if end == "laid" else [])
        return faults

    def spoiled(self, plan, layout):
        """Make a right layout wrong in every way; return the ways that the check let pass."""
        faults = []
        for what, kinds, wrong in wrong_layouts(plan, layout):
            found = {finding.kind for finding in check_layout(plan, wrong)}
            self.tried["wrong", what] += 1
            self.good["wrong", what] += bool(found & kinds)
            if not found & kinds:
                faults.append(f"{what} passes as {sorted(found) or 'right'}")
        return faults

    def total(self, counter, sort):
        """Return the sum of a counter over one sort of names."""
        return sum(number for (one, _), number in counter.items() if one == sort)


def written_plan(draft, folder):
    """Write a plan and its pattern file into a folder; return the path of the plan."""
    path = folder / "plan.toml"
    path.write_text(draft.toml, encoding="utf-8")
    (folder / "pieces.svg").write_text(draft.svg, encoding="utf-8")
    return path


def run(count, seed, first, faults, minutes=float("inf")):
    """Try a number of plans, or as many as time allows, and return the rows.

    Faulty plans are kept.
    """
    laid, began = Laid(), time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        for number in range(first, first + count):
            if time.perf_counter() - began > 60.0 * minutes:
                break
            draft = random_plan(random.Random(f"{seed}-{number}"))  # noqa: S311 - to repeat itself
            lines = laid.one(draft, Path(name))
            if lines:
                kept = faults / f"{seed}-{number}"
                kept.mkdir(parents=True, exist_ok=True)
                written_plan(draft, kept)
                (kept / "fault.txt").write_text("\n".join(lines), encoding="utf-8")
                say(f"{seed} {number}: {lines[0].strip().splitlines()[-1]}"[:300])
    ends, now = laid.ends, date()
    count = sum(ends[end] for end in ("laid", "refused", "unsound", "crashed"))
    row = Plans(
        seed, count, time.perf_counter() - began, ends["laid"], ends["unfit"], ends["refused"],
        ends["unsound"], ends["crashed"], laid.total(laid.tried, "wrong"),
        laid.total(laid.good, "wrong"), laid.longest, *here(), now,
    )  # fmt: skip
    tallies = [
        Tally(seed, now, sort, name, tried, laid.good[sort, name])
        for (sort, name), tried in sorted(laid.tried.items())
    ]
    return row, tallies


def written(rows, tallies):
    """Return PLANS.md."""
    heads = ("seed", "plans", "laid", "of these too short", "refused", "refused by the check",
             "crashed", "wrong layouts", "caught", "longest s", "plans per s", "commit",
             "date")  # fmt: skip
    body = [
        (*map(str, (row.seed, row.plans, row.laid, row.unfit, row.refused, row.unsound)),
         *map(str, (row.crashed, row.wrong, row.caught)), cell(row.longest, 1),
         cell(row.plans / row.seconds, 1), row.commit, row.date)
        for row in rows
    ]  # fmt: skip
    tried, good = Counter(), Counter()
    for one in tallies:
        tried[one.sort, one.name] += one.tried
        good[one.sort, one.name] += one.good
    parts = {
        sort: [(name, str(tried[sort, name]), str(good[sort, name]))
               for kind, name in sorted(tried) if kind == sort]
        for sort in ("rule", "wrong")
    }  # fmt: skip
    return (
        "# Random plans\n\nMade by `python -m tests.trust.plans` from plans.csv and "
        "plan_tallies.csv; rows are only added. *Laid*: accepted by the independent check; *too "
        "short*: with cloth owned that does not suffice; *refused*: in one line of the program's "
        "own; *caught*: refused by the check for the very fault that was made.\n\n"
        f"{table(heads, body)}\n\nBy rule, over all runs:\n\n"
        f"{table(('rule', 'plans', 'laid'), parts['rule'])}\n\n"
        "Layouts made wrong in one way, over all runs:\n\n"
        f"{table(('wrong by', 'layouts', 'caught'), parts['wrong'])}\n"
    )


def main():
    """Try plans, record them and write the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--first", type=int, default=0, help="number of the first plan")
    parser.add_argument("--minutes", type=float, default=float("inf"))
    parser.add_argument("--faults", type=Path, default=Path(tempfile.gettempdir()) / "plans")
    parser.add_argument("--dry", action="store_true", help="record nothing")
    asked = parser.parse_args()
    row, tallies = run(asked.count, asked.seed, asked.first, asked.faults, asked.minutes)
    say(row)
    if not asked.dry:
        append([row])
        append(tallies)
        (FOLDER / "PLANS.md").write_text(written(read(Plans), read(Tally)), encoding="utf-8")
    sys.exit(bool(row.unsound or row.crashed or row.caught < row.wrong))


if __name__ == "__main__":
    main()
