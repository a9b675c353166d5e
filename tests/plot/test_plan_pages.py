"""The cutting plan: at the scale it states, with every measure, read back with pdfplumber."""

import io
import math
import re
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pdfplumber
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from nesting.errors import InputError
from nesting.model.layout import LaidFold
from nesting.model.plan import Cloth, PlanPiece
from nesting.plot.drawing import draw_marker
from nesting.plot.order_marks import order_mark
from nesting.plot.paper import paper_of
from nesting.plot.plan_pages import CuttingPlan, plan_pdf
from nesting.plot.plan_scale import Room, parse_scale, reduction
from nesting.plot.plan_table import table_rows
from nesting.plot.sheet import legend_of
from nesting.plot.turned_over import turned_over

from ..handmade import lay_on, pattern, put, rectangle, two_gores

MM = 25.4 / 72
_, LAYOUT = two_gores()
(LAY,) = LAYOUT.lays
A4 = paper_of("A4").lying
STEPS = {1: 1, 0: 2}
ROOM = Room(along=249.0, up=166.0, row=21.0, overlap=100.0)


def pages_of(lay=LAY, *, paper=A4, units="cm", steps=STEPS, **options):
    """Return the pages of a plan: their words, and their largest filled shapes in millimetres."""
    content = plan_pdf([CuttingPlan(lay, "storm queen", units, steps, **options)], paper, "t")
    with pdfplumber.open(io.BytesIO(content)) as pdf:
        return [
            (page.extract_text(), [np.array(curve["pts"]) * MM for curve in page.curves])
            for page in pdf.pages
        ]


def whole(**options):
    """Return the words of all pages of a plan, and the shapes on the first."""
    pages = pages_of(**options)
    return "\n".join(words for words, _ in pages), pages[0][1]


def long_lay():
    """Return four metres of bands side by side."""
    band = PlanPiece("band", pattern("band", rectangle(300, 1300)), "silk", 6)
    places = [(1310.0 * (n // 2), 320.0 + 310.0 * (n % 2)) for n in range(6)]
    return lay_on(
        Cloth("silk", 700.0, 10.0), [put(band, n + 1, 0, at) for n, at in enumerate(places)]
    )


@pytest.mark.parametrize(("times", "told"), [(10.0, "1:10"), (20.0, "1:20"), (None, "1:5.5")])
def test_the_scale_stated_is_the_scale_drawn(times, told):
    """The gore, 300 by 500 mm, measures that much less on paper; fitted scales are stated too."""
    words, curves = whole(times=times)
    assert f"scale {told}" in words
    stated = float(re.search(r"scale 1:([\d.]+)", words)[1])
    spans = [tuple(np.ptp(curve, axis=0) * stated) for curve in curves]
    assert any(math.dist(span, (500.0, 300.0)) < 0.5 for span in spans)


def test_each_piece_has_number_name_and_measures():
    """Numbers as on every drawing; start, end and grain from cut end and near selvage."""
    words, _ = whole()
    for told in (
        "1. gore", "2. gore", "copy 1 R", "copy 2 L, face down", "near selvage", "far selvage",
        "squared cut end", "seen from the right side", "step", "from cut end",
        # The second gore is cut first here; it lies from 0 to 50 cm along.
        "1 2 gore, copy 2 L face down 0.0 50.0", "2 1 gore, copy 1 R face up 0.0 50.0",
    ):  # fmt: skip
        assert told in words
    for placement in LAY.placements:
        for _, y in placement.grain:
            assert f"{y / 10:.1f}" in words


@pytest.mark.parametrize(
    ("kind", "end", "wrong_side", "said"),
    [
        ("lengthwise", None, False, "folded right side in, its wrong side up"),
        ("partial", None, False, "its wrong side up; single cloth right side up"),
        ("lengthwise", 250.0, False, "its wrong side up; single cloth right side up"),
        ("lengthwise", 250.0, True, "its wrong side up, and turned over"),
    ],
)
def test_of_folded_cloth_the_wrong_side_is_seen(kind, end, wrong_side, said):
    """Right side in, as cloth is folded to be cut double (common practice)."""
    fold = LaidFold(kind, (((0.0, 340.0), (250.0, 340.0)),), ((0.0, 0.0, 250.0, 340.0),), end)
    words, _ = whole(lay=replace(LAY, folding=fold, fold=kind), wrong_side=wrong_side)
    assert said in words
    assert "seen from the right side" not in words
    assert ("single cloth" in said) == ("single cloth" in words)


def test_seen_from_the_wrong_side_it_is_the_mirror_image():
    """Same distances from the near selvage, which lies above; what was face down is face up."""
    right, wrong = whole()[0], whole(wrong_side=True)[0]
    assert "seen from the wrong side" in wrong
    assert "copy 1 R, face down" in wrong
    pattern_ = r"^[12] [12] gore.*$"
    of = [re.findall(pattern_, words, re.MULTILINE) for words in (right, wrong)]
    measured = [[line.split()[-4:] for line in lines] for lines in of]
    assert measured[0] == measured[1]


@given(st.floats(0.0, 360.0))
def test_turned_over_twice_is_as_before(angle):
    """Turning the cloth over and back changes nothing."""
    lay = replace(LAY, placements=tuple(replace(p, turned=angle) for p in LAY.placements))
    again = turned_over(turned_over(lay))
    for one, other in zip(again.placements, lay.placements, strict=True):
        np.testing.assert_allclose(one.outline, other.outline)
        np.testing.assert_allclose(one.grain, other.grain)
        assert one.mirrored == other.mirrored
        assert math.cos(math.radians(one.turned - angle)) == pytest.approx(1.0)


def test_a_long_lay_is_split_with_overlaps():
    """At 1:10 four metres take several rows; each shows again what the last one ended with."""
    lay = long_lay()
    pages = pages_of(lay, times=10.0, steps={n: n + 1 for n in range(6)})
    assert len(pages) > 1
    assert f"page 1 of {len(pages)}" in pages[0][0]
    words = " ".join(text for text, _ in pages)
    assert words.count("continued") >= 1
    assert all(f"band, copy {n}" in words for n in range(1, 7))


@given(
    length=st.floats(50.0, 12_000.0),
    width=st.floats(80.0, 3000.0),
    times=st.one_of(st.none(), st.sampled_from([5.0, 10.0, 20.0, 50.0])),
)
def test_rows_show_all_of_the_cloth_and_fit_the_page(length, width, times):
    """No stretch is left out, neighbours overlap, rows are no longer than the page allows."""
    try:
        found = reduction(length, width, ROOM, times)
    except InputError:
        assert times is not None
        assert width / times + ROOM.row > ROOM.up
        return
    windows = found.windows
    assert windows[0][0] == 0.0
    assert windows[-1][1] == pytest.approx(length)
    for (_, end), (start, _) in pairwise(windows):
        assert end - start == pytest.approx(ROOM.overlap)
    assert max(end - start for start, end in windows) / found.times <= ROOM.along + 1e-6
    assert (width / found.times + ROOM.row) * found.rows_on_page <= ROOM.up + 1e-3
    if times is None:
        assert len(found.pages()) == 1


def test_too_wide_for_the_scale_is_refused_with_a_way_out():
    """The error names a scale that fits."""
    with pytest.raises(InputError, match=r"choose --scale 1:21"):
        reduction(1000.0, 3000.0, ROOM, 10.0)
    assert reduction(1000.0, 3000.0, ROOM, 21.0).times == 21.0


@pytest.mark.parametrize(
    ("text", "times"), [("1:10", 10), ("1/20", 20), ("fit", None), ("1:12,5", 12.5)]
)
def test_scales(text, times):
    """One to something, with point or comma, or fit."""
    assert parse_scale(text) == times


@pytest.mark.parametrize("text", ["10", "1:0", "1:1000", "half", ""])
def test_scales_that_are_none(text):
    """One line says how to write it."""
    with pytest.raises(InputError, match="write 1:10, 1:20"):
        parse_scale(text)


def test_pairs_and_folds_are_named_in_the_table():
    """Cut through two layers a placement gives a pair; on the fold it opens out."""
    first, second = LAY.placements
    lay = replace(
        LAY, placements=(replace(first, layers=2), replace(second, on_fold=True, hand=""))
    )
    hands = [row.cells[3] for row in table_rows(lay, "in", {0: 1, 1: 2})]
    assert hands == ["pair, R + L", "on the fold"]


def test_inches_are_read_on_the_tape():
    """Distances in inches to the sixteenth: 500 mm is 19 11/16 in."""
    assert [row.cells[6] for row in table_rows(LAY, "in", {0: 1, 1: 2})] == ["19 11/16"] * 2


@pytest.mark.parametrize("wrong_side", [False, True])
def test_folded_cloth_is_blank_where_it_does_not_reach(wrong_side):
    """Folded to 30 cm, what lies beyond the fold is wiped out, on whichever side that is drawn."""
    fold = LaidFold("lengthwise", (((0.0, 300.0), (500.0, 300.0)),), ((0.0, 0.0, 500.0, 300.0),))
    lay = replace(LAY, folding=fold, fold="lengthwise")
    axes = Figure(figsize=(10, 8)).add_axes((0.1, 0.1, 0.8, 0.8))
    draw_marker(turned_over(lay) if wrong_side else lay, axes, wrong_side=wrong_side)
    (blank,) = [
        patch for patch in axes.patches
        if isinstance(patch, Rectangle) and patch.get_zorder() == 2.05
    ]  # fmt: skip
    low, high = blank.get_y(), blank.get_y() + blank.get_height()
    if wrong_side:
        low, high = LAY.usable_width - high, LAY.usable_width - low
    assert low == pytest.approx(300.0)
    assert high > LAY.usable_width + LAY.selvage


def test_every_piece_bears_the_step_that_cuts_it():
    """In circles on wide pieces; a narrow one bears both numbers on its lead."""
    lay = long_lay()
    words = pages_of(lay, steps={n: 11 + n for n in range(6)})[0][0]
    drawing, _, _ = words.partition("no. piece")
    assert all(re.search(rf"\b{step}\b", drawing) for step in range(11, 17))
    strip = PlanPiece("strip", pattern("strip", rectangle(20, 900)), "silk", 1)
    narrow = lay_on(Cloth("silk", 700.0, 10.0), [put(strip, 1, 0, (0.0, 40.0))])
    assert "1 (7)" in pages_of(narrow, steps={0: 7})[0][0]


@given(st.integers(1, 400), st.floats(9.0, 60.0), st.floats(9.0, 60.0))
def test_the_step_stands_wholly_in_the_room_it_has(step, wide, high):
    """The circle is covered by its region, and there is none only where it would be too small."""
    room = shapely.box(0.0, 0.0, wide, high)
    mark = order_mark(step, room, (wide, high))
    if mark is None:
        assert min(wide, high) < 30.0
    else:
        assert room.covers(mark.box)


@pytest.mark.parametrize("paper", [paper_of("A4"), paper_of("140 x 200 mm"), A4])
def test_no_sign_is_left_unexplained_for_want_of_room(paper):
    """On narrow paper the legend takes more lines; every sign of it stands there."""
    words = " ".join(pages_of(paper=paper)[0][0].split())
    for sign in legend_of([LAY]).split("    "):
        assert " ".join(sign.split()) in words


def test_words_above_a_short_folded_lay_stand_apart():
    """At 1:20 cut end, end of the lay, nap and end of the fold stand on lines of their own."""
    folding = LaidFold("lengthwise", (((0, 340), (250, 340)),), ((0, 0, 250, 340),), 250.0)
    lay = replace(LAY, fold="lengthwise", nap="one-way", folding=folding)
    figure = Figure(figsize=(3.0, 3.0))
    axes = figure.add_axes((0.2, 0.3, lay.length / 20 / 76.2, lay.cloth_width / 20 / 76.2))
    draw_marker(lay, axes, steps=STEPS)
    figure.canvas.draw()
    above = [t for t in axes.texts if t.get_position()[1] > lay.usable_width + lay.selvage]
    assert len(above) == 4
    for one, other in combinations(above, 2):
        assert not one.get_window_extent().overlaps(other.get_window_extent()), (one, other)
