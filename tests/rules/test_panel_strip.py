"""Panels as one strip: stretches, walls, what is not there, and what each panel is."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from nesting.errors import InputError
from nesting.geometry.rings import as_points
from nesting.model.plan import Cloth, Flaw, Panel, Plan
from nesting.rules.lay_panels import prepare_panels
from nesting.rules.panels import (
    compile_strip,
    panel_cloth,
    panel_edge,
    part_of,
    stretch_of,
    usable_length,
)
from nesting.rules.split_panels import split

from .garments import cuffs_on_panels, piece, rectangle, result_of


def strip_of(plan, *numbers):
    """Return panels of a plan's cloth as one strip."""
    return compile_strip(plan, plan.cloths[0], numbers)


def test_a_lay_on_a_panel_is_measured_from_its_own_start():
    """On the second panel of the strip, 40 from its start: neither moved nor shortened."""
    plan = cuffs_on_panels((500, 400), (500, 400), count=1)
    strip = strip_of(plan, 1, 2)
    result = result_of(strip.compiled, [(0, 560.0, 70.0)])
    (lay,) = split(plan, plan.cloths[0], strip, result, proven=False)
    assert lay.panel == 2
    assert lay.placements[0].outline.min(axis=0) == pytest.approx([40, 70])
    assert lay.length == pytest.approx(240)
    assert lay.remarks == ("1 of the 2 panels is used",)


def test_the_problem_of_one_stretch_has_its_own_obstacles_only():
    """Flaws of the panel, moved to its own start, and the wall behind it."""
    spot = as_points([(100, 300), (120, 300), (120, 320), (100, 320)])
    plan = cuffs_on_panels(
        (500, 400), (600, 400), count=2, gap=4.0, flaws=(Flaw(spot, 1), Flaw(spot, 2))
    )
    strip = strip_of(plan, 1, 2)
    alone = part_of(strip, strip.stretches[1], [1])
    boxes = sorted(obstacle.shape.box for obstacle in alone.problem.obstacles)
    assert boxes == [
        pytest.approx((102, 302, 122, 322)), pytest.approx((604, 0, 624, 404)),
    ]  # fmt: skip
    assert [ticket.copy for ticket in alone.tickets] == [2]
    assert alone.problem.items == strip.compiled.problem.items[1:]
    assert alone.problem.width == 404.0
    first = part_of(strip, strip.stretches[0], [0, 1])
    boxes = sorted(obstacle.shape.box for obstacle in first.problem.obstacles)
    assert boxes == [pytest.approx((102, 302, 122, 322)), pytest.approx((504, 0, 524, 404))]
    (hole,) = [o for o in first.problem.obstacles if o.shape.box[0] < 200]
    assert not hole.inner


def test_on_which_stretch_a_piece_lies():
    """By its least x, half a wall before the start still counted."""
    plan = cuffs_on_panels((500, 400), (600, 400), count=1)
    strip = strip_of(plan, 2, 1)
    at = result_of(strip.compiled, [(0, 0.0, 0.0)]).layout[0]
    numbers = [
        stretch_of(strip, replace(at, x=x)).number
        for x in (0.0, 400.0, 609.0, 611.0, 620.0, 1100.0, 1129.0, 1131.0, 5000.0)
    ]
    assert numbers == [2, 2, 2, 1, 1, 1, 1, None, None]
    assert usable_length(strip.stretches[0].cloth) == 600.0


def test_cloth_that_is_not_there_is_as_wide_as_the_widest_piece():
    """Two cuffs never lie beside each other behind the panels, so that few lie there at all."""
    plan = cuffs_on_panels((500, 400), (400, 1000), size=(300, 200))
    behind = strip_of(plan, 1, 2).stretches[-1]
    assert (behind.number, behind.cloth.usable_width) == (None, pytest.approx(300.1))
    bought = cuffs_on_panels((500, 400), (400, 1000), size=(300, 200), extra="buy", width=900.0,
                     selvage=10.0, flaws=(Flaw(as_points([(0, 0), (5, 0), (5, 5)])),))  # fmt: skip
    behind = strip_of(bought, 1).stretches[-1]
    assert behind.cloth == replace(bought.cloths[0], panels=(), extra="none", flaws=())
    assert behind.cloth.usable_width == 880.0
    full = cuffs_on_panels((500, 300), size=(300, 200))
    assert strip_of(full, 1).stretches[-1].cloth.usable_width == 300.0


def test_obstacles_beside_what_is_not_there_reach_over_all_pieces():
    """Behind the panels the strip is open for every piece behind the other, and no wider."""
    plan = cuffs_on_panels((500, 400), count=3, gap=4.0)
    problem = strip_of(plan, 1).compiled.problem
    boxes = sorted(obstacle.shape.box for obstacle in problem.obstacles)
    start = 500 + 4 + 20
    # 300.1 and a gap of the width are open; three pieces of 200 and their gaps lie beside it.
    assert boxes[0] == pytest.approx((504, 0, 524, 404))
    assert boxes[1] == pytest.approx((start, 304.1, start + 3 * 204, 404))
    assert len(boxes) == 2
    assert np.isclose(problem.width, 404)


def test_the_width_behind_and_the_names_of_panels():
    """What is not there takes the place of the widest panel; every panel has its own cloth."""
    flaws = (Flaw(rectangle(5, 5), 1), Flaw(rectangle(6, 6), 2, "allowance", "spot"))
    plan = cuffs_on_panels((500, 400), (600, 300), size=(100, 100), selvage=10.0, end_trim=20.0,
                   flaws=flaws, extra="buy", shrink_along=0.1)  # fmt: skip
    (cloth,) = plan.cloths
    own = panel_cloth(cloth, 2)
    assert own == replace(cloth, width=300, length=600, panels=(), extra="none", flaws=own.flaws)
    assert [(f.panel, f.hide, f.kind) for f in own.flaws] == [(1, "allowance", "spot")]
    assert own.flaws[0].outline is flaws[1].outline
    assert usable_length(own) == pytest.approx(600 * 0.9 - 20)
    drawn = replace(cloth, panels=(Panel("p", 500, 400, rectangle(500, 400)),))
    own = panel_cloth(drawn, 1)
    assert (own.selvage, own.end_trim, own.usable_width) == (0.0, 0.0, 400)
    shrunk = panel_edge(replace(drawn, shrink_across=0.05), 1)
    assert shrunk.max(axis=0) == pytest.approx([450, 380])
    strip = strip_of(plan, 1, 2)
    made_up = strip.compiled.cloth
    assert (made_up.width, made_up.selvage, made_up.usable_width) == (380.0, 0.0, 380.0)
    assert (made_up.panels, made_up.extra, made_up.shrink_across) == ((), "none", 0.0)
    assert [float(f.outline[:, 0].min()) for f in made_up.flaws] == [0.0, 450.0]
    assert [float(f.outline[:, 1].min()) for f in made_up.flaws] == [0.0, 0.0]


def test_a_drawn_edge_is_an_obstacle_where_its_shapes_are():
    """Half a gap on: a panel of 400 by 300 without its corner, on a strip with a gap of 10."""
    edge = as_points([(0, 0), (400, 0), (400, 200), (300, 300), (0, 300)])
    cloth = Cloth("calico", 300.0, panels=(Panel("a", 400, 300, edge),), gap=10.0)
    plan = Plan("test", "cm", (cloth,), (piece(rectangle(290, 50)),))
    obstacles = strip_of(plan, 1).compiled.problem.obstacles
    found = shapely.union_all([shapely.Polygon(o.shape.outer) for o in obstacles])
    # Shapes may lie from 0 to 410 and to 310; the edge as drawn, moved by 5, bounds the pieces.
    assert found.contains(shapely.Point(404.0, 304.0))
    assert not found.contains(shapely.Point(350.0, 252.0))
    assert found.distance(shapely.Point(352.0, 252.0)) < 5.0


def test_an_error_of_panels_is_told_to_the_word():
    """Plan, cloth or piece, what was found, and the remedy."""
    plan = replace(cuffs_on_panels((900, 700), (200, 150), units="in"), path=Path("storm.toml"))
    with pytest.raises(InputError) as caught:
        prepare_panels(plan, plan.cloths[0])
    assert str(caught.value) == (
        "storm.toml: cloth 'calico': p2: it is too small for any piece: none fits what is clean "
        "of 7 7/8 in by 5 7/8 in; leave it out"
    )
    small = piece(rectangle(100, 100), name="small")
    plan = replace(cuffs_on_panels((900, 300), size=(300, 1000), count=1), path=Path("storm.toml"))
    plan = replace(plan, pieces=(small, *plan.pieces))
    with pytest.raises(InputError) as caught:
        prepare_panels(plan, plan.cloths[0])
    assert str(caught.value) == (
        "storm.toml: piece 'cuff': it is 100.0 cm along and 30.0 cm across, and no panel of "
        "'calico' has so large a clean place; divide the piece by a seam, or let cloth be "
        'bought: extra = "buy"'
    )
    bought = replace(plan.cloths[0], extra="buy")
    assert prepare_panels(replace(plan, cloths=(bought,)), bought).problem.items


def test_all_panels_are_prepared():
    """The largest last, behind one another."""
    plan = cuffs_on_panels((650, 400), (450, 400), count=1)
    problem = prepare_panels(plan, plan.cloths[0]).problem
    walls = sorted(o.shape.box[0] for o in problem.obstacles if o.shape.box[1] == 0)
    assert walls == [450.0, 450.0 + 20 + 650]


def test_with_a_gap_a_piece_is_told_by_its_shape():
    """The shape begins half a gap before its position."""
    strip = strip_of(cuffs_on_panels((500, 400), (600, 400), count=1, gap=30.0), 1, 2)
    at = result_of(strip.compiled, [(0, 0.0, 0.0)]).layout[0]
    start = strip.stretches[1].start
    numbers = [stretch_of(strip, replace(at, x=start + x)).number for x in (4.0, 6.0)]
    assert numbers == [1, 2]
