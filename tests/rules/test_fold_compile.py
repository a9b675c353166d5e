"""Folded cloth as placement problems, and the way back, with every figure worked by hand."""

import pytest

from nesting.model.problem import Domain
from nesting.rules.compile import compile_lay
from nesting.rules.fold import Folding, FoldLine
from nesting.rules.fold_compile import Share, fold_lay, most_folded, restricted
from nesting.rules.fold_layout import folded_lay_from
from nesting.rules.fold_pairs import PieceOnFold, pieces_on_fold

from .garments import piece, plan_of, rectangle, result_of

GORE = [(0, 0), (240, 0), (120, 400), (0, 400)]
PAIR = {"as_drawn": 1, "mirrored": 1}


def gore(**fields):
    """Return a gore 240 wide and 400 long, as a pair unless told otherwise."""
    return piece(GORE, name="gore", **(PAIR | fields))


def back(**fields):
    """Return a rectangle 150 by 500, drawn as half of a piece, its fold edge upright."""
    fields.setdefault("mirror", ((0, 0), (0, 500)))
    return piece(rectangle(150, 500), name="back", **fields)


def yoke(**fields):
    """Return a rectangle 150 by 60, drawn as half of a piece, its fold edge at its foot."""
    fields.setdefault("mirror", ((0, 0), (150, 0)))
    return piece(rectangle(150, 60), name="yoke", **fields)


def opened(*pieces, **cloth):
    """Return the lay of pieces on a cloth laid open, 1000 wide."""
    plan = plan_of(*pieces, **cloth)
    return compile_lay(plan, plan.cloths[0])


def job_on(kind, *pieces, depth=0.0, cut=False, shares=None, **cloth):
    """Return the problems of pieces on folded cloth, as much folded as can be."""
    whole = opened(*pieces, **cloth)
    folding = Folding(kind, whole.cloth.usable_width, depth, cut)
    on = pieces_on_fold(whole, folding)
    return fold_lay(whole, folding, on, most_folded(on) if shares is None else shares)


def domains(job):
    """Return the domains of each item of the folded stretch."""
    return [item.domains for item in job.folded.problem.items]


def boxes(job):
    """Return the boxes of the shapes of the folded stretch."""
    return [pytest.approx(shape.box) for shape in job.folded.problem.shapes]


def test_a_lengthwise_fold_is_half_as_wide():
    """Half a gap is kept from the fold, nothing from the selvages; half pieces lie on the fold."""
    job = job_on("lengthwise", gore(), back(), gap=4.0)
    assert job.margin == (2.0, 2.0)
    assert job.folded.problem.width == 502.0
    assert job.opened is None
    assert job.stretches == (job.folded,)
    pair, half = job.folded.tickets
    assert (pair.layers, pair.on_fold, half.layers, half.on_fold) == (2, False, 2, True)
    assert domains(job) == [(), (Domain(y=(352.0, 352.0)),) * len(half.choices)]
    assert [item.name for item in job.folded.problem.items] == ["gore 1 R", "back 1"]
    assert not job.folded.exact
    (half_box,) = {job.folded.problem.shapes[k].box for k in half.choices}
    # No gap beyond the fold: there the other layer goes on.
    assert half_box == pytest.approx((-2, -2, 502, 150))


def test_both_turns_of_a_half_that_face_the_fold_are_kept():
    """Upright its fold edge is at its upper side; turned and reflected it is there again."""
    job = job_on("lengthwise", back())
    (half,) = job.folded.tickets
    assert sorted(tuple(laid.way) for laid in half.choices.values()) == [
        (False, 0.0), (True, 180.0),
    ]  # fmt: skip
    assert domains(job) == [(Domain(y=(350.0, 350.0)),) * 2]
    assert job.folded.exact
    assert job.folded.problem.width == 500.0


def test_a_crosswise_fold_is_as_wide_as_the_cloth():
    """A half whose fold edge lies across the grain is pinned at x = 0, gap or no gap."""
    job = job_on("crosswise", gore(), yoke(), gap=4.0)
    assert job.margin == (0.0, 2.0)
    assert job.folded.problem.width == 1004.0
    pair, half = domains(job)
    assert pair == ()
    assert set(half) == {Domain(x=(0.0, 0.0))}
    (half_box,) = {job.folded.problem.shapes[k].box for k in job.folded.tickets[1].choices}
    assert half_box == pytest.approx((0, -2, 62, 152))


def test_layers_cut_apart_have_no_fold():
    """Then the cut may be touched, as a selvage may; no half can lie there."""
    job = job_on("crosswise", gore(), yoke(), gap=4.0, cut=True)
    assert job.margin == (2.0, 2.0)
    assert job.folded.problem.width == 1004.0
    assert [ticket.piece.name for ticket in job.folded.tickets] == ["gore"]
    assert [ticket.piece.name for ticket in job.opened.tickets] == ["yoke"]
    assert job.stretches == (job.folded, job.opened)


def test_halves_on_a_crosswise_fold_share_its_width():
    """Six of 150 lie side by side on 1000 without a gap, of seven one is opened out."""
    assert len(job_on("crosswise", yoke(as_drawn=6)).folded.tickets) == 6
    job = job_on("crosswise", yoke(as_drawn=7))
    assert len(job.folded.tickets) == 6
    assert [ticket.copy for ticket in job.opened.tickets] == [7]
    exact = job_on("crosswise", yoke(as_drawn=3), width=458.0, gap=4.0)
    assert exact.opened is None
    assert job_on("crosswise", yoke(as_drawn=3), width=457.9, gap=4.0).opened is not None


def test_a_partial_fold_is_double_in_one_band_and_single_in_the_other():
    """1000 folded in by 300: double from 400 to 700, single from 0 to 400."""
    job = job_on("partial", gore(as_drawn=2), back(), depth=300.0, gap=4.0)
    assert job.margin == (2.0, 2.0)
    assert job.folded.problem.width == 702.0
    pair, half, single = domains(job)
    assert set(pair) == {Domain(y=(402.0, 462.0))}
    assert set(half) == {Domain(y=(552.0, 552.0))}
    assert set(single) == {Domain(y=(2.0, 162.0))}
    assert [ticket.layers for ticket in job.folded.tickets] == [2, 2, 1]
    assert [item.name for item in job.folded.problem.items] == ["gore 1 R", "back 1", "gore 2 R"]
    assert job.opened is None


def test_what_has_no_room_beside_a_partial_fold_is_opened_out():
    """Folded in by 450 there are 100 left beside it, too little for a gore of 240."""
    job = job_on("partial", gore(as_drawn=2), depth=450.0)
    assert [ticket.copy for ticket in job.folded.tickets] == [1]
    assert [ticket.copy for ticket in job.opened.tickets] == [2]
    deep = job_on("partial", gore(as_drawn=2), depth=500.0)
    assert [ticket.copy for ticket in deep.opened.tickets] == [2]
    fits = job_on("partial", gore(as_drawn=2), depth=380.0)
    assert fits.opened is None
    assert set(domains(fits)[1]) == {Domain(y=(0.0, 0.0))}


def test_with_both_selvages_in_the_middle_there_are_two_folds():
    """Each piece lies in one band of 250 or the other; a half on the fold it faces."""
    job = job_on("middle", gore(), back(), gap=4.0)
    assert job.margin == (2.0, 0.0)
    assert job.folded.problem.width == 500.0
    pair, half = domains(job)
    assert set(pair) == {Domain(y=(0.0, 10.0)), Domain(y=(250.0, 260.0))}
    assert set(half) == {Domain(y=(0.0, 0.0)), Domain(y=(350.0, 350.0))}
    found = {job.folded.problem.shapes[k].box for k in job.folded.tickets[1].choices}
    assert sorted(found) == [
        pytest.approx((-2, -2, 502, 150)), pytest.approx((-2, 0, 502, 152)),
    ]  # fmt: skip


def test_nothing_is_folded_wider_than_its_room():
    """A pair of 240 on 500 folded: 248 is room enough with a gap of 4, 238 is not."""
    assert job_on("middle", gore(), gap=4.0) is not None
    assert job_on("middle", gore(), gap=24.0) is None
    assert job_on("lengthwise", gore(), width=480.0) is not None
    assert job_on("lengthwise", gore(), width=479.9) is None
    assert job_on("crosswise", gore(), width=240.0, gap=4.0) is not None
    assert job_on("lengthwise", back(), width=300.0) is not None
    assert job_on("lengthwise", back(), width=300.0, gap=4.0) is not None
    assert job_on("partial", back(), depth=149.0) is None


def test_shares_say_how_much_is_folded():
    """Of three pairs two double, the others opened out, in their order."""
    job = job_on("lengthwise", gore(as_drawn=3, mirrored=3), shares=[Share(0, 2)])
    assert [(t.copy, t.layers) for t in job.folded.tickets] == [(1, 2), (2, 2)]
    assert [(t.copy, t.hand) for t in job.opened.tickets] == [(3, "R"), (6, "L")]
    halves = job_on("lengthwise", back(as_drawn=3), shares=[Share(1, 1)])
    assert [(t.copy, t.on_fold, t.layers) for t in halves.folded.tickets] == [
        (1, False, 2), (3, True, 2),
    ]  # fmt: skip
    assert halves.opened is None
    assert job_on("lengthwise", gore(), shares=[Share(0, 0)]) is None


def test_as_much_as_can_be_is_cut_folded():
    """Halves on the fold, or two at one stroke and what is over on the fold."""
    line = FoldLine(0.0, (0.0, 1.0))
    on_fold = PieceOnFold((0, 1, 2), ((0, 1),), (), ((None, line),))
    pairs = PieceOnFold((3, 4, 5), ((3, 4),), (), ())
    lone = PieceOnFold((6,), (), (), ((None, line),))
    assert most_folded([on_fold, pairs, lone]) == (Share(3, 0), Share(0, 1), Share(1, 0))
    assert most_folded([on_fold, pairs, lone], double_first=True) == (
        Share(1, 1), Share(0, 1), Share(1, 0),
    )  # fmt: skip


def test_a_lay_restricted_to_some_tickets_keeps_what_these_need():
    """Shapes numbered anew, tickets and items with them."""
    whole = opened(gore(), back(), gap=2.0)
    part = restricted(whole, [2, 1])
    assert [ticket.piece.name for ticket in part.tickets] == ["back", "gore"]
    assert [item.name for item in part.problem.items] == ["back 1", "gore 2 L"]
    assert len(part.problem.shapes) == 3
    for ticket, item in zip(part.tickets, part.problem.items, strict=True):
        assert tuple(ticket.choices) == item.shapes
    assert part.problem.items[0].shapes == (2,)
    assert part.problem.shapes[2] is whole.problem.shapes[whole.problem.items[2].shapes[0]]
    assert part.problem.width == whole.problem.width
    assert [laid.way for laid in part.tickets[1].choices.values()] == [
        laid.way for laid in whole.tickets[1].choices.values()
    ]


def lay_of(job, *positions, minimum=0.0, proven=0.0):
    """Return the lay of positions, stretch by stretch: (item's n-th shape, x, y)."""
    results = []
    for stretch, placed in zip(job.stretches, positions, strict=True):
        at = [
            (item.shapes[n], x, y)
            for item, (n, x, y) in zip(stretch.problem.items, placed, strict=True)
        ]
        results.append(result_of(stretch, at, minimum))
    return folded_lay_from(job, results, proven)


def test_a_folded_lay_is_moved_to_the_cut_end():
    """The pair 30 from it comes to 0; what is double counts twice."""
    job = job_on("lengthwise", gore(), width=600.0, selvage=10.0, nap="one-way", gap=4.0)
    lay = lay_of(job, [(0, 32.0, 2.0)])
    (pair,) = lay.placements
    assert pair.outline.min(axis=0) == pytest.approx([0, 0])
    assert (pair.cuts, pair.hand, lay.layers, lay.fold) == (2, "R", 2, "lengthwise")
    assert lay.length == pytest.approx(400)
    assert lay.utilisation == pytest.approx(2 * 180 * 400 / (580 * 400))
    assert (lay.usable_width, lay.cloth_width, lay.selvage) == (580.0, 600.0, 10.0)
    assert (lay.nap, lay.status, lay.reason, lay.cloth) == ("one-way", "proven best", "", "calico")
    assert lay.proven_minimum == pytest.approx(400)
    folding = lay.folding
    assert folding.kind == "lengthwise"
    assert folding.edges == (((0.0, 290.0), (pytest.approx(400.0), 290.0)),)
    assert folding.double == ((0.0, 0.0, pytest.approx(400.0), 290.0),)
    assert folding.end is None
    assert lay.leftover == pytest.approx((0, 240, 400, 290))


def test_the_hand_of_a_pair_is_that_of_the_lower_layer():
    """The reflected way is a left below and a right above."""
    whole = opened(gore())
    folding = Folding("lengthwise", 1000.0)
    job = fold_lay(whole, folding, pieces_on_fold(whole, folding), [Share(0, 1)])
    lays = {
        choice.way.mirrored: lay_of(job, [(n, 0.0, 0.0)]).placements[0].hand
        for n, choice in enumerate(job.folded.tickets[0].choices.values())
    }
    assert lays == {False: "R", True: "L"}


def test_a_crosswise_fold_takes_both_layers():
    """A pair of 400 and a yoke on the fold: 800 are taken, and nothing is moved off the fold."""
    job = job_on("crosswise", gore(), yoke(), width=500.0)
    lay = lay_of(job, [(0, 50.0, 0.0), (0, 0.0, 250.0)])
    assert [p.outline[:, 0].min() for p in lay.placements] == pytest.approx([50, 0])
    assert lay.length == pytest.approx(900)
    assert [p.on_fold for p in lay.placements] == [False, True]
    assert lay.folding.edges == (((0.0, 0.0), (0.0, 500.0)),)
    assert lay.buy.length == pytest.approx(900)
    assert lay.utilisation == pytest.approx((2 * 180 * 400 + 2 * 150 * 60) / (900 * 500))
    cut = job_on("crosswise", gore(), width=500.0, cut=True)
    lay = lay_of(cut, [(0, 50.0, 0.0)])
    assert (lay.length, lay.folding.edges) == (pytest.approx(800), ())
    assert lay.placements[0].outline[:, 0].min() == pytest.approx(0)


def test_what_is_opened_out_lies_a_gap_behind():
    """A pair of 400 double, the odd gore a gap of 10 behind it: 810 in all."""
    job = job_on("lengthwise", gore(as_drawn=2), gap=10.0)
    lay = lay_of(job, [(0, 5.0, 5.0)], [(0, 80.0, 25.0)])
    pair, odd = lay.placements
    assert odd.outline.min(axis=0) == pytest.approx([410, 20])
    assert (pair.cuts, odd.cuts) == (2, 1)
    assert lay.length == pytest.approx(810)
    assert lay.folding.end == pytest.approx(400)
    assert lay.folding.edges == (((0.0, 500.0), (pytest.approx(400.0), 500.0)),)
    assert lay.utilisation == pytest.approx(3 * 180 * 400 / (810 * 1000))
    # The largest clean rectangle is the opened stretch's, above the odd gore.
    assert lay.leftover == pytest.approx((400, 260, 810, 1000))


def test_what_is_left_of_the_folded_stretch_may_be_larger():
    """A long back folded, a small collar behind it: beside the back most is left."""
    collar = piece(rectangle(600, 60), name="collar")
    job = job_on("lengthwise", back(), collar)
    (ticket,) = job.folded.tickets
    lay = lay_of(job, [(0, 0.0, 350.0)], [(0, 0.0, 0.0)])
    assert lay.leftover == pytest.approx((0, 0, 500, 350))
    assert ticket.on_fold
    full = job_on("lengthwise", piece(rectangle(500, 60), name="band", **PAIR))
    assert lay_of(full, [(0, 0.0, 0.0)]).leftover is None


def test_what_is_proven_of_folded_cloth():
    """The longest piece and the area, or what is proven besides; never more than the length."""
    job = job_on("lengthwise", gore(as_drawn=2), width=500.0)
    at = ([(0, 0.0, 0.0)], [(0, 0.0, 0.0)])
    assert lay_of(job, *at).proven_minimum == pytest.approx(3 * 180 * 400 / 500)
    assert lay_of(job, *at, proven=700.0).proven_minimum == 700.0
    best = lay_of(job, *at, proven=900.0)
    assert (best.proven_minimum, best.status) == (best.length, "proven best")


def test_too_long_for_owned_cloth():
    """It does not fit, and nothing is said to be left over."""
    job = job_on("lengthwise", gore(), length=390.0)
    lay = lay_of(job, [(0, 0.0, 0.0)])
    assert (lay.status, lay.leftover) == ("does not fit", None)
    assert "only 39.0 cm is owned" in lay.reason


def test_a_lay_on_a_crosswise_fold_is_measured_from_the_fold():
    """A pair 50 from it takes 450 in both layers, though nothing lies on the fold."""
    lay = lay_of(job_on("crosswise", gore(), width=500.0), [(0, 50.0, 0.0)])
    assert lay.placements[0].outline[:, 0].min() == pytest.approx(50)
    assert lay.length == pytest.approx(900)
