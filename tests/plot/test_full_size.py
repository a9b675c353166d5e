"""Full-size PDF, read back with pdfplumber: another library than those that write it.

A point is 1/72 in and an inch 25.4 mm exactly (ISO 32000-1; international yard and pound
agreement, 1959), so a page's own figures tell what a true print measures.
"""

import ctypes
import io
import math
from dataclasses import replace

import numpy as np
import pdfplumber
import pypdfium2
import pytest
import shapely
from shapely.geometry import LinearRing, LineString, MultiLineString, box

from nesting.model.plan import Cloth, PlanPiece
from nesting.plot.exact_page import exact_lay, exact_piece
from nesting.plot.full_size import full_size_long, full_size_sheets, tiles_to_print
from nesting.plot.paper import Paper, paper_of
from nesting.plot.patterns import one_of_each
from nesting.plot.sheet_grid import FOOT, MARGIN, check_lengths, sheet_grid

from ..handmade import lay_on, pattern, put, rectangle, two_gores

MM = 25.4 / 72
TRUE = 0.1  # mm
_, LAYOUT = two_gores()
(LAY,) = LAYOUT.lays
TRAIN = [(0, 0), (560, 0), (520, 2700), (260, 2740), (60, 2690)]


def long_lay():
    """Return a lay of five and a half metres: four trains, two by two."""
    train = PlanPiece("train", pattern("train", TRAIN), "silk", 4)
    places = [(2745.0 * (n // 2), 580.0 + 600.0 * (n % 2)) for n in range(4)]
    return lay_on(
        Cloth("silk", 1300.0, 10.0), [put(train, n + 1, 0, p) for n, p in enumerate(places)]
    )


def mm(points, page):
    """Return points of pdfplumber in millimetres from the page's lower left corner."""
    unit = float(page.page_obj.attrs.get("UserUnit", 1))
    return np.array([(x * MM * unit, (float(page.height) - y) * MM * unit) for x, y in points])


def squares(page, side):
    """Return the rectangles of a page that are the test square, in millimetres."""
    unit = float(page.page_obj.attrs.get("UserUnit", 1))
    return [
        r for r in page.rects
        if abs(r["width"] * MM * unit - side) < TRUE and abs(r["height"] * MM * unit - side) < TRUE
    ]  # fmt: skip


def cut_lines(page, least):
    """Return the closed lines of a page that are longer than ``least`` mm."""
    rings = []
    for curve in (*page.curves, *page.lines):
        points = mm(curve["pts"], page)
        if len(points) > 3 and LineString(points).length > least:
            rings.append(points)
    return rings


def test_a_piece_is_true_to_a_tenth_of_a_millimetre():
    """The gore, 300 by 500 mm, on one A3 sheet: its outline and the test square, measured."""
    (piece,) = one_of_each(LAY)
    content = full_size_sheets([exact_piece(piece, "gore", "cm")], [paper_of("610 x 914 mm")], "t")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        (page,) = pdf.pages
        assert (float(page.width) * MM, float(page.height) * MM) == pytest.approx(
            (610, 914), abs=0.01
        )
        assert len(squares(page, 50.0)) == 1
        rings = [LinearRing(ring) for ring in cut_lines(page, 1000.0)]
        (found,) = [r for r in rings if abs(r.length - LinearRing(piece.outline).length) < 1.0]
        x, y, x1, y1 = found.bounds
        assert (x1 - x, y1 - y) == pytest.approx((300.0, 500.0), abs=TRUE)
        moved = LinearRing(np.array(found.coords) - [x, y])
        assert moved.hausdorff_distance(LinearRing(piece.outline)) < TRUE


@pytest.mark.parametrize(("units", "name"), [("cm", "A4"), ("in", "24 x 36 in")])
def test_a_long_lay_on_sheets_comes_together_at_exact_size(units, name):
    """Five and a half metres on A4: every sheet true, and together they show every cut line."""
    lay = long_lay()
    assert lay.length > 5400
    drawing = exact_lay(lay, "silk", units)
    paper = paper_of(name)
    grid = sheet_grid(drawing.box, paper)
    tiles = tiles_to_print(drawing, grid)
    content = full_size_sheets([drawing], [paper], "silk")
    side = 50.8 if units == "in" else 50.0
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        assert len(pdf.pages) == len(tiles) + 1
        assert squares(pdf.pages[0], side)
        # Every sheet shows the same drawing through its window; three of them stand for all.
        for index in (0, len(tiles) // 2, len(tiles) - 1):
            tile, page = tiles[index], pdf.pages[index + 1]
            assert tile.name in page.extract_text()
            assert squares(page, side)
            off = np.array(tile.box[:2]) - [MARGIN, MARGIN + FOOT]
            rings = [ring + off for ring in cut_lines(page, 5000.0)]
            for placement in lay.placements:
                outline = LinearRing(placement.outline)
                assert min(outline.hausdorff_distance(LineString(r)) for r in rings) < TRUE
    windows = shapely.union_all([box(*tile.box) for tile in tiles])
    assert windows.covers(MultiLineString([LinearRing(p.outline) for p in lay.placements]))


def test_sheets_meet_on_the_same_line():
    """What a sheet shows at its dashed line is what its neighbour shows at its frame."""
    grid = sheet_grid((0.0, 0.0, 1000.0, 900.0), paper_of("A4"))
    for tile in grid.tiles():
        if tile.column + 1 < grid.columns:
            right = grid.tile(tile.row, tile.column + 1)
            assert right.box[0] == pytest.approx(tile.box[2] - 10.0)
        if tile.row:
            above = grid.tile(tile.row - 1, tile.column)
            assert above.box[1] == pytest.approx(tile.box[3] - 10.0)
    union = np.array([tile.box for tile in grid.tiles()])
    assert (union[:, :2].min(axis=0) <= [0, 0]).all()
    assert (union[:, 2:].max(axis=0) >= [1000, 900]).all()


@pytest.mark.parametrize(
    ("size", "counts"),
    # A4 shows 190 x 263 mm within 10 mm all round and a foot of 14 mm, each sheet 10 mm less anew.
    [
        ((190.0, 263.0), (1, 1)),
        ((190.1, 263.1), (2, 2)),
        ((370.0, 516.0), (2, 2)),
        ((550.0, 100), (3, 1)),
    ],
)
def test_no_sheet_too_many(size, counts):
    """The grid has just as many columns and rows as it needs."""
    grid = sheet_grid((0.0, 0.0, *size), paper_of("A4"))
    assert (grid.columns, grid.rows) == counts


def test_check_lengths_are_between_crosses_of_the_key_page():
    """The diagonals told are the distances of corners, worked out from rows and columns."""
    grid = sheet_grid((0.0, 0.0, 730.0, 500.0), paper_of("A4"))
    everything = {tile.name for tile in grid.tiles()}
    first, second = check_lengths(grid, everything)
    wide, high = 180.0 * grid.columns, 253.0 * grid.rows
    assert first.length == second.length == pytest.approx(math.hypot(wide, high))
    assert first.words == ("B1 lower left", "A4 upper right")
    assert second.words == ("A1 upper left", "B4 lower right")
    # Without the sheets at those corners a length between two that are there takes their place.
    (other,) = check_lengths(grid, {"A2", "B3", "B2"})
    assert other.words == ("A2 lower left", "B3 lower left")
    assert other.length == pytest.approx(math.hypot(180.0, 253.0))
    assert check_lengths(sheet_grid((0.0, 0.0, 50.0, 50.0), paper_of("A4")), {"A1"}) == ()


def test_one_long_page_is_true_beyond_five_metres():
    """Over 14,400 units the page is measured in larger ones, and still comes out true."""
    lay = long_lay()
    content = full_size_long([exact_lay(lay, "silk", "cm")], "silk")
    assert content.startswith(b"%PDF-1.6")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        (page,) = pdf.pages
        assert max(page.width, page.height) <= 14_400
        unit = float(page.page_obj.attrs["UserUnit"])
        assert float(page.width) * unit * MM == pytest.approx(lay.length + 28.0, abs=TRUE)
        assert len(squares(page, 50.0)) == 1
        found = [LineString(ring) for ring in cut_lines(page, 5000.0)]
        for placement in lay.placements:
            outline = LinearRing(placement.outline + np.array([14.0, 24.0]))
            assert min(outline.hausdorff_distance(line) for line in found) < TRUE


def pdfium_sizes(page):
    """Yield width and height of every path of a page in its units, without the width of lines."""
    raw = pypdfium2.raw
    x, y = ctypes.c_float(), ctypes.c_float()
    for found in page.get_objects([raw.FPDF_PAGEOBJ_PATH]):
        corners = []
        for n in range(raw.FPDFPath_CountSegments(found)):
            raw.FPDFPathSegment_GetPoint(raw.FPDFPath_GetPathSegment(found, n), x, y)
            corners.append(found.get_matrix().on_point(x.value, y.value))
        yield np.ptp(corners, axis=0)


@pytest.mark.parametrize("pieces", [1, 2, 4])
def test_a_second_library_measures_the_long_page_alike(pieces):
    """PDFium: size of the page and of the square, times the unit the page states (UserUnit).

    PDFium and poppler take a unit for a point whatever the page states, so their figures are
    multiplied here; the words in the square tell whoever prints from such a viewer.
    """
    lay = long_lay()
    lay = replace(lay, placements=lay.placements[:pieces], length=2745.0 * ((pieces + 1) // 2))
    content = full_size_long([exact_lay(lay, "silk", "cm")], "silk")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        unit = float(pdf.pages[0].page_obj.attrs.get("UserUnit", 1))
        words = pdf.pages[0].extract_text()
    assert unit == math.ceil((lay.length + 28.0) / 5080.0)
    assert ("1/2 of that: print at 200 %" in words) is (unit == 2)
    (page,) = pypdfium2.PdfDocument(content)
    wide, high = (side * unit * MM for side in page.get_size())
    assert (wide, high) == pytest.approx((lay.length + 28.0, lay.cloth_width + 28.0), abs=TRUE)
    sizes = [size * unit * MM for size in pdfium_sizes(page)]
    for known in ((50.0, 50.0), (2740.0, 560.0)):
        assert min(math.dist(size, known) for size in sizes) < TRUE


def test_each_sheet_names_the_pieces_it_shows():
    """A sheet in the midst of a piece still tells which piece it is part of."""
    lay = long_lay()
    drawing = exact_lay(lay, "silk", "cm")
    pdf = pypdfium2.PdfDocument(full_size_sheets([drawing], [paper_of("A3")], "s"))
    for page in list(pdf)[1:]:
        text = page.get_textpage().get_text_bounded()
        assert any(f"{n} train" in text for n in range(1, 5))


@pytest.mark.parametrize(
    ("text", "size"),
    # ISO 216; ANSI Letter
    [
        ("A4", (210, 297)), ("a0", (841, 1189)), ("letter", (215.9, 279.4)),
        ("24 x 36 in", (609.6, 914.4)), ("610mm x 91,4 cm", (610, 914)),
    ],
)  # fmt: skip
def test_papers(text, size):
    """Names in any case, and sizes with their unit."""
    paper = paper_of(text)
    assert (paper.width, paper.height) == pytest.approx(size)
    assert (paper.lying.width, paper.lying.height) == pytest.approx(sorted(size, reverse=True))


@pytest.mark.parametrize("text", ["A9", "610 x 914", "20 x 30 mm", "9 m x 9 m", ""])
def test_papers_that_are_none(text):
    """One line says what may be named."""
    with pytest.raises(ValueError, match="A4, A3, A0, Letter"):
        paper_of(text)


def test_the_same_drawing_gives_the_same_file():
    """No dates, no random marks: byte for byte."""
    drawing = exact_lay(LAY, "damask", "cm")
    one, two = (full_size_sheets([drawing], [Paper("A4", 210, 297)], "t") for _ in range(2))
    assert one == two


def test_sheets_stand_or_lie_as_takes_fewer():
    """A piece 250 mm wide and 160 mm high takes one lying sheet of A4, not two standing ones."""
    piece = pattern("yoke", rectangle(250, 160), quantity=(1, 0))
    paper = paper_of("A4")
    content = full_size_sheets([exact_piece(piece, "yoke", "cm")], [paper, paper.lying], "t")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        (page,) = pdf.pages
        assert page.width > page.height
