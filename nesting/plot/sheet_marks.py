"""What every sheet of a full-size drawing bears beside its part of it.

Its frame, the joins, register marks, a test square, the names of the pieces it shows, and words
at its foot.
"""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from shapely.geometry.base import BaseGeometry

from ..units import tape_unit
from .exact_page import MM_PER_POINT, ExactDrawing, label_in, write_label
from .fit import Label
from .fonts import drawing_with, in_reading_order
from .paper import Paper
from .sheet_grid import FOOT, MARGIN, OVERLAP, Box, SheetGrid, Tile
from .style import FAINT, INK, PAPER

_JOIN = (0, (6.0, 3.0))
_CROSS = 4.0  # mm, half a cross
_MARK = 3.0  # mm, half a register mark
_SIZES = (20.0, 14.0, 10.0, 7.0)
_SMALL = 7.0  # points
_NAME = 17.0
_LEAST_PART = 150.0  # square millimetres of a piece below which a sheet does not name it


def square_of(units: str) -> tuple[float, str]:
    """Return the side of the test square in millimetres, and what is written in it."""
    if tape_unit(units) == "in":
        return 50.8, "this square measures\n2 in each way"
    return 50.0, "this square measures\n5 cm each way"


def sheet_pages(drawing: ExactDrawing, grid: SheetGrid, tiles: Sequence[Tile]) -> bytes:
    """Return a PDF with the marks of each of these sheets, a page to each."""
    buffer = io.BytesIO()
    lines = shapely.union_all([region.boundary for region in drawing.regions()])
    printed = {tile.name for tile in tiles}
    with drawing_with(drawing.texts()), PdfPages(buffer, metadata={"CreationDate": None}) as pdf:
        for count, tile in enumerate(tiles, start=1):
            figure, axes = page_axes(grid.paper)
            _frame(axes, grid, tile)
            square = _emptiest(lines, tile, square_of(drawing.units)[0])
            dx, dy = MARGIN - tile.box[0], MARGIN + FOOT - tile.box[1]
            for label in _labels(drawing, tile, shapely.box(*square)):
                x, y = label.x + dx / MM_PER_POINT, label.y + dy / MM_PER_POINT
                write_label(axes, replace(label, x=x, y=y), FAINT)
            draw_test_square(axes, _shifted(square, tile), drawing.units)
            _foot(axes, drawing, grid, tile, f"sheet {count} of {len(tiles)}", printed)
            pdf.savefig(in_reading_order(figure))
    return buffer.getvalue()


def long_marks(drawing: ExactDrawing, unit: int = 1) -> bytes:
    """Return a PDF page as large as the drawing that bears nothing but its test square.

    Where the page is measured in units of several points, the square says how to print it from a
    viewer that takes them for points.
    """
    width, height = drawing.size
    buffer = io.BytesIO()
    lines = shapely.union_all([region.boundary for region in drawing.regions()])
    near = (*drawing.box[:2], drawing.box[0] + min(width, 600.0), drawing.box[1] + height)
    square = _emptiest(lines, Tile(0, 0, near), square_of(drawing.units)[0])
    x, y = square[0] - drawing.box[0], square[1] - drawing.box[1]
    with drawing_with(drawing.texts()):
        figure, axes = page_axes(Paper("", width, height))
        side = square[2] - square[0]
        draw_test_square(axes, (x, y, x + side, y + side), drawing.units, unit)
        figure.savefig(buffer, format="pdf", metadata={"CreationDate": None}, transparent=True)
    return buffer.getvalue()


def page_axes(paper: Paper) -> tuple[Figure, Axes]:
    """Return a figure as large as a sheet, with axes over all of it in millimetres."""
    figure = Figure(figsize=(paper.width / 25.4, paper.height / 25.4))
    figure.patch.set_alpha(0.0)
    axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_axis_off()
    axes.set_xlim(0.0, paper.width)
    axes.set_ylim(0.0, paper.height)
    return figure, axes


def _shifted(box: Box, tile: Tile) -> Box:
    """Return a box of the drawing where it lies on the sheet."""
    dx, dy = MARGIN - tile.box[0], MARGIN + FOOT - tile.box[1]
    return box[0] + dx, box[1] + dy, box[2] + dx, box[3] + dy


def _labels(drawing: ExactDrawing, tile: Tile, square: BaseGeometry) -> Iterator[Label]:
    """Yield the words of each piece a sheet shows, clear of the test square, as on the drawing."""
    seen = shapely.box(*tile.box).difference(square.buffer(2.0))
    for placement, region, wordings in zip(
        drawing.placements, drawing.regions(), drawing.words, strict=True
    ):
        part = region.intersection(seen)
        if part.area > _LEAST_PART:
            label = label_in(placement, part, wordings, _SIZES)
            if label is not None:
                yield label


def _emptiest(lines: BaseGeometry, tile: Tile, side: float) -> Box:
    """Return the place on a sheet for the test square that covers the least of any line."""
    x0, y0, x1, y1 = tile.box
    inset = OVERLAP + 6.0
    here = shapely.clip_by_rect(lines, x0, y0, x1, y1)
    free = x1 - x0 - 2 * inset - side, y1 - y0 - 2 * inset - side
    places = [
        (x0 + inset + free[0] * i / 4, y0 + inset + free[1] * j / 4)
        for j in range(5)
        for i in range(5)
    ]
    boxes = [(x, y, x + side, y + side) for x, y in places]
    return min(boxes, key=lambda box: shapely.clip_by_rect(here, *box).length)


def draw_test_square(axes: Axes, box: Box, units: str, unit: int = 1) -> None:
    """Draw the test square, which stands in this box of the page, with what it has to measure."""
    x0, y0, x1, y1 = box
    words = f"{square_of(units)[1]}\nor the print is not true"
    if unit > 1:
        words += f"\n1/{unit} of that: print at {100 * unit} %"
    axes.add_patch(Rectangle((x0, y0), x1 - x0, y1 - y0, fc="none", ec=INK, lw=0.5))
    axes.text(
        (x0 + x1) / 2, (y0 + y1) / 2, words,
        fontsize=6.0, ha="center", va="center", color=FAINT,
        bbox={"fc": PAPER, "ec": "none", "pad": 0.5, "alpha": 0.8},
    )  # fmt: skip


def _frame(axes: Axes, grid: SheetGrid, tile: Tile) -> None:
    """Draw the sheet's frame, the lines its neighbours are laid on, and the marks on them."""
    width, height = grid.window
    x0, y0 = MARGIN, MARGIN + FOOT
    axes.add_patch(Rectangle((x0, y0), width, height, fc="none", ec=INK, lw=0.4))
    right, top = x0 + grid.step[0], y0 + grid.step[1]
    has_right, has_top = tile.column < grid.columns - 1, tile.row > 0
    has_left, has_foot = tile.column > 0, tile.row < grid.rows - 1
    if has_right:
        axes.plot([right, right], [y0, y0 + height], color=FAINT, lw=0.5, ls=_JOIN)
    if has_top:
        axes.plot([x0, x0 + width], [top, top], color=FAINT, lw=0.5, ls=_JOIN)
    for there, x in ((has_left, x0), (has_right, right)):
        if there:
            for share in (0.25, 0.75):
                _register(axes, x, y0 + share * grid.step[1])
    for there, y in ((has_foot, y0), (has_top, top)):
        if there:
            for share in (0.25, 0.75):
                _register(axes, x0 + share * grid.step[0], y)
    for x in (x0, right):
        for y in (y0, top):
            axes.plot([x - _CROSS, x + _CROSS], [y, y], color=INK, lw=0.5)
            axes.plot([x, x], [y - _CROSS, y + _CROSS], color=INK, lw=0.5)


def _register(axes: Axes, x: float, y: float) -> None:
    """Draw a mark that lies half on one sheet and half on its neighbour."""
    diamond = [(x - _MARK, y), (x, y - _MARK), (x + _MARK, y), (x, y + _MARK), (x - _MARK, y)]
    axes.plot(*zip(*diamond, strict=True), color=INK, lw=0.5)
    axes.plot([x - _MARK, x + _MARK], [y, y], color=INK, lw=0.3)
    axes.plot([x, x], [y - _MARK, y + _MARK], color=INK, lw=0.3)


def _foot(
    axes: Axes, drawing: ExactDrawing, grid: SheetGrid, tile: Tile, count: str, printed: set[str]
) -> None:
    y = MARGIN + FOOT
    several = grid.rows * grid.columns > 1
    x = MARGIN
    if several:
        axes.text(x, y - 10.5, tile.name, fontsize=_NAME, va="baseline", weight="bold")
        x += 8.0 + 4.2 * len(tile.name)
    axes.text(
        x, y - 5.0, drawing.title, fontsize=_SMALL, va="top", parse_math=False,
    )  # fmt: skip
    words = "print at 100 % (actual size)"
    if several:
        place = f"row {tile.name.rstrip('0123456789')} of {grid.rows}, column {tile.column + 1} of"
        words = f"{count}  ·  {place} {grid.columns}  ·  {words}"
    axes.text(x, y - 9.4, words, fontsize=_SMALL, va="top", color=FAINT)
    if several:
        axes.text(
            grid.paper.width - MARGIN, y - 5.0, _neighbours(grid, tile, printed),
            fontsize=_SMALL, va="top", ha="right",
        )  # fmt: skip
        axes.text(
            grid.paper.width - MARGIN, y - 9.4, "cut off left and foot, lay on the dashed lines",
            fontsize=_SMALL - 1.0, va="top", ha="right", color=FAINT,
        )  # fmt: skip


def _neighbours(grid: SheetGrid, tile: Tile, printed: set[str]) -> str:
    found = []
    for word, row, column in (
        ("left", tile.row, tile.column - 1),
        ("right", tile.row, tile.column + 1),
        ("above", tile.row - 1, tile.column),
        ("below", tile.row + 1, tile.column),
    ):
        if 0 <= row < grid.rows and 0 <= column < grid.columns:
            name = grid.tile(row, column).name
            found.append(f"{word} {name}" if name in printed else f"{word} blank")
    return "  ·  ".join(found)
