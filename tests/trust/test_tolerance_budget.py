"""From the file to the chalk line: what each step may move the cut line, and all of it together.

The figures stand in DEVELOPERS.md; each step is measured here, or by the test named there.
"""

import csv
import json
import math
from functools import cache

import ezdxf
import numpy as np
import pdfplumber
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import SVG, Path

from nesting import tolerances
from nesting.drawings import DrawingOptions, write_drawing
from nesting.errors import InputError
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.plot import dxf, hpgl
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.report.chalk import WITHIN
from nesting.report.layout_file import write_layout
from nesting.rules.allowance import add_allowance

from ..plot.test_hpgl import plotted
from ..readers.drawings import new_dxf
from ..rules.garments import piece, plan_of, star_outlines

IN_ALL = 0.5  # mm
BEFORE = (
    tolerances.FLATTEN  # curves to chords, and these along an allowance
    + tolerances.JOIN_ENDS  # ends of lines that meet
    + 4 * tolerances.SAME_POINT  # units, repeated and needless points, integers of the allowance
    + 2e-5  # spikes and slits of no width that rounding left along an allowance
    + tolerances.CONGRUENT  # placed on the cloth: what the check lets pass
)
"""Most that the cut line of a layout may be off the curve of the file, mm."""
AFTER = {
    "json": 0.0,
    "svg": math.hypot(0.0005, 0.0005) + math.hypot(5e-5, 5e-5),  # its page, its points
    "dxf": math.hypot(0.5, 0.5) * 10.0**-dxf._DECIMALS,
    "plt": math.hypot(0.5, 0.5) / hpgl.UNITS_PER_MM,
    "pdf": 0.01,
    "csv": WITHIN + math.hypot(0.005, 0.005),  # chalk points, and their hundredths
}
"""Most that each file made of a layout may be off its cut line, mm."""

SMOOTH = """<svg xmlns="http://www.w3.org/2000/svg" width="12in" height="12in" viewBox="0 0 12 12">
<g id="yoke"><path d="M 1 1.25 A .25 .25 0 0 1 1.25 1 H 6"/>
<path d="M 6.0015 1.0005 C 9 1 8 7 6 7 H 1.5 A .5 .5 0 0 1 1 6.5 V 1.25"/>
<line class="grain" x1="3" y1="5" x2="3" y2="2"/></g></svg>"""
"""Inches; a smooth outline of two arcs, a cubic and straight lines, its ends 0.04 mm apart."""
SEAM = 15.0
GRAIN = np.array([3 - 5j, 3 - 2j]) * 25.4  # y up


def arc(centre, radius, start, end):
    """Return points of an arc, degrees counter-clockwise as seen in the file (y down)."""
    return centre + radius * np.exp(1j * np.radians(np.linspace(start, end, 400)))


def true_curve():
    """Return the outline that the file means, in mm with y up, to the thousandth."""
    t = np.linspace(0, 1, 4000)
    a, b, c, d = 6 + 1j, 9 + 1j, 8 + 7j, 6 + 7j
    cubic = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    corners = arc(1.25 + 1.25j, 0.25, 180, 270), cubic, arc(1.5 + 6.5j, 0.5, 90, 180)
    return np.concatenate(corners).conj() * 25.4


def ring_of(points):
    """Return complex points, or rows of two, as a closed line."""
    if np.iscomplexobj(points):
        points = np.column_stack([points.real, points.imag])
    return shapely.LinearRing(points)


def apart(one, other):
    """Return how far two closed lines are apart, both ways, mm."""
    return shapely.hausdorff_distance(one, other, densify=0.02)


@cache
def laid(folder):
    """Return the layout of the yoke with its seam allowance, and the true cut line as it lies."""
    (folder / "yoke.svg").write_text(SMOOTH, "utf-8")
    plan = folder / "yoke.toml"
    plan.write_text(
        'units = "in"\n[[cloth]]\nname = "c"\nwidth = "54 cm"\n[[piece]]\nname = "yoke"\n'
        f'file = "yoke.svg"\ncloth = "c"\nallowance = "{SEAM:g} mm"\n', "utf-8"
    )  # fmt: skip
    layout = lay_plan(read_plan(plan), stop=Stop(iterations=10), workers=1)
    first, second = (complex(*end) for end in layout.lays[0].placements[0].grain)
    curve = true_curve()
    placed = first + (curve - GRAIN[0]) * (second - first) / (GRAIN[1] - GRAIN[0])
    cut = shapely.Polygon(ring_of(placed)).buffer(SEAM, quad_segs=512)
    return layout, cut.exterior


@pytest.fixture(scope="module")
def yoke(tmp_path_factory):
    """Return the layout of the yoke, its true cut line, and a folder."""
    folder = tmp_path_factory.mktemp("yoke")
    return *laid(folder), folder


def read_back(ending, layout, folder):
    """Return the cut line in a file made of a layout, read by another library."""
    (lay,) = layout.lays
    options = DrawingOptions(full_size=True, paper="long" if ending == "pdf" else None)
    path = folder / f"lay.{ending}"
    if ending == "json":
        (found,) = json.loads(write_layout(layout, path).read_text("utf-8"))["lays"]
        return ring_of(np.array(found["placements"][0]["outline"]))
    write_drawing(layout, path, options)
    if ending == "svg":
        paths = [e for e in SVG.parse(path, ppi=96).elements() if isinstance(e, Path)]
        (cut,) = (e for e in paths if e.values.get("class") == "cut")
        mm = np.array([complex(p.x, p.y) for p in cut.as_points()]) * 25.4 / 96
        return ring_of((mm - 5 - 1j * (lay.cloth_width + 5)).conj())
    if ending == "dxf":
        document = ezdxf.readfile(path)
        lines = [e for block in document.blocks for e in block.query("POLYLINE[layer=='1']")]
        return ring_of(np.array([tuple(p)[:2] for p in lines[0].points()]))
    if ending == "plt":
        (page,) = plotted(path.read_bytes())
        strokes = [np.array(points) for pen, points in page["strokes"] if pen == 1]
        return ring_of(max(strokes, key=len) / 40.0)
    if ending == "pdf":
        with pdfplumber.open(path) as pdf:
            (sheet,) = pdf.pages
            curves = [curve["pts"] for curve in sheet.curves]
            points = np.array(max(curves, key=len)) * 25.4 / 72
        points[:, 1] *= -1.0
        here = lay.placements[0].outline
        return ring_of(points + (here.min(axis=0) - points.min(axis=0)))
    rows = csv.DictReader(path.read_text("utf-8").splitlines())
    line = [row for row in rows if row["kind"] in {"corner", "curve"}]
    return ring_of(np.array([(float(r["along mm"]), float(r["across mm"])) for r in line]))


@pytest.mark.parametrize("ending", AFTER)
def test_from_the_file_to_every_export(yoke, ending):
    """The yoke's curve in the file, its allowance added, against its line in the export."""
    layout, cut, folder = yoke
    found = read_back(ending, layout, folder)
    assert apart(found, cut) < IN_ALL
    assert apart(found, cut) <= BEFORE + AFTER[ending]


@pytest.mark.parametrize("ending", AFTER)
def test_every_export_keeps_its_share(yoke, ending):
    """The line in the export against the cut line of the layout: rounding, and chalk points."""
    layout, _, folder = yoke
    own = ring_of(layout.lays[0].placements[0].outline)
    assert apart(read_back(ending, layout, folder), own) <= AFTER[ending] + 1e-9


@pytest.mark.parametrize("ending", AFTER)
def test_the_shares_add_up_to_less_than_half_a_millimetre(ending):
    """The whole budget, from the very figures that the program works with."""
    assert BEFORE + AFTER[ending] < IN_ALL


@settings(max_examples=40, deadline=None)
@given(radius=st.floats(4, 400), seam=st.floats(1, 70), fine=st.floats(0.2, 5))
def test_an_allowance_along_a_curve(tmp_path_factory, radius, seam, fine):
    """Around a circle, however small and however wide the hem: the circle of both together.

    Chords on one side, their mitres on the other: each within a tenth of a millimetre.
    """
    path = tmp_path_factory.mktemp("round") / "round.svg"
    size = 2 * radius / fine
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{2 * radius!r}mm" '
        f'height="{2 * radius!r}mm" viewBox="0 0 {size!r} {size!r}"><circle id="round" '
        f'cx="{size / 2!r}" cy="{size / 2!r}" r="{size / 2!r}"/></svg>', "utf-8"
    )  # fmt: skip
    (read,) = read_pattern(path).pieces
    cut = add_allowance(read.outline, seam)
    away = np.hypot(*(cut - [radius, -radius]).T)
    middles = np.hypot(*((cut + np.roll(cut, -1, axis=0)) / 2 - [radius, -radius]).T)
    assert max(away.max(), middles.max()) <= radius + seam + tolerances.FLATTEN
    assert min(away.min(), middles.min()) >= radius + seam - tolerances.FLATTEN


@pytest.mark.parametrize(
    "curve",
    [
        "C 90 90 -80 90 10 0",
        "C 60 0 -60 0 0 0",
        "A 50 0.001 0 0 1 100 0",
        "A 0.01 0.01 0 0 1 0.02 0",
    ],
)
def test_a_curve_with_a_tip_is_not_cut_without_end(tmp_path, curve):
    """Cusps, curves that come back on themselves and needles: read with few points, or refused."""
    path = tmp_path / "tip.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="300mm" '
        'viewBox="0 0 300 300"><path id="tip" transform="translate(90 90)" '
        f'd="M 0 0 {curve} L 100 100 L -50 150 Z"/></svg>',
        "utf-8",
    )
    try:
        (read,) = read_pattern(path).pieces
    except InputError as error:
        assert "itself" in str(error)  # noqa: PT017 - both ends are right
    else:
        assert len(read.outline) < 800


def test_corners_of_a_spline_stay_corners(tmp_path):
    """A spline of straight spans, as DXF may have it: its corners alone, however many spans."""
    document = new_dxf(version="R2000")
    corners = [(0, 0), (200, 0), (200, 300), (100, 250), (0, 300), (0, 0)]
    document.modelspace().add_open_spline([(*p, 0) for p in corners], degree=1)
    path = tmp_path / "straight.dxf"
    document.saveas(path)
    (read,) = read_pattern(path, units="mm").pieces
    assert apart(ring_of(read.outline), ring_of(np.array(corners[:-1], dtype=float))) < 1e-6
    assert len(read.outline) == 5


@settings(max_examples=10, deadline=None)
@given(ring=star_outlines())
def test_the_search_moves_pieces_and_never_their_lines(ring):
    """Simplified outward, scaled to integers, polished: what is laid is the true cut line."""
    plan = plan_of(piece(ring, as_drawn=2))
    (lay,) = lay_plan(plan, stop=Stop(iterations=10), workers=1).lays
    for placement in lay.placements:
        turned = ring[:, 0] + 1j * ring[:, 1]
        turned = turned * np.exp(1j * np.radians(placement.turned - 90.0))
        found = placement.outline[:, 0] + 1j * placement.outline[:, 1]
        moved = found - turned
        assert np.abs(moved - moved[0]).max() < tolerances.SAME_POINT
