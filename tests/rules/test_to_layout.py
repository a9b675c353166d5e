"""From positions back to the lay."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.rings import as_points
from nesting.model.pattern import Notch
from nesting.model.plan import Motif, Repeat
from nesting.model.problem import Domain
from nesting.rules.bound import least_length
from nesting.rules.compile import compile_lay
from nesting.rules.to_layout import lay_from

from .garments import piece, plan_of, rectangle, result_of

GORE = as_points([(0, 0), (60, 0), (0, 100)])


def lay_of(plan, positions, minimum=0.0):
    """Lay the one cloth of a plan at given positions."""
    compiled = compile_lay(plan, plan.cloths[0])
    return lay_from(compiled, result_of(compiled, positions, minimum))


def test_two_gores_side_by_side():
    """Head to foot in one rectangle: length, share of cloth and marks worked by hand."""
    plan = plan_of(
        piece(GORE, as_drawn=2, points={"hip": (0.0, 50.0)}), width=64.0, selvage=2.0, nap="none"
    )
    lay = lay_of(plan, [(0, 0, 0), (1, 0, 0)])
    assert lay.length == pytest.approx(100)
    assert lay.utilisation == pytest.approx(1.0)
    assert (lay.usable_width, lay.cloth_width, lay.selvage) == (60.0, 64.0, 2.0)
    first, second = lay.placements
    assert (first.turned, second.turned) == (0.0, 180.0)
    assert (first.copy, second.copy, first.hand) == (1, 2, "")
    assert first.points["hip"] == pytest.approx((50, 60))
    assert second.points["hip"] == pytest.approx((50, 0))
    assert lay.status == "proven best"
    assert lay.proven_minimum == pytest.approx(100)


def test_hands_and_reflections_are_told():
    """The left of a pair lies as the reflection of its drawing."""
    plan = plan_of(piece(GORE, as_drawn=1, mirrored=1))
    lay = lay_of(plan, [(0, 0, 0), (2, 0, 100)])
    assert [(p.hand, p.mirrored) for p in lay.placements] == [("R", False), ("L", True)]


def test_a_lay_starts_at_the_cut_end():
    """Cloth left empty before the first piece is not bought."""
    lay = lay_of(plan_of(piece(rectangle(60, 100))), [(0, 40, 7)])
    assert lay.length == pytest.approx(100)
    assert lay.placements[0].outline.min(axis=0) == pytest.approx([0, 7])


def test_a_gap_is_given_back():
    """Two rectangles touching with their gaps lie exactly a gap apart, at the very edges."""
    plan = plan_of(piece(rectangle(45, 100), as_drawn=2), width=100.0, gap=10.0)
    lay = lay_of(plan, [(0, 5, 5), (0, 5, 60)])
    low, high = (placement.outline for placement in lay.placements)
    assert low[:, 1].min() == pytest.approx(0)
    assert high[:, 1].min() - low[:, 1].max() == pytest.approx(10)
    assert high[:, 1].max() == pytest.approx(100)
    assert lay.length == pytest.approx(100)


def test_owned_cloth_too_short_does_not_fit_and_says_why():
    """Need, owned and missing length in the maker's unit; the placements stay for her to see."""
    plan = plan_of(piece(rectangle(60, 1000)), length=1000.0, end_trim=50.0)
    lay = lay_of(plan, [(0, 0, 0)])
    assert lay.status == "does not fit"
    for part in ("needs 105.0 cm of calico", "only 100.0 cm", "5.0 cm too short"):
        assert part in lay.reason
    assert len(lay.placements) == 1


def test_owned_cloth_long_enough_is_found_and_free():
    """What is owned costs nothing."""
    lay = lay_of(plan_of(piece(rectangle(60, 1000)), length=1050.0, end_trim=50.0), [(0, 0, 0)])
    assert (lay.status, lay.reason, lay.buy.cost) == ("proven best", "", 0.0)


def test_a_proof_counts_only_where_the_shapes_are_exact():
    """The engine's minimum holds for its own outlines; with a gap these are not the true ones."""
    rings = rectangle(60, 100)
    exact = lay_of(plan_of(piece(rings, as_drawn=3), width=100.0),
                   [(0, 0, 0), (0, 100, 0), (0, 200, 0)], minimum=300.0)  # fmt: skip
    assert (exact.status, exact.proven_minimum) == ("proven best", 300.0)
    gapped = lay_of(plan_of(piece(rings, as_drawn=3), width=100.0, gap=10.0),
                    [(0, 5, 5), (0, 115, 5), (0, 225, 5)], minimum=330.0)  # fmt: skip
    assert gapped.status == "found"
    assert gapped.proven_minimum < gapped.length == pytest.approx(320)


@given(
    sizes=st.lists(st.tuples(st.floats(10, 90), st.floats(10, 400)), min_size=1, max_size=6),
    gap=st.sampled_from([0.0, 8.0]),
)
def test_the_bound_is_never_above_a_layout(sizes, gap):
    """Rectangles one behind the other are a layout; the least length is not above its length."""
    pieces = [piece(rectangle(w, h), name=f"p{k}") for k, (w, h) in enumerate(sizes)]
    plan = plan_of(*pieces, width=90.0, gap=gap)
    compiled = compile_lay(plan, plan.cloths[0])
    least = least_length(compiled)
    longest = max(h for _, h in sizes)
    area = sum(w * h for w, h in sizes)
    lengths = np.cumsum([0.0] + [h + gap for _, h in sizes])
    assert longest <= least + 1e-9
    assert area / 90.0 <= least + gap + 1e-9
    assert least <= lengths[-1] - gap + 1e-9


def test_what_is_left_over_lies_between_the_true_cut_lines():
    """A gap of 10 round the pieces is no part of them: 100 by 40 between two, to the very edge."""
    plan = plan_of(piece(rectangle(45, 100), as_drawn=2), width=130.0, gap=10.0)
    lay = lay_of(plan, [(0, 5, 5), (0, 5, 90)])
    assert lay.leftover == pytest.approx((0, 45, 100, 85))


def test_what_is_left_over_begins_at_the_cut_end_as_the_lay_does():
    """Cloth skipped before the first piece is not counted."""
    lay = lay_of(plan_of(piece(rectangle(60, 100)), width=90.0), [(0, 40, 30)])
    assert lay.leftover == pytest.approx((0, 0, 100, 30))


def test_nothing_is_left_over_of_full_or_too_short_cloth():
    """A piece that fills the lay, and a lay that is not to be cut."""
    full = lay_of(plan_of(piece(rectangle(90, 100)), width=90.0), [(0, 0, 0)])
    assert full.leftover is None
    short = lay_of(plan_of(piece(rectangle(60, 100)), width=90.0, length=50.0), [(0, 0, 0)])
    assert (short.status, short.leftover) == ("does not fit", None)


def test_every_mark_of_a_piece_is_placed():
    """Each moved as the outline is, and what the plan and the cloth say goes along."""
    hole = as_points([(10, 10), (10, 20), (20, 20), (20, 10)])
    made = piece(
        rectangle(60, 100), name="cuff", cutouts=(hole,), points={"hip": (0.0, 50.0)},
        sew_lines=(as_points([(5, 5), (5, 95)]),), internal_lines=(as_points([(6, 5), (6, 95)]),),
        stripe_lines=(as_points([(7, 5), (7, 95)]),), plaid_lines=(as_points([(8, 5), (8, 95)]),),
        notches=(Notch((0.0, 40.0), 0.0, 3.0),), drill_holes=((30.0, 70.0),), turn=False,
    )  # fmt: skip
    lay = lay_of(plan_of(made, gap=4.0, nap="one-way"), [(0, 2.0, 12.0)])
    (at,) = lay.placements
    # Up the page is along the cloth; the page's right is towards the near selvage.
    assert at.outline.min(axis=0) == pytest.approx([0, 10])
    assert at.cutouts[0].min(axis=0) == pytest.approx([10, 50])
    lines = (at.sew_lines, at.internal_lines, at.stripe_lines, at.plaid_lines)
    assert [float(line[0][1]) for (line,) in lines] == pytest.approx([65, 64, 63, 62])
    assert at.notches == (Notch((pytest.approx(40), pytest.approx(70)), pytest.approx(270), 3.0),)
    assert at.drill_holes == (pytest.approx((70, 40)),)
    assert at.points["hip"] == pytest.approx((50, 70))
    (x0, y0), (x1, y1) = at.grain
    assert (x1 - x0, y1 - y0) == pytest.approx((1, 0))
    assert (at.piece, at.copy, at.mirrored, at.turned, at.hand) == ("cuff", 1, False, 0.0, "")
    assert (at.layers, at.on_fold, at.held) == (1, False, ())
    assert (lay.cloth, lay.nap, lay.panel, lay.fold) == ("calico", "one-way", None, "open")
    assert (lay.repeat, lay.remarks, lay.flaws) == (None, (), ())
    assert lay.utilisation == pytest.approx((6000 - 100) / (1000 * 100))


def test_what_is_bought_counts_the_start_on_the_design():
    """One repeat of 64 besides the lay of 100, off the bolt; the remark tells it."""
    made = piece(
        rectangle(60, 100), points={"rose": (0.0, 50.0)}, motif=Motif("rose", (0.0, None)),
        turn=False,
    )  # fmt: skip
    lay = lay_of(plan_of(made, repeat=Repeat(64.0)), [(0, 14.0, 0.0)])
    assert lay.buy.length == pytest.approx(164)
    assert lay.repeat.offset == (pytest.approx(50.0), 0.0)
    assert len(lay.remarks) == 1
    # A lay on a design whose place is unknown is moved to the cut end; on a known one it is not.
    assert lay.placements[0].outline[:, 0].min() == pytest.approx(0)
    known = plan_of(made, repeat=Repeat(64.0, 0.0, "none", (0.0, None)))
    assert lay_of(known, [(0, 14.0, 0.0)]).length == pytest.approx(114)
    across = replace(made, motif=Motif("rose", (None, 0.0)))
    moved = lay_of(plan_of(across, repeat=Repeat(0.0, 32.0, "none", (None, 0.0))), [(0, 9.0, 4.0)])
    assert moved.length == pytest.approx(100)


def test_why_a_lay_does_not_fit_is_told_to_the_word():
    """Need, owned, missing and what is proven, in the maker's unit."""
    plan = plan_of(piece(rectangle(60, 1000)), length=1000.0, end_trim=50.0)
    assert lay_of(plan, [(0, 0, 0)]).reason == (
        "the lay needs 105.0 cm of calico, trim and shrinkage included, and only 100.0 cm is "
        "owned: 5.0 cm too short; proven: no lay of these pieces takes less than 105.0 cm"
    )
    two = plan_of(piece(rectangle(60, 300), as_drawn=2), length=500.0, end_trim=50.0, units="in")
    assert lay_of(two, [(0, 0, 0), (0, 300, 0)]).reason == (
        "the lay needs 25 9/16 in of calico, trim and shrinkage included, and only 19 11/16 in is "
        "owned: 5 7/8 in too short; it is not proven that no lay fits, so a longer search may "
        "find one"
    )


@pytest.mark.parametrize(("short", "status"), [(0.009, "proven best"), (0.011, "found")])
def test_the_best_is_proven_to_a_hundredth_of_a_millimetre(short, status):
    """As lengths are reported."""
    plan = plan_of(piece(rectangle(60, 100), as_drawn=3), width=130.0)
    at = [(0, 0, 0), (0, 0, 60), (0, 100, 0)]
    assert lay_of(plan, at, minimum=200.0 - short).status == status
    assert lay_of(plan, at, minimum=250.0).proven_minimum == pytest.approx(200)
    compiled = compile_lay(plan, plan.cloths[0])
    assert lay_from(compiled, result_of(compiled, at), proven=180.0).proven_minimum == 180.0


def test_a_lay_pinned_along_is_not_moved():
    """A place of its own along the cloth, as a fold across it gives, fixes where a lay lies."""
    plan = plan_of(piece(rectangle(60, 100)))
    compiled = compile_lay(plan, plan.cloths[0])
    (item,) = compiled.problem.items
    for domain, start in ((Domain(x=(30.0, 30.0)), 30), (Domain(y=(0.0, 50.0)), 0)):
        held = replace(compiled.problem, items=(replace(item, domains=(domain,)),))
        pinned = replace(compiled, problem=held)
        lay = lay_from(pinned, result_of(pinned, [(0, 30.0, 0.0)]))
        assert lay.placements[0].outline[:, 0].min() == pytest.approx(start)
