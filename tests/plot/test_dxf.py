"""DXF after ASTM D6673, read back by the project's own reader and by ezdxf."""

import unicodedata
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LinearRing

from nesting.model.pattern import Annotation, Notch
from nesting.plot.dxf import dxf_of
from nesting.plot.patterns import as_laid
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.rules.compile import compile_lay

from ..handmade import GORE, pattern, rectangle, two_gores

SAMPLE = Path(__file__).parents[2] / "sample_pieces" / "storm_queen.toml"
ROUNDED = 0.0051  # mm: two decimals, as ASTM D6673 has it for metric files (secondary reading)
FULL = replace(
    GORE,
    cutouts=(np.array([(100.0, 50.0), (100.0, 80.0), (130.0, 80.0), (130.0, 50.0)]),),
    mirror=((0.0, 0.0), (300.0, 0.0)),
    stripe_lines=(np.array([(20.0, 20.0), (280.0, 20.0)]),),
    plaid_lines=(np.array([(150.0, 20.0), (150.0, 480.0)]),),
    notches=tuple(
        Notch((30.0 * k, 0.0), 90.0, 6.0, 2.0, kind)
        for k, kind in enumerate(("slit", "T", "castle", "check", "U"), start=1)
    ),
    annotations=(Annotation((60.0, 60.0), "seams 15 mm"),),
    quantity=(2, 1),
    may_fold=True,
    material="damask",
    system_text={"size": "the queen"},
)
BY_LAYER = {
    "1": {"POLYLINE", "TEXT"}, "2": {"POINT"}, "4": {"POINT"}, "6": {"LINE"}, "7": {"LINE"},
    "8": {"LINE"}, "9": {"LINE"}, "10": {"LINE"}, "11": {"POLYLINE"}, "13": {"POINT"},
    "14": {"POLYLINE"}, "15": {"TEXT"}, "80": {"POINT"}, "81": {"POINT"}, "82": {"POINT"},
    "83": {"POINT"},
}  # fmt: skip
"""Layers and entities of ASTM D6673-10 (secondary reading); lines of two points are LINE."""


def read_back(tmp_path, pieces, title="storm queen"):
    """Write pieces to a file and return its path and what the reader makes of it."""
    path = tmp_path / "pieces.dxf"
    path.write_bytes(dxf_of(pieces, title))
    return path, read_pattern(path)


def same(one, other):
    """Assert that two rows of points are the same but for the decimals of the file."""
    assert len(one) == len(other)
    for a, b in zip(one, other, strict=True):
        np.testing.assert_allclose(a, b, atol=ROUNDED)


def test_a_piece_comes_back_with_everything_on_it(tmp_path):
    """Outline, cutouts, lines, notches of every kind, holes, texts, counts: nothing is lost."""
    _, read = read_back(tmp_path, [FULL])
    (piece,) = read.pieces
    assert read.notes == ()
    assert LinearRing(piece.outline).hausdorff_distance(LinearRing(FULL.outline)) < ROUNDED
    assert (piece.name, piece.quantity, piece.material) == ("gore", (2, 1), "damask")
    assert piece.may_fold
    assert piece.system_text["size"] == "the queen"
    assert piece.system_text["style name"] == "storm queen"
    same([piece.grain, piece.mirror], [FULL.grain, FULL.mirror])
    for name in ("sew_lines", "internal_lines", "stripe_lines", "plaid_lines"):
        same(getattr(piece, name), getattr(FULL, name))
    same([piece.drill_holes], [FULL.drill_holes])
    by_kind = {notch.kind: notch for notch in piece.notches}
    for notch in FULL.notches:
        found = by_kind[notch.kind]
        same([found.at], [notch.at])
        assert (found.angle, found.depth, found.width) == (notch.angle, 6.0, 2.0)
    assert [a.text for a in piece.annotations] == ["seams 15 mm"]
    (hole,) = piece.cutouts
    assert LinearRing(hole).hausdorff_distance(LinearRing(FULL.cutouts[0])) < ROUNDED


def test_layers_and_entities_are_the_standards(tmp_path):
    """One block per piece, one reference to each, every role on its numbered layer, R12 text."""
    path, _ = read_back(tmp_path, [FULL, replace(FULL, name="other gore")])
    document = ezdxf.readfile(path)
    assert document.dxfversion == "AC1009"
    references = [e for e in document.modelspace() if e.dxftype() == "INSERT"]
    assert len(references) == len({e.dxf.name for e in references}) == 2
    for reference in references:
        found = {}
        for entity in document.blocks[reference.dxf.name]:
            found.setdefault(entity.dxf.layer, set()).add(entity.dxftype())
        assert found == BY_LAYER
    units = [e.dxf.text for e in document.modelspace().query("TEXT")]
    assert "Units: METRIC" in units
    assert not document.audit().has_errors


def test_the_marker_lies_as_the_lay(tmp_path):
    """Seen through ezdxf, every boundary stands where its placement lies."""
    _, layout = two_gores()
    (lay,) = layout.lays
    path, read = read_back(tmp_path, as_laid(lay))
    model = ezdxf.readfile(path).modelspace()
    rings = [
        np.array([tuple(vertex.dxf.location)[:2] for vertex in entity.vertices])
        for reference in model.query("INSERT")
        for entity in reference.virtual_entities()
        if entity.dxftype() == "POLYLINE" and entity.dxf.layer == "1"
    ]
    same(rings, [placement.outline for placement in lay.placements])
    assert [piece.name for piece in read.pieces] == ["1 gore, copy 1 R", "2 gore, copy 2 L"]


@given(
    st.lists(
        st.text(
            st.characters(
                max_codepoint=0xFFFF, exclude_categories=("C", "Z"), exclude_characters="%\\^#"
            ),
            min_size=1,
        ),
        min_size=1, max_size=4, unique_by=lambda name: unicodedata.normalize("NFC", name),
    )
)  # fmt: skip
def test_names_in_any_script_come_back(names):
    """Piece names keep their letters, in composed form, whatever R12 itself can hold."""
    import tempfile  # noqa: PLC0415 - a fixture would be shared by all examples

    pieces = [pattern(name, rectangle(30, 40)) for name in names]
    with tempfile.TemporaryDirectory() as folder:
        _, read = read_back(Path(folder), pieces)
    composed = [unicodedata.normalize("NFC", name) for name in names]
    assert [piece.name for piece in read.pieces] == composed


def test_the_same_pieces_give_the_same_file():
    """No dates and no random marks."""
    assert dxf_of([FULL], "one") == dxf_of([FULL], "one")


@pytest.mark.parametrize("cloth", ["storm-grey taffeta", "cotton lining", "midnight velvet"])
def test_the_sample_pieces_give_the_same_problem(tmp_path, cloth):
    """Written and read again, the sample pieces compile to the same shapes, items and strip."""
    plan = read_plan(SAMPLE)
    _, read = read_back(tmp_path, list({p.pattern.name: p.pattern for p in plan.pieces}.values()))
    patterns = {piece.name: piece for piece in read.pieces}
    again = replace(
        plan, pieces=tuple(replace(p, pattern=patterns[p.pattern.name]) for p in plan.pieces)
    )
    (chosen,) = (c for c in plan.cloths if c.name == cloth)
    before, after = compile_lay(plan, chosen).problem, compile_lay(again, chosen).problem
    assert [(item.name, item.shapes) for item in before.items] == [
        (item.name, item.shapes) for item in after.items
    ]
    assert before.width == after.width
    for one, other in zip(before.shapes, after.shapes, strict=True):
        # The engine's outlines are simplified, each by itself, so they may differ by as much.
        away = LinearRing(one.outer).hausdorff_distance(LinearRing(other.outer))
        assert away < 0.65
        assert one.area == pytest.approx(other.area, rel=2e-3)
