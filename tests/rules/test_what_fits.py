"""What finds room on an owned cloth that is too short, and whether one more could."""

from dataclasses import replace

import pytest

from nesting.rules.what_fits import room_for

from .garments import piece, plan_of, rectangle
from .plain_cutter import PlainCutter


def owned(length=500.0, count=3, **fields):
    """Return a plan of cuffs 200 long and 60 wide on so much owned cloth, 100 wide."""
    cuff = piece(rectangle(60, 200), name="cuff", as_drawn=count, **fields.pop("piece", {}))
    return plan_of(cuff, *fields.pop("more", ()), length=length, width=100.0, **fields)


def said(plan, cutter):
    """Return what is said of a plan's only cloth."""
    return room_for(plan, plan.cloths[0], cutter)


def test_what_fits_is_counted_and_that_no_more_does_is_proven():
    """Two of three cuffs on 50 cm; three take 60 at least, as the cutter knows."""
    cutter = PlainCutter(minimum=1.0)
    assert said(owned(), cutter) == (
        "of these, 2 of cuff find room on what is owned, 1 of cuff not; proven: none of those "
        "left out can be added"
    )
    (half, *_), (rest, target, useful, start) = cutter.asked
    assert (half, rest, start) == (0.5, 0.5, None)
    assert target == useful == pytest.approx(500.01)


def test_without_proof_nothing_more_is_said():
    """The cutter knows of no least length; nor does a gap let the engine's be one."""
    found = "of these, 2 of cuff find room on what is owned, 1 of cuff not"
    assert said(owned(), PlainCutter()) == found
    assert said(owned(gap=4.0), PlainCutter(minimum=1.0)) == found
    assert said(owned(), PlainCutter(minimum=1.0, stop_reason="interrupted")) == found


def test_an_interrupted_search_is_not_begun_again():
    """One call, and what it found."""
    cutter = PlainCutter(minimum=1.0, stop_reason="interrupted")
    said(owned(), cutter)
    assert len(cutter.asked) == 1


def test_each_sort_left_out_is_tried_by_itself():
    """Of cuffs, bands and a collar two cuffs fit; the effort is shared by what is left out."""
    more = (
        piece(rectangle(80, 250), name="band"),
        piece(rectangle(90, 60), name="collar", cloth="silk"),
        piece(rectangle(70, 300), name="belt", as_drawn=1, mirrored=1),
    )
    cutter = PlainCutter(minimum=1.0)
    text = said(owned(more=more), cutter)
    assert text == (
        "of these, 2 of cuff find room on what is owned, 1 of cuff, 1 of band, 2 of belt not; "
        "proven: none of those left out can be added"
    )
    assert [share for share, *_ in cutter.asked] == [0.5, *[pytest.approx(0.5 / 3)] * 3]


def test_where_one_of_them_could_be_added_nothing_is_proven():
    """A ribbon of 8 cm comes behind the cuffs, though it would fit beside two of them."""
    ribbon = piece(rectangle(60, 80), name="ribbon")
    found = "of these, 2 of cuff find room on what is owned, 1 of cuff, 1 of ribbon not"
    assert said(owned(more=(ribbon,)), PlainCutter(minimum=1.0)) == found


def test_nothing_fits_or_all_does():
    """Then there is nothing to say."""
    assert said(owned(length=150.0), PlainCutter(minimum=1.0)) == ""
    assert said(owned(length=600.0), PlainCutter(minimum=1.0)) == ""


def test_trim_and_shrinkage_count():
    """400 less a trim of 10, shrunk by a tenth, holds one cuff of 200."""
    plan = owned(length=400.0, count=2, end_trim=10.0, shrink_along=0.1)
    cutter = PlainCutter(minimum=1.0)
    assert said(plan, cutter).startswith("of these, 1 of cuff find room on what is owned, 1 of")
    (_, target, *_) = cutter.asked[1]
    assert target == pytest.approx(400.01 * 0.9 - 10)


def test_copies_as_drawn_are_laid_before_mirrored_ones():
    """Of two and one, what is tried with the third is two as drawn and one mirrored."""
    seen = []

    class Looking(PlainCutter):
        def __call__(self, compiled, share, **asked):
            seen.append([ticket.hand for ticket in compiled.tickets])
            return super().__call__(compiled, share, **asked)

    plan = owned(count=2)
    (cuff,) = plan.pieces
    plan = replace(plan, pieces=(replace(cuff, mirrored=2),))
    said(plan, Looking(minimum=1.0))
    assert seen == [["R", "R", "L", "L"], ["R", "R", "L"]]


def test_exactly_enough_is_enough():
    """A least length that is just that of the cloth proves nothing."""

    class Exact(PlainCutter):
        def __call__(self, compiled, share, **asked):
            found = super().__call__(compiled, share, **asked)
            return found if len(self.asked) == 1 else replace(found, minimum=500.01)

    assert "proven" not in said(owned(), Exact())
