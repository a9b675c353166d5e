"""The key page before the sheets of a full-size drawing: how they lie, and what to measure."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.patches import Polygon as Patch
from matplotlib.patches import Rectangle

from ..units import length_text
from .exact_page import ExactDrawing
from .fonts import drawing_with, in_reading_order
from .sheet_grid import MARGIN, Box, CheckLength, SheetGrid, Tile, check_lengths
from .sheet_marks import draw_test_square, page_axes, square_of
from .style import FAINT, INK, PAPER

_LINE = 5.0  # mm from line to line
_SMALL = 8.0


def key_pages(drawing: ExactDrawing, grid: SheetGrid, tiles: Sequence[Tile]) -> bytes:
    """Return a PDF page that shows how the sheets lie, and lists the lengths to check."""
    buffer = io.BytesIO()
    printed = {tile.name for tile in tiles}
    checks = check_lengths(grid, printed)
    with drawing_with(drawing.texts()), PdfPages(buffer, metadata={"CreationDate": None}) as pdf:
        figure, axes = page_axes(grid.paper)
        top = _words(axes, drawing, grid, len(tiles))
        side = square_of(drawing.units)[0]
        draw_test_square(
            axes,
            (grid.paper.width - MARGIN - side, MARGIN, grid.paper.width - MARGIN, MARGIN + side),
            drawing.units,
        )
        foot = MARGIN + max(side, _LINE * (len(checks) + 2)) + 4.0
        _list(axes, checks, drawing.units, foot - 6.0)
        _map(axes, drawing, grid, printed, (MARGIN, foot, grid.paper.width - MARGIN, top))
        pdf.savefig(in_reading_order(figure))
    return buffer.getvalue()


def _words(axes: Axes, drawing: ExactDrawing, grid: SheetGrid, count: int) -> float:
    """Write what the pages are and how to join them; return where the page is free below."""
    paper = grid.paper
    y = paper.height - MARGIN
    axes.text(MARGIN, y, drawing.title, fontsize=13.0, va="top", parse_math=False)
    blank = grid.rows * grid.columns - count
    width, height = (length_text(size, drawing.units) for size in drawing.size)
    lines = [
        f"full size on {count} sheets of {paper.name}: {grid.rows} rows, lettered from the top, "
        f"and {grid.columns} columns",
        f"{width} by {height} in all"
        + (f"; {blank} sheets would show no piece and are left out" if blank else ""),
        "Print at 100 % (actual size), and measure the test square before joining anything.",
        "Cut off the left and foot of each sheet along its frame, lay it on the dashed lines of "
        "its neighbours, diamond on diamond.",
    ]
    y -= 8.0
    for line in lines:
        axes.text(MARGIN, y, line, fontsize=_SMALL, va="top", wrap=True)
        y -= _LINE
    return y - 2.0


def _list(axes: Axes, checks: Sequence[CheckLength], units: str, y: float) -> None:
    """List the lengths to measure from cross to cross once the sheets are joined."""
    axes.text(MARGIN, y, "Measure from cross to cross when joined:", fontsize=_SMALL, va="top")
    for n, check in enumerate(checks, start=1):
        words = f"{n}   {check.words[0]} to {check.words[1]}:  {length_text(check.length, units)}"
        axes.text(MARGIN, y - _LINE * n, words, fontsize=_SMALL, va="top")


def _map(axes: Axes, drawing: ExactDrawing, grid: SheetGrid, printed: set[str], room: Box) -> None:
    """Draw the pieces, the sheets over them, and the lengths to check, to fill the room."""
    x0, y0 = grid.box[0], grid.box[1]
    wide = grid.step[0] * (grid.columns - 1) + grid.window[0]
    high = grid.step[1] * (grid.rows - 1) + grid.window[1]
    scale = min((room[2] - room[0]) / wide, (room[3] - room[1]) / high)
    left, foot = room[0], room[3] - scale * high

    def place(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * scale, foot + (y - y0) * scale

    for placement in drawing.placements:
        ring = [place(x, y) for x, y in placement.outline]
        axes.add_patch(Patch(ring, closed=True, fc="#e8e8e8", ec=FAINT, lw=0.4))
    for tile in grid.tiles():
        (ax, ay), (bx, by) = place(*tile.box[:2]), place(*tile.box[2:])
        shown = tile.name in printed
        if shown:
            step = scale * grid.step[0], scale * grid.step[1]
            last = tile.column == grid.columns - 1, tile.row == 0
            size = (bx - ax if last[0] else step[0]), (by - ay if last[1] else step[1])
            axes.add_patch(Rectangle((ax, ay), *size, fc="none", ec=INK, lw=0.5))
        letters = min(11.0, 0.9 * scale * grid.step[0])
        axes.text(
            (ax + bx) / 2, (ay + by) / 2, tile.name if shown else "\N{EN DASH}",
            fontsize=letters, ha="center", va="center", color=INK if shown else FAINT,
            bbox={"fc": PAPER, "ec": "none", "pad": 0.4, "alpha": 0.7},
        )  # fmt: skip
    for n, check in enumerate(check_lengths(grid, printed), start=1):
        (ax, ay), (bx, by) = place(*check.start), place(*check.end)
        axes.plot([ax, bx], [ay, by], color=INK, lw=0.5, ls=(0, (1.0, 2.0)))
        for at in ((ax, ay), (bx, by)):
            axes.plot(*at, "+", color=INK, ms=7.0, mew=0.8)
        share = 0.3
        axes.text(
            ax + share * (bx - ax), ay + share * (by - ay), str(n), fontsize=_SMALL, ha="center",
            va="center", bbox={"fc": PAPER, "ec": INK, "lw": 0.4, "boxstyle": "circle,pad=0.2"},
        )  # fmt: skip
