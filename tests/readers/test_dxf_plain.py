"""Plain DXF drawings: pieces, cutouts, names, lines told by their layer, what is not read."""

from __future__ import annotations

import numpy as np
import pytest

from nesting.geometry.rings import signed_area
from nesting.readers.dxf import read_dxf

from .drawings import new_dxf, refused, saved, told

SQUARE = np.array([(0, 0), (100, 0), (100, 100), (0, 100)], dtype=float)


def square(model, at=(0, 0), size=1.0, layer="0"):
    """Draw a closed square of 100 mm times ``size``, its lower left corner ``at``."""
    model.add_lwpolyline(SQUARE * size + at, close=True, dxfattribs={"layer": layer})


def test_nested_outlines_are_cutouts_and_those_inside_them_pieces(tmp_path):
    """Square in square in square: a piece with a hole, and a piece lying in the hole."""
    document = new_dxf()
    model = document.modelspace()
    square(model, layer="frame")
    square(model, (10, 10), 0.8, "hole")
    square(model, (20, 20), 0.6, "patch")
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["frame", "patch"]
    (cutout,) = found.pieces[0].cutouts
    assert signed_area(cutout) == pytest.approx(-6400.0)
    assert found.pieces[1].cutouts == ()


def test_names_come_from_block_layer_or_text(tmp_path):
    """In this order; an outline nothing names is numbered, and that is said."""
    document = new_dxf()
    model = document.modelspace()
    block = document.blocks.new("hood")
    square(block)
    block.add_text("cut 2").set_placement((20, 50))
    model.add_blockref("hood", (0, 0))
    square(model, (200, 0), layer="cape")
    square(model, (400, 0), layer="pieces")
    square(model, (600, 0), layer="pieces")
    model.add_text("collar").set_placement((420, 50))
    model.add_text("# 3").set_placement((420, 20))
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["hood", "cape", "collar", "outline 3"]
    assert [note.text for note in found.pieces[0].annotations] == ["cut 2"]
    assert [note.text for note in found.pieces[2].annotations] == ["collar"]
    assert any("100 x 100 mm at (600, 0) mm; it was numbered" in n for n in told(found, "assumed"))


def test_layers_tell_roles(tmp_path):
    """Lines on layers named by a role take it, in the piece they lie in."""
    document = new_dxf()
    model = document.modelspace()
    square(model, layer="front")
    square(model, (200, 0), layer="back")
    square(model, (210, 10), 0.8, "Sew line")
    model.add_line((250, 90), (250, 10), dxfattribs={"layer": "GRAIN"})
    model.add_line((50, 100), (50, 95), dxfattribs={"layer": "notch-T"})
    model.add_point((0, 50), dxfattribs={"layer": "notch"})
    model.add_circle((30, 30), 1, dxfattribs={"layer": "drill"})
    square(model, (40, 40), 0.1, "cutout")
    found = read_dxf(saved(document, tmp_path))
    front, back = found.pieces
    assert back.grain == ((250, 90), (250, 10))
    assert len(back.sew_lines[0]) == 5
    assert [(n.at, n.kind, n.angle, n.depth) for n in front.notches] == [
        ((50, 100), "T", 270.0, 5.0),
        ((0, 50), "slit", None, 0.0),
    ]
    assert front.drill_holes[0] == pytest.approx((30, 30), abs=0.05)
    assert signed_area(front.cutouts[0]) == pytest.approx(-100.0)
    assert back.notches == ()


def test_what_is_not_read_is_told(tmp_path):
    """Dimensions, hidden layers, stray texts, points and lines: each is said, none read."""
    document = new_dxf()
    model = document.modelspace()
    square(model, layer="gore")
    model.add_linear_dim(base=(0, -20), p1=(0, 0), p2=(100, 0)).render()
    document.layers.add("old").off()
    square(model, (5, 5), 0.5, "old")
    model.add_text("storm queen").set_placement((500, 500))
    model.add_point((50, 50), dxfattribs={"layer": "marks"})
    model.add_line((500, 0), (600, 0), dxfattribs={"layer": "ruler"})
    model.add_lwpolyline([(20, 20), (30, 40), (40, 20)], dxfattribs={"layer": "dart"})
    model.add_hatch().paths.add_polyline_path([(0, 0), (9, 0), (9, 9)])
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["gore"]
    unread = "\n".join(told(found, "unread"))
    for part in (
        "DIMENSION", "layer old: hidden LWPOLYLINE", "'storm queen' is in no piece",
        "layer marks: POINT", "on layer ruler: a straight line", "HATCH",
    ):  # fmt: skip
        assert part in unread
    assert found.pieces[0].cutouts == ()
    assert found.pieces[0].internal_lines[0].tolist() == [[20, 20], [30, 40], [40, 20]]
    assert "gore: open lines on layer dart are drawn on the piece, not cut" in told(
        found, "assumed"
    )


def test_a_block_drawn_twice_is_one_piece(tmp_path):
    """The plan says how often a piece is cut, not the drawing."""
    document = new_dxf()
    square(document.blocks.new("gore"))
    for x in (0, 200):
        document.modelspace().add_blockref("gore", (x, 0))
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["gore"]
    assert any("drawn 2 times and read once" in line for line in told(found, "assumed"))


def test_a_block_without_an_outline_is_a_mark(tmp_path):
    """A notch drawn as a block and put on a piece several times is a notch each time."""
    document = new_dxf()
    square(document.modelspace(), layer="gore")
    document.blocks.new("mark").add_line((0, 0), (0, 5), dxfattribs={"layer": "notch"})
    for x in (20, 40, 60):
        document.modelspace().add_blockref("mark", (x, 0))
    (piece,) = read_dxf(saved(document, tmp_path)).pieces
    assert [notch.at for notch in piece.notches] == [(20, 0), (40, 0), (60, 0)]


def test_small_circles_inside_are_drill_holes(tmp_path):
    """A circle of 3 mm is drilled, one of 30 mm is cut out."""
    document = new_dxf()
    square(document.modelspace(), layer="gore")
    document.modelspace().add_circle((20, 20), 1.5)
    document.modelspace().add_circle((60, 60), 15)
    found = read_dxf(saved(document, tmp_path))
    assert found.pieces[0].drill_holes == ((20.0, 20.0),)
    assert len(found.pieces[0].cutouts) == 1
    assert any("3.00 mm across is a drill hole" in line for line in told(found, "assumed"))


def test_bad_outlines_are_refused_by_name(tmp_path):
    """Open, crossing, of no area, too small, too large, drawn twice, of one name."""
    cases = [
        ([(0, 0), (100, 0), (100, 100), (0, 3)], False, "the outline is open", "3.00 mm apart"),
        ([(0, 0), (100, 100), (100, 0), (0, 90)], True, "crosses itself at (", "gore"),
        ([(0, 0), (100, 0), (200, 0)], True, "encloses no area", "gore"),
        ([(0, 0), (4, 0), (4, 4)], True, "measures 4 x 4 mm, under the 5 mm", "gore"),
        ([(0, 0), (30000, 0), (0, 400)], True, "30000 x 400 mm, over the 20 m", "units"),
    ]
    for points, closed, *said in cases:
        document = new_dxf()
        document.modelspace().add_lwpolyline(points, close=closed, dxfattribs={"layer": "gore"})
        refused(saved(document, tmp_path), *said)


def test_an_outline_drawn_twice_is_refused(tmp_path):
    """Both entities are named, whatever their first point and direction."""
    document = new_dxf()
    square(document.modelspace())
    document.modelspace().add_lwpolyline(np.roll(SQUARE[::-1], 1, axis=0), close=True)
    refused(saved(document, tmp_path), "drawn twice", "LWPOLYLINE", "delete one")


def test_two_pieces_of_one_name_are_refused(tmp_path):
    """Two outlines with the same text inside."""
    document = new_dxf()
    for x in (0, 200):
        square(document.modelspace(), (x, 0))
        document.modelspace().add_text("gore").set_placement((x + 20, 50))
    refused(saved(document, tmp_path), "gore", "two pieces of the file have this name")


@pytest.mark.parametrize("value", ["nan", "inf"])
def test_coordinates_that_are_no_numbers_are_refused(tmp_path, value):
    """The library reads them as floats; they must not get further."""
    document = new_dxf(version="R2000")
    square(document.modelspace(), (12345, 0), layer="gore")
    path = saved(document, tmp_path)
    path.write_text(path.read_text().replace("12345.0", value))
    refused(path, "on layer gore", value)


def test_a_drawing_without_outlines_is_refused(tmp_path):
    """A single line is no pattern."""
    document = new_dxf()
    document.modelspace().add_line((0, 0), (100, 0))
    refused(saved(document, tmp_path), "no closed outline")


def test_a_cutout_over_the_edge_is_refused(tmp_path):
    """Told with its place."""
    document = new_dxf()
    square(document.modelspace(), layer="gore")
    square(document.modelspace(), (60, 40), 0.5, "cutout")
    refused(saved(document, tmp_path), "gore", "cutout at (", "reaches over the outline")
