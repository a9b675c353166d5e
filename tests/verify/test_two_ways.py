"""The rules and the check reach the same cut line by different ways."""

from __future__ import annotations

import math

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.errors import YardageError
from nesting.model.plan import EdgeAllowance, PlanPiece
from nesting.rules.true_piece import cut_piece as by_rules
from nesting.tolerances import CONGRUENT
from nesting.verify.congruence import farthest, misfit, ring_polygon
from nesting.verify.recompute import cut_piece as by_check

from ..handmade import pattern


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 359), st.integers(600, 3000)), min_size=5, max_size=30),
    st.sampled_from([0.0, 6.0, 10.0, 15.0]),
    st.sampled_from([0.0, 5.0, 25.0, 60.0]),
    st.tuples(st.integers(0, 29), st.integers(0, 29)),
)
def test_any_star_with_any_hem(spokes, allowance, hem, ends):
    """Random outlines, sharp and hollow, with a stretch of another allowance: one cut line."""
    reaches = dict(spokes)
    directions = sorted(reaches)
    turns = zip(directions, [*directions[1:], directions[0] + 360], strict=True)
    assume(len(directions) > 4 and all(b - a < 160 for a, b in turns))
    ring = [
        (reaches[d] / 10 * math.cos(math.radians(d)), reaches[d] / 10 * math.sin(math.radians(d)))
        for d in directions
    ]
    start, end = (ring[n % len(ring)] for n in ends)
    assume(start != end)
    piece = PlanPiece(
        "star",
        pattern("star", ring),
        "cloth",
        allowance=allowance,
        edges=(EdgeAllowance("hem", start, end, hem),),
    )
    try:
        cut = by_rules(piece)
    except YardageError:
        return  # a bay is shut in: nothing to compare
    true = by_check(piece).lying(mirrored=False, turned=0.0)
    assert misfit(true.region, ring_polygon(cut.outline)) <= CONGRUENT
    assert (len(cut.sew_lines) > 0) == (not true.sew.is_empty)
    if cut.sew_lines:
        assert farthest(true.sew, ring_polygon(cut.sew_lines[0][:-1]).exterior) <= CONGRUENT
