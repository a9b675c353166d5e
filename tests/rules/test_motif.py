"""Where the design lies: the repeat under a lay, what starting on it costs, what is said of it."""

from dataclasses import replace

import pytest

from nesting.model.layout import LaidRepeat
from nesting.model.plan import Border, Flaw, Match, Motif, Panel, Repeat
from nesting.rules.compile import compile_lay
from nesting.rules.design_words import design_remarks
from nesting.rules.motif import (
    Grid,
    axis_of,
    grid_of,
    is_placed,
    laid_repeat,
    matches_on,
    motif_start,
    place_of,
    points_held,
)
from nesting.rules.relaxed import relaxed
from nesting.rules.to_layout import lay_from

from .garments import piece, plan_of, rectangle, result_of


def panel(name="panel", on=None, at=(30.0, 20.0), centred=False, **fields):
    """Return a panel 100 across and 200 along; its rose lies 20 along and 70 across as laid."""
    motif = None if on is None else Motif("rose", on, centred)
    return piece(
        rectangle(100, 200), name=name, points={"rose": at}, motif=motif, turn=False, **fields
    )


def planned(*pieces, matches=(), **cloth):
    """Return a plan of pieces on calico with such a repeat."""
    return replace(plan_of(*pieces, **cloth), matches=matches)


def laid(plan, *places):
    """Return the repeat under pieces laid at these places."""
    cloth = plan.cloths[0]
    compiled = compile_lay(plan, cloth)
    at = [(item.shapes[0], *xy) for item, xy in zip(compiled.problem.items, places, strict=True)]
    placements = lay_from(compiled, result_of(compiled, at)).placements
    return laid_repeat(plan, cloth, placements)


def match(*names, axis="along", point="rose"):
    """Return a match of one point of several pieces."""
    return Match(tuple((name, point) for name in names), axis)


@pytest.mark.parametrize(
    ("repeat", "axis", "grid"),
    [
        (Repeat(64.0, 32.0), "along", Grid(along=64.0)),
        (Repeat(64.0, 32.0, "half"), "across", Grid(across=32.0)),
        (Repeat(64.0, 32.0), "both", Grid(64.0, 32.0, 0.0)),
        (Repeat(64.0, 32.0, "half"), "both", Grid(64.0, 32.0, 32.0)),
    ],
)
def test_the_vectors_that_count(repeat, axis, grid):
    """On one axis a half drop counts as a straight repeat."""
    assert grid_of(repeat, axis) == grid


@pytest.mark.parametrize(
    ("grid", "dx", "dy", "miss"),
    [
        (Grid(along=10.0), 23.0, 99.0, 3.0),
        (Grid(across=10.0), 99.0, -4.0, 4.0),
        (Grid(10.0, 8.0), -1.0, 11.0, 3.0),
        (Grid(), 5.0, 5.0, 0.0),
    ],
)
def test_how_far_from_the_design(grid, dx, dy, miss):
    """An axis without a step does not count; of two the larger miss."""
    assert grid.miss(dx, dy) == pytest.approx(miss)


def test_the_axes_and_places_of_a_motif():
    """An axis that is free counts as none, and as place 0."""
    assert [axis_of(Motif("r", on)) for on in ((None, 1.0), (1.0, None), (0.0, 0.0))] == [
        "across", "along", "both",
    ]  # fmt: skip
    assert [place_of(Motif("r", on)) for on in ((None, 4.0), (3.0, None), (3.0, 4.0))] == [
        (0.0, 4.0), (3.0, 0.0), (3.0, 4.0),
    ]  # fmt: skip


def test_matches_count_on_the_cloth_of_all_their_pieces():
    """One piece on another cloth, and the match is none here."""
    both, across = match("a", "b"), match("a", "c")
    plan = planned(panel("a"), panel("b"), panel("c", cloth="silk"), matches=(both, across))
    assert matches_on(plan, plan.cloths[0]) == (both,)


def test_by_which_points_a_piece_is_held():
    """Its motif's point, then those of its matches, each once; none on cloth without a repeat."""
    matches = (match("a", "b"), match("a", "b", axis="across", point="bud"))
    pieces = [
        replace(panel(name, on), points={"rose": (30.0, 20.0), "bud": (40.0, 20.0)})
        for name, on in (("a", (0.0, None)), ("b", None), ("c", None))
    ]
    plan = planned(*pieces, matches=matches, repeat=Repeat(64.0, 32.0))
    assert points_held(plan, plan.cloths[0]) == {"a": ("rose", "bud"), "b": ("rose", "bud")}
    bare = planned(*pieces, matches=matches)
    assert points_held(bare, bare.cloths[0]) == {}
    compiled = compile_lay(plan, plan.cloths[0])
    result = result_of(compiled, [(0, 44.0, 0.0), (1, 44.0, 100.0), (2, 0.0, 200.0)])
    assert [placement.held for placement in lay_from(compiled, result).placements] == [
        ("rose", "bud"), ("rose", "bud"), (),
    ]  # fmt: skip


def test_what_is_placed():
    """By a motif, a border or a match; else the pieces are free."""
    free = planned(panel("a"), panel("b"))
    assert not is_placed(free, free.cloths[0])
    for plan in (
        planned(panel("a", (0.0, None))),
        planned(panel("a", border=Border("hem"))),
        replace(free, matches=(match("a", "b"),)),
    ):
        assert is_placed(plan, plan.cloths[0])


@pytest.mark.parametrize(
    ("on", "cloth", "start"),
    [
        ((5.0, None), {}, 64.0),
        ((5.0, 3.0), {}, 64.0),
        ((None, 5.0), {}, 0.0),
        (None, {}, 0.0),
        ((5.0, None), {"length": 900.0}, 0.0),
        ((5.0, None), {"panels": (Panel("a", 500, 500),)}, 0.0),
        ((5.0, None), {"repeat": Repeat(64.0, 32.0, "none", (3.0, None))}, 0.0),
        ((5.0, None), {"repeat": Repeat(64.0, 32.0, "none", (None, 3.0))}, 64.0),
        ((5.0, None), {"repeat": None}, 0.0),
    ],
)
def test_what_starting_on_the_design_costs(on, cloth, start):
    """One repeat off the bolt where a piece falls on a place along it (common practice)."""
    plan = planned(panel("a", on), panel("b"), **({"repeat": Repeat(64.0, 32.0)} | cloth))
    assert motif_start(plan, plan.cloths[0]) == start


def test_the_repeat_lies_as_the_pieces_say():
    """Laid at 0 and 10 its rose is 20 along and 80 across: place 5, so the design starts at 15."""
    plan = planned(panel(on=(5.0, 2.0)), repeat=Repeat(64.0, 32.0))
    assert laid(plan, (0.0, 10.0)) == LaidRepeat(
        64.0, 32.0, "none", (pytest.approx(15.0), pytest.approx(80 - 2 - 64))
    )
    known = planned(panel(on=(5.0, 2.0)), repeat=Repeat(64.0, 32.0, "none", (15.0, 14.0)))
    assert laid(known, (0.0, 10.0)).offset == (15.0, 14.0)
    half = planned(panel(on=(5.0, None)), repeat=Repeat(64.0, 32.0, "none", (None, 3.0)))
    assert laid(half, (0.0, 10.0)).offset == (pytest.approx(15.0), 3.0)


def test_without_a_reason_no_repeat_is_drawn():
    """No repeat, nothing placed by it, nothing laid."""
    assert laid(planned(panel(), repeat=Repeat(64.0, 32.0)), (0.0, 10.0)) is None
    plan = planned(panel(on=(0.0, None)), repeat=Repeat(64.0))
    assert laid_repeat(plan, plan.cloths[0], ()) is None
    bare = planned(panel(on=(0.0, None)))
    assert laid_repeat(bare, bare.cloths[0], (object(),)) is None


def test_one_axis_each():
    """What one piece says along and another across is put together; a free axis starts at 0."""
    plan = planned(panel("a", (None, 0.0)), panel("b", (0.0, None)), repeat=Repeat(64.0, 32.0))
    # a: 80 across, 16 more than two repeats; b: 20 along.
    assert laid(plan, (0.0, 10.0), (0.0, 200.0)).offset == pytest.approx((20.0, 16.0))
    only = planned(panel("a", (None, 0.0)), repeat=Repeat(64.0, 32.0))
    assert laid(only, (0.0, 10.0)).offset == pytest.approx((0.0, 16.0))
    only = planned(panel("a", (0.0, None)), repeat=Repeat(64.0))
    assert laid(only, (0.0, 10.0)).offset == pytest.approx((20.0, 0.0))


def test_a_whole_repeat_is_none():
    """A design that starts a hair before a whole repeat starts at 0."""
    plan = planned(panel(on=(0.0, None), at=(30.0, 128.0 - 1e-9)), repeat=Repeat(64.0))
    assert laid(plan, (0.0, 10.0)).offset == (0.0, 0.0)
    plan = planned(panel(on=(0.0, None), at=(30.0, 128.0 - 1e-3)), repeat=Repeat(64.0))
    assert laid(plan, (0.0, 10.0)).offset[0] == pytest.approx(64.0 - 1e-3)


def test_a_piece_on_either_axis_says_last_where_the_design_is():
    """Laid half a repeat further, it is no proof against one that must lie on the place itself."""
    sure = panel("sure", (None, 0.0))
    either = panel("either", (None, 0.0), centred=True)
    for pieces, places in (
        ((either, sure), ((0.0, 26.0), (0.0, 210.0))),
        ((sure, either), ((0.0, 210.0), (0.0, 26.0))),
    ):
        plan = planned(*pieces, repeat=Repeat(64.0, 32.0))
        # either: 96 across, on a whole repeat; sure: 280, 24 more than eight.
        assert laid(plan, *places).offset[1] == pytest.approx(24.0)
    alone = planned(either, repeat=Repeat(64.0, 32.0))
    assert laid(alone, (0.0, 27.0)).offset[1] == pytest.approx(1.0)


def test_pieces_only_matched_have_the_design_drawn_through_them():
    """Through the first matched point, on the axes of the match."""
    pieces = panel("a"), panel("b")
    for axis, offset in (("along", (20.0, 0.0)), ("across", (0.0, 16.0)), ("both", (20.0, 16.0))):
        plan = planned(*pieces, matches=(match("a", "b", axis=axis),), repeat=Repeat(64.0, 32.0))
        assert laid(plan, (0.0, 10.0), (64.0, 202.0)).offset == pytest.approx(offset)
    # A motif decides before a match does.
    plan = planned(
        panel("a"), panel("b", (4.0, None)), matches=(match("a", "b"),), repeat=Repeat(64.0)
    )
    assert laid(plan, (0.0, 10.0), (64.0, 202.0)).offset == pytest.approx((16.0, 0.0))
    plan = planned(
        panel("a"), panel("b", (None, 4.0)), matches=(match("a", "b", axis="across"),),
        repeat=Repeat(64.0, 32.0),
    )  # fmt: skip
    assert laid(plan, (0.0, 10.0), (64.0, 202.0)).offset == pytest.approx((0.0, 12.0))


HALF = Repeat(64.0, 32.0, "half")


def test_a_half_drop_lies_as_its_first_piece_says():
    """Across it comes again after two columns, so the offset lies within 64."""
    plan = planned(panel(on=(0.0, 0.0)), repeat=HALF)
    assert laid(plan, (0.0, 10.0)) == LaidRepeat(
        64.0, 32.0, "half", (pytest.approx(20.0), pytest.approx(16.0))
    )
    assert laid(plan, (0.0, 30.0)).offset == pytest.approx((20.0, 36.0))
    # Matched to it on both axes, a second piece has nothing to add.
    two = planned(
        panel("a", (0.0, 0.0)), panel("b"), matches=(match("b", "a", axis="both"),), repeat=HALF
    )
    assert laid(two, (0.0, 10.0), (32.0, 202.0)).offset == pytest.approx((20.0, 16.0))


@pytest.mark.parametrize(
    ("offset", "place", "found"),
    [
        ((None, 16.0), (0.0, 10.0), (20.0, 16.0)),
        ((None, 16.0), (0.0, 42.0), (20.0 - 32 + 64, 16.0)),  # one column on
        ((None, 16.0), (0.0, 74.0), (20.0, 16.0)),  # two columns on
        ((20.0, None), (0.0, 10.0), (20.0, 16.0)),
        ((20.0, None), (32.0, 10.0), (20.0, 48.0)),  # its column is a dropped one
        ((20.0, None), (64.0, 10.0), (20.0, 16.0)),
    ],
)
def test_a_half_drop_known_on_one_axis(offset, place, found):
    """Which columns are dropped is told by the axis that is known."""
    plan = planned(panel("a", (0.0, 0.0)), panel("first"), repeat=replace(HALF, offset=offset))
    assert laid(plan, place, (0.0, 300.0)).offset == pytest.approx(found)


def test_a_half_drop_with_a_piece_held_along_only():
    """It lies on the straight places along, so it tells which columns are dropped."""
    plan = planned(panel("a", (0.0, 0.0)), panel("b", (0.0, None)), repeat=HALF)
    assert laid(plan, (32.0, 10.0), (0.0, 300.0)).offset == pytest.approx((20.0, 48.0))
    assert laid(plan, (0.0, 10.0), (64.0, 300.0)).offset == pytest.approx((20.0, 16.0))
    # On its axis across, any column's axis of a half drop is the place itself.
    plan = planned(panel("a", (None, 0.0), centred=True), repeat=HALF)
    assert laid(plan, (0.0, 10.0)).offset == pytest.approx((0.0, 16.0))


def remarks(plan, offset=(0.0, 0.0)):
    """Return what is said of a plan whose design lies so."""
    repeat = plan.cloths[0].repeat
    under = LaidRepeat(repeat.along, repeat.across, repeat.drop, offset)
    return tuple(design_remarks(plan, plan.cloths[0], under))


SQUARE = (
    "Square the cut end by the design's repeat, {}; to reach that place on the bolt, one repeat "
    "of 6.4 cm is bought besides."
)
SUPPOSED = (
    "It is laid as if a repeat of the design started {}. Measure where one does on your cloth, "
    "write that as the place {} in repeat.offset, and lay again before cutting."
)


def test_what_is_said_of_a_design_whose_place_is_not_known():
    """On the bolt the cut end is squared by it; on owned cloth and across it is measured."""
    plan = planned(panel(on=(5.0, None)), repeat=Repeat(64.0, 32.0))
    assert remarks(plan) == (SQUARE.format("where one starts"),)
    assert remarks(plan, (20.0, 0.0)) == (SQUARE.format("2.0 cm before one starts"),)
    owned = planned(panel(on=(5.0, 0.0)), repeat=Repeat(64.0, 32.0), length=900.0)
    assert remarks(owned, (20.0, 16.0)) == (
        SUPPOSED.format("2.0 cm from the squared cut end", "along"),
        SUPPOSED.format("1.6 cm from the inner edge of the near selvage", "across"),
    )
    across = planned(panel(on=(None, 5.0)), repeat=Repeat(64.0, 32.0))
    assert remarks(across, (0.0, 16.0)) == (
        SUPPOSED.format("1.6 cm from the inner edge of the near selvage", "across"),
    )


def test_nothing_is_said_where_nothing_is_supposed():
    """The place is known, the pieces are only matched, or nothing is laid on the design."""
    known = planned(panel(on=(5.0, 0.0)), repeat=Repeat(64.0, 32.0, "none", (1.0, 2.0)))
    assert remarks(known) == ()
    plan = planned(panel("a"), panel("b"), matches=(match("a", "b"),), repeat=Repeat(64.0))
    assert remarks(plan) == ()
    assert tuple(design_remarks(known, known.cloths[0], None)) == ()
    one = planned(panel(on=(5.0, 0.0)), repeat=Repeat(64.0, 32.0, "none", (1.0, None)))
    assert len(remarks(one)) == 1
    mixed = planned(panel("a", (5.0, None)), panel("b", (None, 5.0)), panel("c"),
                    repeat=Repeat(64.0, 32.0), length=900.0)  # fmt: skip
    assert len(remarks(mixed)) == 2


def test_rules_that_may_cost_cloth_are_left_out_one_at_a_time():
    """The design or the border, and the flaws; on this cloth only."""
    flaw = Flaw(rectangle(10, 10))
    free = planned(panel())
    assert relaxed(free, free.cloths[0]) == {}
    silk = panel("sash", (0.0, None), cloth="silk")
    kept = match("panel", "sash", axis="across")
    pieces = panel(on=(0.0, None), border=Border("hem")), panel("b"), silk
    matches = match("panel", "b"), kept
    plan = planned(*pieces, matches=matches, repeat=Repeat(64.0), flaws=(flaw,))
    found = relaxed(plan, plan.cloths[0])
    assert list(found) == ["matching the design", "keeping clear of the flaws"]
    bare = found["matching the design"]
    assert [(p.motif, p.border) for p in bare.pieces[:2]] == [(None, None)] * 2
    assert bare.pieces[2] is silk
    assert bare.matches == (kept,)
    assert bare.cloths == plan.cloths
    clear = found["keeping clear of the flaws"]
    assert (clear.cloths[0].flaws, clear.pieces) == ((), plan.pieces)
    bordered = planned(panel(border=Border("hem")))
    assert list(relaxed(bordered, bordered.cloths[0])) == ["following the border"]
    panels = planned(panel(), flaws=(flaw,), panels=(Panel("a", 500, 500),))
    assert relaxed(panels, panels.cloths[0]) == {}


def test_a_piece_says_nothing_of_an_axis_it_is_free_on():
    """Whichever is laid first."""
    plan = planned(panel("b", (0.0, None)), panel("a", (None, 0.0)), repeat=Repeat(64.0, 32.0))
    assert laid(plan, (0.0, 10.0), (5.0, 200.0)).offset == pytest.approx((20.0, 270 % 32))
    plan = planned(panel("a", (None, 0.0)), panel("b", (0.0, None)), repeat=Repeat(64.0, 32.0))
    assert laid(plan, (5.0, 10.0), (0.0, 200.0)).offset == pytest.approx((20.0, 80 % 32))


def test_places_are_told_in_the_makers_unit():
    """Inches to one who works in inches."""
    plan = planned(panel(on=(5.0, 0.0)), repeat=Repeat(50.8, 25.4), units="in")
    first, second = remarks(plan, (25.4, 12.7))
    assert "design's repeat, 1 in before one starts" in first
    assert "one repeat of 2 in is bought" in first
    assert "started 1/2 in from the inner edge" in second


def test_a_half_drop_counts_from_the_place_asked_for():
    """Rose at 20 and 80, on place 5 and 2: the design starts at 15 and 14."""
    plan = planned(panel(on=(5.0, 2.0)), repeat=HALF)
    assert laid(plan, (0.0, 10.0)).offset == pytest.approx((15.0, 14.0))
