"""Drawings at exact size as PDF: on sheets to be joined, or on one long page.

The drawing itself stands once in the file; every sheet shows its part of it through a window, so
that a lay of many sheets stays small and every sheet is true to the same lines.
"""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

import shapely
from pypdf import PageObject, PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    FloatObject,
    IndirectObject,
    NameObject,
    StreamObject,
)

from .exact_page import ExactDrawing, exact_pdf
from .key_page import key_pages
from .paper import Paper
from .sheet_grid import FOOT, MARGIN, SheetGrid, Tile, sheet_grid
from .sheet_marks import long_marks, sheet_pages

_POINTS_PER_MM = 72.0 / 25.4
_LONGEST_PAGE = 14_400.0
"""Units a page may measure along a side (ISO 32000-1, annex C), in points unless scaled."""
_NAME = NameObject("/TheDrawing")


def full_size_sheets(
    drawings: Sequence[ExactDrawing], papers: Sequence[Paper], title: str
) -> bytes:
    """Return a PDF of drawings at exact size on sheets, each on the paper that takes the fewest.

    Before the sheets of a drawing that takes several comes a key page. Sheets that would show
    nothing of any piece are left out, and the key page says so. Every page bears a test square.
    """
    writer = PdfWriter()
    for drawing in drawings:
        grids = [sheet_grid(drawing.box, paper) for paper in papers]
        grid = min(grids, key=lambda grid: len(tiles_to_print(drawing, grid)))
        tiles = tiles_to_print(drawing, grid)
        if grid.rows * grid.columns > 1:
            _append(writer, key_pages(drawing, grid, tiles))
        marked = _append(writer, sheet_pages(drawing, grid, tiles))
        picture = _picture(writer, exact_pdf(drawing, labels=False))
        for tile, page in zip(tiles, marked, strict=True):
            _show(writer, page, picture, drawing, grid, tile)
    return _finish(writer, title)


def full_size_long(drawings: Sequence[ExactDrawing], title: str) -> bytes:
    """Return a PDF with each drawing at exact size on one page.

    A page beyond 5.08 m is measured in larger units (UserUnit, PDF 1.6); viewers that do not know
    them show and print it too small, which its test square tells, with the per cent that help.
    """
    writer = PdfWriter()
    for drawing in drawings:
        (page,) = _append(writer, exact_pdf(drawing, labels=True))
        larger = math.ceil(max(page.mediabox.width, page.mediabox.height) / _LONGEST_PAGE)
        (marks,) = PdfReader(io.BytesIO(long_marks(drawing, larger))).pages
        page.merge_page(marks)
        if larger > 1:
            page.scale_by(1.0 / larger)
            page[NameObject("/UserUnit")] = FloatObject(larger)
    writer.pdf_header = "%PDF-1.6"
    return _finish(writer, title)


def tiles_to_print(drawing: ExactDrawing, grid: SheetGrid) -> tuple[Tile, ...]:
    """Return the sheets that show something of a piece."""
    regions = shapely.union_all(drawing.regions())
    shapely.prepare(regions)
    return tuple(tile for tile in grid.tiles() if regions.intersects(shapely.box(*tile.box)))


def _append(writer: PdfWriter, content: bytes) -> list[PageObject]:
    """Add all pages of a PDF and return them as they stand in the writer."""
    before = len(writer.pages)
    writer.append(PdfReader(io.BytesIO(content)), import_outline=False)
    return [writer.pages[n] for n in range(before, len(writer.pages))]


def _picture(writer: PdfWriter, content: bytes) -> IndirectObject:
    """Put a page into the file as a form that pages may show, and return the way to it."""
    (page,) = PdfReader(io.BytesIO(content)).pages
    form = StreamObject()
    contents = page.get_contents()
    form.set_data(b"" if contents is None else contents.get_data())
    form.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/BBox"): ArrayObject(FloatObject(x) for x in page.mediabox),
            NameObject("/Resources"): page["/Resources"].clone(writer),
        }
    )
    return writer._add_object(form.flate_encode())


def _show(
    writer: PdfWriter,
    page: PageObject,
    picture: IndirectObject,
    drawing: ExactDrawing,
    grid: SheetGrid,
    tile: Tile,
) -> None:
    """Lay a sheet's part of the drawing under its marks."""
    k = _POINTS_PER_MM
    width, height = grid.window
    left, foot = MARGIN, MARGIN + FOOT
    dx, dy = left - tile.box[0] + drawing.box[0], foot - tile.box[1] + drawing.box[1]
    beneath = DecodedStreamObject()
    beneath.set_data(
        f"q {left * k:.6f} {foot * k:.6f} {width * k:.6f} {height * k:.6f} re W n "
        f"1 0 0 1 {dx * k:.6f} {dy * k:.6f} cm {_NAME} Do Q\n".encode("ascii")
    )
    resources = page["/Resources"].get_object()
    if not isinstance(resources, DictionaryObject):
        raise TypeError("a page's resources are a dictionary")
    # The pages of one drawing share their resources, so they all know its picture.
    forms = resources.setdefault(NameObject("/XObject"), DictionaryObject()).get_object()
    forms[_NAME] = picture
    page[NameObject("/Contents")] = ArrayObject(
        [writer._add_object(beneath), page.raw_get("/Contents")]
    )


def _finish(writer: PdfWriter, title: str) -> bytes:
    writer.add_metadata({"/Title": title, "/Producer": "yardage"})
    buffer = io.BytesIO()
    writer.write(buffer)
    return buffer.getvalue()
