"""The raw results: one dataclass for the rows of each CSV file, and reading and appending them.

Rows are only ever added. A figure that was not measured, or not reached, is an empty cell.
"""

import csv
import types
import typing
from dataclasses import asdict, dataclass, fields
from pathlib import Path

FOLDER = Path(__file__).parent

SEARCH, FILL = "search", "bottom-left"
"""Methods: the engine, and the plain bottom-left fill of the same code as a baseline."""


@dataclass(frozen=True)
class Run:
    """One layout of an instance (results.csv).

    ``seconds`` are those asked for, ``spent`` those taken, ``cpu_seconds`` the processor time
    that was had for them; ``density`` is in per cent; ``checked`` is "accepted" or "refused" by
    the independent check at the instance's own outlines; ``commit`` is the last one that touched
    the code that makes layouts.
    """

    method: str
    instance: str
    seed: int
    workers: int
    seconds: float
    spent: float
    cpu_seconds: float
    length: float
    density: float
    checked: str
    iterations: int
    stop: str
    cpu: str
    cores: int
    python: str
    numba: str
    version: str
    commit: str
    date: str

    @property
    def key(self):
        """What makes a row the same measurement, so that it is not made again."""
        seconds = 0.0 if self.method == FILL else self.seconds
        return (self.method, self.commit, self.instance, self.seed, seconds, self.workers)


@dataclass(frozen=True)
class Point:
    """One improvement during a run (history.csv): the density reached after ``time`` seconds."""

    commit: str
    instance: str
    seed: int
    workers: int
    seconds: float
    time: float
    density: float


@dataclass(frozen=True)
class Scale:
    """One lay of drafted pieces (scale.csv).

    ``drafted`` different pieces of ``vertices`` corners, ``pieces`` copies in all; where they
    were simplified outward, ``kept`` corners are left on average, the area has grown by
    ``growth`` per cent, and the layout is ``longer`` by that many per cent than with the true
    outlines, both compacted without search (measured on small lays only). After
    ``shown`` seconds there is a layout of any kind, of boxes in rows; ``preparing`` seconds go
    to no-fit polygons and the first layout on them, ``tables`` seconds to the polygons alone;
    ``to_80`` and ``to_85`` are the seconds until that density. ``memory`` is the greatest
    resident memory of the whole process in MB.
    """

    pieces: int
    drafted: int
    vertices: int
    simplified: str
    kept: float
    growth: float
    longer: float | None
    seed: int
    workers: int
    seconds: float
    tables: float
    shown: float
    preparing: float | None
    to_80: float | None
    to_85: float | None
    density: float
    sweeps_per_second: float | None
    evaluations_per_second: float
    memory: float
    checked: str
    cpu: str
    cores: int
    python: str
    numba: str
    version: str
    commit: str
    date: str

    @property
    def key(self):
        """What makes a row the same measurement, so that it is not made again."""
        return (
            self.commit, self.pieces, self.drafted, self.vertices, self.simplified,
            self.seed, self.workers, self.seconds,
        )  # fmt: skip


@dataclass(frozen=True)
class Start:
    """One start of the engine in a new process (start.csv); all figures in seconds.

    ``libraries`` imports numpy, numba and the linear solver alone, ``imported`` the engine after
    them; ``compile`` fills an empty cache of kernels; ``first_lay`` and ``second_lay`` lay six
    small pieces with the kernels in the cache, and again once they are loaded.
    """

    libraries: float
    imported: float
    compile: float
    first_lay: float
    second_lay: float
    cpu: str
    cores: int
    python: str
    numba: str
    version: str
    commit: str
    date: str


FILES = {Run: "results.csv", Point: "history.csv", Scale: "scale.csv", Start: "start.csv"}


def read(kind, folder=FOLDER):
    """Return the rows of one kind, in the order in which they were measured."""
    path = folder / FILES[kind]
    if not path.exists():
        return []
    with path.open(newline="", encoding="utf-8") as stream:
        table = csv.DictReader(stream)
        _refuse_other_columns(path, table.fieldnames, kind)
        types_ = typing.get_type_hints(kind)
        return [kind(**{n: _value(text, types_[n]) for n, text in row.items()}) for row in table]


def append(rows, folder=FOLDER):
    """Add rows of one kind to their file, with a header if it is new."""
    if not rows:
        return
    kind = type(rows[0])
    path = folder / FILES[kind]
    names = [field.name for field in fields(kind)]
    new = not path.exists() or path.stat().st_size == 0
    if not new:
        with path.open(newline="", encoding="utf-8") as stream:
            _refuse_other_columns(path, next(csv.reader(stream)), kind)
    with path.open("a", newline="", encoding="utf-8") as stream:
        writer = csv.DictWriter(stream, names, lineterminator="\n")
        if new:
            writer.writeheader()
        writer.writerows([asdict(row) for row in rows])


def _refuse_other_columns(path, found, kind):
    names = [field.name for field in fields(kind)]
    if list(found or []) != names:
        raise ValueError(f"{path}: has the columns {found}, not {names}")


def _value(text, kind):
    if isinstance(kind, types.UnionType):
        if text == "":
            return None
        kind = typing.get_args(kind)[0]
    return kind(text)
