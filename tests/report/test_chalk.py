"""Chalk coordinates redraw the cut line, and say how near."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.layout import LaidFold, Placement
from nesting.model.pattern import Notch
from nesting.report.chalk import chalk
from nesting.report.chalk_sheet import chalk_csv, chalk_text

from ..handmade import DAMASK, lay_on, rectangle, two_gores


def placed(outline, **fields):
    """Return a placement with this cut line."""
    ring = np.array(outline, dtype=float)
    return Placement("gore", 1, False, 0.0, ring, ((50.0, 50.0), (90.0, 50.0)), **fields)


def disc(radius, count=720, centre=(1000.0, 350.0)):
    """Return a circle as a ring of so many points."""
    turn = 2 * np.pi * np.arange(count) / count
    return np.array(centre) + radius * np.column_stack([np.cos(turn), np.sin(turn)])


def cut_line(piece):
    """Return the ring that joining the chalked points gives."""
    return shapely.Polygon([(p.along, p.across) for p in piece.cut_line])


def rows(text):
    """Return the rows of a table by their headings."""
    return list(csv.DictReader(io.StringIO(text)))


@st.composite
def curved(draw):
    """Draw a smooth closed outline, or one with corners, at a size of cloth."""
    waves = draw(st.lists(st.floats(-0.12, 0.12), min_size=1, max_size=4))
    count = draw(st.sampled_from([3, 5, 12, 200, 600]))
    turn = 2 * np.pi * np.arange(count) / count
    radius = draw(st.floats(20.0, 1500.0)) * (
        1 + sum(a * np.cos((k + 2) * turn + k) for k, a in enumerate(waves))
    )
    return 2000.0 + np.column_stack([radius * np.cos(turn), radius * np.sin(turn)])


@settings(max_examples=40, deadline=None)
@given(curved(), st.sampled_from([0.2, 0.5, 1.0]))
def test_the_chalked_line_keeps_within_the_stated_distance(outline, within):
    """Before rounding no point of either line is farther than stated from the other."""
    lay = lay_on(DAMASK, [placed(outline)])
    [piece] = chalk(lay, within=within)
    drawn, true = cut_line(piece).exterior, shapely.Polygon(outline).exterior
    assert shapely.hausdorff_distance(drawn, true, densify=0.02) <= within + 1e-6
    assert len(piece.cut_line) <= len(outline)


@settings(max_examples=20, deadline=None)
@given(curved(), st.sampled_from(["cm", "in"]))
def test_the_written_table_redraws_the_outline(outline, units):
    """Read back by the csv module: within 0.3 mm to a hundredth; as read on the tape, rounded."""
    lay = lay_on(DAMASK, [placed(outline)])
    line = [row for row in rows(chalk_csv(lay, units)) if row["kind"] in {"corner", "curve"}]
    true = shapely.Polygon(outline).exterior
    exact = shapely.LinearRing([(float(r["along mm"]), float(r["across mm"])) for r in line])
    assert shapely.hausdorff_distance(exact, true, densify=0.02) <= 0.5 + 0.01
    mm, step = (10.0, 1.0) if units == "cm" else (25.4, 25.4 / 16)
    tape = shapely.LinearRing(
        [
            [mm * float(sum(map(Fraction, r[f"{way} {units}"].split()))) for way in WAYS]
            for r in line
        ]
    )
    assert shapely.hausdorff_distance(tape, true, densify=0.02) <= 0.51 + step * math.sqrt(0.5)


WAYS = ("along", "across")


def test_a_circle_takes_about_the_fewest_points_it_can():
    """Chords off by s from a circle of radius R span 2 acos(1 - s/R) each (closed form)."""
    radius, within = 300.0, 0.5
    lay = lay_on(DAMASK, [placed(disc(radius, 1440))])
    [piece] = chalk(lay, within=within)
    fewest = math.ceil(math.pi / math.acos(1 - within / radius))
    assert fewest <= len(piece.points) - 2 <= fewest + 2  # two are the ends of the grain line
    apart = np.diff([(p.along, p.across) for p in piece.cut_line], axis=0)
    lengths = np.linalg.norm(apart, axis=1)
    assert lengths.max() < 1.5 * lengths.min()


def test_a_rectangle_is_its_corners_and_its_diagonals():
    """300 by 400 mm: four corners from the near one on, both diagonals 500 mm (Pythagoras)."""
    ring = np.array(rectangle(400, 300), dtype=float)[[2, 3, 0, 1]] + np.array([100.0, 50.0])
    [piece] = chalk(lay_on(DAMASK, [placed(ring)]))
    corners = [(p.along, p.across) for p in piece.cut_line]
    assert corners == [(100, 50), (500, 50), (500, 350), (100, 350)]
    assert {(d.start, d.end) for d in piece.diagonals} == {(1, 3), (2, 4)}
    assert [d.length for d in piece.diagonals] == [500.0, 500.0]


def test_points_on_a_straight_edge_are_left_out():
    """A square drawn with many points on every side is chalked from its corners alone."""
    side = np.linspace(0, 400, 41)[:-1]
    zero, full = np.zeros_like(side), np.full_like(side, 400.0)
    ring = np.vstack(
        [
            np.column_stack(pair)
            for pair in ((side, zero), (full, side), (400 - side, full), (zero, 400 - side))
        ]
    )
    [piece] = chalk(lay_on(DAMASK, [placed(ring)]))
    assert [p.kind for p in piece.cut_line] == ["corner"] * 4


def test_every_mark_of_a_piece_is_there():
    """Cutouts, notches, drill holes, named points and the grain line are measured too."""
    hole = np.array(rectangle(20, 20), dtype=float)[::-1] + np.array([100.0, 100.0])
    piece = placed(
        rectangle(400, 300),
        cutouts=(hole,),
        notches=(Notch((400.0, 100.0), 180.0),),
        drill_holes=((30.0, 40.0),),
        points={"bust": (60.0, 70.0)},
    )
    [chalked] = chalk(lay_on(DAMASK, [piece]))
    kinds = [p.kind for p in chalked.points]
    assert kinds == (
        ["corner"] * 4 + ["cutout"] * 4 + ["notch", "drill hole", "named point", "grain", "grain"]
    )
    assert [p.number for p in chalked.points] == list(range(1, len(kinds) + 1))
    assert [(p.name, p.along, p.across) for p in chalked.points if p.name] == [("bust", 60, 70)]


def test_pieces_stand_in_the_cutting_order():
    """The sheet numbers the pieces as they are cut and names their number on the plan."""
    _, layout = two_gores()
    text = chalk_text(layout.lays[0], "cm", title=layout.title)
    assert "[ ] 1. gore, left (number 2 on the plan)" in text  # nearest to the near selvage
    assert "[ ] 2. gore, right (number 1 on the plan)" in text
    assert "named point: knee" in text
    assert max(map(len, text.splitlines())) <= 88
    cut = [row["cut"] for row in rows(chalk_csv(layout.lays[0]))]
    assert cut == sorted(cut)
    assert set(cut) == {"1", "2"}


@pytest.mark.parametrize(
    ("units", "said", "within"),
    [("cm", "nearest millimetre", 0.7), ("yd", "nearest 1/16 in", 1.1)],
)
def test_the_rounding_is_stated(units, said, within):
    """Half a mark along and half a mark across: the sheet gives the root of both squared."""
    _, layout = two_gores()
    text = " ".join(chalk_text(layout.lays[0], units).split())
    assert said in text
    assert f"at most {within} mm more" in text
    assert "within 0.3 mm of the cut line" in text


def test_names_cannot_become_formulas():
    """A spreadsheet takes cells that begin with = + - @ for formulas; names must not."""
    lay = lay_on(DAMASK, [replace(placed(rectangle(400, 300)), piece='=HYPERLINK("x"),"\n')])
    [name] = {row["piece"] for row in rows(chalk_csv(lay))}
    assert name == '\'=HYPERLINK("x"),"\n'


def test_a_distance_must_be_positive():
    """No polygon keeps within nothing of a curve."""
    with pytest.raises(ValueError, match="positive"):
        chalk(two_gores()[1].lays[0], within=0.0)


def test_a_folded_lay_says_how_it_lies():
    """Where the near edge of the double stretch is a fold, distances count from the fold."""
    square = placed(rectangle(400, 300))
    folding = LaidFold("middle", (((0.0, 0.0), (9.0, 0.0)), ((0.0, 500.0), (9.0, 500.0))))
    lay = lay_on(DAMASK, [replace(square, layers=2, hand="R"), square], folding=folding)
    text = chalk_text(lay)
    assert "Cloth folded right side in" in " ".join(text.split())
    assert "folded; along from the squared end, across from the near fold" in text
    assert "opened out; along from the squared end, across from the near selvage" in text


def test_corners_no_chalk_can_tell_apart_are_one():
    """A corner drawn as three points a tenth of a millimetre apart is marked once."""
    ring = [(0, 0), (400, 0), (400, 299.8), (399.9, 299.9), (399.8, 300), (0, 300)]
    [piece] = chalk(lay_on(DAMASK, [placed(ring)]))
    assert len(piece.cut_line) == 4
    drawn = cut_line(piece).exterior
    assert shapely.hausdorff_distance(drawn, shapely.Polygon(ring).exterior) <= 0.5
