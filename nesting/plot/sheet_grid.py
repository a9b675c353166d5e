"""A large drawing divided over sheets of paper that overlap."""

from __future__ import annotations

import math
from collections.abc import Container
from dataclasses import dataclass
from itertools import combinations

from .paper import Paper

MARGIN = 10.0
"""Millimetres of each sheet that printers leave white."""
FOOT = 14.0
"""Millimetres at the foot of each sheet for its words, below the drawing."""
OVERLAP = 10.0
"""Millimetres that neighbouring sheets show alike, for glue."""

_MOST_BLOCKS = 8  # whose diagonals are listed; more would fill the key page

Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet: its place in the grid and what it shows.

    ``row`` counts from 0 at the top, ``column`` from 0 at the left; ``box`` is x0, y0, x1, y1 of
    the drawing, millimetres.
    """

    row: int
    column: int
    box: Box

    @property
    def name(self) -> str:
        """Letter of the row and number of the column: ``B3``."""
        return f"{row_letters(self.row)}{self.column + 1}"


@dataclass(frozen=True, slots=True)
class SheetGrid:
    """How a drawing lies on sheets.

    Attributes
    ----------
    paper
        The sheet, as it stands.
    box
        x0, y0, x1, y1 of the whole drawing, millimetres.
    rows, columns
        At least 1. Sheets of one row overlap by ``OVERLAP``, and so do rows.
    """

    paper: Paper
    box: Box
    rows: int
    columns: int

    @property
    def window(self) -> tuple[float, float]:
        """Width and height of what one sheet shows."""
        return self.paper.width - 2 * MARGIN, self.paper.height - 2 * MARGIN - FOOT

    @property
    def step(self) -> tuple[float, float]:
        """From one sheet to the next, along and up."""
        return self.window[0] - OVERLAP, self.window[1] - OVERLAP

    def tile(self, row: int, column: int) -> Tile:
        """Return one sheet of the grid."""
        x = self.box[0] + column * self.step[0]
        y = self.box[1] + (self.rows - 1 - row) * self.step[1]
        return Tile(row, column, (x, y, x + self.window[0], y + self.window[1]))

    def tiles(self) -> tuple[Tile, ...]:
        """Return all sheets, row by row from the top."""
        return tuple(self.tile(r, c) for r in range(self.rows) for c in range(self.columns))


def sheet_grid(box: Box, paper: Paper) -> SheetGrid:
    """Return the grid with the fewest sheets that shows all of a drawing on this paper."""
    grid = SheetGrid(paper, box, 1, 1)
    counts = [
        max(1, math.ceil((size - OVERLAP) / step - 1e-9))
        for size, step in zip((box[2] - box[0], box[3] - box[1]), grid.step, strict=True)
    ]
    return SheetGrid(paper, box, counts[1], counts[0])


def row_letters(row: int) -> str:
    """Return the letters of a row counted from 0: A to Z, then AA, AB and so on."""
    letters = ""
    row += 1
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


@dataclass(frozen=True, slots=True)
class CheckLength:
    """A distance between two crosses, to be measured once the sheets are joined.

    ``start`` and ``end`` are places in the drawing (mm); the words name the crosses.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    words: tuple[str, str]
    sheets: tuple[str, str]

    @property
    def length(self) -> float:
        """Millimetres from cross to cross."""
        return math.dist(self.start, self.end)


def check_lengths(grid: SheetGrid, printed: Container[str]) -> tuple[CheckLength, ...]:
    """Return diagonals between crosses on sheets that are printed; none for a single sheet.

    Both diagonals of every block of some four columns, where the sheets at its corners are
    printed; where no block has any, one length between the sheets farthest apart. A cross stands
    where the joins of the sheets meet: at the lower left corner of the sheet, and one step on
    from there to the right and up.
    """
    blocks = min(math.ceil(grid.columns / 4), _MOST_BLOCKS)
    found = []
    for block in range(blocks):
        first = block * grid.columns // blocks
        last = (block + 1) * grid.columns // blocks - 1
        foot = grid.rows - 1
        if foot == 0 and first == last:
            continue
        found += [
            _check(grid.tile(foot, first), "lower left", grid.tile(0, last), "upper right"),
            _check(grid.tile(0, first), "upper left", grid.tile(foot, last), "lower right"),
        ]
    kept = [check for check in found if all(name in printed for name in check.sheets)]
    tiles = [tile for tile in grid.tiles() if tile.name in printed]
    if not kept and len(tiles) > 1:
        far = (_check(a, "lower left", b, "lower left") for a, b in combinations(tiles, 2))
        kept = [max(far, key=lambda check: check.length)]
    return tuple(kept)


def _check(start: Tile, corner: str, end: Tile, other: str) -> CheckLength:
    return CheckLength(
        _cross(start, corner), _cross(end, other),
        (f"{start.name} {corner}", f"{end.name} {other}"), (start.name, end.name),
    )  # fmt: skip


def _cross(tile: Tile, corner: str) -> tuple[float, float]:
    """Return where the cross at one corner of a sheet stands in the drawing."""
    x0, y0, x1, y1 = tile.box
    x = x0 if corner.endswith("left") else x1 - OVERLAP
    y = y0 if corner.startswith("lower") else y1 - OVERLAP
    return x, y
