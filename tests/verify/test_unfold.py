"""Folded lays made wrong in one place: the check spreads the cloth out flat and refuses them."""

from dataclasses import replace

import numpy as np
import pytest

from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.layout import read_layout
from nesting.report.layout_file import write_layout
from nesting.verify.check import check_layout

from ..rules.garments import piece, plan_of, rectangle
from .faults import moved, only_lay, said, with_copy

GORE = [(0, 0), (240, 0), (120, 400), (0, 400)]
HALF = [(0, 0), (150, 0), (120, 500), (0, 480)]


def folded(fold="lengthwise", **cloth):
    """Return a plan of a half, a pair and a single on folded cloth, with its layout."""
    plan = plan_of(
        piece(HALF, name="back", mirror=((0, 0), (0, 480))),
        piece(GORE, name="gore", as_drawn=1, mirrored=1),
        piece(rectangle(100, 200), name="belt"),
        fold=fold, **{"width": 1400.0, **cloth},
    )  # fmt: skip
    return plan, lay_plan(plan, stop=Stop(iterations=2))


def index(layout, name):
    """Return where a piece stands among the placements."""
    return [p.piece for p in layout.lays[0].placements].index(name)


def with_moved(layout, name, dx, dy):
    """Return the layout with one placement moved."""
    placements = list(layout.lays[0].placements)
    k = index(layout, name)
    placements[k] = moved(placements[k], dx, dy)
    return only_lay(layout, placements=tuple(placements))


@pytest.mark.parametrize("fold", ["lengthwise", "crosswise", "partial", "middle"])
def test_right_lays_pass(fold):
    """What the rules lay, the check accepts, on every fold."""
    plan, layout = folded(fold)
    assert layout.lays[0].fold == fold
    assert check_layout(plan, layout) == ()


def test_a_half_off_the_fold_is_refused():
    """A millimetre off: two halves are cut, not a whole."""
    plan, layout = folded()
    assert "1.000 mm off the fold" in said(
        check_layout(plan, with_moved(layout, "back", 0, -1.0)), "fold"
    )


def test_a_single_piece_under_the_fold_is_refused():
    """The belt slid back under the double cloth would be cut twice."""
    plan, layout = folded()
    belt = layout.lays[0].placements[index(layout, "belt")]
    back = -float(belt.outline[:, 0].min()) - 0.0
    found = check_layout(plan, with_moved(layout, "belt", back, 0.0))
    assert "under the fold" in said(found, "fold")


def test_a_wrong_hand_is_refused():
    """A gore said to lie mirrored while its outline is as drawn; two rights for a pair."""
    plan, layout = folded()
    k = index(layout, "gore")
    gore = layout.lays[0].placements[k]
    said(check_layout(plan, with_copy(layout, k, mirrored=not gore.mirrored)), "hand")
    single = with_copy(layout, k, layers=1)
    assert "0 copies" in said(check_layout(plan, single), "count")
    two = replace(plan, pieces=(plan.pieces[0], replace(plan.pieces[1], as_drawn=2, mirrored=0),
                                plan.pieces[2]))  # fmt: skip
    assert "1 copies as drawn are laid; the plan asks for 2" in said(
        check_layout(two, layout), "count"
    )


def test_double_out_of_the_double_cloth_is_refused():
    """A pair pushed over the fold has nothing under it there."""
    plan, layout = folded()
    gore = layout.lays[0].placements[index(layout, "gore")]
    over = 705.0 - float(gore.outline[:, 1].max())
    found = check_layout(plan, with_moved(layout, "gore", 0.0, over))
    assert "5.000 mm out of where the cloth lies double" in said(found, "fold")


def test_a_piece_across_the_meeting_selvages_is_refused():
    """With both selvages in the middle the upper layer ends there."""
    plan, layout = folded("middle")
    gore = layout.lays[0].placements[index(layout, "gore")]
    over = 350.0 - float(gore.outline[:, 1].mean())
    found = check_layout(plan, with_moved(layout, "gore", 0.0, over))
    assert "out of where the cloth lies double" in said(found, "fold")


def test_what_is_said_of_the_fold_must_be_so():
    """Kind, end, folds and double part against where the pieces and the plan put them."""
    plan, layout = folded()
    folding = layout.lays[0].folding
    for wrong in (
        replace(folding, end=None),
        replace(folding, end=folding.end + 5.0),
        replace(folding, edges=()),
        replace(folding, double=()),
        replace(folding, kind="crosswise"),
    ):
        said(check_layout(plan, only_lay(layout, folding=wrong)), "fold")
    open_only = replace(plan, cloths=(replace(plan.cloths[0], fold="open"),))
    assert "the plan says open" in said(check_layout(open_only, layout), "fold")
    said(check_layout(plan, only_lay(layout, folding=None)), "fold")


def test_one_way_cloth_folded_crosswise_is_refused():
    """The upper layer's nap runs the other way, and so do the tops in it."""
    plan, layout = folded("crosswise")
    napped = replace(plan, cloths=(replace(plan.cloths[0], nap="one-way"),))
    found = check_layout(napped, only_lay(layout, nap="one-way"))
    assert "not cut apart" in said(found, "fold")
    assert "upper layer" in said(found, "turn")


def test_copies_in_the_upper_layer_keep_clear_of_their_neighbours():
    """Two pairs on either side of a fold may touch, but not overlap, once spread out flat."""
    plan, layout = folded("lengthwise", gap=10.0)
    assert check_layout(plan, layout) == ()
    gore = layout.lays[0].placements[index(layout, "gore")]
    to_fold = 700.0 - float(gore.outline[:, 1].max())
    found = check_layout(plan, with_moved(layout, "gore", 0.0, to_fold))
    assert "the gap asked is 10 mm" in said(found, "gap")


def test_the_layout_file_keeps_the_fold(tmp_path):
    """Written and read again, a folded lay is the same and passes."""
    plan, layout = folded()
    again = read_layout(write_layout(layout, tmp_path / "layout.json"))
    assert again.lays[0].folding == layout.lays[0].folding
    for one, other in zip(layout.lays[0].placements, again.lays[0].placements, strict=True):
        assert (one.layers, one.on_fold) == (other.layers, other.on_fold)
        assert np.array_equal(one.outline, other.outline)
    assert check_layout(plan, again) == ()


def test_a_half_with_a_narrow_notch_is_whole_once_opened_out():
    """A notch of 14 degrees in the outline stays as narrow: both halves are one whole, no hand."""
    notched = [(0, 0), (200, 0), (200, 140), (120, 150), (200, 160), (200, 300), (0, 300)]
    half = piece(
        notched, mirror=((0, 0), (0, 300)), as_drawn=1, mirrored=1, grain="crosswise", turn=False
    )
    plan = plan_of(half, width=900.0, fold="crosswise")
    layout = lay_plan(plan, stop=Stop(iterations=1))
    assert all(p.on_fold for p in layout.lays[0].placements)
    assert check_layout(plan, layout) == ()
