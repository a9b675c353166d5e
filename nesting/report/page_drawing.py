"""One lay as shapes for the report page: numbers and words already set, nothing left to decide.

The drawing is in millimetres with y downwards, so the near selvage lies at the bottom, as she
stands at the table.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import shapely

from ..model.facing import side_up
from ..model.layout import Lay, Placement
from ..units import MM_PER, length_text, tape_unit, whole_text
from .cutting_words import placement_title
from .page_labels import PieceLabel, piece_label

TINTS: Final = 8
"""How many tints the style of the page has for pieces."""

_RULER: Final = 2.4  # heights of letters kept for each ruler


_SAME: Final = 0.01  # mm


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of a ruler, with its number where it has one."""

    x1: float
    y1: float
    x2: float
    y2: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class Note:
    """A few words at a place; ``anchor`` is start, middle or end."""

    x: float
    y: float
    text: str
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """One placement: paths in SVG's words, label, tint, and the place of its facts."""

    id: str
    name: str
    tint: int
    cut: str
    lines: tuple[tuple[str, str], ...]
    holes: tuple[tuple[float, float], ...]
    grain: str
    label: PieceLabel


@dataclass(frozen=True, slots=True)
class LayDrawing:
    """Everything a template needs to draw a lay; ``lines`` and ``areas`` are (class, path)."""

    title: str
    side_up: str
    box: tuple[float, float, float, float]
    letters: float
    areas: tuple[tuple[str, str], ...]
    lines: tuple[tuple[str, str], ...]
    ticks: tuple[Tick, ...]
    notes: tuple[Note, ...]
    pieces: tuple[DrawnPiece, ...]

    @property
    def folded(self) -> bool:
        """True where some of the cloth lies double."""
        return any(kind == "double" for kind, _ in self.areas)

    @property
    def ratio(self) -> float:
        """Width of the picture over its height."""
        return self.box[2] / self.box[3]


def lay_drawing(lay: Lay, units: str, prefix: str) -> LayDrawing:
    """Return the drawing of a lay; ids begin with ``prefix`` and hold no word of the maker's."""
    letters = min(max(0.045 * lay.cloth_width, 12.0), 90.0)
    pen = _Pen(lay, letters)
    margin = _RULER * letters
    edge = lay.selvage
    box = (
        -margin,
        -edge - 1.6 * letters,
        lay.reach + 1.2 * margin,
        lay.usable_width + 2 * edge + 1.6 * letters + margin,
    )
    kinds = {
        name: n % TINTS for n, name in enumerate(dict.fromkeys(p.piece for p in lay.placements))
    }
    return LayDrawing(
        title=f"Lay on {lay.cloth}: {length_text(lay.length, units)} along, "
        f"{length_text(lay.usable_width, units)} across",
        side_up=side_up(lay),
        box=box,
        letters=letters,
        areas=tuple(_areas(lay, pen)),
        lines=tuple(_lines(lay, pen)),
        ticks=tuple(_ticks(lay, pen, units)),
        notes=tuple(_notes(lay, pen, units)),
        pieces=tuple(
            _piece(p, pen, n, prefix, kinds[p.piece])
            for n, p in enumerate(lay.placements, start=1)
        ),
    )


@dataclass(frozen=True, slots=True)
class _Pen:
    """Writes paths of a lay the way the page shows it: y turned round."""

    lay: Lay
    letters: float

    def y(self, across: float) -> float:
        return self.lay.usable_width - across

    def ring(self, points: Iterable[Iterable[float]]) -> str:
        return f"{self.path(points)}Z"

    def path(self, points: Iterable[Iterable[float]]) -> str:
        return "M" + "L".join(f"{x:.1f},{self.y(y):.1f}" for x, y in points)

    def box(self, x0: float, y0: float, x1: float, y1: float) -> str:
        return self.ring([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _areas(lay: Lay, pen: _Pen) -> Iterator[tuple[str, str]]:
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    if lay.panel_outline is not None:
        yield "cloth", pen.ring(lay.panel_outline)
    else:
        yield "cloth", pen.box(0.0, low, lay.reach, high)
    if lay.selvage > 0:
        yield "selvage", pen.box(0.0, low, lay.reach, 0.0)
        yield "selvage", pen.box(0.0, lay.usable_width, lay.reach, high)
    if lay.folding is not None:
        for x0, y0, x1, y1 in lay.folding.double:
            if any(abs(y - y1) < _SAME for edge in lay.folding.edges for _, y in edge):
                yield "away", pen.box(x0, y1, x1, high)  # folded over: no cloth is there
            yield "double", pen.box(x0, y0, x1, y1)
    if lay.leftover is not None:
        yield "leftover", pen.box(*lay.leftover)


def _lines(lay: Lay, pen: _Pen) -> Iterator[tuple[str, str]]:
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    yield "squared", pen.path([(0.0, low), (0.0, high)])
    yield "end", pen.path([(lay.reach, low), (lay.reach, high)])
    if lay.repeat is not None:
        for line in _repeats(lay):
            yield "repeat", pen.path(line)
    if lay.folding is not None:
        for edge in lay.folding.edges:
            yield "fold", pen.path(edge)
    for flaw in lay.flaws:
        (x0, y0), (x1, y1) = flaw.outline.min(axis=0), flaw.outline.max(axis=0)
        yield (
            "flaw",
            (
                f"{pen.ring(flaw.outline)}{pen.path([(x0, y0), (x1, y1)])}"
                f"{pen.path([(x0, y1), (x1, y0)])}"
            ),
        )


def _repeats(lay: Lay) -> Iterator[list[tuple[float, float]]]:
    """Yield the lines on which the design begins anew, column by column where it drops."""
    repeat = lay.repeat
    if repeat is None:
        return
    wide = repeat.across > 0
    starts = _steps(repeat.offset[1], repeat.across, lay.usable_width) if wide else []
    for y in starts:
        yield [(0.0, y), (lay.reach, y)]
    if repeat.along <= 0:
        return
    edges = [0.0, *starts, lay.usable_width]
    for y0, y1 in pairwise(edges):
        column = round(((y0 + y1) / 2 - repeat.offset[1]) // repeat.across) if wide else 0
        drop = repeat.along / 2 if repeat.drop == "half" and column % 2 else 0.0
        for x in _steps(repeat.offset[0] + drop, repeat.along, lay.reach):
            yield [(x, y0), (x, y1)]


def _steps(offset: float, step: float, end: float) -> list[float]:
    return [float(x) for x in np.arange(offset % step, end, step) if x > 0]


def _ticks(lay: Lay, pen: _Pen, units: str) -> Iterator[Tick]:
    """Yield a ruler along the near edge and one up the squared end."""
    mm = MM_PER[tape_unit(units)]
    numbered = 12 * mm if tape_unit(units) == "in" else 10 * mm
    while numbered < 1.9 * pen.letters:  # numbers keep apart
        numbered *= 2
    low = pen.y(-lay.selvage)
    for k in range(int(lay.reach / numbered + 1e-9) + 1):
        yield Tick(
            k * numbered, low, k * numbered, low + 0.4 * pen.letters, f"{k * numbered / mm:g}"
        )
    for k in range(int(lay.usable_width / numbered + 1e-9) + 1):
        y = pen.y(k * numbered)
        yield Tick(-0.4 * pen.letters, y, 0.0, y, f"{k * numbered / mm:g}")


def _notes(lay: Lay, pen: _Pen, units: str) -> Iterator[Note]:
    above = pen.y(lay.usable_width + lay.selvage) - 0.45 * pen.letters
    long = lay.reach > 26 * pen.letters
    yield Note(0.0, above, "squared end" if long else "")
    yield Note(lay.reach, above, f"end of the lay, {length_text(lay.reach, units)}", "end")
    if lay.nap == "one-way" and lay.reach > 60 * pen.letters:
        yield Note(lay.reach / 2, above, "one-way cloth: all tops this way →", "middle")
    for flaw in lay.flaws:
        centre = shapely.Polygon(flaw.outline).representative_point()
        yield Note(centre.x, pen.y(centre.y), flaw.kind or "flaw", "middle")
    if lay.leftover is not None:
        x0, y0, x1, y1 = lay.leftover
        size = f"{whole_text(x1 - x0, units)} × {whole_text(y1 - y0, units)}"
        if x1 - x0 > 11.0 * pen.letters and y1 - y0 > 2.0 * pen.letters:
            yield Note((x0 + x1) / 2, pen.y((y0 + y1) / 2), f"left over {size}", "middle")


def _piece(placement: Placement, pen: _Pen, number: int, prefix: str, tint: int) -> DrawnPiece:
    rings = (placement.outline, *placement.cutouts)
    lines = [("sew", path) for path in placement.sew_lines]
    lines += [("internal", path) for path in placement.internal_lines]
    lines += [("stripe", path) for path in (*placement.stripe_lines, *placement.plaid_lines)]
    return DrawnPiece(
        id=f"{prefix}-{number}",
        name=f"{number}. {placement_title(placement)}",
        tint=tint,
        cut="".join(pen.ring(ring) for ring in rings),
        lines=tuple((kind, pen.path(path)) for kind, path in lines),
        holes=tuple((x, pen.y(y)) for x, y in placement.drill_holes),
        grain=_arrow(placement, pen),
        label=piece_label(placement, number, pen.letters, pen.lay.usable_width),
    )


def _arrow(placement: Placement, pen: _Pen) -> str:
    """Return the grain line with an open head at the top of the piece."""
    start, end = (np.array(point) for point in placement.grain)
    along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
    over = np.array([-along[1], along[0]])
    back = end - 0.45 * pen.letters * along
    head = [back + 0.2 * pen.letters * over, end, back - 0.2 * pen.letters * over]
    return pen.path([start, end]) + pen.path(head)
