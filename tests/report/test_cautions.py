"""Cautions appear where they apply, and nowhere else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Panel
from nesting.report.cautions import cautions

from ..handmade import DAMASK, layout_of, two_gores

WORDS = {
    "square": "Square the end",
    "width": "in three places",
    "lot": "one dye lot",
    "blade": "Shears and rotary blades",
    "shrink": "Wash or steam",
    "together": "sewn together",
    "nap": "One-way cloth",
    "bias": "before levelling the hem",
    "lead": "may be lead",
    "arsenic": "arsenic",
    "silk": "shatter",
    "fire": "Net burns",
    "stage": "local fire rules",
    "defer": "people qualified",
}
ALWAYS = {"square", "width", "lot", "blade"}


def told(layout, plan):
    """Return which cautions are given."""
    text = "\n".join(cautions(layout, "cm", plan))
    return {name for name, words in WORDS.items() if words in text}


def plain():
    """Return a plan and layout on plain new cloth that does not shrink."""
    plan, layout = two_gores()
    cloth = replace(DAMASK, shrink_along=0.0)
    lay = layout.lays[0]
    parts = dict(lay.buy.made_of) | {"shrinkage": 0.0}
    lay = replace(lay, buy=replace(lay.buy, made_of=parts))
    return replace(plan, cloths=(cloth,)), replace(layout, lays=(lay,))


@pytest.mark.parametrize(
    ("cloth", "more"),
    [
        ({}, set()),
        ({"shrink_across": 0.02}, {"shrink"}),
        ({"age": "antique"}, {"lead", "defer"}),
        ({"age": "antique", "fibre": "silk"}, {"lead", "silk", "defer"}),
        ({"age": "antique", "colour": "Emerald GREEN"}, {"lead", "arsenic", "defer"}),
        ({"colour": "green"}, set()),
        ({"fibre": "silk"}, set()),
        ({"fibre": "net"}, {"fire", "defer"}),
        ({"fibre": "synthetic"}, {"fire", "defer"}),
    ],
)
def test_what_the_plan_says_of_a_cloth(cloth, more):
    """Age, fibre, colour and shrinkage bring their cautions, alone or together."""
    plan, layout = plain()
    plan = replace(plan, cloths=(replace(plan.cloths[0], **cloth),))
    assert told(layout, plan) == ALWAYS | more


def test_what_the_plan_says_of_the_garment():
    """A stage costume falls under local fire rules."""
    plan, layout = plain()
    assert told(layout, replace(plan, use="stage")) == ALWAYS | {"stage", "defer"}


def test_owned_cloth_is_not_bought():
    """Old curtains may hold weights, and no dye lot is asked of them."""
    plan, layout = plain()
    owned = replace(plan.cloths[0], panels=(Panel("curtain", 1980.0, 1200.0),))
    assert told(layout, replace(plan, cloths=(owned,))) == ALWAYS - {"lot"} | {"lead", "defer"}
    length = replace(plan.cloths[0], length=4000.0)
    assert told(layout, replace(plan, cloths=(length,))) == ALWAYS - {"lot"}


def test_what_the_lay_says():
    """Nap and bias are told from the lay itself, and so is more than one cloth."""
    plan, layout = plain()
    [lay] = layout.lays
    assert told(layout_of(replace(lay, nap="one-way")), None) == ALWAYS | {"nap"}
    leaning = replace(lay.placements[0], turned=47.0)
    assert told(layout_of(replace(lay, placements=(leaning,))), plan) == ALWAYS | {"bias"}
    tilted = replace(lay.placements[0], turned=2.0)
    assert told(layout_of(replace(lay, placements=(tilted,))), plan) == ALWAYS
    both = layout_of(lay, replace(lay, cloth="lining"))
    assert told(both, None) == ALWAYS | {"together"}


def test_nothing_to_cut_needs_no_caution():
    """Where no piece is laid nothing is said; a cloth that is not cut is not spoken of."""
    plan, layout = plain()
    assert told(layout_of(replace(layout.lays[0], placements=())), plan) == set()
    other = replace(plan.cloths[0], name="tulle", fibre="net")
    assert told(layout, replace(plan, cloths=(*plan.cloths, other))) == ALWAYS
