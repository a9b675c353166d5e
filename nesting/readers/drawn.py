"""What a drawing holds before anyone has said which line is what: paths, points and texts."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ..errors import one_line
from ..geometry.rings import FloatArray, Point
from ..model.pattern import NoteKind, ReadNote


class DrawnPath(NamedTuple):
    """A path as drawn.

    ``points`` has shape (n, 2), millimetres, y up; a closed path does not repeat its first
    point. ``layer`` is the drawing's own word for what it is, ``entity`` how an error names
    it; paths of one ``shape`` were drawn as one thing.
    """

    points: FloatArray
    closed: bool
    layer: str
    entity: str
    shape: int = 0


class DrawnPoint(NamedTuple):
    """A single point as drawn, with the measures a notch may carry, in millimetres.

    ``angle`` is in degrees counter-clockwise from +x, None where the drawing is silent.
    """

    at: Point
    layer: str
    entity: str
    depth: float = 0.0
    width: float = 0.0
    angle: float | None = None


class DrawnText(NamedTuple):
    """A text as drawn; ``at`` in millimetres."""

    at: Point
    text: str
    layer: str


@dataclass(slots=True)
class Drawing:
    """Everything drawn on one sheet or in one block, in the order it was drawn."""

    paths: list[DrawnPath] = field(default_factory=list)
    points: list[DrawnPoint] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)

    def extend(self, other: Drawing) -> None:
        """Add all of another drawing to this one."""
        self.paths.extend(other.paths)
        self.points.extend(other.points)
        self.texts.extend(other.texts)


class Notes:
    """Gathers what a reader has to say about one file; the same thing is said once only."""

    def __init__(self, file: str) -> None:
        self.file = file
        self._counts: dict[ReadNote, int] = {}

    def add(self, kind: NoteKind, item: str, text: str) -> None:
        """Note one thing; ``text`` is a plain sentence without a full stop."""
        note = ReadNote(kind, self.file, item, one_line(text))
        self._counts[note] = self._counts.get(note, 0) + 1

    def unread(self, item: str, text: str) -> None:
        """Note something that was passed over."""
        self.add("unread", item, text)

    def as_tuple(self) -> tuple[ReadNote, ...]:
        """Return the notes in order; a note made n > 1 times says so."""
        return tuple(
            note
            if count == 1
            else ReadNote(note.kind, note.file, note.item, f"{note.text} ({count} times)")
            for note, count in self._counts.items()
        )


def sharpest_turn(points: FloatArray) -> tuple[float, float]:
    """Return the greatest turn between two chords of a path, and how long those are together.

    Degrees and the unit of the points, shape (n, 2); zero for fewer than two chords.
    """
    steps = np.diff(points, axis=0)
    if len(steps) < 2:
        return 0.0, 0.0
    first, second = steps[:-1], steps[1:]
    cross = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    turns = np.abs(np.arctan2(cross, (first * second).sum(axis=1)))
    at = int(turns.argmax())
    return math.degrees(turns[at]), float(np.hypot(*first[at]) + np.hypot(*second[at]))


def join_chains(paths: Iterable[DrawnPath], within: float) -> list[DrawnPath]:
    """Join open paths that meet end to end, and close those that come round to their start.

    Ends at most ``within`` (mm) apart are one corner: the end of the path already joined is
    kept. Where several ends meet, the nearest wins. Closed paths pass through unchanged; the
    layer and the entity are those of a chain's first path.
    """
    paths = tuple(paths)
    done = [path for path in paths if path.closed]
    loose = [path for path in paths if not path.closed]
    ends = _LooseEnds(loose, within)
    for index, path in enumerate(loose):
        if not ends.waiting[index]:
            continue
        points = ends.chain_from(index)
        closed = _meets_itself(points, within)
        done.append(path._replace(points=points[:-1] if closed else points, closed=closed))
    return done


class _LooseEnds:
    """The open paths still to be joined, and where they end."""

    def __init__(self, paths: Sequence[DrawnPath], within: float) -> None:
        self.paths = paths
        self.within = within
        self.waiting = np.ones(len(paths), dtype=bool)
        both = [(path.points[0], path.points[-1]) for path in paths]
        self.ends = np.array(both, dtype=np.float64).reshape(-1, 2, 2)

    def chain_from(self, index: int) -> FloatArray:
        """Take a path and all that joins on to it, first at its end, then at its start."""
        self.waiting[index] = False
        parts = deque([self.paths[index].points])
        while not self._closes(parts) and (found := self._nearest(parts[-1][-1])):
            other, way = found
            points = self.paths[other].points
            parts.append(points[1:] if way == 0 else points[-2::-1])
        while not self._closes(parts) and (found := self._nearest(parts[0][0])):
            other, way = found
            points = self.paths[other].points
            parts.appendleft(points[:0:-1] if way == 0 else points[:-1])
        return np.vstack(parts)

    def _closes(self, parts: deque[FloatArray]) -> bool:
        enough = sum(len(part) for part in parts) >= 4
        return enough and bool(np.hypot(*(parts[-1][-1] - parts[0][0])) <= self.within)

    def _nearest(self, place: FloatArray) -> tuple[int, int] | None:
        """Take out the waiting path that ends nearest to a place: which, and with which end."""
        away = np.hypot(*np.moveaxis(self.ends - place, 2, 0))
        away[~self.waiting] = np.inf
        if not away.size or not away.min() <= self.within:
            return None
        other, way = divmod(int(np.argmin(away)), 2)
        self.waiting[other] = False
        return other, way


def _meets_itself(points: FloatArray, within: float) -> bool:
    return len(points) >= 4 and bool(np.hypot(*(points[-1] - points[0])) <= within)
