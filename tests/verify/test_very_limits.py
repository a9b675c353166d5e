"""What lies just on a limit passes: each tolerance of the check includes its own value.

Figures are chosen so that floating-point arithmetic has no rounding in them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import box

from nesting.model.layout import Buy, LaidFlaw, LaidFold, LaidRepeat
from nesting.model.plan import Cloth, Flaw, Match, Motif, Plan, PlanPiece, Repeat
from nesting.model.problem import (
    Domain,
    Item,
    Lattice,
    Obstacle,
    PlacementProblem,
    Position,
    Shape,
)
from nesting.verify import check_layout, check_result
from nesting.verify.buying import check_cloth
from nesting.verify.design import check_design
from nesting.verify.flaws import sewn_region
from nesting.verify.hands import hand_laid
from nesting.verify.recompute import cut_piece
from nesting.verify.unfold import FlatCopy

from ..handmade import DAMASK, GORE, lay_on, layout_of, pattern, put, rectangle
from .faults import told
from .folds import CLOTH, corner, folded

HAIR = 0.01
STRIP = PlanPiece("strip", pattern("strip", rectangle(50, 400)), "damask")


def laid_at(*ring, cloth=DAMASK, **fields):
    """Return what is said of a strip whose outline is just this."""
    placed = replace(put(STRIP, 1, 0.0, (0.0, 50.0)), outline=np.array(ring))
    lay = lay_on(cloth, [placed], **fields)
    return told(check_layout(Plan("t", "cm", (cloth,), (STRIP,)), layout_of(lay)))


def test_a_piece_a_hair_over_an_edge():
    """The cut end, the near selvage, the far one."""
    for x, y in ((-HAIR, 0.0), (0.0, -HAIR)):
        ring = [(x, y), (400 + x, y), (400 + x, 50 + y), (x, 50 + y)]
        assert [line for line in laid_at(*ring) if line.startswith("edge")] == []
    top = 680.0 + HAIR
    ring = [(0, top - 50), (400, top - 50), (400, top), (0, top)]
    assert [line for line in laid_at(*ring) if line.startswith("edge")] == []


def test_a_leftover_a_hair_over_an_edge():
    """As for pieces; a flaw with no name is called one."""
    ring = [(0, 0), (400, 0), (400, 50), (0, 50)]
    for leftover in ((-HAIR, 60.0, 9.0, 70.0), (0.0, 60.0, 400.0, 680.0)):
        assert laid_at(*ring, leftover=leftover) == []


def test_positions_on_a_limit_of_a_quarter():
    """Edges, length, domains, lattices and obstacles, with a tolerance of 0.25."""
    tile = Shape(np.array(rectangle(4, 3), dtype=float))

    def said(x, y, length=None, domain=None, **fields):
        items = (Item("tile", (0,), () if domain is None else (domain,)),)
        problem = PlacementProblem((tile,), items, 10.0, **fields)
        end = x + 4.0 if length is None else length
        return told(check_result(problem, [Position(0, x, y)], end, tolerance=0.25))

    for x, y in ((-0.25, 0.0), (0.0, -0.25), (0.0, 7.25)):
        assert said(x, y) == []
    assert said(0.0, 0.0, 4.25) == said(0.0, 0.0, 3.75) == []
    domain = Domain(x=(1.0, 2.0), y=(1.0, 2.0))
    for x, y in ((0.75, 1.0), (2.25, 1.0), (1.0, 0.75), (1.0, 2.25)):
        assert said(x, y, domain=domain) == []
    lattice = Domain(lattice=Lattice(step_x=8.0, step_y=4.0))
    for x, y in ((8.25, 4.0), (7.75, 4.0), (8.0, 4.25), (8.0, 3.75)):
        assert said(x, y, domain=lattice) == []
    flaw = Obstacle(Shape(np.array(rectangle(2, 2)) + np.array([3.8125, 0.0])))
    assert said(0.0, 0.0, obstacles=(flaw,)) == []


def figures(cloth=None, **fields):
    """Return what is said of a lay of half of 512 by 1024, changed in these fields."""
    cloth = replace(Cloth("silk", 1024.0, length=900.0), **(cloth or {}))
    buy = {"length": 512.0, "text": "512", "cost": 0.0, "rounding": 0.0, "lay": 512.0}
    buy |= {name: fields.pop(name) for name in list(fields) if name in buy}
    parts = {"lay": buy["lay"], "end_trim": 0.0, "shrinkage": 0.0, "motif_start": 0.0,
             "rounding": buy["rounding"]}  # fmt: skip
    lay = replace(
        lay_on(DAMASK, [put(STRIP, 1, 0.0, (0.0, 50.0))]), cloth="silk", usable_width=1024.0,
        cloth_width=1024.0, selvage=0.0, utilisation=0.5, proven_minimum=0.0,
        buy=Buy(buy["length"], buy["text"], buy["cost"], parts),
    )  # fmt: skip
    return told(
        check_cloth(replace(lay, **{"length": 512.0, **fields}), cloth, [box(0, 0, 512, 512)])
    )


@pytest.mark.parametrize(
    "fields",
    [
        {}, {"selvage": HAIR}, {"proven_minimum": 512.0 + HAIR},
        {"length": 512.0 - HAIR, "rounding": -HAIR, "text": "511.99"},
        {"cloth": {"length": 512.0 - HAIR}}, {"cost": None},
    ],
)  # fmt: skip
def test_figures_on_their_limit(fields):
    """A hair of a selvage, of a bound, of what is bought and of what is owned."""
    lines = figures(**fields)
    bought = [line for line in lines if not line.startswith(("length", "buy: silk: part"))]
    assert bought == []


def test_a_flaw_behind_a_piece_that_is_no_polygon_is_found():
    """Nothing is passed over because something before it is broken."""
    ring = np.array([(90.0, 110.0), (100.0, 110.0), (100.0, 130.0), (90.0, 130.0)])
    cloth = replace(DAMASK, flaws=(Flaw(ring),))
    two = replace(STRIP, as_drawn=2)
    broken = replace(put(two, 1, 0.0, (0.0, 50.0)), outline=np.zeros((2, 2)))
    right = put(two, 2, 0.0, (0.0, 150.0))
    lay = lay_on(cloth, [right], flaws=(LaidFlaw(ring),))
    lay = replace(lay, placements=(broken, right))
    lines = told(check_layout(Plan("t", "cm", (cloth,), (two,)), layout_of(lay)))
    assert (
        "flaw: damask: strip (copy 2): it covers the flaw at 90.0 to 100.0 mm along, 110.0 to "
        "130.0 mm across by 10.000 mm"
    ) in lines


@pytest.mark.parametrize(("order", "right"), [((0, 1), True), ((1, 0), True)])
def test_hands_count_by_the_cloth_whose_sides_differ(order, right):
    """Cut from two cloths, one alike on both sides, the order in the plan decides nothing."""
    twill, wool = Cloth("twill", 700.0, sides="alike"), Cloth("wool", 700.0)
    gore = PlanPiece("gore", GORE, "twill", 2, 0, cloths=("twill", "wool"))
    cloths = [(twill, wool)[n] for n in order]
    lays = [
        lay_on(cloth, [put(gore, n, 0.0, (0.0, 300.0))]) for n, cloth in enumerate(cloths, start=1)
    ]
    plan = Plan("t", "cm", tuple(cloths), (gore,))
    assert (told(check_layout(plan, layout_of(*lays))) == []) is right
    two = replace(gore, as_drawn=1, mirrored=1)
    marked = [
        replace(lay, placements=tuple(replace(p, hand="R") for p in lay.placements))
        for lay in lays
    ]
    lines = told(check_layout(replace(plan, pieces=(two,)), layout_of(*marked)))
    assert lines == [
        "count: wool: gore: 2 copies as drawn are laid; the plan asks for 1",
        "count: wool: gore: 0 copies mirrored are laid; the plan asks for 1",
    ]


def test_which_hand_a_cut_piece_is():
    """By its outline; what is declared counts where the outline fits both, or none."""
    true = cut_piece(PlanPiece("gore", GORE, "damask"))
    band = cut_piece(PlanPiece("band", pattern("band", rectangle(50, 300)), "damask"))
    marked = pattern("band", rectangle(50, 300), drill_holes=((9.0, 9.0),))
    holed = cut_piece(PlanPiece("band", marked, "damask"))

    def hand(cut, lies, declared, turned=0.0):
        region = cut.lying(mirrored=lies, turned=30.0).region
        return hand_laid(FlatCopy(None, region, declared, 30.0 + turned), cut)

    assert hand(true, False, False) == hand(true, False, True) == "as drawn"
    assert hand(true, True, True) == hand(true, True, False) == "mirrored"
    assert hand(band, False, False) == hand(band, True, True) == "whole"
    assert (hand(holed, False, False), hand(holed, False, True)) == ("as drawn", "mirrored")
    assert hand(true, False, True, turned=20.0) == "mirrored"
    assert hand(true, True, False, turned=20.0) == "as drawn"
    assert hand(true, True, True, turned=float("nan")) == "mirrored"
    assert hand(true, True, False, turned=float("nan")) == "as drawn"


def test_points_a_tenth_off_the_design():
    """Of a place of the repeat and of each other, along and across."""
    cloth = Cloth("damask", 900.0, repeat=Repeat(100.0, 60.0, "none", (0.0, 0.0)))
    laid = LaidRepeat(100.0, 60.0, "none", (0.0, 0.0))
    piece = replace(STRIP, motif=Motif("rose", (0.0, 0.0)))
    for at in ((0.1, 0.0), (0.0, 0.1), (-0.1, 0.0)):
        placed = replace(put(STRIP, 1, 0.0, (0.0, 50.0)), points={"rose": at})
        lay = lay_on(cloth, [placed], repeat=laid)
        assert told(check_design(lay, cloth, {"strip": piece}, ())) == []
        first = replace(placed, points={"rose": (0.0, 0.0)}, copy=2)
        lay = lay_on(cloth, [first, placed])
        match = Match((("strip", "rose"),), "both")
        assert told(check_design(lay, cloth, {"strip": STRIP}, (match,))) == []
    near = replace(laid, along=100.0, offset=(HAIR, 0.0))
    placed = replace(put(STRIP, 1, 0.0, (0.0, 50.0)), points={"rose": (HAIR, 0.0)})
    lay = lay_on(cloth, [placed], repeat=near)
    assert told(check_design(lay, cloth, {"strip": piece}, ())) == []


def test_folds_on_their_limit():
    """A hair over the cut end, of the end of the fold, of its depth, and of what is left over."""
    wing = corner(-HAIR, 100.0, layers=2)
    assert folded("lengthwise", wing)[1] == []
    end = 110.0 - HAIR
    short = LaidFold("lengthwise", (((0.0, 500.0), (end, 500.0)),), ((0.0, 0.0, end, 500.0),), end)
    assert folded("lengthwise", corner(50.0, 100.0, layers=2), folding=short)[1] == []
    depth = 500.0 + HAIR
    low, high = 1000.0 - 2 * depth, 1000.0 - depth
    deep = LaidFold("partial", (((0.0, high), (700.0, high)),), ((0.0, low, 700.0, high),), 700.0)
    fixed = replace(CLOTH, fold_depth=depth)
    assert folded("partial", corner(50.0, 100.0, layers=2), cloth=fixed, folding=deep)[1] == []
    flat = replace(CLOTH, fold_depth=0.0)
    none = LaidFold("partial", (((0.0, 1000.0), (700.0, 1000.0)),),
                    ((0.0, 1000.0, 700.0, 1000.0),), 700.0)  # fmt: skip
    assert folded("partial", corner(50.0, 100.0), cloth=flat, folding=none)[1] == []


def sewn(*lines, outline=((0, 0), (100, 0), (100, 100), (0, 100)), cutouts=()):
    """Return what of a square counts as sewn, with these sew lines."""
    placed = replace(
        put(STRIP, 1, 0.0, (0.0, 50.0)), outline=np.array(outline, dtype=float),
        cutouts=tuple(np.array(c, dtype=float) for c in cutouts),
        sew_lines=tuple(np.array(line, dtype=float) for line in lines),
    )  # fmt: skip
    region = box(0, 0, 100, 100)
    for cutout in placed.cutouts:
        region = region.difference(box(*cutout.min(axis=0), *cutout.max(axis=0)))
    return sewn_region(placed, region)


def loop(x0, y0, x1, y1):
    """Return a closed sew line round a rectangle."""
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]


def test_what_lies_inside_the_stitching():
    """The largest closed line within the cut line, less the openings stitched in it."""
    assert sewn().equals(box(0, 0, 100, 100))
    assert sewn(loop(10, 10, 90, 90)).equals(box(10, 10, 90, 90))
    assert sewn(loop(30, 30, 60, 60), loop(10, 10, 90, 90)).equals(box(10, 10, 90, 90))
    assert sewn(loop(10, 10, 90, 90)[:-1]).equals(box(0, 0, 100, 100))
    assert sewn([(10, 10), (90, 10), (10, 10)]).equals(box(0, 0, 100, 100))
    assert sewn(loop(-10, 10, 90, 90)).equals(box(0, 0, 100, 100))
    assert sewn(loop(-0.01, 10, 90, 90)).area == pytest.approx(80 * 90, abs=1.0)
    hole = [(40, 40), (40, 60), (60, 60), (60, 40)]
    open_ = sewn(loop(10, 10, 90, 90), cutouts=(hole,))
    assert open_.area == 80 * 80 - 20 * 20
    wide = sewn(loop(10, 10, 90, 90), loop(35, 35, 65, 65), cutouts=(hole,))
    assert wide.area == 80 * 80 - 30 * 30
    inner = sewn(loop(10, 10, 90, 90), loop(30, 30, 70, 70), loop(35, 35, 65, 65), cutouts=(hole,))
    assert inner.area == 80 * 80 - 30 * 30
    aside = sewn(loop(10, 10, 90, 90), loop(12, 12, 30, 30), cutouts=(hole,))
    assert aside.area == 80 * 80 - 20 * 20
