"""The summary tells a dressmaker what to buy, what it is made of and what to mind."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.report import summarise

from ..handmade import DAMASK, lay_on, layout_of, pattern, put, rectangle, two_gores


def apron():
    """Return an apron of two breadths (length 40 1/2 in each) as plan and layout.

    Finished 36 in with a 4 in hem and 1/2 in turnings: 2 x 40 1/2 = 81 in = 2 1/4 yd (O. C.
    Hapgood, School Needlework, 1893).
    """
    calico = Cloth("calico", 36 * 25.4, price=0.12, price_per="yd", step=914.4 / 8)
    breadth = PlanPiece("breadth", pattern("b", rectangle(36 * 25.4, 40.5 * 25.4)), "calico", 2)
    placements = [put(breadth, n + 1, 0, (40.5 * 25.4 * n, 914.4)) for n in (0, 1)]
    lay = lay_on(calico, placements, status="proven best", proven_minimum=81 * 25.4)
    return Plan("apron", "in", (calico,), (breadth,)), layout_of(lay, units="in", title="apron")


def test_the_apron_of_1893_is_two_and_a_quarter_yards():
    """Eighty-one inches are told as 2 1/4 yd, whole breadths, all of the cloth used."""
    text = summarise(*apron())
    assert "Buy          2 1/4 yd, or 2.06 m; cost 0.27\n" in text
    assert "81 in for the pieces\n" in text
    assert "Cloth used   100.0 %" in text
    assert "proven best: no layout is shorter" in text
    assert "breadth: 2 whole\n" in text


def test_every_part_of_the_length_is_named():
    """Lay, end trim, shrinkage and rounding stand in words with their lengths."""
    text = " ".join(summarise(*two_gores()).split())
    for part in (
        "50.0 cm for the pieces",
        "5.0 cm to square the end",
        "2.9 cm that washing or steaming takes",
        "2.1 cm rounded up to what the shop cuts",
        "3/4 yd, or 0.60 m; cost 24.00",
        "none is shorter than 32.4 cm",
        "gore: 1 right, 1 left",
        "2 pieces in all",
    ):
        assert part in text


def test_hands_are_counted_from_what_is_laid():
    """A lost left gore shows in the tally, whatever the plan says."""
    plan, layout = two_gores()
    lay = replace(layout.lays[0], placements=layout.lays[0].placements[:1])
    text = summarise(plan, replace(layout, lays=(lay,)))
    assert "gore: 1 right\n" in text
    assert "1 piece in all" in text


def test_a_single_lopsided_piece_says_how_it_lies():
    """Without a pair, a piece that is not symmetrical lies as drawn or mirrored."""
    plan, _ = two_gores()
    gore = replace(plan.pieces[0], mirrored=0)
    lay = lay_on(DAMASK, [put(gore, 1, 0.0, (0.0, 310.0))])
    assert "gore: 1 as drawn\n" in summarise(None, layout_of(lay))
    lay = lay_on(DAMASK, [put(gore, 1, 0.0, (0.0, 310.0), mirrored=True)])
    assert "gore: 1 mirrored\n" in summarise(None, layout_of(lay))


def test_on_cloth_alike_on_both_sides_a_single_piece_has_no_hand():
    """Turned over to save cloth, it is the same piece still."""
    plan, _ = two_gores()
    gore = replace(plan.pieces[0], mirrored=0)
    plan = replace(plan, pieces=(gore,), cloths=(replace(DAMASK, sides="alike"),))
    lay = lay_on(DAMASK, [put(gore, 1, 0.0, (0.0, 310.0), mirrored=True)])
    assert "gore: 1 single\n" in summarise(plan, layout_of(lay))


def test_cautions_come_only_where_they_apply():
    """Blades always; shrinking, nap and bias where the cloth or the piece asks for them."""
    plain, napped = " ".join(summarise(*apron()).split()), two_gores()[1]
    assert "blade" in plain
    assert "Measure the real width" in plain
    for words in ("Wash", "One-way", "bias"):
        assert words not in plain
    lay = replace(napped.lays[0], nap="one-way")
    assert "One-way cloth" in summarise(None, replace(napped, lays=(lay,)))
    assert "Wash or steam" in summarise(None, napped)
    plan, _ = two_gores()
    gore = replace(plan.pieces[0], mirrored=0, grain="bias")
    slant = layout_of(lay_on(DAMASK, [put(gore, 1, 45.0, (200.0, 300.0))]))
    assert "let it hang" in " ".join(summarise(plan, slant).split())


def test_width_shrinkage_is_minded_too():
    """Cloth that only narrows is washed first as well."""
    cloth = replace(DAMASK, shrink_along=0.0, shrink_across=0.02)
    plan, layout = two_gores()
    lay = lay_on(cloth, layout.lays[0].placements[:1])
    assert "Wash" in summarise(replace(plan, cloths=(cloth,)), layout_of(lay))


def test_totals_name_what_has_no_price():
    """Two cloths, one without a price: the sum says what it leaves out."""
    _, layout = two_gores()
    lay = layout.lays[0]
    free = replace(lay, cloth="remnant", buy=replace(lay.buy, cost=None))
    text = summarise(None, replace(layout, lays=(lay, free)))
    assert "Total cost   24.00; without remnant, of unknown price" in text
    assert "Total" not in summarise(None, layout)


def test_owned_cloth_is_taken_not_bought():
    """For cloth she has, the summary says take, and names no cost."""
    plan, layout = two_gores()
    owned = replace(plan, cloths=(replace(DAMASK, length=900.0),))
    text = summarise(owned, layout)
    assert "Take         3/4 yd, or 0.60 m, of the cloth you own" in text
    assert "cost" not in text


def test_what_does_not_fit_says_why_and_warnings_stand_out():
    """The reason and every warning are in the text; nothing to cut brings no cautions."""
    _, layout = two_gores()
    lay = replace(
        layout.lays[0], status="does not fit", reason="the train is 20 cm too wide", placements=()
    )
    text = summarise(None, replace(layout, lays=(lay,), warnings=("grain of cuff assumed",)))
    assert "Does not fit the train is 20 cm too wide" in text
    assert "- grain of cuff assumed" in text
    assert "blade" not in text


@pytest.mark.parametrize("name", ["x" * 120, "a very long name of a piece " * 4 + "x"])
def test_long_names_are_not_broken_apart(name):
    """A name longer than the page stays readable in one piece."""
    plan, layout = two_gores()
    placements = tuple(replace(p, piece=name) for p in layout.lays[0].placements)
    lay = replace(layout.lays[0], placements=placements)
    text = summarise(plan, replace(layout, lays=(lay,)))
    assert f"{name}: 1 right" in " ".join(text.split()).replace("  ", " ")


@pytest.mark.parametrize(
    ("units", "told"),
    [
        (
            "cm",
            "Left over    a piece 34 cm along by 21 cm across, from 310.0 cm along, 2.5 cm across",
        ),
        (
            "in",
            "Left over    a piece 13 in along by 8 in across, from 122 1/16 in along, 1 in across",
        ),
    ],
)
def test_the_largest_piece_left_over_is_told(units, told):
    """Its size in whole centimetres or inches, rounded down, and where it begins."""
    _, layout = two_gores()
    lay = replace(layout.lays[0], leftover=(3100.0, 25.4, 3449.0, 240.0))
    assert told in summarise(None, replace(layout, units=units, lays=(lay,)))


@pytest.mark.parametrize("leftover", [None, (0.0, 0.0, 500.0, 49.0), (0.0, 0.0, 49.0, 500.0)])
def test_what_is_of_no_use_is_not_told(leftover):
    """A sliver under 5 cm in either direction is not worth a line."""
    _, layout = two_gores()
    lay = replace(layout.lays[0], leftover=leftover)
    assert "Left over" not in summarise(None, replace(layout, lays=(lay,)))
