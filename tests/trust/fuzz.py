"""Spoiled files by the thousand: ``python -m tests.trust.fuzz --inputs 20000``.

Every file must be read, or refused in one line by an error of the program's own, within 5 s of
processor time and 1 GB, and reading must write, fetch or start nothing. A row for each reader is
added to fuzz.csv, and FUZZ.md is written anew from all rows.
"""

import argparse
import random
import resource
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from nesting.errors import YardageError
from nesting.readers.layout import read_layout
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan

from ..benchmarks.machine import date
from ..benchmarks.tables import cell, table
from . import spoil
from .records import ALTERED, Fuzz, here, record

READERS = {
    "dxf": partial(read_pattern, units="mm"),
    "svg": read_pattern,
    "toml": read_plan,
    "json": read_layout,
}
SECONDS, MEGABYTES = 5.0, 1000.0


class TooSlowError(BaseException):
    """A file took too long; no reader can catch this by accident."""


@dataclass
class Tried:
    """What became of a number of files: the worst ones are kept for a test."""

    read: int = 0
    refused: int = 0
    crashed: int = 0
    slow: int = 0
    touched: int = 0
    longest: float = 0.0

    def one(self, kind, content, folder):
        """Read one spoiled file; return what went wrong, or nothing."""
        path = folder / f"spoiled.{kind}"
        path.write_bytes(content)
        _WATCH.clear()
        began = time.process_time()
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        fault = ""
        try:
            _WATCH.append("on")
            READERS[kind](path)
            self.read += 1
        except YardageError as error:
            self.refused += 1
            if "\n" in str(error) or not str(error).startswith(str(path.parent)):
                fault = f"its line does not begin with the file: {error}"
        except TooSlowError:
            self.slow += 1
            fault = f"took over {SECONDS:g} s"
        except Exception as error:
            self.crashed += 1
            fault = f"{type(error).__name__}: {error}"
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0.0)
        self.longest = max(self.longest, time.process_time() - began)
        touched, _WATCH[:] = _WATCH[1:], []
        if touched:
            self.touched += 1
            fault = fault or f"touched {touched[0]}"
        return fault


_WATCH: list[str] = []
"""Empty while nobody looks; what a reader did that it should not, after a first mark."""


def _hear(event, arguments):
    if not _WATCH:
        return
    if event == "open":
        mode, flags = arguments[1] or "", arguments[2] or 0
        if set(str(mode)) & set("wax+") or flags & 3:
            _WATCH.append(f"open {arguments[0]}")
    elif event in {"socket.connect", "subprocess.Popen", "os.system", "os.remove", "os.rename"}:
        _WATCH.append(f"{event} {arguments}")


def say(text):
    """Write a line at once."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def watched():
    """Begin to hear what readers do, and to end those that take too long; once per process."""

    def late(*_):
        raise TooSlowError

    sys.addaudithook(_hear)
    signal.signal(signal.SIGPROF, late)


def run(kind, inputs, seed, faults):
    """Try a number of files on one reader and return the row; faulty files are kept."""
    watched()
    tried, chance = Tried(), random.Random(seed)  # noqa: S311 - it has to repeat itself
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "pieces.svg").write_text(spoil.SVG, encoding="utf-8")
        for number in range(inputs):
            content = spoil.spoiled(kind, chance)
            fault = tried.one(kind, content, folder)
            if fault:
                faults.mkdir(parents=True, exist_ok=True)
                (faults / f"{kind}-{seed}-{number}.{kind}").write_bytes(content)
                say(f"{kind} {seed} {number}: {fault}"[:300])
    return row(kind, seed, tried, began, ALTERED)


def row(kind, seed, tried, began, method):
    """Return the row of a run that began at a time of ``time.perf_counter``."""
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    inputs = tried.read + tried.refused + tried.crashed + tried.slow
    return Fuzz(
        kind, seed, inputs, time.perf_counter() - began, tried.read, tried.refused, tried.crashed,
        tried.slow, tried.touched, tried.longest, peak, *here(), date(), method,
    )  # fmt: skip


def written(rows):
    """Return FUZZ.md."""
    heads = (
        "reader", "method", "inputs", "read", "refused", "crashed", "over 5 s",
        "wrote or fetched", "longest s", "peak MB", "inputs per s", "seed", "commit", "date",
    )  # fmt: skip
    body = [
        (row.reader, row.method,
         *map(str, (row.inputs, row.read, row.refused, row.crashed, row.slow, row.touched)),
         cell(row.longest), cell(row.peak_mb, 0),
         cell(row.inputs / row.seconds, 0), str(row.seed), row.commit, row.date)
        for row in rows
    ]  # fmt: skip
    return (
        "# Spoiled files\n\nMade by `python -m tests.trust.fuzz` from fuzz.csv; rows are only "
        "added. *Refused*: by an error of the program's own, in one line that names the file. "
        "*Altered*: right files, altered by chance. *Guided* (`python -m tests.trust.guided`): "
        "files that reached new code of the readers are kept, and altered again. *Over 5 s* and "
        "*longest* are processor time from commit 3b50523 on, before it the clock's, on a machine "
        "shared with others.\n\n"
        f"{table(heads, body)}\n"
    )


def main():
    """Try every reader in a process of its own, record it and write the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--inputs", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--readers", nargs="*", choices=READERS, default=list(READERS))
    parser.add_argument("--faults", type=Path, default=Path(tempfile.gettempdir()) / "faults")
    parser.add_argument("--here", action="store_true", help="one reader, in this process")
    parser.add_argument("--dry", action="store_true", help="record nothing")
    asked = parser.parse_args()
    if asked.here:
        measured = run(asked.readers[0], asked.inputs, asked.seed, asked.faults)
        say(measured)
        if not asked.dry:
            record([measured], "FUZZ.md", written)
        return
    for kind in asked.readers:
        words = ["--inputs", str(asked.inputs), "--seed", str(asked.seed), "--readers", kind]
        words += ["--faults", str(asked.faults), "--here", *(["--dry"] if asked.dry else [])]
        subprocess.run([sys.executable, "-m", "tests.trust.fuzz", *words], check=True)


if __name__ == "__main__":
    main()
