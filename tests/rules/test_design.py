"""Motif, match and border as domains, lattices and phases; random plans through the whole way."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputError, NoLayoutError, NotBuiltError
from nesting.model.layout import Lay
from nesting.model.plan import Border, EdgeAllowance, Match, Motif, Repeat
from nesting.model.problem import Lattice, Phase
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.rules.compile import compile_lay
from nesting.rules.match import CLOTH, ContradictionError, Held, settle
from nesting.rules.motif import Grid
from nesting.rules.phases import TangledError, number_phases
from nesting.verify.check import check_layout

from ..verify.faults import moved
from .garments import piece, plan_of, rectangle

BRIEF = Stop(iterations=30, without_gain=15)


def domains(*pieces, matches=(), **cloth):
    """Return the compiled problem's domains, item by item, and its phases."""
    plan = replace(plan_of(*pieces, **cloth), matches=matches)
    problem = compile_lay(plan, plan.cloths[0]).problem
    return [item.domains for item in problem.items], problem.phases


def panel(name="panel", at=(30.0, 20.0), **fields):
    """Return a panel 100 across and 200 along, with a point 30 across and 20 up as drawn."""
    fields.setdefault("turn", False)
    return piece(rectangle(100, 200), name=name, points={"rose": at}, **fields)


def test_a_motif_along_is_a_lattice_along():
    """The rose lies 20 along from the panel's start; on place 5 the panel starts 15 before."""
    found, phases = domains(panel(motif=Motif("rose", (5.0, None))), repeat=Repeat(64.0, 32.0))
    ((domain,),) = found
    assert phases == (Phase(x=True, y=False),)
    assert domain.lattice == Lattice(pytest.approx(-15.0), 0.0, 64.0, 0.0, 0.0, 0)


def test_a_known_design_needs_no_phase():
    """Its offset is in the lattice, and so is half the gap; across, upright is to the left."""
    repeat = Repeat(64.0, 32.0, "half", (7.0, 3.0))
    found, phases = domains(panel(motif=Motif("rose", (5.0, 1.0))), repeat=repeat, gap=4.0)
    ((domain,),) = found
    assert phases == ()
    assert domain.lattice == Lattice(
        pytest.approx(5 + 7 - 20 + 2), pytest.approx(1 + 3 - 70 + 2), 64.0, 32.0, 32.0, None
    )


def test_end_for_end_the_point_lies_elsewhere():
    """Two ways to lie, two lattices, though the outline is the same."""
    asked = panel(motif=Motif("rose", (0.0, None)), turn=True)
    (((one, other),), _) = domains(asked, repeat=Repeat(64.0, 32.0))
    assert sorted([one.lattice.x, other.lattice.x]) == pytest.approx([-180.0, -20.0])
    # With the point in its middle, the piece is the same either way, and kept once.
    middle = panel(at=(50.0, 100.0), motif=Motif("rose", (0.0, 0.0)), turn=True)
    (((only,),), _) = domains(middle, repeat=Repeat(64.0, 32.0))
    assert only.lattice.phase == 0


def test_on_an_axis_the_places_lie_twice_as_close():
    """The start and the half of a straight repeat; of a half drop only the columns."""
    asked = panel(motif=Motif("rose", (None, 0.0), centred=True))
    for drop, step in (("none", 16.0), ("half", 32.0)):
        (((domain,),), _) = domains(asked, repeat=Repeat(64.0, 32.0, drop))
        assert (domain.lattice.step_x, domain.lattice.step_y) == (0.0, step)


def test_a_match_has_a_phase_of_its_own_and_a_motif_ties_it():
    """Two pieces matched to each other lie anywhere; a third that is placed places them too."""
    match = (Match((("front", "rose"), ("back", "rose"))),)
    front, back = panel("front"), panel("back", at=(30.0, 26.0))
    (((one,), (other,)), phases) = domains(front, back, matches=match, repeat=Repeat(along=64.0))
    assert phases == (Phase(x=True, y=False),)
    assert other.lattice.x - one.lattice.x == pytest.approx(-6.0)
    placed = replace(front, motif=Motif("rose", (0.0, None)))
    repeat = Repeat(64.0, 0.0, "none", (10.0, None))
    (((one,), (other,)), phases) = domains(placed, back, matches=match, repeat=repeat)
    assert phases == ()
    assert (one.lattice.x, other.lattice.x) == (pytest.approx(-10.0), pytest.approx(-16.0))


def test_matched_pieces_lie_as_on_one_way_cloth():
    """A design may be even at one point and run apart beyond it."""
    match = (Match((("front", "rose"), ("back", "rose"))),)
    plan = plan_of(panel("front", turn=True), panel("back", turn=True), repeat=Repeat(along=64.0))
    free = compile_lay(plan, plan.cloths[0])
    held = compile_lay(replace(plan, matches=match), plan.cloths[0])
    assert {way.way.turned for t in held.tickets for way in t.choices.values()} == {0.0}
    assert free.problem.is_free


def test_a_border_pins_the_edge():
    """At 30 from either selvage; the edge at the near one lies at the piece's lower side."""
    edge = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 20.0)
    skirt = piece(
        rectangle(100, 200), grain="crosswise", edges=(edge,), border=Border("hem", 30.0),
    )  # fmt: skip
    ((both,), _) = domains(skirt, width=400.0)
    assert sorted(domain.y for domain in both) == [(10.0, 10.0), (170.0, 170.0)]
    near = replace(skirt, border=Border("hem", 30.0, "near"))
    (((only,),), _) = domains(near, width=400.0)
    assert only.y == (10.0, 10.0)


def test_a_border_and_a_motif_across_contradict_each_other():
    """Refused by name before anything is solved; along the border a motif may place it."""
    edge = EdgeAllowance("side", (0.0, 200.0), (0.0, 0.0), 0.0)
    asked = panel(motif=Motif("rose", (0.0, 0.0)), border=Border("side"), edges=(edge,))
    with pytest.raises(InputError, match="its border says where it lies across"):
        domains(asked, repeat=Repeat(64.0, 32.0))
    along = replace(asked, motif=Motif("rose", (0.0, None)))
    (((domain,),), _) = domains(along, repeat=Repeat(64.0))
    assert domain.lattice.step_x == 64.0
    assert domain.y[0] == domain.y[1]


def test_other_contradictions_are_refused():
    """An axis left open and a match across; both axes and one on a half drop; a border in vain."""
    across = (Match((("front", "rose"), ("back", "rose")), "across"),)
    centred = panel("front", motif=Motif("rose", (None, 0.0), centred=True))
    with pytest.raises(InputError, match="leaves open on which axis"):
        domains(centred, panel("back"), matches=across, repeat=Repeat(64.0, 32.0))
    both = panel("front", motif=Motif("rose", (0.0, 0.0)))
    with pytest.raises(InputError, match="on a half drop one rule places it along and across"):
        domains(both, panel("back"), matches=across, repeat=Repeat(64.0, 32.0, "half"))
    leaning = replace(panel("front"), tilt=2.0)
    with pytest.raises(InputError, match="a match holds it straight on the design"):
        domains(leaning, panel("back"), matches=across, repeat=Repeat(64.0, 32.0))
    hem = EdgeAllowance("hem", (0.0, 0.0), (100.0, 0.0), 0.0)
    with pytest.raises(InputError, match="in no way it may lie does edge 'hem'"):
        domains(panel(edges=(hem,), border=Border("hem", 5.0)))


def test_a_mirrored_copy_that_cannot_meet_both_points_is_refused():
    """Reflected, two points of the gore lie the other way round across the cloth."""
    gore = panel("gore", mirrored=1)
    gore = replace(gore, points={"rose": (30.0, 20.0), "bud": (37.0, 20.0)})
    band = replace(panel("band"), points={"rose": (30.0, 20.0), "bud": (37.0, 20.0)})
    matches = tuple(Match((("gore", p), ("band", p)), "across") for p in ("rose", "bud"))
    with pytest.raises(InputError, match=r"piece 'band'|piece 'gore'.*1\.4 cm apart"):
        domains(gore, band, matches=matches, repeat=Repeat(64.0, 32.0))
    domains(replace(gore, mirrored=0), band, matches=matches, repeat=Repeat(64.0, 32.0))


def test_pieces_without_a_place_across_are_refused():
    """As wide as the cloth, a panel can have its rose on one line only."""
    wide = {"width": 100.0, "repeat": Repeat(64.0, 32.0, "none", (None, 0.0))}
    with pytest.raises(InputError, match="no place of the design lies where 'panel 1' fits"):
        domains(panel(motif=Motif("rose", (None, 0.0))), **wide)
    wide["repeat"] = Repeat(64.0, 32.0)
    rose = Motif("rose", (None, 0.0))
    asked = [panel(name, at=(x, 20.0), motif=rose) for name, x in (("a", 30.0), ("b", 34.0))]
    domains(asked[0], **wide)
    with pytest.raises(InputError, match="not all of a 1, b 1 have a place"):
        domains(*asked, **wide)


def test_places_tied_crosswise_are_not_built_yet():
    """One matched along and placed across, another placed on both: one phase cannot say it."""
    match = (Match((("a", "rose"), ("b", "rose")), "along"),)
    pieces = [panel(name, motif=Motif("rose", (None, 0.0))) for name in ("a", "b")]
    pieces.append(panel("c", motif=Motif("rose", (0.0, 0.0))))
    with pytest.raises(NotBuiltError, match="some pieces are placed by the motif on one axis"):
        domains(*pieces, matches=match, repeat=Repeat(64.0, 32.0))
    domains(*pieces, matches=match, repeat=Repeat(64.0, 32.0, "none", (None, 0.0)))


def test_settling_finds_a_way_round():
    """Three matches in a ring agree if their steps do, whole repeats not counted."""
    grid = Grid(along=10.0)

    def ring(last):
        return [
            ("a", [Held(0, (0.0, 0.0), "0"), Held(1, (-3.0, 0.0), "1")]),
            ("b", [Held(1, (0.0, 0.0), "1"), Held(2, (-4.0, 0.0), "2")]),
            ("c", [Held(2, (0.0, 0.0), "2"), Held(0, (last, 0.0), "0")]),
        ]

    found = settle(grid, ring(7.0))
    assert {place: s.root for place, s in found.items()} == {0: 0, 1: 0, 2: 0}
    assert found[2].step[0] % 10 == pytest.approx(7.0)
    settle(grid, ring(-13.0))
    with pytest.raises(ContradictionError) as caught:
        settle(grid, ring(5.0))
    assert caught.value.miss == pytest.approx(2.0)
    tied = settle(
        grid, [*ring(7.0), ("d", [Held(2, (0.0, 0.0), ""), Held(CLOTH, (1.0, 0.0), "")])]
    )
    assert {settled.root for settled in tied.values()} == {CLOTH}


def test_phases_come_together_where_a_piece_needs_both():
    """Along from one place, across from another: one phase with both; two along will not do."""
    numbers, phases = number_phases([{("along", CLOTH)}, {("along", CLOTH), ("across", 3)}, set()])
    assert phases == (Phase(x=True, y=True),)
    assert set(numbers.values()) == {0}
    with pytest.raises(TangledError):
        number_phases([{("along", 0), ("across", 1)}, {("along", 2), ("across", 1)}])


@pytest.mark.parametrize(
    ("dx", "dy", "miss"),
    [(64.0, 32.0, 32.0), (32.0, 32.0, 0.0), (0.0, 64.0, 0.0), (3.0, 1.0, 3.0)],
)
def test_what_carries_a_half_drop_onto_itself(dx, dy, miss):
    """A column on, half a repeat along; two columns on, none."""
    assert Grid(64.0, 32.0, 32.0).miss(dx, dy) == pytest.approx(miss)


PLACES = st.sampled_from([None, 0.0, 7.0, 20.0])


@st.composite
def plans(draw):
    """Draw a plan of a few pieces held by its cloth's design in some of all ways."""
    drop = draw(st.sampled_from(["none", "half"]))
    offset = (draw(st.sampled_from([None, 11.0])), draw(st.sampled_from([None, 5.0])))
    repeat = Repeat(draw(st.sampled_from([40.0, 64.0])), 30.0, drop, offset)
    pieces = []
    for name in draw(st.sampled_from([("a",), ("a", "b"), ("a", "b", "c")])):
        long, wide = draw(st.integers(40, 150)), draw(st.integers(30, 90))
        outline = [(0, 0), (wide, 0), (wide * draw(st.sampled_from([0.5, 1.0])), long), (0, long)]
        on = (draw(PLACES), draw(PLACES))
        pieces.append(
            piece(
                np.array(outline, dtype=float),
                name=name,
                points={"rose": (wide / 4, long / 3), "notch": (wide / 3, 0.0)},
                motif=None if on == (None, None) else Motif("rose", on, draw(st.booleans())),
                mirrored=draw(st.integers(0, 1)),
                allowance=draw(st.sampled_from([0.0, 5.0])),
                turn=draw(st.booleans()),
            )
        )
    axis = draw(st.sampled_from(["along", "across", "both"]))
    copies = sum(p.copies for p in pieces)
    matches = (Match(tuple((p.name, "notch") for p in pieces), axis),)
    plan = plan_of(
        *pieces, width=260.0, repeat=repeat, gap=draw(st.sampled_from([0.0, 3.0])),
        nap=draw(st.sampled_from(["none", "one-way"])),
        sides=draw(st.sampled_from(["differ", "alike"])), shrink_along=0.03, end_trim=10.0,
    )  # fmt: skip
    return replace(plan, matches=matches if copies > 1 and draw(st.booleans()) else ())


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(plans(), st.floats(1.0, 14.0), st.booleans())
def test_whatever_the_plan_its_layout_passes_and_a_moved_piece_does_not(plan, by, across):
    """Either the rules contradict each other, or the check finds every piece on its place.

    Moved by a millimetre or more, less than half of any repeat, a piece that is held is refused.
    """
    try:
        layout = lay_plan(plan, stop=BRIEF)
    except (InputError, NotBuiltError, NoLayoutError):
        return
    (lay,) = layout.lays
    for n, placement in enumerate(lay.placements):
        if holds(plan, placement, lay, across=across):
            step = (0.0, by) if across else (by, 0.0)
            others = list(lay.placements)
            others[n] = moved(placement, *step)
            spoilt = replace(layout, lays=(replace(lay, placements=tuple(others)),))
            assert "design" in {finding.kind for finding in check_layout(plan, spoilt)}


def holds(plan, placement, lay: Lay, *, across: bool) -> bool:
    """Tell whether the plan holds a placement on an axis, with something to hold it against."""
    (own,) = [p for p in plan.pieces if p.name == placement.piece]
    if own.motif is not None and own.motif.on[across] is not None:
        return True
    return any(m.axis in {"both", ("along", "across")[across]} for m in plan.matches)


def test_an_edge_may_lie_behind_the_rest_of_its_piece():
    """It faces the selvage it looks to, though more than half of its piece lies beyond it.

    An L, its edge 160 behind the end of its tower: at 170 from a selvage the tower ends at 10.
    """
    outline = np.array([[0, 0], [300, 0], [300, 40], [100, 40], [100, 200], [0, 200]], dtype=float)
    hem = EdgeAllowance("hem", (300, 40), (100, 40), 0.0)
    ell = piece(outline, "ell", grain="crosswise", edges=(hem,), border=Border("hem", 170.0))
    (lay,) = lay_plan(plan_of(ell, width=900.0), stop=Stop(iterations=1)).lays
    across = lay.placements[0].outline[:, 1]
    assert min(across.min(), 900.0 - across.max()) == pytest.approx(10.0, abs=0.01)
