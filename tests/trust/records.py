"""The rows of the recorded runs, and where they are kept; rows are only added."""

import platform
import subprocess
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from ..benchmarks import records

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Fuzz:
    """Spoiled files tried on one reader (fuzz.csv); ``longest`` is the slowest one, in seconds."""

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


records.FILES[Fuzz] = "fuzz.csv"


def read(kind):
    """Return the rows of one kind."""
    return records.read(kind, FOLDER)


def append(rows):
    """Add rows of one kind."""
    records.append(rows, FOLDER)


def here():
    """Return Python, version and the last commit, with which rows are measured."""
    done = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], cwd=FOLDER, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    return platform.python_version(), metadata.version("yardage"), done.stdout.strip() or "unknown"
