"""Which ways a copy may lie."""

import itertools

import pytest

from nesting.model.plan import Cloth
from nesting.rules.orientation import Way, ways

from .garments import piece, rectangle

GRAINS = ["lengthwise", "crosswise", "bias", "any"]
NAPS = ["none", "one-way"]
SIDES = ["differ", "alike"]


def ways_for(grain="lengthwise", nap="none", sides="differ", turn=True, mirrored=False):
    """Return the ways as a set of plain pairs."""
    cloth = Cloth("calico", 1000.0, nap=nap, sides=sides)
    return {tuple(w) for w in ways(piece(rectangle(1, 2), grain=grain, turn=turn), cloth,
                                   mirrored=mirrored)}  # fmt: skip


@pytest.mark.parametrize(
    ("grain", "nap", "turn", "mirrored", "angles"),
    [
        ("lengthwise", "none", True, False, {0, 180}),
        ("lengthwise", "none", False, True, {0}),
        ("lengthwise", "one-way", True, True, {0}),
        ("crosswise", "none", True, False, {90, 270}),
        ("crosswise", "none", False, False, {90}),
        ("crosswise", "one-way", True, True, {90}),
        ("bias", "none", True, False, {45, 225}),
        ("bias", "none", True, True, {315, 135}),
        ("bias", "none", False, False, {45}),
        ("bias", "one-way", True, True, {315}),
        ("any", "none", True, False, {0, 45, 90, 135, 180, 225, 270, 315}),
        ("any", "none", False, False, {0, 45, 90, 135, 180, 225, 270, 315}),
        ("any", "one-way", True, False, {0, 45, 315}),
    ],
)
def test_every_rule_by_itself(grain, nap, turn, mirrored, angles):
    """Grain, nap and the maker's word give exactly these directions (common practice)."""
    assert ways_for(grain, nap, "differ", turn, mirrored) == {(mirrored, a) for a in angles}


@pytest.mark.parametrize(
    ("grain", "nap", "turn"), [*itertools.product(GRAINS, NAPS, [True, False])]
)
def test_cloth_with_a_right_side_never_turns_a_piece_over(grain, nap, turn):
    """A left cut from such cloth can never become a right."""
    for mirrored in (False, True):
        assert {w[0] for w in ways_for(grain, nap, "differ", turn, mirrored)} == {mirrored}


@pytest.mark.parametrize(
    ("grain", "nap", "turn", "mirrored"),
    [*itertools.product(GRAINS, NAPS, [True, False], [True, False])],
)
def test_on_alike_cloth_the_ways_are_closed_under_turning_over(grain, nap, turn, mirrored):
    """Turning any allowed way over gives another allowed way, and twice gives it back."""
    allowed = ways_for(grain, nap, "alike", turn, mirrored)
    for way in allowed:
        over = Way(*way).turned_over
        assert tuple(over) in allowed
        assert over.turned_over == way
    assert ways_for(grain, nap, "differ", turn, mirrored) <= allowed


@pytest.mark.parametrize(("grain", "sides"), [*itertools.product(GRAINS, SIDES)])
def test_a_nap_or_a_forbidden_turn_never_adds_a_way(grain, sides):
    """Every restriction leaves a part of what was allowed before, and never nothing."""
    free = ways_for(grain, sides=sides)
    for nap, turn in (("one-way", True), ("none", False), ("one-way", False)):
        assert set() < ways_for(grain, nap, sides, turn) <= free


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("grain", GRAINS)
def test_on_one_way_cloth_no_piece_points_against_the_nap(grain, mirrored):
    """The top leans with the nap or square to it, never back."""
    assert all(
        turned in {0, 45, 90, 315} for _, turned in ways_for(grain, "one-way", mirrored=mirrored)
    )


def test_a_pair_on_the_bias_is_left_and_right():
    """The mirrored copy's ways are the reflection of the other's about the warp."""
    assert {(not m, (360 - t) % 360) for m, t in ways_for("bias")} == ways_for(
        "bias", mirrored=True
    )


def test_the_untouched_way_comes_first():
    """Where both would do, a piece lies as it is drawn."""
    cloth = Cloth("calico", 1000.0, sides="alike")
    assert ways(piece(rectangle(1, 2)), cloth, mirrored=False)[0] == Way(mirrored=False, turned=0)
