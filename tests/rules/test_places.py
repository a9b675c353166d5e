"""Places across the cloth, borders and rules that contradict each other, refused word for word."""

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.errors import InputError, NotBuiltError
from nesting.model.plan import Border, EdgeAllowance, Match, Motif, Repeat
from nesting.model.problem import Domain, Item, Lattice, Phase, PlacementProblem, Shape
from nesting.rules.border import BorderEdge
from nesting.rules.compile import compile_lay
from nesting.rules.match import CLOTH, ContradictionError, Held, Settled, settle
from nesting.rules.motif import Grid
from nesting.rules.orientation import Way
from nesting.rules.phases import number_phases
from nesting.rules.places import refuse_without_place

from .garments import piece, plan_of, rectangle


def problem(*domains, width=100.0, phases=()):
    """Return a problem of shapes 40 across, each with such domains, named a, b and so on."""
    shape = Shape(rectangle(10.0, 40.0))
    items = tuple(
        Item(name, (0,) * len(own), own) for name, own in zip("abcdef", domains, strict=False)
    )
    return PlacementProblem((shape,), items, width, (), phases)


def lattice(y, step, phase=None):
    """Return a domain on every step across from a place."""
    return Domain(lattice=Lattice(0.0, y, 0.0, step, 0.0, phase))


ACROSS = (Phase(x=False, y=True),)
PLAN = replace(plan_of(piece(rectangle(10, 10))), path=Path("storm.toml"))


def refused(found):
    """Return what is said of a problem; empty where nothing is refused."""
    try:
        refuse_without_place(PLAN, PLAN.cloths[0], found)
    except InputError as error:
        return str(error)
    return ""


@pytest.mark.parametrize(
    ("domain", "placed"),
    [
        (lattice(0.0, 70.0), True),
        (lattice(-10.0, 70.0), True),  # at 60, the last place of a shape of 40 on 100
        (lattice(-9.0, 70.0), False),  # at -9 and 61
        (lattice(-1e-7, 70.0), True),
        (lattice(60.0 + 1e-7, 70.0), True),
        (lattice(-75.0, 70.0), False),
        (lattice(130.0, 70.0), True),
        (lattice(0.0, 70.0, 0), True),  # some offset suits one piece alone
        (lattice(-9.0, 70.0, 0), True),
        (Domain(y=(10.0, 50.0)), True),
        (Domain(y=(60.0, 90.0)), True),
        (Domain(y=(61.0, 90.0)), False),
        (Domain(y=(-90.0, -1.0)), False),
        (Domain(y=(-90.0, 0.0)), True),
        (Domain(x=(5.0, 5.0)), True),
        (Domain(lattice=Lattice(0.0, 0.0, 64.0, 0.0)), True),
        (Domain(y=(20.0, 30.0), lattice=Lattice(0.0, 5.0, 0.0, 70.0)), False),
    ],
)
def test_whether_one_piece_has_a_place(domain, placed):
    """A shape of 40 lies from 0 to 60 on a strip of 100, by hand."""
    said = refused(problem((domain,), phases=ACROSS))
    assert (said == "") is placed
    if not placed:
        assert said == (
            "storm.toml: piece 'a': no place of the design lies where 'a' fits between the "
            "selvages of 'calico'; place another point of it, leave it free across, or check "
            "repeat.offset"
        )


def test_one_way_with_a_place_is_enough():
    """And a piece that is free in one of its ways has one."""
    none, some = lattice(-9.0, 70.0), lattice(0.0, 70.0)
    assert refused(problem((none, some))) == ""
    assert refused(problem((none, None))) == ""
    assert refused(problem((some,), (none,))).startswith("storm.toml: piece 'b'")
    assert (
        refused(PlacementProblem((Shape(rectangle(10.0, 40.0)),), (Item("a", (0,)),), 9.0)) == ""
    )


def test_a_phase_of_x_only_leaves_no_offset_across():
    """The offset across is known then."""
    assert refused(problem((lattice(-9.0, 70.0, 0),), phases=(Phase(x=True, y=False),)))


def test_pieces_that_share_an_offset_need_one_that_suits_all():
    """From -9 and from 0: offsets of 9 to 60 and of 0 to 60; from -80 of 20 to 70, and so on."""
    one, other = lattice(-9.0, 70.0, 0), lattice(0.0, 70.0, 0)
    assert refused(problem((one,), (other,), phases=ACROSS)) == ""
    narrow = {"width": 41.0, "phases": ACROSS}  # a shape has 0 to 1
    assert refused(problem((one,), (lattice(-8.0, 70.0, 0),), **narrow)) == ""
    said = refused(problem((one,), (other,), (lattice(5.0, 70.0, 0), None), **narrow))
    assert said == (
        "storm.toml: cloth 'calico': wherever the design lies across the cloth, not all of a, b "
        "have a place between the selvages; leave one of them free across, or place another "
        "point of it"
    )
    # A piece that has a way of another phase is not held by this one.
    two = (*ACROSS, *ACROSS)
    assert refused(problem((one,), (other, lattice(0.0, 70.0, 1)), width=41.0, phases=two)) == ""
    # Two copies by one name, and one of two ways, are enough.
    ways = (lattice(3.0, 70.0, 0), lattice(-9.0, 70.0, 0))
    assert refused(problem((one,), ways, **narrow)) == ""


EDGE = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 0.0)


def bordered(outline=None, edge=EDGE, width=400.0, distance=30.0, selvage="either", **fields):
    """Return where an edge holds a piece of 100 by 200, way by way."""
    made = piece(
        rectangle(100, 200) if outline is None else outline, edges=(edge,),
        border=Border("hem", distance, selvage), **fields,
    )  # fmt: skip
    cloth = plan_of(made, width=width).cloths[0]
    found = BorderEdge(made, made.border)
    turns = (0.0, 90.0, 180.0, 270.0)
    return [found.position(Way(False, turn), cloth) for turn in turns]


def test_where_a_border_holds_a_piece():
    """Turned 90 the hem is at its lower side, 30 from the near selvage; 270, at the far."""
    at = [pytest.approx(30.0), pytest.approx(400.0 - 30.0 - 200.0)]
    assert bordered() == [None, at[0], None, at[1]]
    assert bordered(selvage="near") == [None, at[0], None, None]
    assert bordered(selvage="far") == [None, None, None, at[1]]
    hem = replace(EDGE, allowance=20.0)
    # The hem's fold lies on the border, its allowance beyond it.
    assert bordered(edge=hem) == [None, pytest.approx(10.0), None, pytest.approx(170.0)]


def test_a_border_follows_a_straight_edge_only():
    """To a millimetre; a bent one follows none."""
    for bend, straight in ((0.9, True), (1.1, False)):
        outline = [(0, 0), (50, -bend), (100, 0), (100, 200), (0, 200)]
        assert (bordered(outline)[1] is not None) is straight
    low = bordered([(0, 0), (50, -0.9), (100, 0), (100, 200), (0, 200)])
    assert low[1] == pytest.approx(30.0)


def test_an_edge_may_run_over_the_first_point_of_its_outline():
    """It is the edge from its first end counter-clockwise, wherever the ring begins."""
    ring = [(40, 0), (100, 0), (100, 200), (0, 200), (0, 0)]
    assert bordered(ring) == bordered()
    side = EdgeAllowance("hem", (0.0, 150.0), (0.0, 20.0), 0.0)
    assert bordered(edge=side) == [pytest.approx(270.0), None, pytest.approx(30.0), None]
    over = EdgeAllowance("hem", (100.0, 200.0), (100.0, 0.0), 0.0)
    assert bordered(edge=over) == [None] * 4
    most = EdgeAllowance("hem", (0.0, 10.0), (0.0, 20.0), 0.0)
    assert bordered(edge=most) == [None] * 4


def test_both_halves_of_an_edge_follow_the_border():
    """Completed over the fold at its left the hem is 200 long; each half lies on the border."""
    fold = {"mirror": ((0, 0), (0, 200))}
    assert bordered(**fold) == [None, pytest.approx(30.0), None, pytest.approx(170.0)]
    skew = [(0, 0), (100, 20), (100, 200), (0, 200)]
    edge = EdgeAllowance("hem", (0.0, 0.0), (100.0, 20.0), 0.0)
    assert bordered(skew, edge, **fold) == [None] * 4


def panel(name="panel", **fields):
    """Return a panel 100 across and 200 along with two points."""
    points = {"rose": (30.0, 20.0), "bud": (30.0, 84.0)}
    return piece(rectangle(100, 200), name=name, points=points, turn=False, **fields)


def said_of(*pieces, matches=(), **cloth):
    """Return the error of compiling a plan."""
    cloth.setdefault("repeat", Repeat(64.0, 32.0))
    plan = replace(plan_of(*pieces, **cloth), matches=matches, path=Path("storm.toml"))
    with pytest.raises((InputError, NotBuiltError)) as caught:
        compile_lay(plan, plan.cloths[0])
    return str(caught.value)


def tied(*ends, axis="along"):
    """Return a match of points given as (piece, point)."""
    return Match(tuple(ends), axis)


BOTH = tied(("front", "rose"), ("back", "rose"))
HEM = {"edges": (EDGE,), "grain": "crosswise"}


def test_a_border_and_the_design_across():
    """Each says where the piece lies across."""
    said = (
        "storm.toml: piece 'front': its border says where it lies across the cloth, and so does "
        'its motif or match; let these say where it lies along only: on = [0, "free"], or '
        'axis = "along"'
    )
    front = panel("front", border=Border("hem"), **HEM)
    assert said_of(replace(front, motif=Motif("rose", (None, 0.0)))) == said
    across = replace(BOTH, axis="across")
    assert said_of(front, panel("back"), matches=(across,)) == said


@pytest.mark.parametrize(
    ("fields", "matches", "rule"),
    [({"border": Border("hem"), **HEM}, (), "its border"), ({}, (BOTH,), "a match")],
)
def test_a_tilt_and_what_holds_a_piece_straight(fields, matches, rule):
    """A piece held along two lines cannot lean."""
    assert said_of(panel("front", tilt=0.5, **fields), panel("back"), matches=matches) == (
        f"storm.toml: piece 'front': it may lean by 0.5 degrees, yet {rule} holds it straight on "
        "the design; leave out tilt, or leave the piece free of the design"
    )


def test_an_open_axis_and_a_match_across():
    """A centred motif leaves open what the match would hold."""
    centred = panel("front", motif=Motif("rose", (None, 0.0), centred=True))
    assert said_of(centred, panel("back"), matches=(replace(BOTH, axis="both"),)) == (
        "storm.toml: piece 'front': its motif leaves open on which axis of the design it lies, "
        "and a match holds it across too; give the place across in motif.on, or leave the match "
        "out"
    )


def test_a_half_drop_on_both_axes_and_on_one():
    """Its two axes belong together."""
    half = Repeat(64.0, 32.0, "half")
    both = panel("front", motif=Motif("rose", (0.0, 0.0)))
    assert said_of(both, panel("back"), matches=(BOTH,), repeat=half) == (
        "storm.toml: piece 'front': on a half drop one rule places it along and across, another "
        'on one axis only; give all of them both axes: on = [0, 0], axis = "both"'
    )
    plan = replace(
        plan_of(both, panel("back"), repeat=half), matches=(replace(BOTH, axis="both"),)
    )
    compile_lay(plan, plan.cloths[0])


def test_a_border_that_no_way_follows():
    """The edge runs across the cloth in every way the piece may lie; the selvage is named."""
    for selvage, side in (("either", "a"), ("near", "the near"), ("far", "the far")):
        made = panel(edges=(EDGE,), border=Border("hem", 5.0, selvage))
        assert said_of(made, repeat=None) == (
            f"storm.toml: piece 'panel': in no way it may lie does edge 'hem' run straight along "
            f"{side} selvage; a border takes a straight edge; grain, turn and the nap decide how "
            'it lies, such as grain = "crosswise" for a hem'
        )


def test_two_reasons_that_miss_each_other():
    """Rose and bud are 64 apart; placed 5 apart they miss by 0.5 cm, whole repeats not counted."""
    front = panel("front", motif=Motif("rose", (0.0, None)))
    back = panel("back", motif=Motif("bud", (5.0, None)))
    assert said_of(front, back, matches=(BOTH,)) == (
        "storm.toml: piece 'back': motif puts 'bud' on the repeat and 'rose' matches front:rose: "
        "along the cloth these are 0.5 cm apart, whole repeats not counted; leave out one of the "
        "two, or move a point"
    )
    own = tied(("front", "rose"), ("front", "bud"))
    assert "'rose' matches front:bud" not in said_of(
        replace(front, motif=Motif("rose", (None, 0.0)), as_drawn=2),
        matches=(tied(("front", "rose")), own), repeat=Repeat(60.0, 32.0),
    )  # fmt: skip


def test_what_is_tied_crosswise_is_named():
    """With the remedy, of the cloth."""
    pieces = [panel(name, motif=Motif("rose", (None, 0.0))) for name in ("front", "back")]
    pieces.append(panel("sleeve", motif=Motif("rose", (0.0, 0.0))))
    assert said_of(*pieces, matches=(BOTH,)) == (
        "storm.toml: cloth 'calico': some pieces are placed by the motif on one axis and matched "
        "on the other, while others are placed by the motif on both; that is not built yet; give "
        "repeat.offset as measured on the cloth, or place them all alike"
    )


def test_places_by_their_root():
    """The cloth's own place is the root where it can be; else the first match of a chain."""
    grid = Grid(10.0, 10.0)
    held = [
        ("a", [Held(2, (1.0, 2.0), "m"), Held(CLOTH, (4.0, 9.0), "c")]),
        ("b", [Held(1, (0.0, 0.0), "m"), Held(0, (3.0, 1.0), "n")]),
        ("free", []),
    ]
    assert settle(grid, held) == {
        CLOTH: Settled(CLOTH, (0.0, 0.0)), 2: Settled(CLOTH, (3.0, 7.0)),
        0: Settled(0, (0.0, 0.0)), 1: Settled(0, (3.0, 1.0)),
    }  # fmt: skip


@pytest.mark.parametrize(("miss", "refused_"), [(0.049, False), (0.051, True)])
def test_reasons_agree_to_half_the_tolerance(miss, refused_):
    """Then both hold to a tenth of a millimetre."""
    held = [("a", [Held(0, (0.0, 0.0), "one"), Held(0, (0.0, miss), "two")])]
    if not refused_:
        settle(Grid(10.0, 10.0), held)
        return
    with pytest.raises(ContradictionError) as caught:
        settle(Grid(10.0, 10.0), held)
    error = caught.value
    assert (error.piece, error.one, error.other) == ("a", "one", "two")
    assert error.miss == pytest.approx(miss)
    assert str(error) == "a: one; two"


def test_phases_are_numbered_in_groups():
    """What no piece ties together stays apart, each with its own axes."""
    pieces = [{("along", 0)}, set(), {("across", 1)}, {("along", 2), ("across", 2)}]
    numbers, phases = number_phases(pieces)
    assert phases == (
        Phase(x=True, y=False), Phase(x=False, y=True), Phase(x=True, y=True),
    )  # fmt: skip
    assert numbers == {("along", 0): 0, ("across", 1): 1, ("along", 2): 2, ("across", 2): 2}
    numbers, phases = number_phases(
        [{("along", 0)}, {("across", 1)}, {("along", 0), ("across", 1)}]
    )
    assert (dict(numbers), phases) == (
        {("along", 0): 0, ("across", 1): 0}, (Phase(x=True, y=True),),
    )  # fmt: skip


def test_copies_that_cannot_meet_two_matches_are_told_so():
    """Reflected, rose and bud lie the other way round across: 14 of 32 apart."""
    own = panel("front", mirrored=1)
    own = replace(own, points={"rose": (30.0, 20.0), "bud": (37.0, 20.0)})
    matches = (tied(("front", "rose"), axis="across"), tied(("front", "bud"), axis="across"))
    assert said_of(own, matches=matches) == (
        "storm.toml: piece 'front': 'rose' matches its copies and 'bud' matches its copies: "
        "across the cloth these are 1.4 cm apart, whole repeats not counted; leave out one of "
        "the two, or move a point"
    )


@pytest.mark.parametrize("axis", ["along", "across"])
def test_a_free_axis_of_a_lattice_stays_at_nought(axis):
    """With a gap too, which moves the axis that is held by half of it."""
    on = (5.0, None) if axis == "along" else (None, 5.0)
    plan = plan_of(panel(motif=Motif("rose", on)), gap=4.0, repeat=Repeat(64.0, 32.0))
    ((domain,),) = [item.domains for item in compile_lay(plan, plan.cloths[0]).problem.items]
    expected = {
        "along": Lattice(pytest.approx(5 - 20 + 2), 0.0, 64.0, 0.0, 0.0, 0),
        "across": Lattice(0.0, pytest.approx(5 - 70 + 2), 0.0, 32.0, 0.0, 0),
    }
    assert domain.lattice == expected[axis]
