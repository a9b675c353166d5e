"""Markers show every piece where it lies, with its name, hand, top and marks."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from defusedxml import ElementTree
from matplotlib.figure import Figure
from matplotlib.patches import FancyArrowPatch, PathPatch
from shapely.geometry import Polygon

from nesting import Stop, lay_plan
from nesting.errors import InputError
from nesting.model.pattern import Notch
from nesting.model.plan import Cloth, PlanPiece
from nesting.plot.marker import draw_marker, write_marker, write_markers

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores
from ..rules.garments import plan_of
from ..test_joining import gore

_, LAYOUT = two_gores()
LAY = LAYOUT.lays[0]


def drawn(lay, *, size=(10.0, 8.0), **options):
    """Return the axes with a lay drawn on them, and its key."""
    axes = Figure(figsize=size).add_axes((0.1, 0.1, 0.8, 0.8))
    return axes, draw_marker(lay, axes, **options)


def texts(axes):
    """Return every text on the axes."""
    return [text.get_text() for text in axes.texts]


def by_id(axes, gid):
    """Return the artists that bear an id."""
    return [artist for artist in axes.get_children() if artist.get_gid() == gid]


def belt(copies, size=(20.0, 30.0), cloth="silk"):
    """Return a lay of many tiny loops in a row, with gaps."""
    loop = PlanPiece("belt loop", pattern("loop", rectangle(*size)), cloth, copies)
    placed = [put(loop, n + 1, 0.0, (60.0 * n, 100.0)) for n in range(copies)]
    return lay_on(Cloth(cloth, 900.0, 15.0), placed)


def test_every_cut_line_is_drawn_where_it_lies():
    """The paths on the axes are the outlines of the layout, in millimetres, closed."""
    axes, _ = drawn(LAY)
    for placement, gid in zip(LAY.placements, ("gore copy 1 R", "gore copy 2 L"), strict=True):
        (patch,) = by_id(axes, gid)
        assert isinstance(patch, PathPatch)
        np.testing.assert_allclose(patch.get_path().vertices[:-1], placement.outline)


def test_cutouts_are_left_open():
    """A cutout is a second loop of the same path, so it is not filled."""
    frame = PlanPiece(
        "frame",
        pattern("f", rectangle(300, 300), cutouts=(np.array(rectangle(100, 100))[::-1] + 99.0,)),
        "damask",
    )
    axes, _ = drawn(lay_on(DAMASK, [put(frame, 1, 0, (0, 300))]))
    (patch,) = by_id(axes, "frame copy 1")
    filled = sum(Polygon(loop).area for loop in patch.get_path().to_polygons())
    outer, inner = patch.get_path().to_polygons()
    assert filled == pytest.approx(100_000)
    assert Polygon(outer).exterior.is_ccw != Polygon(inner).exterior.is_ccw


def test_arrows_point_to_the_tops():
    """Each grain arrow runs from the bottom to the top of its piece."""
    axes, _ = drawn(LAY)
    for placement, gid in zip(LAY.placements, ("gore copy 1 R", "gore copy 2 L"), strict=True):
        (arrow,) = by_id(axes, f"grain of {gid}")
        assert isinstance(arrow, FancyArrowPatch)
        start, end = arrow._posA_posB
        np.testing.assert_allclose((start, end), placement.grain)
        turned = 0.0 if end[0] > start[0] else 180.0
        assert turned == placement.turned


def test_names_copies_and_hands_are_written_inside_their_pieces():
    """Each label lies within its outline and says name, copy, hand and which side is up."""
    axes, key = drawn(LAY)
    assert key == {}
    for placement, tag in zip(LAY.placements, ("copy 1 R", "copy 2 L"), strict=True):
        (label,) = [t for t in axes.texts if "gore" in t.get_text() and tag in t.get_text()]
        assert ("face down" in label.get_text()) == placement.mirrored
        axes.figure.draw_without_rendering()
        corners = axes.transData.inverted().transform(label.get_window_extent().corners())
        assert Polygon(placement.outline).covers(Polygon(corners[[0, 1, 3, 2]]))


def test_marks_are_drawn_where_they_lie():
    """Sew lines dashed, internal lines dotted, drill holes at their places."""
    axes, _ = drawn(LAY)
    lines = {tuple(map(tuple, np.round(line.get_xydata(), 6))): line for line in axes.lines}
    for placement in LAY.placements:
        for path in placement.sew_lines:
            assert lines[tuple(map(tuple, np.round(path, 6)))].get_linestyle() == "--"
        for path in placement.internal_lines:
            assert lines[tuple(map(tuple, np.round(path, 6)))].is_dashed()
        for hole in placement.drill_holes:
            assert (tuple(np.round(hole, 6)),) in lines
        for point in placement.points.values():
            assert (tuple(np.round(point, 6)),) in lines


@pytest.mark.parametrize("kind", ["slit", "T", "castle", "check", "U", "unheard of"])
@pytest.mark.parametrize("angle", [None, 90.0])
def test_notches_start_on_the_edge_and_go_in(kind, angle):
    """A notch on the foot of a piece points upward whether or not its angle is given."""
    from nesting.plot.notches import notch_lines  # noqa: PLC0415

    ring = np.array(rectangle(100, 200), dtype=float)
    lines = notch_lines(Notch((50.0, 0.0), angle, 6.0, 0.0, kind), ring, 0.5)
    points = np.vstack(lines)
    assert points[:, 1].min() == pytest.approx(0.0, abs=1e-9)
    assert 4.0 < points[:, 1].max() <= 6.0 + 1e-9
    assert points[:, 0].mean() == pytest.approx(50.0, abs=1.0)


def test_cloth_shows_selvages_cut_end_and_length():
    """Hatched bands of the true width, the squared end at 0 and the end of the lay."""
    axes, _ = drawn(LAY)
    (near,), (far,) = by_id(axes, "near selvage"), by_id(axes, "far selvage")
    assert (near.get_y(), near.get_height()) == (-10.0, 10.0)
    assert (far.get_y(), far.get_height()) == (680.0, 10.0)
    assert near.get_hatch()
    (cut,), (end,) = by_id(axes, "squared cut end"), by_id(axes, "end of the lay")
    assert set(cut.get_xdata()) == {0.0}
    assert set(end.get_xdata()) == {500.0}
    assert {"squared cut end", "near selvage", "far selvage"} <= set(texts(axes))
    assert "end of the lay  50.0 cm" in texts(axes)


@pytest.mark.parametrize(("units", "label", "at"), [("cm", "10", 100.0), ("yd", "6", 152.4)])
def test_rulers_count_in_the_makers_unit(units, label, at):
    """Centimetres at every 10, inches at every 6, along and across."""
    axes, _ = drawn(LAY, units=units)
    axes.figure.draw_without_rendering()
    for axis in (axes.xaxis, axes.yaxis):
        marks = dict(zip((t.get_text() for t in axis.get_ticklabels()), axis.get_ticklocs()))  # noqa: B905
        assert marks[label] == pytest.approx(at)


def test_one_way_cloth_bears_an_arrow_with_the_nap():
    """The arrow is there on one-way cloth only, and points along +x as the tops must."""
    axes, _ = drawn(replace(LAY, nap="one-way"))
    (arrow,) = by_id(axes, "nap")
    (x0, _), (x1, _) = arrow._posA_posB
    assert x1 > x0
    assert "one-way cloth, all tops this way" in texts(axes)
    assert by_id(drawn(LAY)[0], "nap") == []


def test_tiny_pieces_bear_numbers_told_in_the_key():
    """What has no room for its name is numbered; numbers are placements, none is lost."""
    lay = belt(12)
    axes, key = drawn(lay, size=(6.0, 6.0))
    assert key == {n: f"belt loop, copy {n}" for n in range(1, 13)}
    assert {str(n) for n in range(1, 13)} <= set(texts(axes))


def test_numbers_do_not_cover_each_other():
    """Numbers led out of a dense row of loops all stand apart."""
    axes, _ = drawn(belt(12), size=(6.0, 6.0))
    axes.figure.draw_without_rendering()
    boxes = [
        Polygon(text.get_window_extent().corners()[[0, 1, 3, 2]])
        for text in axes.texts
        if text.get_text().isdigit()
    ]
    assert len(boxes) == 12
    for n, box in enumerate(boxes):
        assert all(box.intersection(other).area < 1e-6 for other in boxes[:n])


def test_a_window_shows_its_stretch_only():
    """Pieces that end before a window or begin after it are not on it."""
    lay = belt(20, size=(40.0, 50.0))
    axes, _ = drawn(lay, window=(300.0, 600.0))
    assert axes.get_xlim() == (300.0, 600.0)
    shown = {a.get_gid() for a in axes.patches if str(a.get_gid()).startswith("belt loop")}
    inside = {
        f"belt loop copy {p.copy}"
        for p in lay.placements
        if p.outline[:, 0].max() > 300 and p.outline[:, 0].min() < 600
    }
    assert shown == inside
    assert "squared cut end" not in texts(axes)
    assert "continued" in texts(axes)


def test_svg_can_be_read_back(tmp_path):
    """The SVG is XML, and every piece is an element of its own, found by its id."""
    path = write_marker(LAYOUT, tmp_path / "m.svg")
    ids = {element.get("id") for element in ElementTree.parse(path).iter()}
    assert {"gore copy 1 R", "gore copy 2 L", "near selvage", "end of the lay"} <= ids


def test_notches_and_joins_are_named_where_there_are_any(tmp_path):
    """Words of the SVG: both signs for a pieced gore, whose joins are drawn; else neither."""
    plan = plan_of(gore(), width=540.0, nap="one-way")
    pieced = lay_plan(plan, stop=Stop(iterations=3))
    for layout, drawn_joins in ((pieced, 4), (LAYOUT, 0)):
        path = write_marker(layout, tmp_path / "m.svg")
        ids = {element.get("id") or "" for element in ElementTree.parse(path).iter()}
        words = path.read_text(encoding="utf-8")
        assert sum(name.startswith("join 1 of gore, ") for name in ids) == drawn_joins
        assert ("heavy dashed: join" in words) == (drawn_joins > 0)
        notched = any(p.notches for lay in layout.lays for p in lay.placements)
        assert ("short mark: notch" in words) == notched
    assert any(p.notches for p in pieced.lays[0].placements)


def test_pdf_can_be_read_back(tmp_path):
    """One A4 page lying, with the words as text."""
    path = write_marker(LAYOUT, tmp_path / "m.pdf")
    (page,) = pypdf.PdfReader(path).pages
    assert float(page.mediabox.width) == pytest.approx(297 / 25.4 * 72, abs=0.1)
    assert float(page.mediabox.height) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    words = page.extract_text()
    for text in (
        "damask: 0.60 m (3/4 yd) to buy",
        "gore",
        "copy 1 R",
        "64.7 %",
        "squared cut end",
    ):
        assert text in words


@pytest.mark.parametrize("ending", ["svg", "pdf"])
def test_the_same_layout_gives_the_same_file(tmp_path, ending):
    """No dates, no random names: byte for byte."""
    one, two = (write_marker(LAYOUT, tmp_path / f"{n}.{ending}") for n in "ab")
    assert one.read_bytes() == two.read_bytes()


def test_a_long_lay_takes_several_rows_and_pages(tmp_path):
    """Five metres of cloth: several rows in the picture, a page to each in the PDF."""
    band = PlanPiece("band", pattern("band", rectangle(300, 1200)), "damask", 8)
    placed = [
        put(band, n + 1, 0.0, (1250.0 * (n // 2), 300.0 + 310.0 * (n % 2))) for n in range(8)
    ]
    layout = layout_of(lay_on(DAMASK, placed))
    pages = pypdf.PdfReader(write_marker(layout, tmp_path / "m.pdf")).pages
    assert len(pages) > 1
    words = [page.extract_text() for page in pages]
    assert f"row 1 of {len(pages)}" in words[0]
    assert all(any(f"copy {n}" in text for text in words) for n in range(1, 9))
    tall = write_marker(layout, tmp_path / "m.svg").read_text("utf-8")
    short = write_marker(LAYOUT, tmp_path / "s.svg").read_text("utf-8")

    def height(svg):
        return float(ElementTree.parse(io.StringIO(svg)).getroot().get("height")[:-2])

    assert height(tall) > 1.5 * height(short)


def test_one_file_per_cloth_with_a_safe_name(tmp_path):
    """Accents, slashes and twins end in names any system takes; empty lays make none."""
    lays = [replace(LAY, cloth=name) for name in ("Crêpe / silk", "crepe silk", "絹", "../../etc")]
    lays.append(replace(LAY, cloth="empty", placements=()))
    paths = write_markers(replace(LAYOUT, lays=tuple(lays)), tmp_path, formats=("svg",))
    assert [path.name for path in paths] == [
        "marker-crepe-silk.svg", "marker-crepe-silk-2.svg", "marker-cloth.svg", "marker-etc.svg"
    ]  # fmt: skip
    assert sorted(tmp_path.iterdir()) == sorted(paths)


def test_all_cloths_in_one_file(tmp_path):
    """Without an index every cloth is drawn: pages in a PDF, one below the other in a picture."""
    both = replace(LAYOUT, lays=(LAY, replace(LAY, cloth="lining")))
    pages = pypdf.PdfReader(write_marker(both, tmp_path / "m.pdf")).pages
    assert ["damask" in pages[0].extract_text(), "lining" in pages[1].extract_text()] == [True] * 2
    (only,) = pypdf.PdfReader(write_marker(both, tmp_path / "l.pdf", lay_index=1)).pages
    assert "lining" in only.extract_text()
    picture = write_marker(both, tmp_path / "m.png").read_bytes()
    assert picture.startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("layout", "name", "index", "words"),
    [
        (LAYOUT, "m.bmp", None, "end the name in png, svg, pdf"),
        (LAYOUT, "m.svg", 3, "no lay number 3"),
        (replace(LAYOUT, lays=()), "m.svg", None, "no piece is laid"),
    ],
)
def test_what_cannot_be_drawn_is_said(tmp_path, layout, name, index, words):
    """One line, and no file."""
    with pytest.raises(InputError, match=words):
        write_marker(layout, tmp_path / name, lay_index=index)
    assert list(tmp_path.iterdir()) == []


def test_names_are_words_not_formulas(tmp_path):
    """Dollar signs and angle brackets in names are drawn as they are."""
    odd = "lace $2^{nd}$ <b>&"
    placements = tuple(replace(p, piece=odd) for p in LAY.placements)
    layout = replace(LAYOUT, title="$x_1$", lays=(replace(LAY, placements=placements),))
    words = pypdf.PdfReader(write_marker(layout, tmp_path / "m.pdf")).pages[0].extract_text()
    assert "$2^{nd}$" in words
    ElementTree.parse(write_marker(layout, tmp_path / "m.svg"))


def free_beside_a_strip(leftover):
    """Return a lay of one strip 100 across and 600 along, and what it leaves over."""
    strip = PlanPiece("strip", pattern("strip", rectangle(100, 600)), "damask")
    return lay_on(DAMASK, [put(strip, 1, 0, (0, 100))], leftover=leftover)


@pytest.mark.parametrize(
    ("units", "words"), [("cm", "left over, 60 cm by 58 cm"), ("in", "left over, 23 in by 22 in")]
)
def test_a_large_leftover_is_outlined_and_named(units, words):
    """A thin dotted outline where it lies, under the pieces, with its size in the maker's unit."""
    axes, _ = drawn(free_beside_a_strip((0.0, 100.0, 600.0, 680.0)), units=units)
    (patch,) = by_id(axes, "left over")
    assert (*patch.get_xy(), patch.get_width(), patch.get_height()) == (0.0, 100.0, 600.0, 580.0)
    assert patch.get_facecolor()[3] == 0.0
    assert words in [" ".join(text.split("\n")) for text in texts(axes)]


def test_a_leftover_is_drawn_on_the_rows_that_show_it():
    """Cut in rows, each shows its stretch, and a row beyond it nothing."""
    lay = free_beside_a_strip((0.0, 100.0, 300.0, 680.0))
    for window, count in (((0.0, 200.0), 1), ((200.0, 400.0), 1), ((300.0, 600.0), 0)):
        axes, _ = drawn(lay, window=window)
        assert len(by_id(axes, "left over")) == count


@pytest.mark.parametrize(
    "leftover", [None, (0.0, 100.0, 600.0, 249.0), (0.0, 100.0, 149.0, 680.0)]
)
def test_a_small_leftover_is_not_drawn(leftover):
    """Under 15 cm either way it would only crowd the marker."""
    axes, _ = drawn(free_beside_a_strip(leftover))
    assert by_id(axes, "left over") == []
    assert not any("left over" in text for text in texts(axes))
