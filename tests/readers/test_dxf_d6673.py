"""DXF after ASTM D6673: layers, system text, units, blocks (secondary reading of edition 10)."""

from __future__ import annotations

import numpy as np
import pytest

from nesting.geometry.rings import bounds
from nesting.readers.drawn import DrawnText
from nesting.readers.dxf import read_dxf
from nesting.readers.dxf_d6673 import layer_number, system_text

from .drawings import apart, new_dxf, refused, saved, told

GORE = [(0, 0), (300, 0), (200, 900), (0, 900)]


def gore(document, name="side gore", texts=(), outline=GORE, block="P1"):
    """Draw a piece in a block of its own, put it on the sheet, and return the block."""
    found = document.blocks.new(block)
    found.add_polyline2d(outline, close=True, dxfattribs={"layer": "1"})
    for text in (f"Piece Name: {name}", *texts):
        found.add_text(text, dxfattribs={"layer": "1"})
    document.modelspace().add_blockref(block, (0, 0))
    return found


def style(document, *texts):
    """Write the texts on the sheet, where those of the whole style stand."""
    for text in texts:
        document.modelspace().add_text(text, dxfattribs={"layer": "1"})


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_every_layer_finds_its_place(tmp_path, version):
    """Layers 1 to 15 and 80 to 87 by number (ASTM D6673-10)."""
    document = new_dxf(version=version)
    style(document, "Style Name: storm queen", "Units: METRIC")
    block = gore(document, texts=["Quantity: 1,1", "FOLD : y", "Material:  outer silk"])
    block.add_line((50, 100), (50, 800), dxfattribs={"layer": "7"})
    block.add_line((0, 0), (0, 900), dxfattribs={"layer": "6"})
    block.add_line((10, 10), (90, 10), dxfattribs={"layer": "8"})
    block.add_line((10, 20), (90, 20), dxfattribs={"layer": "9"})
    block.add_line((10, 30), (90, 30), dxfattribs={"layer": "10"})
    block.add_polyline2d([(100, 100), (150, 100), (150, 150)], close=True,
                         dxfattribs={"layer": "11"})  # fmt: skip
    block.add_point((60, 60), dxfattribs={"layer": "13"})
    block.add_polyline2d([(10, 10), (280, 10), (190, 890)], dxfattribs={"layer": "14"})
    block.add_text("cut on the fold", dxfattribs={"layer": "15"}).set_placement((20, 500))
    for x, layer in ((50, "4"), (100, "80"), (150, "81"), (200, "82"), (250, "83")):
        notch = {"layer": layer, "thickness": 3.0, "angle": 90.0}
        block.add_point((x, 0, 6.0), dxfattribs=notch)
    for layer in ("2", "3"):
        block.add_point((0, 0), dxfattribs={"layer": layer})
    block.add_polyline2d(GORE, close=True, dxfattribs={"layer": "84"})
    found = read_dxf(saved(document, tmp_path))
    (piece,) = found.pieces
    assert piece.name == "side gore"
    assert apart(piece.outline, np.array(GORE, dtype=float)) == 0.0
    assert piece.grain == ((50, 100), (50, 800))
    assert set(piece.mirror) == {(0, 0), (0, 900)}
    assert piece.internal_lines[0].tolist() == [[10, 10], [90, 10]]
    assert piece.stripe_lines[0].tolist() == [[10, 20], [90, 20]]
    assert piece.plaid_lines[0].tolist() == [[10, 30], [90, 30]]
    assert len(piece.cutouts) == 1
    assert piece.drill_holes == ((60, 60),)
    assert piece.sew_lines[0].tolist() == [[10, 10], [280, 10], [190, 890]]
    assert [(note.at, note.text) for note in piece.annotations] == [((20, 500), "cut on the fold")]
    assert [(n.at, n.kind, n.depth, n.width, n.angle) for n in piece.notches] == [
        ((x, 0), kind, 6.0, 3.0, pytest.approx(90.0))
        for x, kind in zip(
            (50, 100, 150, 200, 250), ("slit", "T", "castle", "check", "U"), strict=True
        )
    ]
    assert (piece.quantity, piece.may_fold, piece.material) == ((1, 1), True, "outer silk")
    assert piece.system_text["style name"] == "storm queen"
    assert found.notes == ()


@pytest.mark.parametrize(
    ("texts", "codes", "to_mm", "said"),
    [
        (["Units: ENGLISH"], (0, None), 25.4, []),
        (["units:metric"], (0, None), 1.0, []),
        (["Units: METRIC"], (1, None), 1.0, ["Units: METRIC is right and $INSUNITS inches wrong"]),
        (["Units: ENGLISH"], (3, None), 25.4, ["$INSUNITS: 3 is no unit"]),
        ([], (5, None), 10.0, []),
        ([], (5, "in"), 10.0, ["the file names its own unit; in was not used"]),
        ([], (0, "cm"), 10.0, ["read in cm as asked"]),
        ([], (3, "cm"), 10.0, ["$INSUNITS: 3 is no unit", "read in cm as asked"]),
    ],
)
def test_units_by_text_then_header_then_as_asked(tmp_path, texts, codes, to_mm, said):
    """D6673: ENGLISH is inches, METRIC millimetres; DXF reference: $INSUNITS codes."""
    header, asked = codes
    document = new_dxf(header)
    style(document, *texts)
    block = gore(document, outline=[(x / 10, y / 10) for x, y in GORE])
    block.add_line((5, 10), (5, 80), dxfattribs={"layer": "7"})
    block.add_point((5, 0, 0.25), dxfattribs={"layer": "4"})
    found = read_dxf(saved(document, tmp_path), units=asked)
    assert bounds(found.pieces[0].outline) == pytest.approx((0, 0, 30 * to_mm, 90 * to_mm))
    assert found.pieces[0].notches[0].depth == pytest.approx(0.25 * to_mm)
    assert len(found.notes) == len(said)
    for line, part in zip(told(found, "assumed"), said, strict=True):
        assert part in line


def test_unknown_units_are_refused(tmp_path):
    """No unit anywhere, an unknown text, an unknown code, an unknown --units."""
    document = new_dxf(0)
    gore(document)
    path = saved(document, tmp_path)
    refused(path, "does not say in which unit it is drawn", "--units")
    document.header["$INSUNITS"] = 3
    refused(saved(document, tmp_path), "$INSUNITS is 3", "--units")
    style(document, "Units: CUBITS")
    refused(saved(document, tmp_path), "Units: Units is 'CUBITS'", "ENGLISH nor METRIC")


def test_a_mirrored_reference_turns_grain_and_notches(tmp_path):
    """Reflected about the y axis 30 degrees become 150, turned by 90 then 240; up becomes left."""
    document = new_dxf()
    block = gore(document)
    document.modelspace().query("INSERT").first.update_dxf_attribs(
        {"xscale": -1, "rotation": 90.0}
    )
    block.add_line((50, 100), (50, 800), dxfattribs={"layer": "7"})
    block.add_point((0, 300, 6), dxfattribs={"layer": "4", "angle": 30.0})
    piece = read_dxf(saved(document, tmp_path)).pieces[0]
    assert np.subtract(*piece.grain[::-1]) == pytest.approx([-700, 0])
    assert piece.notches[0].angle == pytest.approx(240.0)
    assert piece.notches[0].at == pytest.approx((-300, 0))


@pytest.mark.parametrize(
    ("text", "quantity"),
    [("2,1", (2, 1)), (" 3 , 0 ", (3, 0)), ("2", (2, 0)), ("two", None), ("1,1,1", None),
     ("-1,1", None)],
)  # fmt: skip
def test_quantity_is_as_drawn_and_mirrored(tmp_path, text, quantity):
    """What is not two counts is told and left to the plan."""
    document = new_dxf()
    gore(document, texts=[f"Quantity: {text}"])
    found = read_dxf(saved(document, tmp_path))
    assert found.pieces[0].quantity == quantity
    assert any("Quantity is" in line for line in told(found, "unread")) == (quantity is None)


def test_rules_of_turning_are_left_to_the_plan(tmp_path):
    """Rotation, Flip and Tilt are kept as text and told."""
    document = new_dxf()
    gore(document, texts=["Rotation: 180", "Flip: N", "Fold: maybe"])
    found = read_dxf(saved(document, tmp_path))
    assert found.pieces[0].system_text["rotation"] == "180"
    unread = told(found, "unread")
    assert "side gore: Rotation, Flip: the plan says how a piece may be turned" in unread
    assert "side gore: Fold is 'maybe', neither Y nor N" in unread


def test_other_layers_are_told(tmp_path):
    """A grade reference and a layer of somebody's own are not read, and not in silence."""
    document = new_dxf()
    block = gore(document)
    block.add_line((0, 0), (9, 0), dxfattribs={"layer": "5"})
    block.add_line((0, 0), (9, 0), dxfattribs={"layer": "sketch"})
    block.add_point((0, 0), dxfattribs={"layer": "12"})
    unread = "\n".join(told(read_dxf(saved(document, tmp_path)), "unread"))
    assert "layer 5 has no meaning for cutting (LINE)" in unread
    assert "layer sketch has no meaning for cutting (LINE)" in unread
    assert "layer 12 has no meaning for cutting (POINT)" in unread


def test_grade_rule_marks_are_skipped(tmp_path):
    """TEXT starting with # is a grade-rule mark, not a word for the maker."""
    document = new_dxf()
    gore(document, texts=["# 12", "pin here"])
    (piece,) = read_dxf(saved(document, tmp_path)).pieces
    assert [note.text for note in piece.annotations] == ["pin here"]


def test_a_dense_copy_that_departs_is_told(tmp_path):
    """Layer 84 repeats the boundary densely, so that a reader can check itself."""
    document = new_dxf()
    block = gore(document)
    copy = [*GORE[:2], (253, 450), *GORE[2:]]
    block.add_polyline2d(copy, close=True, dxfattribs={"layer": "84"})
    lines = told(read_dxf(saved(document, tmp_path)), "assumed")
    assert any("copy on layer 84 departs from it by 2.98 mm" in line for line in lines)


def test_sizes_of_one_piece_are_told_apart(tmp_path):
    """Graded blocks share a Piece Name and differ in Size."""
    document = new_dxf()
    gore(document, texts=["Size: 10"])
    gore(document, texts=["Size: 12"], block="P2")
    gore(document, name="collar", texts=["Size: 10"], block="P3")
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["side gore 10", "side gore 12", "collar"]


def test_two_pieces_of_one_name_and_size_are_refused(tmp_path):
    """There is no telling which one the plan means."""
    document = new_dxf()
    gore(document)
    gore(document, block="P2")
    refused(saved(document, tmp_path), "side gore: two pieces of the file have this name")


def test_blocks_that_nothing_refers_to_are_read_and_told(tmp_path):
    """And one without a Piece Name goes by its block's."""
    document = new_dxf()
    gore(document)
    spare = document.blocks.new("SPARE")
    spare.add_polyline2d(GORE, close=True, dxfattribs={"layer": "1"})
    found = read_dxf(saved(document, tmp_path))
    assert [piece.name for piece in found.pieces] == ["side gore", "SPARE"]
    assumed = "\n".join(told(found, "assumed"))
    assert "block SPARE: it is read though nothing refers to it" in assumed
    assert "SPARE: the piece has no Piece Name" in assumed


def test_bad_boundaries_are_refused(tmp_path):
    """Open; two apart; each with the piece's name."""
    document = new_dxf()
    block = document.blocks.new("P1")
    block.add_polyline2d([*GORE, (0, 7)], dxfattribs={"layer": "1"})
    block.add_text("Piece Name: side gore", dxfattribs={"layer": "1"})
    document.modelspace().add_blockref("P1", (0, 0))
    refused(saved(document, tmp_path), "side gore: the outline is open", "7.00 mm apart")
    document = new_dxf()
    block = gore(document)
    block.add_polyline2d([(x + 1000, y) for x, y in GORE], close=True, dxfattribs={"layer": "1"})
    refused(saved(document, tmp_path), "side gore: a second boundary", "one block per piece")


def test_marks_drawn_as_lines(tmp_path):
    """Notches as short lines from the edge inward, drill holes as circles."""
    document = new_dxf()
    block = gore(document)
    block.add_line((50, 0), (50, 8), dxfattribs={"layer": "80"})
    block.add_circle((60, 70), 2, dxfattribs={"layer": "13"})
    block.add_circle((150, 300), 20, dxfattribs={"layer": "14"})
    (piece,) = read_dxf(saved(document, tmp_path)).pieces
    (notch,) = piece.notches
    assert (notch.at, notch.angle, notch.depth, notch.kind) == ((50, 0), 90.0, 8.0, "T")
    assert piece.drill_holes[0] == pytest.approx((60, 70))
    assert piece.sew_lines[0][0] == pytest.approx(piece.sew_lines[0][-1])


def test_open_cutouts_are_refused(tmp_path):
    """By piece and place."""
    document = new_dxf()
    gore(document).add_line((50, 50), (90, 50), dxfattribs={"layer": "11"})
    refused(saved(document, tmp_path), "side gore, cutout: the outline is open", "40.00 mm")


def test_a_piece_drawn_on_the_sheet_itself(tmp_path):
    """Exploded blocks: one piece is read; a block without a boundary is told."""
    document = new_dxf()
    style(document, "Piece Name: collar", "Quantity: 0,1")
    document.modelspace().add_polyline2d(GORE, close=True, dxfattribs={"layer": "1"})
    document.blocks.new("LABEL").add_text("Author: wardrobe", dxfattribs={"layer": "1"})
    document.modelspace().add_blockref("LABEL", (0, 0))
    found = read_dxf(saved(document, tmp_path))
    assert [(piece.name, piece.quantity) for piece in found.pieces] == [("collar", (0, 1))]
    assert "LABEL: no boundary (layer 1) is drawn in it" in told(found, "unread")


def test_outlines_inside_the_boundary_are_cutouts(tmp_path):
    """A closed line on layer 1 inside the boundary can only be cut away; that is told."""
    document = new_dxf()
    gore(document).add_circle((100, 400), 30, dxfattribs={"layer": "1"})
    found = read_dxf(saved(document, tmp_path))
    assert len(found.pieces[0].cutouts) == 1
    assert any("1 outlines inside the boundary are cutouts" in n for n in told(found, "assumed"))


def test_system_text_is_read_tolerantly():
    """Keys in any case with blanks; unknown keys and marks are not system text."""
    lines = ["piece name :  Gore A ", "SIZE NAME:12", "# 1: 2", "note: pin", "Piece Name: B"]
    assert system_text(DrawnText((0, 0), line, "1") for line in lines) == {
        "piece name": "Gore A",
        "size name": "12",
    }
    assert [layer_number(name) for name in ("1", "07", "84", "cut", "1a", "12345")] == [
        1, 7, 84, None, None, None,
    ]  # fmt: skip
