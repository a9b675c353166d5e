"""Joins found again on the cloth: each side once, right with right, true to length."""

import io
import re
from dataclasses import replace

import numpy as np
import pdfplumber

from nesting.model.layout import Joining, LaidFold, Layout, Placement
from nesting.model.seams import seam_sides
from nesting.plot.paper import paper_of
from nesting.plot.plan_pages import CuttingPlan, plan_pdf
from nesting.report.cutting_list import cutting_lists
from nesting.report.cutting_list_text import cutting_list_text
from nesting.report.cutting_order import step_numbers
from nesting.report.join_words import sewn_to

from ..handmade import DAMASK, lay_on, layout_of, rectangle

JOINING = Joining("train", ("train, main part", "train, wedge"), ((0, 0), (0, 9)), (), 15.0)


def part(name, copy, hand, x, y, width, seam, **fields):
    """Return an oblong 600 mm long whose join runs along it at ``seam`` across."""
    outline = np.array(rectangle(600, width), dtype=float) + np.array([x, y])
    line = np.array([(x, seam), (x + 600.0, seam)])
    grain = ((x, y + width / 2), (x + 600.0, y + width / 2))
    placed = Placement(name, copy, hand == "L", 0.0, outline, grain, hand=hand)
    return replace(placed, sew_lines=(line,), points={"join 1": (x + 300.0, seam)}, **fields)


def pieced() -> Layout:
    """Return a pair of pieces in two parts each, the wedges in the other order."""
    main, wedge = JOINING.parts
    placements = [
        part(main, 1, "R", 0, 0, 400, 385), part(main, 2, "L", 610, 0, 400, 15),
        part(wedge, 2, "L", 0, 410, 200, 595), part(wedge, 1, "R", 610, 410, 200, 425),
    ]  # fmt: skip
    lay = lay_on(DAMASK, placements)
    return replace(layout_of(lay), joinings=(JOINING,))


def test_right_is_sewn_to_right():
    """Both sides of both joins, each naming the other, 600 mm long."""
    sides = seam_sides(pieced())
    assert [(s.placement, s.other[1]) for s in sides] == [(0, 3), (1, 2), (2, 1), (3, 0)]
    assert {round(s.length, 6) for s in sides} == {600.0}
    assert {(s.join, s.allowance) for s in sides} == {("join 1", 15.0)}


def test_parts_cut_double_are_told_once():
    """Through two layers each part gives both hands; it still has one join with one other part."""
    layout = pieced()
    (lay,) = layout.lays
    double = [replace(lay.placements[n], layers=2, hand="R") for n in (0, 3)]
    folded = replace(lay, placements=tuple(double), folding=LaidFold("lengthwise"))
    sides = seam_sides(replace(layout, lays=(folded,)))
    assert [(s.placement, s.other[1]) for s in sides] == [(0, 1), (1, 0)]


def test_the_cutting_list_says_what_is_sewn_to_what():
    """At the step, where the stitching line lies; after the cutting, each join once to tick."""
    words = " ".join(cutting_list_text(pieced()).split())
    assert (
        "Join 1, to train, wedge, right (number 4): stitching line 0.0 to 60.0 cm along, 38.5 cm "
        "across, allowance 1.5 cm beyond it"
    ) in words
    (found,) = cutting_lists(pieced())
    assert found.sew == (
        "train, main part, right (number 1) to train, wedge, right (number 4): join 1, 60.0 cm "
        "long, 1.5 cm allowance on both",
        "train, main part, left (number 2) to train, wedge, left (number 3): join 1, 60.0 cm "
        "long, 1.5 cm allowance on both",
    )
    assert "Sew the parts of pieced pieces" in words
    unpieced = cutting_list_text(replace(pieced(), joinings=()))
    assert "Join 1" not in unpieced
    assert "Sew the parts" not in unpieced


def test_a_part_on_another_cloth_is_named_with_it():
    """Owned pieces of cloth may hold a part each."""
    layout = pieced()
    (lay,) = layout.lays
    lays = tuple(
        replace(lay, placements=tuple(lay.placements[n] for n in chosen), panel=panel)
        for panel, chosen in ((1, (0, 1)), (2, (2, 3)))
    )
    words = " ".join(cutting_list_text(replace(layout, lays=lays)).split())
    assert re.search(r"wedge, right \(number 2 of [^)]*panel 2\): stitching line", words)


def test_the_plan_shows_the_joins():
    """Beside each stitching line the number of the part beyond it, and what the sign means."""
    layout = pieced()
    (lay,) = layout.lays
    plan = CuttingPlan(lay, "t", "cm", step_numbers(lay), joins=sewn_to(layout, 0))
    with pdfplumber.open(io.BytesIO(plan_pdf([plan], paper_of("A4").lying, "t"))) as pdf:
        words = pdf.pages[0].extract_text()
    assert all(f"join 1 to {number}" in words for number in (1, 2, 3, 4))
    assert "heavy dashed: join" in words
