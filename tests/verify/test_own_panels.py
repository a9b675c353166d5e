"""Owned panels: which one a lay lies on, what of it can be used, and pieces over its edge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from nesting.model.layout import LaidFlaw
from nesting.model.plan import Cloth, Flaw, Panel, Plan, PlanPiece
from nesting.verify import check_layout
from nesting.verify.panels import check_panel, cloth_under, usable_region

from ..handmade import lay_on, layout_of, pattern, put, rectangle
from .faults import only_lay, told

STAIN = np.array([(500.0, 100.0), (520.0, 100.0), (520.0, 120.0), (500.0, 120.0)])
SLOPED = np.array([(0.0, 0.0), (800.0, 0.0), (800.0, 300.0), (0.0, 500.0)])
CLOTH = Cloth(
    "brocade", 600.0, 10.0, shrink_along=0.1, shrink_across=0.2, end_trim=40.0,
    panels=(Panel("front panel", 1000.0, 600.0), Panel("back panel", 800.0, 500.0, SLOPED)),
    flaws=(Flaw(STAIN, 1, kind="stain"), Flaw(STAIN + 50.0, 2)),
)  # fmt: skip
BELT = PlanPiece("belt", pattern("belt", rectangle(50, 300)), "brocade")


def lay(panel, name, **fields):
    """Return a lay of one belt on a panel."""
    placed = put(BELT, 1, 0.0, (0.0, 50.0))
    return replace(lay_on(CLOTH, [placed]), panel=panel, panel_name=name, **fields)


def test_a_panel_is_a_cloth_of_its_own():
    """Of its own measures and flaws; a drawn edge loses neither selvage nor trim."""
    first = cloth_under(lay(1, "front panel"), CLOTH)
    assert (first.width, first.length, first.selvage, first.end_trim) == (600.0, 1000.0, 10, 40)
    assert (first.panels, first.extra, first.flaws) == ((), "none", CLOTH.flaws[:1])
    second = cloth_under(lay(2, "back panel"), CLOTH)
    assert (second.width, second.length, second.selvage, second.end_trim) == (500.0, 800.0, 0, 0)
    assert (second.panels, second.extra, second.flaws) == ((), "none", CLOTH.flaws[1:])
    assert (second.shrink_along, second.name) == (0.1, "brocade")


def test_cloth_bought_to_match_has_no_flaws_and_no_panels():
    """What the flaws of owned panels are, it has not."""
    more = replace(CLOTH, extra="buy", price=9.0)
    bought = cloth_under(lay(None, ""), more)
    assert bought == replace(more, flaws=(), panels=())
    plain = replace(CLOTH, panels=())
    assert cloth_under(lay(None, ""), plain) is plain
    assert cloth_under(lay(1, "front panel"), more).extra == "none"


@pytest.mark.parametrize(
    ("panel", "name", "line"),
    [
        (None, "", "cloth: brocade: it lies on no panel of the plan"),
        (0, "front panel", "cloth: brocade: the plan has no panel 0 of it"),
        (3, "front panel", "cloth: brocade: the plan has no panel 3 of it"),
        (1, "back panel", "cloth: brocade: panel 1 is called 'back panel'; in the plan it is "
         "'front panel'"),
        (2, "", "cloth: brocade: panel 2 is called ''; in the plan it is 'back panel'"),
    ],
)  # fmt: skip
def test_a_lay_on_no_panel_of_the_plan_is_refused(panel, name, line):
    """The number, and the name to it."""
    assert told([cloth_under(lay(panel, name), CLOTH)]) == [line]


def test_what_can_be_used_of_a_panel():
    """1000 by 600 shrunk to 900 by 480, less 40 of trim and two selvages; a drawn edge shrinks."""
    assert usable_region(lay(1, ""), CLOTH).equals(box(0, 0, 860, 460))
    drawn = usable_region(lay(2, ""), CLOTH)
    wanted = Polygon([(0, 0), (720, 0), (720, 240), (0, 400)])
    assert drawn.symmetric_difference(wanted).area < 1e-6
    for panel in (None, 0, 3):
        assert usable_region(lay(panel, ""), CLOTH) is None


def test_pieces_over_the_edge_of_a_panel():
    """By up to a hundredth they pass; an edge that is not the plan's is told."""
    usable = box(0, 0, 860, 460)
    outline = np.array(usable.exterior.coords[:-1])
    on = lay(1, "front panel", panel_outline=outline)
    names = [("belt", 1), ("cuff", 2)]
    right = [box(0, 0, 860.009, 20), box(-0.009, 20, 30, 460.009)]
    assert told(check_panel(on, usable, right, names)) == []
    wrong = [box(0, 0, 860.02, 20), box(0, 20, 30, 463)]
    assert told(check_panel(on, usable, wrong, names)) == [
        "edge: brocade: belt (copy 1): it stands 0.020 mm over the edge of panel 1",
        "edge: brocade: cuff (copy 2): it stands 3.000 mm over the edge of panel 1",
    ]
    with pytest.raises(ValueError, match="zip"):
        list(check_panel(on, usable, right, names[:1]))
    line = "cloth: brocade: the edge of panel 1 is not that of the plan"
    assert told(check_panel(replace(on, panel_outline=None), usable, [], [])) == [line]
    assert told(check_panel(replace(on, panel_outline=outline + 0.02), usable, [], [])) == [line]
    assert told(check_panel(replace(on, panel_outline=outline + 0.005), usable, [], [])) == []


def whole(**changes):
    """Return a plan of two belts, one on each panel, and its layout."""
    plan = Plan("t", "cm", (replace(CLOTH, flaws=()),), (replace(BELT, as_drawn=2),))
    edges = (box(0, 0, 860, 460), Polygon(SLOPED * [0.9, 0.8]))
    lays = []
    for number, (panel, edge) in enumerate(zip(CLOTH.panels, edges, strict=True), start=1):
        own = replace(CLOTH, width=panel.width, length=panel.length, panels=(), flaws=())
        if panel.outline is not None:
            own = replace(own, selvage=0.0, end_trim=0.0)
        made = lay_on(own, [put(BELT, number, 0.0, (0.0, 50.0))])
        lays.append(
            replace(
                made,
                panel=number,
                panel_name=panel.name,
                panel_outline=np.array(edge.exterior.coords[:-1]),
            )
        )
    return plan, only_lay(layout_of(*lays), **changes)


def test_a_layout_on_two_panels():
    """Right as it is; on no panel, or on one laid twice, it is refused."""
    assert told(check_layout(*whole())) == []
    assert told(check_layout(*whole(leftover=(300.0, 0.0, 860.0, 460.0)))) == []
    assert told(check_layout(*whole(leftover=(300.0, 0.0, 863.0, 460.0)))) == [
        "leftover: brocade: it stands 3.000 mm over the edge of the lay"
    ]
    plan, layout = whole()
    twice = replace(layout, lays=(layout.lays[0], *layout.lays))
    assert told(check_layout(plan, twice)) == [
        "cloth: brocade: panel 1 is laid 2 times",
        "copy: brocade: belt: copy number 1 appears 2 times among 3 copies",
        "count: brocade: belt: 3 copies of either hand are laid; the plan asks for 2",
    ]
    assert told(check_layout(*whole(panel=None)))[0] == (
        "cloth: brocade: it lies on no panel of the plan"
    )
    flawed = replace(plan, cloths=(CLOTH,))
    shown = tuple(
        replace(one, flaws=(LaidFlaw(flaw.outline, flaw.kind),))
        for one, flaw in zip(layout.lays, CLOTH.flaws, strict=True)
    )
    assert told(check_layout(flawed, replace(layout, lays=shown))) == []
