"""The check counts and measures breadths for itself, in fractions worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Breadths, Cloth, Plan, PlanPiece
from nesting.verify.breadths import check_breadths

from ..handmade import pattern, rectangle
from .faults import told

SILK = Cloth("silk", 650.0, 10.0, shrink_across=0.2)
"""Usable 500 wide: 650 less a fifth, less 10 at each edge."""

SKIRT = Breadths("skirt", "silk", 900.0, round=960.0, ratio=2.0, seam=10.0)
"""1920 to cover with breadths of 480 between their seams: four exactly."""


def judged(breadths=SKIRT, *pieces, cloth=SILK):
    """Return what is said of breadths; of pieces given as (copies, width, length)."""
    made = tuple(
        PlanPiece(
            f"skirt {n}",
            pattern("b", rectangle(width, length)),
            "silk",
            copies,
            breadths=breadths,
        )
        for n, (copies, width, length) in enumerate(pieces or ((4, 500.0, 900.0),))
    )
    other = PlanPiece("belt", pattern("belt", rectangle(50, 300)), "lining")
    plan = Plan(
        "t", "cm", (Cloth("lining", 900.0), cloth), (other, *made), breadths=(breadths,)
    )  # fmt: skip
    return told(check_breadths(plan))


def test_four_breadths_cover_just_four():
    """Not one fewer, and not one more once four are more than enough by a hundredth."""
    assert judged() == []
    assert judged(SKIRT, (3, 500.0, 900.0)) == [
        "count: silk: skirt: 3 breadths of 480.0 mm fall short of 1920.0 mm"
    ]
    assert judged(replace(SKIRT, round=959.99), (5, 500.0, 900.0)) == [
        "count: silk: skirt: 5 breadths are cut where 4 would do"
    ]
    assert judged(SKIRT, (1, 500.0, 900.0), (3, 500.0, 900.0)) == []


@pytest.mark.parametrize(
    ("finished", "short"), [(960.004, False), (960.006, True), (720.0, False), (719.994, None)]
)
def test_a_hundredth_of_a_millimetre_decides(finished, short):
    """Four breadths reach to 1920.01; three reach 1440, so a hundredth less is one too many."""
    lines = judged(replace(SKIRT, round=finished))
    wanted = {False: [], True: ["fall short"], None: ["where 3 would do"]}[short]
    assert [word in line for word, line in zip(wanted, lines, strict=True)] == [True] * len(wanted)


def test_one_breadth_is_never_too_many():
    """However little is asked, one is cut."""
    assert judged(replace(SKIRT, round=1.0), (1, 500.0, 900.0)) == []
    assert judged(replace(SKIRT, round=1.0), (2, 500.0, 900.0)) == [
        "count: silk: skirt: 2 breadths are cut where 1 would do"
    ]


def test_a_count_given_is_the_count():
    """Where the maker says how many, no measure is asked."""
    given = Breadths("curtain", "silk", 900.0, count=4)
    assert judged(given) == []
    for copies in (3, 5):
        assert judged(given, (copies, 500.0, 900.0)) == [
            f"count: silk: curtain: {copies} breadths are cut; the plan asks for 4"
        ]


@pytest.mark.parametrize(
    ("width", "length", "right"),
    [
        (500.009, 900.0, True), (499.991, 899.991, True), (500.011, 900.0, False),
        (499.989, 900.0, False), (500.0, 900.011, False), (500.0, 899.989, False),
    ],
)  # fmt: skip
def test_each_breadth_is_the_cloth_wide_and_its_length_long(width, length, right):
    """Within a hundredth of a millimetre."""
    lines = judged(SKIRT, (4, width, length))
    if right:
        assert lines == []
    else:
        assert lines == [
            f"outline: silk: skirt 0: a breadth is {width:.2f} by {length:.2f} mm; the cloth is "
            "500.00 wide and it is to be cut 900.00 long"
        ]


def test_breadths_that_nothing_stands_for_are_missed():
    """A plan without a piece for them is refused, and the next ones still looked at."""
    lost = Breadths("flounce", "silk", 300.0, count=2)
    piece = PlanPiece("skirt", pattern("b", rectangle(900, 500)), "silk", 3, breadths=SKIRT)
    plan = Plan("t", "cm", (SILK,), (piece,), breadths=(lost, SKIRT))
    assert told(check_breadths(plan)) == [
        "count: flounce: none of its breadths is to be cut",
        "count: silk: skirt: 3 breadths of 480.0 mm fall short of 1920.0 mm",
        "outline: silk: skirt: a breadth is 900.00 by 500.00 mm; the cloth is 500.00 wide and it "
        "is to be cut 900.00 long",
    ]
