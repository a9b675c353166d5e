"""Owned panels as one strip, the choice among them, and random flaws and panels laid."""

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.geometry.rings import as_points
from nesting.model.plan import Cloth, EdgeAllowance, Flaw, Panel, Plan
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.rules.choose_panels import PanelChoice
from nesting.rules.lay_panels import prepare_panels
from nesting.rules.panels import clean_parts, compile_strip, panel_edge
from nesting.verify.check import check_layout

from .garments import piece, rectangle


def panels(*sizes, flaws=(), count=4, size=(300, 400), **cloth):
    """Return a plan of rectangles on panels of these sizes (along, across)."""
    owned = tuple(Panel(f"p{n}", *each) for n, each in enumerate(sizes, start=1))
    made = Cloth("calico", max(p.width for p in owned), panels=owned, flaws=flaws, **cloth)
    return Plan("test", "cm", (made,), (piece(rectangle(*size), as_drawn=count),))


def choice_of(plan):
    """Return the choice of panels for a plan."""
    (cloth,) = plan.cloths
    strip = compile_strip(plan, cloth, range(1, len(cloth.panels) + 1))
    return PanelChoice(plan, cloth, strip.compiled)


def box(x0, x1, y0, y1):
    """Return the ring of a box."""
    return as_points([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def test_walls_stand_between_panels_and_beside_narrow_ones():
    """Two panels of 500 x 600 and 700 x 400 with a gap of 4: shapes lie in 504 and 704."""
    plan = panels((500, 600), (700, 400), size=(100, 100), gap=4.0)
    strip = compile_strip(plan, plan.cloths[0], (1, 2))
    assert strip.compiled.problem.width == 604.0
    first, second, behind = strip.stretches
    assert (first.start, first.end, second.start) == (0, 500, 524)
    found = [obstacle.shape.box for obstacle in strip.compiled.problem.obstacles]
    assert (504, 0, 524, 604) in found  # the wall
    assert (524, 404, 524 + 704, 604) in found  # what the second lacks of the width
    assert strip.owned_end == pytest.approx(524 + 704)
    assert behind.start == pytest.approx(524 + 704 + 20)


def test_a_drawn_edge_is_free_and_all_else_of_its_box_is_not():
    """A triangle of 400 by 300: the other half of its box is obstacle, to a hair."""
    edge = as_points([(0, 0), (400, 0), (0, 300)])
    cloth = Cloth("calico", 300.0, panels=(Panel("a", 400, 300, edge),))
    plan = Plan("test", "cm", (cloth,), (piece(rectangle(50, 50)),))
    problem = compile_strip(plan, cloth, (1,)).compiled.problem
    shapes = [shapely.Polygon(obstacle.shape.outer) for obstacle in problem.obstacles]
    covered = shapely.union_all(shapes).intersection(shapely.box(0, 0, 400, 300))
    assert covered.area == pytest.approx(400 * 300 / 2, rel=0.01)
    assert covered.area >= 400 * 300 / 2 - 1e-6


def test_a_seam_all_along_parts_a_panel():
    """What a flaw cuts off is a part of its own; a flaw an allowance hides cuts off nothing."""
    strict = panels((500, 600), flaws=(Flaw(box(0, 500, 290, 310)),), size=(100, 100))
    assert [part.area for part in clean_parts(strict.cloths[0], 1)] == [500 * 290, 500 * 290]
    hidden = panels((500, 600), flaws=(Flaw(box(0, 500, 290, 310), hide="allowance"),))
    assert [part.area for part in clean_parts(hidden.cloths[0], 1)] == [500 * 600]


def test_the_edge_is_what_can_be_used():
    """A panel of 500 x 600 that shrinks by a tenth along, loses 10 at each edge and 20 to trim."""
    cloth = Cloth(
        "calico", 600.0, 10.0, shrink_along=0.1, end_trim=20.0, panels=(Panel("a", 500, 600),)
    )
    assert panel_edge(cloth, 1).max(axis=0) == pytest.approx([430, 580])


@pytest.mark.parametrize(
    ("sizes", "count", "first"),
    [
        ([(900, 700), (900, 700)], 4, (1,)),  # 300 x 400: two rows of two
        ([(900, 700), (900, 700)], 6, (1, 2)),  # six have a larger area than one
        ([(780, 700), (780, 700)], 2, (1,)),  # longer than half of it: two side by side
        ([(780, 700), (780, 700)], 3, (1, 2)),  # three do not share a middle line
        ([(900, 700), (900, 1300), (450, 650)], 2, (3,)),  # the smallest that may do
        ([(400, 300), (400, 300), (400, 300)], 3, (1, 2, 3)),
    ],
)
def test_fewest_panels_first_then_the_largest_left_whole(sizes, count, first):
    """Choices that cannot hold the pieces, by area or middle line, are never proposed."""
    found = choice_of(panels(*sizes, count=count)).best()
    assert len(found) == len(first)
    assert found == first or sizes[0] == sizes[1]


def test_refused_choices_and_all_within_them_are_gone():
    """Three alike: once two pairs are refused the third is left, then all three."""
    choice = choice_of(panels((780, 700), (780, 700), (780, 700), count=3))
    seen = []
    while (found := choice.best()) is not None:
        seen.append(found)
        choice.refuse(found, proven=True)
    assert sorted(seen) == [(1, 2), (1, 2, 3), (1, 3), (2, 3)]
    assert seen[-1] == (1, 2, 3)
    assert choice.proven


def test_useless_panels_and_misfits_are_refused():
    """A panel no piece fits, by its name; a piece that fits on no panel, with its size."""
    plan = panels((900, 700), (200, 200))
    with pytest.raises(InputError, match="p2: it is too small for any piece"):
        prepare_panels(plan, plan.cloths[0])
    seam = Flaw(box(0, 900, 340, 360))
    (small,) = panels((900, 700), flaws=(seam,), size=(100, 100), count=1).pieces
    plan = panels((900, 700), flaws=(seam,), size=(400, 400))
    with pytest.raises(InputError, match="too small"):
        prepare_panels(plan, plan.cloths[0])
    both = Plan("test", "cm", plan.cloths, (*plan.pieces, _named(small, "small")))
    with pytest.raises(InputError, match=r"40\.0 cm along and 40\.0 cm across, and no panel"):
        prepare_panels(both, both.cloths[0])


def _named(made, name):
    return piece(made.pattern.outline, name=name)


@st.composite
def flawed_plans(draw):
    """Draw a plan with random flaws on random panels, hems, a gap, shrinkage and a nap."""
    share = st.floats(0.05, 0.9)
    sizes = draw(
        st.lists(st.tuples(st.floats(400, 900), st.floats(300, 700)), min_size=1, max_size=3)
    )
    owned = [Panel(f"p{n}", *size) for n, size in enumerate(sizes, start=1)]
    if draw(st.booleans()):
        length, width = sizes[-1]
        cut = draw(share) * 0.5
        edge = as_points([(0, 0), (length, 0), (length, width * (1 - cut)), (0, width)])
        owned[-1] = Panel(owned[-1].name, length, width, edge)
    flaws = []
    for _ in range(draw(st.integers(0, 3))):
        n = draw(st.integers(1, len(owned)))
        x, y = draw(share) * owned[n - 1].length, draw(share) * owned[n - 1].width
        dx, dy = draw(st.floats(2, 60)), draw(st.floats(2, 60))
        ring = as_points([(x, y), (x + dx, y), (x + dx / 2, y + dy)])
        flaws.append(Flaw(ring * 0.9, n, draw(st.sampled_from(["no", "allowance"])), "spot"))
    cloth = Cloth(
        "calico",
        max(panel.width for panel in owned),
        nap=draw(st.sampled_from(["none", "one-way"])),
        gap=draw(st.sampled_from([0.0, 3.0])),
        shrink_along=0.05,
        shrink_across=0.05,
        panels=tuple(owned),
        extra=draw(st.sampled_from(["none", "buy"])),
        flaws=tuple(flaws),
        price=10.0,
    )
    hem = EdgeAllowance("hem", (0, 0), (90, 0), 25.0)
    gore = piece([(0, 0), (90, 0), (70, 150), (20, 150)], name="gore", edges=(hem,), as_drawn=3)
    cuff = piece(rectangle(60, 40), name="cuff", as_drawn=1, mirrored=1, allowance=10.0)
    return Plan("test", "cm", (cloth,), (gore, cuff))


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(plan=flawed_plans())
def test_random_panels_pass_the_independent_check(plan):
    """Whatever the flaws, edges and rules: what comes out has been accepted by the check.

    Every copy is laid, or the last lay says that it does not fit; a panel is laid once at most.
    """
    try:
        layout = lay_plan(plan, stop=Stop(iterations=3), seed=1)
    except InputError:
        return  # a panel too small for any piece, by its clean parts
    assert check_layout(plan, layout) == ()
    count = sum(len(lay.placements) for lay in layout.lays)
    assert count == 5 or layout.lays[-1].status == "does not fit"
    if plan.cloths[0].extra == "buy":
        assert count == 5
    numbers = [lay.panel for lay in layout.lays]
    assert len(numbers) == len(set(numbers))


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    spots=st.lists(
        st.tuples(st.floats(0, 500), st.floats(0, 250), st.floats(1, 80), st.floats(1, 80)),
        min_size=1,
        max_size=4,
    ),
    hide=st.sampled_from(["no", "allowance"]),
    gap=st.sampled_from([0.0, 2.0]),
)
def test_random_flaws_are_kept_clear_of(spots, hide, gap):
    """On cloth from the bolt as well; without flaws the lay is not longer, where it is proven."""
    flaws = tuple(Flaw(box(x, x + dx, y, y + dy), hide=hide) for x, y, dx, dy in spots)
    cloth = Cloth("calico", 300.0, flaws=flaws, gap=gap)
    hem = EdgeAllowance("hem", (0, 0), (90, 0), 25.0)
    gore = piece([(0, 0), (90, 0), (70, 150), (20, 150)], edges=(hem,), as_drawn=5)
    plan = Plan("test", "cm", (cloth,), (gore,))
    layout = lay_plan(plan, stop=Stop(iterations=3), seed=1)
    assert check_layout(plan, layout) == ()
    for lay in layout.lays:
        assert np.isfinite(lay.length)
        assert all(length < lay.length for length in lay.without.values())


@pytest.mark.parametrize(("length", "first"), [(599.0, 1), (601.0, 2)])
def test_what_crosses_the_middle_of_a_panel_is_counted(length, first):
    """On 1200 by 700, two pieces of 400 across: over 600 long both cross the middle, one above."""
    plan = panels((1200, 700), (1200, 700), count=2, size=(400, length))
    assert len(choice_of(plan).best()) == first


def test_of_equal_choices_the_least_cloth_is_begun():
    """One panel is enough: the smallest that is; and the largest stays whole."""
    plan = panels((500, 600), (900, 700), (700, 650), count=1)
    assert choice_of(plan).best() == (1,)
    # Even on 900 by 790 two of 460 by 400 do not lie beside each other: the two smallest.
    two = panels((500, 420), (900, 790), (700, 420), (650, 420), count=2, size=(400, 460))
    assert choice_of(two).best() == (1, 4)


def test_a_flaw_across_takes_its_part_of_the_middle_line():
    """Clean cloth on the middle line is what counts: a strip of 300 lost to a flaw."""
    clean = panels((780, 800), (780, 800), count=2, size=(390, 700))
    assert len(choice_of(clean).best()) == 1
    hole = box(380, 400, 300, 330)
    torn = panels(
        (780, 800), (780, 800), count=2, size=(390, 700), flaws=(Flaw(hole), Flaw(hole, 2))
    )
    assert len(choice_of(torn).best()) == 2
