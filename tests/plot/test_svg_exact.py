"""Exact SVG, read back by the project's own reader and by svgelements."""

import io

import numpy as np
import pytest
from defusedxml import ElementTree
from shapely.geometry import LinearRing
from svgelements import SVG, Path

from nesting.plot.outlines import cloth_lines
from nesting.plot.patterns import as_laid, one_of_each, side_by_side
from nesting.plot.svg_exact import svg_of
from nesting.readers.pattern import read_pattern

from ..handmade import GORE, pattern, rectangle, two_gores

_, LAYOUT = two_gores()
(LAY,) = LAYOUT.lays


def test_the_page_is_as_large_as_the_cloth():
    """Width and height in millimetres, one unit of the viewBox to each (SVG 1.1)."""
    root = ElementTree.fromstring(svg_of(as_laid(LAY), "lay", cloth=cloth_lines(LAY)))
    width, height = (float(root.get(name).removesuffix("mm")) for name in ("width", "height"))
    assert (width, height) == (LAY.length + 10.0, LAY.cloth_width + 10.0)
    assert root.get("viewBox") == f"0 0 {width:.3f} {height:.3f}"


def test_cut_lines_lie_where_the_lay_has_them():
    """svgelements, at 96 px to the inch, finds every outline to a hundredth of a millimetre."""
    content = svg_of(as_laid(LAY), "lay", cloth=cloth_lines(LAY))
    found = SVG.parse(io.BytesIO(content), ppi=96)
    cut = [e for e in found.elements() if isinstance(e, Path) and e.values.get("class") == "cut"]
    assert len(cut) == len(LAY.placements)
    for path, placement in zip(cut, LAY.placements, strict=True):
        px = np.array([(p.x, p.y) for p in path.as_points()])
        mm = px * 25.4 / 96
        ring = np.column_stack([mm[:, 0] - 5.0, LAY.usable_width + LAY.selvage + 5.0 - mm[:, 1]])
        assert LinearRing(ring).hausdorff_distance(LinearRing(placement.outline)) < 0.01


def test_a_piece_can_be_read_as_a_pattern_again(tmp_path):
    """Outline, grain, sew and internal lines, drill holes and slits keep their roles."""
    path = tmp_path / "gore.svg"
    path.write_bytes(svg_of(side_by_side(one_of_each(LAY)), "pieces"))
    read = read_pattern(path)
    (piece,) = read.pieces
    assert read.notes == ()
    assert piece.name == "gore"
    off = piece.outline.min(axis=0) - GORE.outline.min(axis=0)
    assert LinearRing(piece.outline - off).hausdorff_distance(LinearRing(GORE.outline)) < 0.01
    np.testing.assert_allclose(np.array(piece.grain) - off, GORE.grain, atol=0.01)
    for name in ("sew_lines", "internal_lines"):
        ((found,), (wanted,)) = getattr(piece, name), getattr(GORE, name)
        np.testing.assert_allclose(found - off, wanted, atol=0.01)
    np.testing.assert_allclose(np.array(piece.drill_holes) - off, GORE.drill_holes, atol=0.01)
    places = [notch.at - off for notch in piece.notches]
    np.testing.assert_allclose(places, [notch.at for notch in GORE.notches], atol=0.01)


def test_projectors_get_white_on_black():
    """Black behind everything; every stroke white and at least a millimetre wide."""
    root = ElementTree.fromstring(svg_of(as_laid(LAY), "lay", high_contrast=True))
    named = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{named}rect").get("fill") == "#000000"
    strokes = [e for e in root.iter(f"{named}path") if e.get("stroke")]
    assert {e.get("stroke") for e in strokes} == {"#ffffff"}
    assert min(float(e.get("stroke-width")) for e in strokes) >= 1.0


@pytest.mark.parametrize("name", ['<b>&"gore"', "絹の袖", "nul\x00\x1b[0m", "]]> $x$"])
def test_any_name_is_escaped(name):
    """The file stays XML whatever a piece is called; what XML forbids is marked as missing."""
    root = ElementTree.fromstring(svg_of([pattern(name, rectangle(50, 60))], name))
    told = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert told == [name.replace("\x00", "\ufffd").replace("\x1b", "\ufffd")]
