"""A ``[[piece]]`` table of a plan file, joined to its pattern piece."""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Final, Literal

import numpy as np
import shapely

from ..errors import InputFileError, shown_path
from ..geometry.rings import Point, bounds
from ..model.pattern import PatternFile, PatternPiece, ReadNote
from ..model.plan import EdgeAllowance, PlanPiece
from ..tolerances import LARGEST_PIECE, STRETCH_END
from ..units import length_text
from .files import as_spelled
from .pattern import read_pattern
from .plan_errors import did_you_mean
from .plan_fold import read_tilt
from .plan_piecing import read_piecing
from .plan_schema import CutTable, PieceTable
from .plan_values import Item

_MOST_COPIES: Final = 1000  # more copies of one piece than this are a slip of the pen
_WIDEST_ALLOWANCE: Final = 1_000.0  # mm


class PatternFiles:
    """The pattern files of one plan; each is read once."""

    def __init__(self, plan: Path, units: str | None) -> None:
        self._plan = plan
        self._units = units
        self._files: dict[Path, PatternFile] = {}
        self._used: dict[Path, set[str]] = {}
        self._assumed: list[ReadNote] = []

    def find(self, written: str, name: str, item: Item) -> PatternPiece:
        """Return a piece of a pattern file, by the path and the name the plan writes."""
        path = self._read(written, item)
        pieces = {piece.name: piece for piece in self._files[path].pieces}
        if name not in pieces:
            raise item.wrong(
                f"there is no piece {name!r} in {written}", _names_there(name, list(pieces))
            )
        self._used[path].add(name)
        return pieces[name]

    def only(self, written: str, item: Item) -> PatternPiece:
        """Return the one piece of a file; where it has several, one has to be named."""
        names = [piece.name for piece in self._files[self._read(written, item)].pieces]
        if len(names) > 1:
            raise item.wrong(
                f"{written} draws {len(names)} outlines: {', '.join(names[:12])}",
                f'say which, such as piece = "{names[0]}"',
            )
        return self.find(written, names[0], item)

    def assume(self, item: Item, text: str) -> None:
        """Note what was assumed where the plan is silent."""
        self._assumed.append(ReadNote("assumed", shown_path(self._plan), item.name, text))

    def notes(self) -> tuple[ReadNote, ...]:
        """Return the notes of all files read, in the order of reading, then the assumptions."""
        read = [note for found in self._files.values() for note in found.notes]
        for path, found in self._files.items():
            names = [piece.name for piece in found.pieces if piece.name not in self._used[path]]
            if names:
                text = f"not in the plan: {', '.join(names)}"
                read.append(ReadNote("unread", found.file, "", text))
        return (*read, *self._assumed)

    def _read(self, written: str, item: Item) -> Path:
        """Return the path of a file, which then has been read."""
        path = self._path(written, item)
        if path not in self._files:
            self._files[path] = read_pattern(path, units=self._units)
            self._used[path] = set()
        return path

    def _path(self, written: str, item: Item) -> Path:
        """Return the file a plan names, refusing one that is reached in a hidden way."""
        if not written.strip():
            raise item.wrong("the file's name is empty", 'write file = "pieces/skirt.svg"')
        folder = self._plan.parent
        plain = Path(written)
        path = as_spelled(folder, written)
        with suppress(ValueError):  # letters this system cannot write; no such file is there
            path = path.resolve()
        outside = not path.is_relative_to(folder.resolve())
        said = plain.is_absolute() or plain.parts[0] == ".."
        if outside and not said:
            raise item.wrong(
                f"file {written!r} leads out of the plan's folder, to {path}",
                "write that path itself, if it is meant",
            )
        # Of os.path, since these only say no to a name that no file can have.
        if not os.path.isfile(path):  # noqa: PTH113
            what = "is not a file" if os.path.exists(path) else "does not exist"  # noqa: PTH110
            raise InputFileError(
                f"file {written!r} {what}",
                remedy=f"paths are read from the plan's folder, {shown_path(folder.resolve())}",
                file=item.file,
                item=item.name,
            )
        return path


def read_piece(
    table: PieceTable, item: Item, cloths: Sequence[str], files: PatternFiles
) -> PlanPiece:
    """Return the piece a table describes, with its pattern read.

    Raises
    ------
    InputError
        If a value makes no sense, or the cloth or the pattern piece is not there.
    """
    cloth = _cloth(table, item, cloths)
    pattern = files.find(table.file, table.name, item)
    as_drawn, mirrored = _copies(table.cut, pattern, item, files)
    piece = PlanPiece(
        name=table.named or table.name,
        pattern=pattern,
        cloth=cloth,
        cloths=tuple(table.cloth) if len(table.cloth) > 1 else (),
        as_drawn=as_drawn,
        mirrored=mirrored,
        grain=table.grain,
        top=table.top,
        turn=table.turn,
        tilt=read_tilt(table.tilt, table.grain, item),
        allowance=item.length("allowance", table.allowance, high=_WIDEST_ALLOWANCE),
        edges=tuple(
            EdgeAllowance(
                name=name,
                start=_edge_end(f"edges.{name}.from", edge.start, pattern, item),
                end=_edge_end(f"edges.{name}.to", edge.end, pattern, item),
                allowance=item.length(
                    f"edges.{name}.allowance",
                    table.allowance if edge.allowance is None else edge.allowance,
                    high=_WIDEST_ALLOWANCE,
                ),
            )
            for name, edge in table.edges.items()
        ),
        points={
            name: _named_point(name, place, pattern, item) for name, place in table.points.items()
        },
    )
    piecing = read_piecing(
        table.piecing,
        item,
        pattern,
        {edge.name: edge for edge in piece.edges},
        lambda key, at: _place(key, at, pattern, item),
        reverse=table.top == "reverse",
    )
    return replace(piece, piecing=piecing, train=table.train)


def _cloth(table: PieceTable, item: Item, cloths: Sequence[str]) -> str:
    for name in table.cloth:
        if name not in cloths:
            raise item.wrong(f"there is no cloth {name!r} in the plan", did_you_mean(name, cloths))
    if len(set(table.cloth)) < len(table.cloth):
        raise item.wrong(
            f"cloth = {table.cloth} names a cloth twice", "name each once, the most liked first"
        )
    return table.cloth[0]


def _copies(
    cut: int | Literal["pair"] | CutTable | None,
    pattern: PatternPiece,
    item: Item,
    files: PatternFiles,
) -> tuple[int, int]:
    """Return the copies as drawn and mirrored."""
    if cut is None and pattern.quantity is not None:
        counts, said = pattern.quantity, f"the file's quantity {pattern.quantity}"
    elif cut is None:
        files.assume(item, "the plan and the file say no quantity; one is cut")
        return 1, 0
    elif isinstance(cut, CutTable):
        counts = (cut.as_drawn, cut.mirrored)
        said = f"cut = {{ as_drawn = {cut.as_drawn}, mirrored = {cut.mirrored} }}"
    elif isinstance(cut, str):
        return 1, 1
    else:
        counts, said = (cut, 0), f"cut = {cut}"
    if min(counts) < 0 or not 1 <= sum(counts) <= _MOST_COPIES:
        raise item.wrong(
            f"{said} makes no sense", f"cut at least one copy and at most {_MOST_COPIES}"
        )
    return counts


def _place(
    key: str, place: tuple[float | str, float | str], pattern: PatternPiece, item: Item
) -> Point:
    """Return a point written in a file's own coordinates as the piece has it, in millimetres.

    An SVG page counts downwards from its upper left corner; a piece counts upwards.
    """
    far = 10 * LARGEST_PIECE
    x, y = (
        item.length(f"{key} ({axis})", value, low=-far, high=far)
        for axis, value in zip("xy", place, strict=True)
    )
    return (x, -y) if _counts_down(pattern) else (x, y)


def _edge_end(
    key: str, place: tuple[float | str, float | str], pattern: PatternPiece, item: Item
) -> Point:
    """Return the end of a stretch, which lies on the outline up to a chalk line.

    A corner as near as that is meant: a hair beyond it, the edge that meets there would have the
    stretch's allowance over no length, and the cut line a horn.
    """
    point = _place(key, place, pattern, item)
    corner = pattern.outline[np.hypot(*(pattern.outline - point).T).argmin()]
    if math.dist(corner, point) <= STRETCH_END:
        return float(corner[0]), float(corner[1])
    off = float(shapely.LinearRing(pattern.outline).distance(shapely.Point(point)))
    if off > STRETCH_END:
        raise item.wrong(
            f"{key} = {list(place)} lies {length_text(off, item.unit)} from the outline",
            f"give a point on the outline, in the file's coordinates; {_span(pattern, item)}",
        )
    return point


def _counts_down(pattern: PatternPiece) -> bool:
    return pattern.file.lower().endswith(".svg")


def _named_point(
    name: str, place: tuple[float | str, float | str], pattern: PatternPiece, item: Item
) -> Point:
    """Return a named point; one farther from the piece than its size is a slip."""
    x, y = _place(f"points.{name}", place, pattern, item)
    x0, y0, x1, y1 = bounds(pattern.outline)
    off = max(x0 - x, x - x1, y0 - y, y - y1)
    if off > max(x1 - x0, y1 - y0):
        raise item.wrong(
            f"points.{name} = {list(place)} lies {length_text(off, item.unit)} outside the piece",
            f"write it in the file's coordinates; {_span(pattern, item)}",
        )
    return x, y


def _span(pattern: PatternPiece, item: Item) -> str:
    """Say where a piece lies in its file, for one who has mistaken the coordinates."""
    x0, y0, x1, y1 = bounds(pattern.outline)
    if _counts_down(pattern):
        y0, y1 = -y1, -y0
    left, low, right, high = (length_text(v, item.unit) for v in (x0, y0, x1, y1))
    down = " down the page" if _counts_down(pattern) else ""
    return f"there the piece lies at x from {left} to {right}, y from {low} to {high}{down}"


def _names_there(name: str, names: list[str]) -> str:
    near = did_you_mean(name, names)
    shown = ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
    listed = f"the file has {shown}" if names else "the file has none"
    return f"{near} {listed}" if near.startswith("did") else listed
