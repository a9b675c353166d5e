"""The demonstration's pieces are drafted soundly, and the committed files are what is drafted."""

import tomllib
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from nesting_cli.sample_pieces import draft
from nesting_cli.sample_pieces.curves import arc, flatten, length, line, point_at, split, trued
from nesting_cli.sample_pieces.draft_bodice import draft_bodice
from nesting_cli.sample_pieces.draft_cape import HOOD_PLEAT, cape_neckline, draft_cape
from nesting_cli.sample_pieces.draft_skirt import (
    FACING_DEPTH,
    UNDERLAP,
    draft_facing,
    draft_gores,
    draft_waistband,
)
from nesting_cli.sample_pieces.draft_sleeve import (
    armhole_length,
    draft_collar,
    draft_cuff,
    draft_sleeve,
    neckline_length,
)
from nesting_cli.sample_pieces.garment import cut_ring, fold_ends, placed_marks, sew_ring
from nesting_cli.sample_pieces.measurements import QUEEN, TRAIN, WAIST_EASE
from shapely import LineString, Point, Polygon

from nesting.planning import compile_lay
from nesting.readers.plan import read_plan
from nesting.report.trims import trim_need

FOLDER = Path(draft.__file__).parent
PLAN = FOLDER / "storm_queen.toml"
PIECES = {
    piece.name: piece
    for piece in (*draft.outer_bodice(), *draft.skirt(), *draft.lining(), *draft_cape())
}
JOINED = 2.0  # mm; common practice: seams sewn together agree, but for ease put in on purpose


@pytest.mark.parametrize(
    ("one", "edge", "other", "other_edge"),
    [
        ("right front", "side seam", "right side body", "side seam"),
        ("left front", "side seam", "left side body", "side seam"),
        ("right side body", "panel seam", "right back", "panel seam"),
        ("left side body", "panel seam", "left back", "panel seam"),
        ("right front", "shoulder", "right back", "shoulder"),
        ("left front", "shoulder", "left back", "shoulder"),
        ("right back", "centre", "left back", "centre"),
        ("upper sleeve", "inner seam", "under sleeve", "inner seam"),
        ("upper sleeve", "outer seam", "under sleeve", "outer seam"),
        ("front gore", "right", "side gore", "left"),
        ("side gore", "right", "back side gore", "left"),
        ("back side gore", "right", "train gore", "left"),
        ("cape back", "shoulder seam", "cape front", "shoulder seam"),
        ("back side gore", "hem", "back side gore hem facing", "hem"),
        ("train gore", "hem", "train gore hem facing", "hem"),
        ("cape front", "front", "cape front band", "front"),
        ("right front lining", "side seam", "right front", "side seam"),
    ],
)
def test_seams_sewn_together_are_equally_long(one, edge, other, other_edge):
    """Neighbouring edges agree within two millimetres (common practice)."""
    assert PIECES[one].seam(edge) == pytest.approx(PIECES[other].seam(other_edge), abs=JOINED)


@pytest.mark.parametrize("side", ["right", "left"])
def test_sleeve_cap_is_eased_into_either_armhole(side):
    """The cap is one to four centimetres longer than the armhole (common practice)."""
    upper, under = draft_sleeve()
    ease = upper.seam("cap") + under.seam("cap") - armhole_length(side)
    assert 10.0 <= ease <= 40.0


def test_collar_cuff_hood_and_waistband_fit_what_they_are_sewn_to():
    """Edges that meet several pieces are as long as these together (common practice)."""
    upper, under = draft_sleeve()
    assert draft_cuff().seam("wrist") == pytest.approx(
        upper.seam("wrist") + under.seam("wrist"), abs=JOINED
    )
    neck = neckline_length("right") + neckline_length("left")
    assert 2 * draft_collar().seam("neck") == pytest.approx(neck, abs=JOINED)
    assert PIECES["hood"].seam("neck") - HOOD_PLEAT == pytest.approx(cape_neckline(), abs=JOINED)
    gores = draft_gores().values()
    pleats = 90.0
    waist = 2 * (sum(gore.seam("waist") for gore in gores) - pleats)
    assert draft_waistband().seam("skirt edge") - UNDERLAP == pytest.approx(waist, abs=JOINED)


def test_bodice_measures_her_waist_and_its_ease():
    """The width of all pieces at the waist, less the darts, is the measured waist and its ease."""
    total = 0.0
    for piece in draft_bodice():
        ring = Polygon(sew_ring(piece))
        across = ring.intersection(LineString([(-500, 0), (500, 0)]))
        low, _, high, _ = across.bounds
        if "front" in piece.name:
            # What lies beyond the centre line laps over the other front.
            low, high = (0.0, high) if piece.name.startswith("left") else (low, 0.0)
            dart_legs = [leg for leg in piece.internal if len(leg) > 1]
            at_waist = sorted(float(leg[0, 3, 0]) for leg in dart_legs)
            at_waist = at_waist if len(at_waist) == 4 else sorted(map(_waist_of, dart_legs))
            total -= at_waist[1] - at_waist[0] + at_waist[3] - at_waist[2]
        total += high - low
    assert total == pytest.approx(QUEEN.waist + 4 * WAIST_EASE, abs=3.0)


def _waist_of(leg):
    points = flatten(leg)
    return float(points[np.abs(points[:, 1]).argmin(), 0])


def test_left_and_right_of_the_bodice_differ():
    """The body is uneven, so no left piece is merely the right one reflected."""
    pieces = {piece.name: Polygon(sew_ring(piece)) for piece in draft_bodice()}
    for part in ("front", "side body", "back"):
        assert abs(pieces[f"right {part}"].area - pieces[f"left {part}"].area) > 50.0


def test_the_train_decides_the_length():
    """The longest piece is the train gore, longer than waist to floor by the train."""
    tall = {name: np.ptp(cut_ring(piece)[:, 1]) for name, piece in PIECES.items()}
    assert max(tall, key=tall.get) == "train gore"
    assert tall["train gore"] > QUEEN.waist_to_floor + TRAIN


@pytest.mark.parametrize("name", sorted(PIECES))
def test_cut_line_keeps_its_allowance(name):
    """Every cut line is simple, contains the sew line, and is nowhere nearer than the allowance.

    Reference: shapely's distance between a point and a line.
    """
    piece = PIECES[name]
    cut, sew = Polygon(cut_ring(piece)), Polygon(sew_ring(piece))
    assert cut.is_valid
    assert sew.is_valid
    assert cut.exterior.is_ccw
    assert cut.buffer(1e-6).contains(sew)
    edge_of_cloth = cut.exterior
    if piece.fold_edge:
        # A fold is no cut: the allowance is kept from what is really cut.
        edge_of_cloth = edge_of_cloth.difference(LineString(fold_ends(piece)).buffer(0.01))
    for edge in piece.edges:
        if edge.name == piece.fold_edge:
            continue
        for share in (0.2, 0.5, 0.8):
            at, _ = point_at(edge.path, share * length(edge.path))
            nearest = edge_of_cloth.distance(Point(at))
            assert nearest == pytest.approx(edge.allowance, abs=0.2)


@pytest.mark.parametrize("name", sorted(PIECES))
def test_marks_lie_on_the_cut_line_and_point_inwards(name):
    """Notches stand on the outline and their angle leads into the piece."""
    cut = Polygon(cut_ring(PIECES[name]))
    for mark in placed_marks(PIECES[name], on_cut_line=True):
        assert cut.exterior.distance(Point(mark.at)) < 0.2
        inward = np.radians(mark.angle)
        tip = Point(mark.at[0] + 5 * np.cos(inward), mark.at[1] + 5 * np.sin(inward))
        assert cut.contains(tip)


def test_curves_against_closed_forms():
    """Lengths and trueing agree with the circle and the straight line (closed form)."""
    quarter = arc((0, 0), 100, 0, 90)
    assert length(quarter) == pytest.approx(50 * np.pi, rel=1e-4)
    assert np.hypot(*flatten(quarter).T) == pytest.approx(100, abs=1e-3)
    first, second = split(quarter, 30.0)
    assert length(first) == pytest.approx(30.0, abs=0.05)
    assert length(first) + length(second) == pytest.approx(length(quarter), abs=1e-3)
    assert length(trued(lambda x: line((0, 0), (x, 0)), 42.0, 1.0, 100.0)) == pytest.approx(42.0)
    with pytest.raises(ValueError, match="cannot true"):
        trued(lambda x: line((0, 0), (x, 0)), 142.0, 1.0, 100.0)


def test_committed_files_are_what_the_drafting_writes(tmp_path):
    """Drafting again gives the committed files: SVG to the letter, DXF entity by entity."""
    draft.write_all(tmp_path)
    committed = sorted(path.name for path in (FOLDER / "pieces").iterdir())
    assert committed == sorted(path.name for path in tmp_path.iterdir())
    for name in committed:
        old, new = FOLDER / "pieces" / name, tmp_path / name
        if name.endswith(".svg"):
            assert old.read_text("utf-8") == new.read_text("utf-8")
        else:
            assert _entities(old) == _entities(new)


def _entities(path):
    found = []
    document = ezdxf.readfile(path)
    for block in document.blocks:
        for entity in block:
            where = [
                entity.dxf.get(key)
                for key in ("start", "end", "insert", "location")
                if entity.dxf.is_supported(key)
            ]
            rounded = [tuple(np.round(point, 2)) for point in where if point is not None]
            if entity.dxftype() == "POLYLINE":
                rounded += [tuple(np.round(p, 2)) for p in entity.points()]
            text = entity.dxf.text if entity.dxftype() == "TEXT" else ""
            found.append((block.name, entity.dxftype(), entity.dxf.layer, text, *rounded))
    return found


@pytest.mark.parametrize("name", ["bodice.dxf", "skirt.dxf"])
def test_dxf_files_follow_the_standard(name):
    """One block and insert per piece, numbered layers, system text and units (ASTM D6673-10)."""
    document = ezdxf.readfile(FOLDER / "pieces" / name)
    assert document.dxfversion == "AC1009"
    texts = [text.dxf.text for text in document.modelspace().query("TEXT[layer=='1']")]
    assert "Units: METRIC" in texts
    inserted = [insert.dxf.name for insert in document.modelspace().query("INSERT")]
    blocks = [block for block in document.blocks if not block.name.startswith(("*", "$"))]
    assert sorted(inserted) == sorted(block.name for block in blocks)
    for block in blocks:
        boundary = block.query("POLYLINE[layer=='1']")
        assert len(boundary) == 1
        assert boundary.first.is_closed
        assert len(block.query("LINE[layer=='7']")) == 1
        texts = [text.dxf.text for text in block.query("TEXT[layer=='1']")]
        piece = next(t.removeprefix("Piece Name: ") for t in texts if t.startswith("Piece Name"))
        right, left = PIECES[piece].quantity
        assert f"Quantity: {right},{left}" in texts
        corners = len(block.query("POINT[layer=='2']")) + len(block.query("POINT[layer=='3']"))
        assert corners == len(list(boundary.first.points()))
        assert bool(block.query("LINE[layer=='6']")) == bool(PIECES[piece].fold_edge)


@pytest.mark.parametrize("name", ["lining.svg", "cape.svg"])
def test_svg_files_are_in_true_size(name):
    """Width and height are in mm and the viewBox counts millimetres (SVG 2, section 8)."""
    root = ET.parse(FOLDER / "pieces" / name).getroot()  # noqa: S314 - our own file
    _, _, width, height = (float(part) for part in root.get("viewBox").split())
    assert root.get("width") == f"{width:g}mm"
    assert root.get("height") == f"{height:g}mm"


def test_plan_is_a_whole_costume():
    """At least 18 distinct pieces and 30 cut pieces on four cloths or more, some one-way."""
    plan = read_plan(PLAN)
    drawn = {(piece.pattern.file, piece.pattern.name) for piece in plan.pieces}
    assert len(drawn) >= 18
    assert sum(piece.copies for piece in plan.pieces) >= 30
    assert len(plan.cloths) >= 4
    assert "one-way" in {cloth.nap for cloth in plan.cloths}
    assert {piece.grain for piece in plan.pieces} >= {"lengthwise", "crosswise", "bias"}
    assert not plan.notes, [str(note) for note in plan.notes]


def test_plan_uses_every_piece_of_every_file():
    """Nothing is drafted in vain, and the plan names nothing that is not there."""
    plan = tomllib.loads(PLAN.read_text("utf-8"))
    assert {piece["name"] for piece in plan["piece"]} == set(PIECES)


def test_every_piece_can_be_laid_on_its_cloth():
    """The plan compiles: no piece is too wide, every hem lies on its outline."""
    plan = read_plan(PLAN)
    used = [cloth for cloth in plan.cloths if plan.pieces_on(cloth.name)]
    listed = {name for layer in plan.layers for name in layer.cloths}
    assert {cloth.name for cloth in plan.cloths} - {cloth.name for cloth in used} <= listed
    for cloth in used:
        if any(piece.piecing is not None for piece in plan.pieces_on(cloth.name)):
            continue  # too wide on purpose: these are divided first
        lay = compile_lay(plan, cloth)
        assert len(lay.tickets) == sum(piece.copies for piece in plan.pieces_on(cloth.name))


def test_trims_are_measured_as_drafted():
    """Braid round the hem of all gores, ribbon round the band, a bone in each channel."""
    plan = read_plan(PLAN)
    needs = {trim.name: trim_need(plan, trim) for trim in plan.trims}
    hems = sum(gore.seam("hem") for gore in draft_gores().values())
    assert needs["hem braid"].measured == pytest.approx(2 * hems, abs=JOINED)
    band = draft_waistband().seam("skirt edge")
    assert needs["waist ribbon"].measured == pytest.approx(band, abs=JOINED)
    bones = [path for piece in draft_bodice() for path in piece.internal[len(piece.drills) :]]
    assert len(bones) == 9
    assert needs["boning"].measured == pytest.approx(sum(map(length, bones)), abs=JOINED)


def test_what_is_read_is_what_was_drafted():
    """Outlines, folds and marks come back from the files as they were drafted, moved only."""
    plan = read_plan(PLAN)
    for piece in plan.pieces:
        drafted, read = PIECES[piece.pattern.name], piece.pattern
        on_cut = read.file.endswith(".dxf")
        expected = Polygon(cut_ring(drafted) if on_cut else sew_ring(drafted))
        found = Polygon(read.outline)
        assert found.area == pytest.approx(expected.area, rel=2e-4)
        assert found.length == pytest.approx(expected.length, rel=2e-4)
        assert (read.mirror is not None) == bool(drafted.fold_edge)
        assert len(read.notches) == len(drafted.marks)
        assert len(read.drill_holes) == len(drafted.drills)
        assert len(read.internal_lines) == len(drafted.internal)
        (x0, y0), (x1, y1) = read.grain
        (u0, v0), (u1, v1) = drafted.grain
        assert (x1 - x0, y1 - y0) == pytest.approx((u1 - u0, v1 - v0), abs=0.02)


def test_facings_are_bands_of_even_depth():
    """A hem facing is as deep as it should be, square to the hem, all along (within 1 cm)."""
    gores = draft_gores()
    for name in ("back side gore", "train gore"):
        facing = draft_facing(gores[name])
        top = LineString(flatten(facing.edge("top").path))
        hem = facing.edge("hem").path
        depths = [
            top.distance(Point(point_at(hem, share * length(hem))[0])) for share in (0.2, 0.5, 0.8)
        ]
        assert depths == pytest.approx([FACING_DEPTH] * 3, abs=10.0)
