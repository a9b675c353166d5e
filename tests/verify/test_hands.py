"""Hands told apart and counted, and directions that a top may point to, by themselves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from nesting.model.pattern import Notch
from nesting.model.plan import PlanPiece
from nesting.verify.hands import check_hands, copy_numbers, is_own_reflection
from nesting.verify.recompute import cut_piece
from nesting.verify.turns import allowed_turns, check_turn
from nesting.verify.unfold import FlatCopy

from ..handmade import DAMASK, GORE, pattern, put
from .faults import told

SYMMETRIC = pattern("kite", [(0, 0), (60, 100), (0, 300), (-60, 100)])


@pytest.mark.parametrize(
    ("fields", "same"),
    [
        ({}, True),
        ({"notches": (Notch((30.0, 50.0)), Notch((-30.0, 50.0)))}, True),
        ({"notches": (Notch((30.0, 50.0)),)}, False),
        ({"drill_holes": ((0.0, 50.0),)}, True),
        ({"drill_holes": ((1.0, 50.0),)}, False),
        ({"sew_lines": (np.array([(-9.0, 50.0), (9.0, 50.0)]),)}, True),
        ({"sew_lines": (np.array([(-9.0, 50.0), (9.1, 50.0)]),)}, False),
        ({"internal_lines": (np.array([(-9.0, 50.0), (9.1, 50.0)]),)}, False),
        ({"stripe_lines": (np.array([(-9.0, 50.0), (9.1, 50.0)]),)}, False),
        ({"plaid_lines": (np.array([(-9.0, 50.0), (9.1, 50.0)]),)}, False),
        ({"cutouts": (np.array([(-9.0, 50.0), (-9.0, 60.0), (9.0, 60.0), (9.0, 50.0)]),)}, True),
        ({"cutouts": (np.array([(-9.0, 50.0), (-9.0, 60.0), (9.5, 60.0), (9.5, 50.0)]),)}, False),
        ({"outline": np.array([(0, 0), (60, 100), (0, 300), (-60.1, 100.0)])}, False),
    ],
)
def test_a_piece_that_is_its_own_reflection(fields, same):
    """Outline and every mark alike on both sides of its grain."""
    piece = PlanPiece("kite", replace(SYMMETRIC, **fields), "damask")
    assert is_own_reflection(cut_piece(piece)) is same


@pytest.mark.parametrize(
    ("hands", "may_lack", "lines"),
    [
        ([("as drawn", False), ("mirrored", True)], False, []),
        ([("as drawn", False), ("as drawn", True)], False,
         ["2 copies as drawn are laid; the plan asks for 1",
          "0 copies mirrored are laid; the plan asks for 1"]),
        ([("as drawn", False), ("mirrored", False)], False,
         ["2 copies as drawn are laid; the plan asks for 1",
          "0 copies mirrored are laid; the plan asks for 1"]),
        ([("mirrored", True)], False, ["0 copies as drawn are laid; the plan asks for 1"]),
        ([("mirrored", True)], True, []),
        ([("mirrored", True), ("mirrored", True)], True,
         ["2 copies mirrored are laid; the plan asks for 1"]),
        ([("whole", True), ("whole", True)], False, []),
        ([("whole", True)], False, ["1 copies of either hand are laid; the plan asks for 2"]),
        ([("whole", True)] * 3, True, ["3 copies of either hand are laid; the plan asks for 2"]),
        ([], False, ["0 copies as drawn are laid; the plan asks for 1",
                     "0 copies mirrored are laid; the plan asks for 1"]),
    ],
)  # fmt: skip
def test_hands_are_counted_as_they_are_and_as_they_are_said_to_be(hands, may_lack, lines):
    """Both ways must come out; wholes are of either hand."""
    gore = PlanPiece("gore", GORE, "damask", 1, 1)
    found = told(check_hands(gore, DAMASK, hands, may_lack=may_lack))
    assert found == [f"count: damask: gore: {line}" for line in lines]
    alike = replace(DAMASK, sides="alike")
    total = len(hands)
    right = total == 2 or (total < 2 and may_lack)
    assert (told(check_hands(gore, alike, hands, may_lack=may_lack)) == []) is right


def test_numbers_of_copies():
    """From 1 to as many as are asked or laid, each once."""
    gore = PlanPiece("gore", GORE, "damask", 2, 1)
    assert told(copy_numbers(gore, DAMASK, [3, 1, 2])) == []
    assert told(copy_numbers(gore, DAMASK, [3])) == []
    assert told(copy_numbers(gore, DAMASK, [1, 2, 3, 4])) == []
    assert told(copy_numbers(gore, DAMASK, [4, 1, 1])) == [
        "copy: damask: gore: copy number 1 appears 2 times among 3 copies",
        "copy: damask: gore: copy number 4 appears 1 times among 3 copies",
    ]


def leaning(turned, upper=False, mirrored=False, either=False, cloth=DAMASK, **fields):
    """Return what is said of a gore whose top points so."""
    gore = PlanPiece("gore", GORE, "damask", **{"as_drawn": 1, "mirrored": 0, **fields})
    laid = put(gore, 1, 0.0, (0.0, 300.0))
    copy = FlatCopy(laid, None, mirrored, turned, upper)
    return [f"{kind}: {text}" for kind, text in check_turn(copy, cloth, gore, either=either)]


def test_directions_of_the_top():
    """Which are allowed is said, with grain, nap and how far it may lean."""
    assert leaning(0.009) == leaning(180.009) == leaning(359.991) == []
    assert leaning(0.02) == [
        "turn: its top points to 0.02 degrees; lengthwise grain on this cloth (nap none) allows "
        "0, 180"
    ]
    assert leaning(4.009, tilt=4.0) == leaning(-4.009, tilt=4.0) == []
    assert leaning(355.0, tilt=4.0, upper=True) == [
        "turn: its top, in the upper layer, points to 355 degrees; lengthwise grain on this cloth "
        "(nap none) allows 0, 180, 4 degrees either way"
    ]
    assert leaning(3.0, tilt=4.0, grain="any") == [
        "turn: its top points to 3 degrees; any grain on this cloth (nap none) allows 0, 45, 90, "
        "135, 180, 225, 270, 315, 4 degrees either way"
    ]
    napped = replace(DAMASK, nap="one-way")
    assert leaning(180.0, cloth=napped, grain="bias", turn=True) == [
        "turn: its top points to 180 degrees; bias grain on this cloth (nap one-way) allows 45"
    ]
    assert leaning(math.nan) == []


def test_hands_that_may_not_lie_so():
    """A piece asked as drawn only, or one that is its own reflection and may lie either way."""
    assert leaning(0.0, mirrored=True) == [
        "hand: it lies mirrored, which the plan does not ask for"
    ]
    assert leaning(0.0, mirrored=True, upper=True) == [
        "hand: it lies, in the upper layer, mirrored, which the plan does not ask for"
    ]
    assert leaning(0.0, as_drawn=0, mirrored=False) == [
        "hand: it lies as drawn, which the plan does not ask for"
    ]
    assert leaning(0.0, mirrored=True, either=True) == []
    assert leaning(315.0, grain="bias", either=True, turn=False) != []
    gore = PlanPiece("gore", GORE, "damask", 1, 0, grain="bias", turn=False)
    assert allowed_turns(gore, DAMASK, mirrored=False) == {45.0}
    assert allowed_turns(gore, DAMASK, mirrored=True) == set()
    alike = replace(DAMASK, sides="alike")
    assert allowed_turns(gore, alike, mirrored=True) == {315.0}
    assert allowed_turns(gore, alike, mirrored=False) == {45.0}
    pair = replace(gore, mirrored=1, grain="crosswise")
    assert allowed_turns(pair, alike, mirrored=False) == {90.0, 270.0}
