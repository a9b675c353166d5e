"""From positions back to the lay."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.geometry.rings import as_points
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
