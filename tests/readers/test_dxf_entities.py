"""DXF entities against closed forms: arcs, bulges, ellipses, splines, blocks and inserts."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from ezdxf.math import Bezier4P, Vec3
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import tolerances
from nesting.geometry.rings import bounds, signed_area
from nesting.readers.dxf import read_dxf
from nesting.readers.outline import clean_outline

from .drawings import apart, new_dxf, refused, rings, saved, told


def only(path, **options):
    """Read the one piece of a file."""
    found = read_dxf(path, **options)
    assert len(found.pieces) == 1
    return found.pieces[0]


def assert_on_circle(points, centre, radius):
    """Points on a circle, the chords between neighbours at most the tolerance inside it."""
    away = np.hypot(*(points - centre).T)
    assert np.abs(away - radius).max() < 1e-6
    middles = (points[1:] + points[:-1]) / 2.0
    assert (radius - np.hypot(*(middles - centre).T)).max() <= tolerances.FLATTEN + 1e-9


@settings(max_examples=25, deadline=None)
@given(
    rings(),
    st.sampled_from([(1, 25.4), (4, 1.0), (5, 10.0), (6, 1000.0), (10, 914.4), (14, 100.0)]),
    st.sampled_from(["R12", "R2000", "R2010"]),
    st.booleans(),
)
def test_outlines_come_back_from_dxf(tmp_path_factory, ring, unit, version, as_lines):
    """Any ring, written by ezdxf as polyline or loose lines in any unit, is read back."""
    code, to_mm = unit
    document = new_dxf(code, version)
    model = document.modelspace()
    drawn = ring / to_mm
    if as_lines:
        for start, end in zip(drawn, np.roll(drawn, -1, axis=0), strict=True):
            model.add_line(start, end, dxfattribs={"layer": "gore"})
    else:
        model.add_polyline2d(drawn, close=True, dxfattribs={"layer": "gore"})
    path = saved(document, tmp_path_factory.mktemp("dxf"))
    units = {25.4: "in", 1.0: "mm", 10.0: "cm", 1000.0: "m", 914.4: "yd"}.get(to_mm)
    if version == "R12" and units is None:
        refused(path, "does not say in which unit", "--units")
        return
    piece = only(path, units=units if version == "R12" else None)
    assert piece.name == "gore"
    assert apart(piece.outline, clean_outline(ring, file="f", item="i").ring) < 0.01
    assert signed_area(piece.outline) > 0


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("kind", ["lwpolyline", "polyline"])
def test_a_bulge_of_one_is_a_semicircle(tmp_path, kind, clockwise):
    """DXF reference: bulge = tan(angle / 4), so 1 is half a circle, area pi r^2 / 2."""
    document = new_dxf()
    corners = [(0, 0, 1.0), (200, 0, 0.0)] if not clockwise else [(200, 0, -1.0), (0, 0, 0.0)]
    model = document.modelspace()
    if kind == "lwpolyline":
        model.add_lwpolyline(corners, format="xyb", close=True)
    else:
        model.add_polyline2d(corners, format="xyb", close=True)
    outline = only(saved(document, tmp_path)).outline
    area = math.pi * 100.0**2 / 2.0
    assert 0.0 <= area - signed_area(outline) <= tolerances.FLATTEN * math.pi * 100.0
    left, low, right, high = bounds(outline)
    # Positive bulge, counter-clockwise from (0, 0) to (200, 0): the arc hangs below the line.
    assert (left, right, high) == pytest.approx((0.0, 200.0, 0.0), abs=1e-9)
    assert low == pytest.approx(-100.0, abs=tolerances.FLATTEN)


@settings(max_examples=25, deadline=None)
@given(st.floats(-3.0, 3.0).filter(lambda bulge: abs(bulge) > 0.05), st.floats(20.0, 5000.0))
def test_any_bulge_has_the_area_of_its_segment(tmp_path_factory, bulge, chord):
    """Circular segment: r = chord (1 + b^2) / (4 |b|), angle = 4 atan |b|."""
    radius = chord * (1 + bulge**2) / (4 * abs(bulge))
    angle = 4 * math.atan(abs(bulge))
    if 2 * radius > tolerances.LARGEST_PIECE:
        return
    document = new_dxf()
    document.modelspace().add_lwpolyline([(0, 0, bulge), (chord, 0, 0)], format="xyb", close=True)
    outline = only(saved(document, tmp_path_factory.mktemp("dxf"))).outline
    area = radius**2 * (angle - math.sin(angle)) / 2
    assert -1e-6 * area <= area - signed_area(outline) <= tolerances.FLATTEN * radius * angle


def test_a_circle_is_flattened_to_a_tenth(tmp_path):
    """A circle skirt of 91.4 cm radius."""
    document = new_dxf()
    document.modelspace().add_circle((10, 20), 914.0)
    outline = only(saved(document, tmp_path)).outline
    assert_on_circle(np.vstack([outline, outline[:1]]), (10, 20), 914.0)


def test_lines_and_arcs_join_to_a_stadium(tmp_path):
    """Two half circles of radius r and two lines of length a: area pi r^2 + 2 r a."""
    document = new_dxf()
    model = document.modelspace()
    model.add_arc((300, 0), 50, -90, 90)
    model.add_line((0, 50), (300, 50.03))
    model.add_line((300, -50), (0, -50))
    model.add_arc((0, 0), 50, 90, 270)
    outline = only(saved(document, tmp_path)).outline
    area = math.pi * 50**2 + 2 * 50 * 300
    assert signed_area(outline) == pytest.approx(area, abs=tolerances.FLATTEN * math.pi * 100)


@pytest.mark.parametrize("ratio", [1.0, 0.5, 0.05])
def test_an_ellipse_stays_within_a_tenth(tmp_path, ratio):
    """x^2/a^2 + y^2/b^2 = 1 at every point; area pi a b."""
    a, b = 800.0, 800.0 * ratio
    document = new_dxf()
    document.modelspace().add_ellipse((0, 0), (a, 0), ratio)
    outline = only(saved(document, tmp_path)).outline
    x, y = outline.T
    assert np.abs(x**2 / a**2 + y**2 / b**2 - 1).max() < 1e-9
    true = shapely.LinearRing(
        [(a * math.cos(t), b * math.sin(t)) for t in np.linspace(0, 2 * math.pi, 20001)[:-1]]
    )
    assert true.hausdorff_distance(shapely.LinearRing(outline)) <= tolerances.FLATTEN


def test_a_cubic_spline_is_its_bezier(tmp_path):
    """A spline of degree 3 on 4 control points is the Bezier curve of those points."""
    points = [(0, 0), (0, 600), (900, 700), (900, 0)]
    document = new_dxf()
    document.modelspace().add_open_spline([(x, y, 0) for x, y in points])
    document.modelspace().add_line((900, 0), (0, 0))
    outline = only(saved(document, tmp_path)).outline
    curve = Bezier4P([Vec3(x, y) for x, y in points])
    true = shapely.LinearRing([(v.x, v.y) for v in curve.approximate(5000)])
    assert true.hausdorff_distance(shapely.LinearRing(outline)) <= tolerances.FLATTEN


def test_spline_frames_of_old_polylines_are_not_corners(tmp_path):
    """A spline-fit polyline also stores its frame (vertex flag 16), which is not drawn."""
    document = new_dxf(version="R2000")
    line = document.modelspace().add_polyline2d(
        [(0, 0), (100, 0), (100, 100), (0, 100)], close=True
    )
    line.append_vertex((500, 500), dxfattribs={"flags": 16})
    line.dxf.flags |= 4
    assert bounds(only(saved(document, tmp_path)).outline) == (0, 0, 100, 100)


TRIANGLE = [(0, 0), (100, 0), (0, 50)]


@pytest.mark.parametrize(
    ("attributes", "corners"),
    [
        ({}, [(10, 20), (110, 20), (10, 70)]),
        ({"rotation": 90}, [(10, 20), (10, 120), (-40, 20)]),
        ({"xscale": 2, "yscale": 3}, [(10, 20), (210, 20), (10, 170)]),
        ({"xscale": -1}, [(10, 20), (-90, 20), (10, 70)]),
        ({"xscale": -1, "rotation": 90}, [(10, 20), (10, -80), (-40, 20)]),
    ],
)
def test_inserts_place_turn_scale_and_mirror(tmp_path, attributes, corners):
    """DXF reference: scale first, then turn about the insertion point, then place."""
    document = new_dxf()
    block = document.blocks.new("gore")
    block.add_lwpolyline(TRIANGLE, close=True)
    document.modelspace().add_blockref("gore", (10, 20), dxfattribs=attributes)
    piece = only(saved(document, tmp_path))
    assert piece.name == "gore"
    assert apart(piece.outline, np.array(corners, dtype=float)) < 1e-9
    assert signed_area(piece.outline) > 0


def test_a_mirrored_bulge_bends_the_other_way(tmp_path):
    """Reflected about the y axis and magnified ten times, curves stay within a tenth."""
    document = new_dxf()
    block = document.blocks.new("half moon")
    block.add_lwpolyline([(0, 0, 1.0), (0, 20, 0.0)], format="xyb", close=True)
    document.modelspace().add_blockref(
        "half moon", (0, 0), dxfattribs={"xscale": -50, "yscale": 50}
    )
    outline = only(saved(document, tmp_path)).outline
    arc = outline[outline[:, 0] < -1e-6]
    assert_on_circle(arc[np.argsort(np.arctan2(*(arc - (0, 500)).T))], (0, 500), 500.0)


def test_blocks_in_blocks_and_base_points(tmp_path):
    """The inner block moves by (100, 0), the outer by (0, 1000) less its base point (7, 7)."""
    document = new_dxf()
    document.blocks.new("inner").add_lwpolyline(TRIANGLE, close=True)
    outer = document.blocks.new("outer", base_point=(7, 7))
    outer.add_blockref("inner", (100, 0))
    document.modelspace().add_blockref("outer", (0, 1000))
    piece = only(saved(document, tmp_path))
    assert bounds(piece.outline) == pytest.approx((93, 993, 193, 1043))


def test_entities_drawn_from_below_are_seen_from_above(tmp_path):
    """Extrusion (0, 0, -1) mirrors the entity's own coordinates: x becomes -x."""
    document = new_dxf()
    document.modelspace().add_lwpolyline(
        TRIANGLE, close=True, dxfattribs={"extrusion": (0, 0, -1)}
    )
    assert bounds(only(saved(document, tmp_path)).outline) == pytest.approx((-100, 0, 0, 50))


def test_heights_are_flattened_and_told(tmp_path):
    """A 3D polyline is read from above."""
    document = new_dxf()
    document.modelspace().add_polyline3d([(0, 0, 5), (100, 0, 9), (0, 50, 5)], close=True)
    found = read_dxf(saved(document, tmp_path))
    assert bounds(found.pieces[0].outline) == (0, 0, 100, 50)
    assert any("height (z)" in line for line in told(found, "assumed"))


def test_blocks_without_end_are_refused(tmp_path):
    """Nine blocks deep is a slip of the drawing program, and so is a grid of a million."""
    document = new_dxf()
    document.blocks.new("b0").add_lwpolyline(TRIANGLE, close=True)
    for depth in range(1, 10):
        document.blocks.new(f"b{depth}").add_blockref(f"b{depth - 1}", (0, 0))
    document.modelspace().add_blockref("b9", (0, 0))
    refused(saved(document, tmp_path), "more than 8 deep", "block b")
    document = new_dxf()
    document.blocks.new("b0").add_lwpolyline(TRIANGLE, close=True)
    grid = {"row_count": 1000, "column_count": 1000, "row_spacing": 1, "column_spacing": 1}
    document.modelspace().add_blockref("b0", (0, 0), dxfattribs=grid)
    refused(saved(document, tmp_path), "more than 200000 entities")
