"""Spoiled files led by what they reach: ``python -m tests.trust.guided --reader svg``.

A file that reaches code of a reader that none before it reached is kept and altered again, at the
joints of its format (spoil.py) or byte by byte, so that it gets past one test after another. What
becomes of each is judged as in fuzz.py, and a row is added to fuzz.csv. Needs the extra ``guided``
(atheris, for Linux).
"""

import argparse
import os
import random
import sys
import tempfile
import time
from pathlib import Path

import atheris

from .records import GUIDED, record

with atheris.instrument_imports(include=["nesting.readers", "svgelements", "ezdxf", "tomllib"]):
    from . import fuzz, spoil

STEADY = (
    "-timeout=3600",
    "-rss_limit_mb=0",
    "-malloc_limit_mb=0",
    "-max_len=200000",
    "-verbosity=0",
)
"""What libFuzzer must not judge: time and memory are judged here, alike in both runs."""


class Guided:
    """One guided run on one reader."""

    def __init__(self, kind, inputs, faults, folder):
        self.kind, self.inputs, self.faults, self.folder = kind, inputs, faults, folder
        self.tried = fuzz.Tried()
        self.seen = set()
        self.count = 0
        self.finish = None

    def one(self, content):
        """Judge one file; end the run after the last."""
        if self.count == 0:
            fuzz.watched()  # only now, since libFuzzer sets its own signals first
        if self.count == self.inputs:
            self.finish()
        self.count += 1
        fault = self.tried.one(self.kind, content, self.folder)
        if fault and fault[:60] not in self.seen:  # the same fault is met again and again
            self.seen.add(fault[:60])
            self.faults.mkdir(parents=True, exist_ok=True)
            name = f"{self.kind}-guided-{self.count}.{self.kind}"
            (self.faults / name).write_bytes(content)
            fuzz.say(f"{name}: {fault}"[:300])

    def altered(self, content, most, seed):
        """Return a file altered once more: at a joint of its format, or anywhere."""
        chance = random.Random(seed)  # noqa: S311 - it has to repeat itself
        if chance.random() < 0.3:
            return atheris.Mutate(content, most)
        text = content.decode("utf-8", "replace")
        if chance.random() < 0.4:
            text = chance.choice(spoil.right_files(self.kind))
        for _ in range(chance.choice((1, 1, 2, 4))):
            text = spoil.altered(self.kind, text, chance)
        return text.encode("utf-8", "replace")[:most]


def run(kind, inputs, seed, faults, dry):
    """Try a number of files on one reader and record the row; never returns."""
    with tempfile.TemporaryDirectory() as name:
        folder, corpus = Path(name) / "read", Path(name) / "corpus"
        folder.mkdir()
        corpus.mkdir()
        (folder / "pieces.svg").write_text(spoil.SVG, encoding="utf-8")
        for number, text in enumerate(spoil.right_files(kind)):
            (corpus / str(number)).write_text(text, encoding="utf-8")
        guided = Guided(kind, inputs, faults, folder)
        began = time.perf_counter()

        def finish():
            measured = fuzz.row(kind, seed, guided.tried, began, GUIDED)
            fuzz.say(measured)
            if not dry:
                record([measured], "FUZZ.md", fuzz.written)
            os._exit(0)  # libFuzzer has no way back

        guided.finish = finish
        words = [sys.argv[0], f"-seed={seed + 1}", *STEADY, str(corpus)]
        atheris.Setup(words, guided.one, custom_mutator=guided.altered)
        atheris.Fuzz()


def main():
    """Try one reader."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--reader", choices=fuzz.READERS, required=True)
    parser.add_argument("--inputs", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--faults", type=Path, default=Path(tempfile.gettempdir()) / "faults")
    parser.add_argument("--dry", action="store_true", help="record nothing")
    asked = parser.parse_args()
    run(asked.reader, asked.inputs, asked.seed, asked.faults, asked.dry)


if __name__ == "__main__":
    main()
