"""HP-GL for pen plotters: exact size, in frames that fit the range of old machines."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from ..model.pattern import PatternPiece
from .fit import Label, extent
from .outlines import NOTCHES, Line, Role, piece_lines, word_place
from .patterns import FloatArray

UNITS_PER_MM: Final = 40
"""Plotter units to the millimetre: one is 0.025 mm (common practice of HP-GL)."""

_FRAME = 800.0  # mm along the cloth, and across it where all coordinates are positive
_WIDEST = 1600.0  # mm across where the origin lies in the middle
_CROSS = 5.0  # mm, half a register cross
_CUT_PEN, _MARKS_PEN = 1, 2
_CUT: Final[frozenset[Role]] = frozenset({"cut", "cutout", *NOTCHES.values()})
_END_OF_LABEL: Final = "\x03"
_NUMBER = 8.0  # mm, letters of the number of a frame


@dataclass(frozen=True, slots=True)
class Frame:
    """One part of a drawing: its rectangle (mm), and the place that becomes its origin."""

    number: int
    box: tuple[float, float, float, float]
    origin: tuple[float, float]


def frames_of(box: tuple[float, float, float, float]) -> tuple[Frame, ...]:
    """Return the frames that a drawing with this box (x0, y0, x1, y1, mm) is cut into.

    They are equally long and follow each other along the cloth, and at each place across it. What
    is up to 80 cm wide has its origin in the lower left corner of the frame; what is wider, up to
    1.6 m, half way across. Frames meet on the very same numbers, so that nothing is lost between.
    """
    x0, y0, x1, y1 = box
    along = max(1, math.ceil((x1 - x0) / _FRAME))
    bands = max(1, math.ceil((y1 - y0) / _WIDEST))
    xs, ys = np.linspace(x0, x1, along + 1).tolist(), np.linspace(y0, y1, bands + 1).tolist()
    height = (y1 - y0) / bands
    frames: list[Frame] = []
    for column in range(along):
        for band in range(bands):
            left, foot = xs[column], ys[band]
            rectangle = (left, foot, xs[column + 1], ys[band + 1])
            middle = foot if height <= _FRAME else foot + height / 2.0
            frames.append(Frame(len(frames) + 1, rectangle, (left, middle)))
    return tuple(frames)


def hpgl_of(pieces: Sequence[PatternPiece], cloth: Iterable[Line] = ()) -> bytes:
    """Return HP-GL that draws pieces where they stand, x along the paper, at exact size.

    Pen 1 draws cut lines, pen 2 everything else. A drawing longer than a frame follows in
    several, each on a page of its own, with register crosses in its corners and its number; every
    coordinate lies within 32767 units either way. Words are ASCII: other letters are left out,
    and the number of the piece remains.
    """
    lines = [*cloth]
    for piece in pieces:
        lines.extend(piece_lines(piece))
    points = np.vstack([path for _, path in lines])
    (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
    frames = frames_of((float(x0), float(y0), float(x1), float(y1)))
    parts = ["IN;"]
    for frame in frames:
        parts.extend(_frame(frame, len(frames), lines, pieces))
    parts.append("SP0;\n")
    return "".join(parts).encode("ascii")


def _frame(
    frame: Frame,
    count: int,
    lines: Sequence[Line],
    pieces: Sequence[PatternPiece],
) -> Iterator[str]:
    box = shapely.box(*frame.box)
    if frame.number > 1:
        yield "PG;\n"
    for pen in (_CUT_PEN, _MARKS_PEN):
        yield f"SP{pen};\n"
        for role, path in lines:
            if (role in _CUT) == (pen == _CUT_PEN):
                for part in _inside(path, box):
                    yield _stroke(part, frame)
    x0, y0, x1, y1 = frame.box
    for piece in pieces:
        label = word_place(piece, box)
        if label is not None:
            yield _label(label, frame)
    if count > 1:
        for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)):
            for cross in (((-1, 0), (1, 0)), ((0, -1), (0, 1))):
                arms = np.array([(x, y)]) + _CROSS * np.array(cross)
                yield _stroke(np.clip(arms, (x0, y0), (x1, y1)), frame)
        told = (f"frame {frame.number} of {count}",)
        yield _label(Label(x0 + 60.0, y0 + 8.0, 0.0, _NUMBER, told), frame)


def _inside(path: FloatArray, box: shapely.Polygon) -> Iterator[FloatArray]:
    """Yield what of a line lies in a frame, in stretches as long as can be."""
    line = shapely.LineString(path)
    if box.covers(line):
        yield path
        return
    found = shapely.get_parts(shapely.line_merge(shapely.intersection(line, box)))
    for part in found:
        if part.geom_type == "LineString" and part.length > 0.0:
            yield shapely.get_coordinates(part)


def _stroke(path: FloatArray, frame: Frame) -> str:
    units = np.rint((path - np.array(frame.origin)) * UNITS_PER_MM).astype(int).tolist()
    start, *rest = [f"{x},{y}" for x, y in units]
    return f"PU{start};PD{','.join(rest)};\n" if rest else ""


def _label(label: Label, frame: Frame) -> str:
    words = _plain(label.lines[0])
    if not words:
        return ""
    # SI takes centimetres; a letter with its gap is one and a half times as wide as it is.
    width = extent(label.lines, label.size)[0] / (1.5 * len(words))
    width = min(width, 0.6 * label.size)
    along = np.array([math.cos(math.radians(label.angle)), math.sin(math.radians(label.angle))])
    start = np.array([label.x, label.y]) - 0.75 * width * len(words) * along
    start -= 0.4 * label.size * np.array([-along[1], along[0]])
    kept = np.clip(start, frame.box[:2], frame.box[2:]) - np.array(frame.origin)
    place = ",".join(str(round(value * UNITS_PER_MM)) for value in kept)
    size = f"SI{width / 10:.2f},{label.size * 0.08:.2f};DI{along[0]:.4f},{along[1]:.4f};"
    return f"{size}PU{place};LB{words}{_END_OF_LABEL}\n"


def _plain(name: str) -> str:
    """Return a name in printable ASCII: accents fall off, what has no such letter is left out."""
    folded = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii")
    kept = "".join(c for c in folded if c.isprintable())
    return " ".join(kept.split())
