"""The cutting list: every piece once, folded before open, counted, labelled and in plain words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nesting.model.layout import LaidFlaw, LaidFold, LaidRepeat, Placement
from nesting.model.plan import Cloth
from nesting.report.chalk_sheet import chalk_csv
from nesting.report.cutting_list import cutting_list, cutting_lists
from nesting.report.cutting_list_text import cutting_list_text
from nesting.report.cutting_order import step_numbers

from ..handmade import DAMASK, lay_on, layout_of, rectangle, two_gores


def box(piece, x, y, length, width, **fields):
    """Return a rectangle with its top to the far end, its grain along its middle."""
    outline = np.array(rectangle(length, width), dtype=float) + np.array([x, y])
    middle = y + width / 2
    grain = ((x, middle), (x + length, middle))
    return replace(Placement(piece, 1, False, 0.0, outline, grain), **fields)


SATEEN = Cloth("sateen", 1000.0)


def partly_folded():
    """Return a lay with one selvage folded in: two cut double, one on the fold, two single.

    The cloth is 1000 mm wide and the fold 650 mm from the near selvage, so 350 mm are folded in
    and lie from 300 to 650 mm.
    """
    return lay_on(
        SATEEN,
        [
            box("front", 0, 500, 400, 150, on_fold=True, layers=2),
            box("sleeve", 400, 350, 300, 200, layers=2, hand="R"),
            box("back", 0, 0, 600, 300),
            box("cuff", 900, 0, 100, 100, hand="L", mirrored=True),
            box("cuff", 1000, 0, 100, 100, hand="R"),
        ],
        folding=LaidFold(
            "partial",
            (((0.0, 650.0), (700.0, 650.0)),),
            ((0.0, 300.0, 700.0, 650.0),),
            700.0,
        ),
        fold="partial",
    )


def test_plan_and_chalk_count_the_steps_of_the_list():
    """Folding and opening out are steps: the first piece is cut at step 2, everywhere."""
    lay = partly_folded()
    listed = {
        step.placement: step.number for step in cutting_list(lay).steps if step.kind == "cut"
    }
    assert list(listed.values()) == [2, 3, 5, 6, 7]
    assert step_numbers(lay) == listed
    rows = chalk_csv(lay).splitlines()[1:]
    assert dict(tuple(map(int, row.split(",")[:2])) for row in rows) == {
        step: index + 1 for index, step in listed.items()
    }


def test_fold_cut_open_out_cut():
    """The cloth is folded once, all that is double is cut, it is opened out, the rest is cut."""
    steps = cutting_list(partly_folded()).steps
    assert [step.kind for step in steps] == ["fold", "cut", "cut", "open", "cut", "cut", "cut"]
    assert [step.number for step in steps] == list(range(1, 8))
    fold, opened = steps[0], steps[3]
    assert "Fold in the far selvage by 35.0 cm" in fold.text
    assert "65.0 cm from the near selvage" in fold.text
    assert "the folded selvage 30.0 cm" in fold.text
    assert "for the first 70.0 cm" in fold.text
    assert fold.notes == ("Then cut 3 pieces with 2 cuts, folded",)
    assert opened.notes == ("Then cut 3 pieces single",)


@pytest.mark.parametrize("units", ["cm", "in"])
def test_every_placement_is_cut_once_and_every_piece_labelled(units):
    """As many slips as pieces come off the cloth: two layers give two, a fold gives one."""
    lay = partly_folded()
    found = cutting_list(lay, units)
    cut = [step.placement for step in found.steps if step.placement is not None]
    assert sorted(cut) == list(range(len(lay.placements)))
    labels = sorted((slip.piece, slip.hand) for slip in found.slips)
    assert labels == [
        ("back", ""), ("cuff", "left"), ("cuff", "right"), ("front", "whole"),
        ("sleeve", "left"), ("sleeve", "right"),
    ]  # fmt: skip
    assert any("6 pieces to cut" in line for line in found.counted)
    assert "sleeve: 1 right, 1 left" in found.counted


def test_the_words_of_a_step():
    """A step says number, place, way up, grain and what the fold asks."""
    steps = {step.text: step for step in cutting_list(partly_folded()).steps}
    front = " / ".join(steps["front, whole"].notes)
    assert "Number 1 on the plan; 0.0 to 40.0 cm along, 50.0 to 65.0 cm across" in front
    assert "Top to the far end; pattern face up" in front
    assert "Grain line from the near selvage: 57.5 cm at both ends" in front
    assert "do not cut along it" in front
    assert "Through both layers" in " / ".join(steps["sleeve, right and left"].notes)
    assert "pattern face down" in " / ".join(steps["cuff, left"].notes)


@pytest.mark.parametrize(
    ("fold", "said"),
    [
        (LaidFold("lengthwise", (((0, 500), (900, 500)),), ((0, 0, 900, 500),)), "lengthwise"),
        (LaidFold("crosswise", (((0, 0), (0, 1000)),), ((0, 0, 450, 1000),)), "45.0 cm deep"),
        (LaidFold("crosswise", (), ((0, 0, 450, 1000),)), "end for end"),
        (
            LaidFold("middle", (((0, 0), (9, 0)), ((0, 500), (9, 500))), ((0, 0, 9, 500),)),
            "25.0 cm from either fold",
        ),
        (None, "Lay the cloth double"),
    ],
)
def test_each_fold_has_its_words(fold, said):
    """Selvage on selvage, across, cut apart for the nap, or both selvages to the middle."""
    lay = replace(partly_folded(), folding=fold)
    steps = cutting_list(lay).steps
    assert said in steps[0].text
    assert "right side" in steps[0].text or "right sides" in steps[0].text


def test_places_are_measured_from_the_fold_where_it_lies_there():
    """With both selvages folded in, a place across counts from the near fold, and says so."""
    edges = (((0.0, 0.0), (9.0, 0.0)), ((0.0, 500.0), (9.0, 500.0)))
    lay = replace(partly_folded(), folding=LaidFold("middle", edges))
    steps = {step.text: " / ".join(step.notes) for step in cutting_list(lay).steps}
    assert "across from the near fold" in steps["front, whole"]
    assert "Grain line from the near fold" in steps["front, whole"]
    assert "near fold" not in steps["back"]
    across = replace(lay, folding=LaidFold("crosswise", (((0.0, 0.0), (0.0, 9.0)),)))
    steps = {step.text: " / ".join(step.notes) for step in cutting_list(across).steps}
    assert "Along from the fold" in steps["front, whole"]


def test_what_to_make_sure_of_follows_the_lay():
    """Washing, nap, flaws and motif are asked only where the lay has them."""
    plain = cutting_list(partly_folded())
    assert not any("washed" in line or "Flaws" in line for line in plain.ready)
    lay = replace(
        two_gores()[1].lays[0],
        nap="one-way",
        flaws=(LaidFlaw(np.array(rectangle(10, 10), dtype=float)),),
        repeat=LaidRepeat(320.0, 160.0, "none", (0.0, 0.0)),
    )
    found = cutting_list(lay)
    assert any("washed or steamed" in line for line in found.ready)  # damask shrinks by 5 %
    assert any("stroked" in line for line in found.ready)
    assert any("1 on the plan" in line for line in found.ready)
    assert any("design" in note for step in found.steps for note in step.notes)


def test_what_to_keep_of_the_scraps():
    """The largest clean piece, and what was bought beyond the lay, less what shrinking takes."""
    lay = replace(two_gores()[1].lays[0], leftover=(100.0, 0.0, 400.0, 80.0))
    keep = cutting_list(lay).keep
    assert "30 cm along by 8 cm across, from 10.0 cm along and 0.0 cm across" in keep[0]
    # 500 mm and 50 mm trim need 550/0.95 = 578.9 mm; 600 mm are bought: 21.1 mm are no piece.
    assert len(keep) == 2
    bought = dict(lay.buy.made_of) | {"rounding": 221.0}
    more = replace(lay, buy=replace(lay.buy, length=800.0, made_of=bought))
    assert any("about 20 cm" in line for line in cutting_list(more).keep)  # 22.1 x 0.95 = 20.9


def test_the_text_holds_the_list_in_order():
    """Get ready, stop, count, cut, keep, label: in this order, every step with its box."""
    layout = layout_of(partly_folded(), two_gores()[1].lays[0])
    text = cutting_list_text(layout)
    assert max(map(len, text.splitlines())) <= 88
    places = [text.index(words) for words in ("Before you begin", "Stop.", "Cut, in", "Keep of")]
    assert places == sorted(places)
    assert text.count("Label slips") == 2
    assert "[ ]   2. Cut front, whole" in text
    assert text.count("top") >= sum(len(found.slips) for found in cutting_lists(layout))


def test_nothing_to_cut_has_no_list():
    """A lay that does not fit at all has no steps."""
    lay = replace(partly_folded(), placements=())
    assert cutting_lists(layout_of(lay)) == ()
    assert not cutting_list_text(layout_of(lay))


def test_copies_are_told_apart():
    """Of three alike pieces each slip says which it is; a single one has no number."""
    lay = lay_on(DAMASK, [box("tab", 100 * k, 0, 90, 90) for k in range(3)])
    assert [slip.which for slip in cutting_list(lay).slips] == ["1 of 3", "2 of 3", "3 of 3"]
    assert {slip.which for slip in cutting_list(partly_folded()).slips} == {""}
