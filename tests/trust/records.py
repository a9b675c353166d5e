"""The rows of the recorded runs, and where they are kept; rows are only added."""

import platform
import subprocess
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from ..benchmarks import records

FOLDER = Path(__file__).parent
ALTERED, GUIDED = "altered", "guided"


@dataclass(frozen=True)
class Fuzz:
    """Spoiled files tried on one reader (fuzz.csv); ``longest`` is the slowest one, in seconds.

    ``method`` is "altered" for right files altered by chance, "guided" where what was altered is
    altered again if it reached code that nothing before had reached.
    """

    reader: str
    seed: int
    inputs: int
    seconds: float
    read: int
    refused: int
    crashed: int
    slow: int
    touched: int
    longest: float
    peak_mb: float
    python: str
    version: str
    commit: str
    date: str
    method: str = ALTERED


@dataclass(frozen=True)
class Plans:
    """Random plans laid in one run (plans.csv).

    ``laid`` passed the independent check, ``unfit`` of them say that owned cloth is too short;
    ``refused`` ended in one line of the program's own, ``unsound`` were laid but refused by the
    check, ``crashed`` ended otherwise. ``wrong`` layouts were made of those laid, and ``caught``
    of these were refused for the right reason. ``longest`` is the slowest plan, in seconds.
    """

    seed: int
    plans: int
    seconds: float
    laid: int
    unfit: int
    refused: int
    unsound: int
    crashed: int
    wrong: int
    caught: int
    longest: float
    python: str
    version: str
    commit: str
    date: str


@dataclass(frozen=True)
class Tally:
    """What a run of random plans comes to by rule, and by way of being wrong (plan_tallies.csv).

    Of a rule: plans that ask for it, and those laid. Of a way of being wrong: layouts made so,
    and those the check refused for that.
    """

    seed: int
    date: str
    sort: str
    name: str
    tried: int
    good: int


@dataclass(frozen=True)
class Mutants:
    """Mutants of one package tried in one run (mutants.csv).

    ``made`` are all there are, ``tried`` those of the sample; ``untested`` are among the
    ``survived``: no test covers their function. ``share`` is killed of tried, in per cent;
    ``low`` and ``high`` bound it for all of them, where only a sample was tried.
    """

    package: str
    made: int
    tried: int
    killed: int
    survived: int
    untested: int
    timed_out: int
    share: float
    low: float | None
    high: float | None
    seed: int
    seconds: float
    python: str
    version: str
    commit: str
    date: str


@dataclass(frozen=True)
class LongRun:
    """One search of many pieces for long (long_runs.csv): lengths in mm, memory in MB."""

    pieces: int
    seed: int
    seconds: float
    first: float
    last: float
    minimum: float
    iterations: int
    steps: int
    wrong: int
    before_mb: float
    after_mb: float
    python: str
    version: str
    commit: str
    date: str


@dataclass(frozen=True)
class Survivor:
    """One mutant of a run that was not killed (survivors.csv), and what was changed."""

    package: str
    date: str
    file: str
    line: int
    status: str
    before: str
    after: str


@dataclass(frozen=True)
class Pythons:
    """One environment tried (pythons.csv); ``layout`` marks the file of one layout, times in s."""

    releases: str
    libraries: str
    passed: int
    failed: int
    layout: str
    import_nesting: float
    import_command: float
    import_lay_plan: float
    python: str
    version: str
    commit: str
    date: str


records.FILES |= {
    Pythons: "pythons.csv",
    Fuzz: "fuzz.csv", Plans: "plans.csv", Tally: "plan_tallies.csv", LongRun: "long_runs.csv",
    Mutants: "mutants.csv", Survivor: "survivors.csv",
}  # fmt: skip


def read(kind):
    """Return the rows of one kind."""
    return records.read(kind, FOLDER)


def append(rows):
    """Add rows of one kind."""
    records.append(rows, FOLDER)


def record(rows, table, written):
    """Add rows of one kind and write their table anew from all of them."""
    append(rows)
    (FOLDER / table).write_text(written(read(type(rows[0]))), encoding="utf-8")


def here():
    """Return Python, version and the last commit, with which rows are measured."""
    done = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=FOLDER, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    return platform.python_version(), metadata.version("yardage"), done.stdout.strip() or "unknown"
