"""Folded lays made by hand: where each cut piece lies on the cloth spread out flat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from nesting.model.layout import LaidFold, Placement
from nesting.model.plan import Cloth
from nesting.verify.unfold import unfold

from ..handmade import DAMASK, lay_on

CLOTH = Cloth("silk", 1275.0, 10.0, shrink_across=0.2, fold="best")
"""Usable 1000 wide: 1275 less a fifth, less 10 at each edge."""

END = 700.0

FOLDS = {
    "lengthwise": LaidFold(
        "lengthwise", (((0.0, 500.0), (END, 500.0)),), ((0.0, 0.0, END, 500.0),), END
    ),
    "crosswise": LaidFold(
        "crosswise", (((0.0, 0.0), (0.0, 1000.0)),), ((0.0, 0.0, END, 1000.0),), END
    ),
    "cut apart": LaidFold("crosswise", (), ((0.0, 0.0, END, 1000.0),), END),
    "partial": LaidFold(
        "partial", (((0.0, 800.0), (END, 800.0)),), ((0.0, 600.0, END, 800.0),), END
    ),
    "middle": LaidFold(
        "middle",
        (((0.0, 0.0), (END, 0.0)), ((0.0, 500.0), (END, 500.0))),
        ((0.0, 0.0, END, 250.0), (0.0, 250.0, END, 500.0)),
        END,
    ),
}


def corner(x, y, **fields):
    """Return a right-angled piece, 60 along and 40 across, its square corner at (x, y)."""
    ring = np.array([(x, y), (x + 60.0, y), (x, y + 40.0)])
    fields = {"mirrored": False, "turned": 30.0, **fields}
    grain = ((x + 5.0, y + 5.0), (x + 9.0, y + 5.0))
    return Placement(fields.pop("piece", "wing"), 1, outline=ring, grain=grain, **fields)


def folded(how, *placements, cloth=CLOTH, **fields):
    """Return what the check makes of pieces on folded cloth: flat copies, and lines said."""
    folding = FOLDS[how]
    fields = {"fold": folding.kind, "layers": 2, "folding": folding, **fields}
    cloth = replace(cloth, fold_cut=cloth.fold_cut or how == "cut apart")
    flat, faults = unfold(lay_on(cloth, placements, **fields), cloth)
    return flat, [text if at is None else f"{at.piece}: {text}" for at, text in faults]


def covers(copy, *ring):
    """Tell whether a flat copy covers just this polygon."""
    return copy.region.symmetric_difference(Polygon(ring)).area < 1e-6


@pytest.mark.parametrize(
    ("fold", "y", "lower", "upper", "turned"),
    [
        ("lengthwise", 100.0, [(50, 100), (110, 100), (50, 140)],
         [(50, 900), (110, 900), (50, 860)], 330.0),
        ("crosswise", 100.0, [(750, 100), (810, 100), (750, 140)],
         [(650, 100), (590, 100), (650, 140)], 150.0),
        ("cut apart", 100.0, [(750, 100), (810, 100), (750, 140)],
         [(50, 900), (110, 900), (50, 860)], 330.0),
        ("partial", 620.0, [(50, 620), (110, 620), (50, 660)],
         [(50, 980), (110, 980), (50, 940)], 330.0),
        ("middle", 100.0, [(50, 350), (110, 350), (50, 390)],
         [(50, 150), (110, 150), (50, 110)], 330.0),
        ("middle", 300.0, [(50, 550), (110, 550), (50, 590)],
         [(50, 950), (110, 950), (50, 910)], 330.0),
    ],
)  # fmt: skip
def test_a_piece_cut_double_lies_twice(fold, y, lower, upper, turned):
    """Below where it was, above reflected in its fold, of the other hand; worked by hand."""
    flat, lines = folded(fold, corner(50.0, y, layers=2))
    assert lines == []
    below, above = flat
    assert covers(below, *lower)
    assert covers(above, *upper)
    assert [(c.mirrored, c.turned, c.upper) for c in flat] == [
        (False, 30.0, False), (True, turned, True),
    ]  # fmt: skip
    flat, _ = folded(fold, corner(50.0, y, layers=2, mirrored=True))
    assert [copy.mirrored for copy in flat] == [True, False]


@pytest.mark.parametrize(
    ("fold", "x", "y", "dx", "dy"),
    [
        ("lengthwise", 700.0, 400.0, 0.0, 0.0),
        ("lengthwise", 700.0, 900.0, 0.0, 0.0),
        ("crosswise", 700.0, 400.0, 700.0, 0.0),
        ("partial", 50.0, 500.0, 0.0, 0.0),
        ("partial", 700.0, 620.0, 0.0, 0.0),
        ("middle", 700.0, 240.0, 0.0, 0.0),
    ],
)
def test_a_piece_wanted_once_lies_once(fold, x, y, dx, dy):
    """Where the cloth lies single it stays where it is, but for the strip's own start."""
    wing = corner(x, y)
    (copy,), lines = folded(fold, wing)
    assert lines == []
    assert covers(copy, *(wing.outline + np.array([dx, dy])))
    assert (copy.mirrored, copy.turned, copy.upper) == (False, 30.0, False)


def on_fold(fold, ring, **fields):
    """Return a half on the fold."""
    half = replace(corner(0.0, 0.0, piece="back", layers=2, on_fold=True), outline=np.array(ring))
    return folded(fold, half, **fields)


@pytest.mark.parametrize(
    ("fold", "ring", "whole"),
    [
        ("lengthwise", [(50, 400), (90, 400), (90, 500), (50, 500)], box(50, 400, 90, 600)),
        ("crosswise", [(0, 400), (90, 400), (90, 500), (0, 500)], box(610, 400, 790, 500)),
        ("partial", [(50, 700), (90, 700), (90, 800), (50, 800)], box(50, 700, 90, 900)),
        ("middle", [(50, 0), (90, 0), (90, 100), (50, 100)], box(50, 150, 90, 350)),
        ("middle", [(50, 400), (90, 400), (90, 500), (50, 500)], box(50, 650, 90, 850)),
    ],
)
def test_a_half_on_the_fold_opens_out_to_one_whole(fold, ring, whole):
    """Its reflection in the fold and itself are one piece."""
    (copy,), lines = on_fold(fold, ring)
    assert lines == []
    assert copy.region.symmetric_difference(whole).area < 1e-3
    assert (copy.mirrored, copy.turned, copy.upper) == (False, 30.0, False)


@pytest.mark.parametrize(
    ("high", "lines"),
    [
        (500.005, []),
        (499.995, []),
        (499.985, ["back: its half lies 0.015 mm off the fold"]),
        (497.0, ["back: its half lies 3.000 mm off the fold"]),
    ],
)
def test_a_half_touches_its_fold(high, lines):
    """A hundredth of a millimetre off passes, more would cut two halves."""
    ring = [(50, 400), (90, 400), (90, high), (50, high)]
    assert on_fold("lengthwise", ring)[1] == lines


def test_a_half_lies_on_the_fold_with_its_edge_not_a_point():
    """A corner on the fold is no edge on it."""
    ring = [(50, 400), (90, 400), (70, 500)]
    assert on_fold("lengthwise", ring)[1] == ["back: its half lies 0.000 mm off the fold"]
    short = [(50, 400), (90, 400), (70.06, 500), (70, 500)]
    assert on_fold("lengthwise", short)[1] == []


def test_where_the_layers_are_cut_apart_there_is_no_fold():
    """A half has nothing to open out at."""
    ring = [(0, 400), (90, 400), (90, 500), (0, 500)]
    assert on_fold("cut apart", ring)[1] == ["back: it is a half, but there is no fold"]


@pytest.mark.parametrize(
    ("fold", "wing", "line"),
    [
        ("lengthwise", corner(50.0, 465.0, layers=2),
         "wing: it is cut double, but stands 5.000 mm out of where the cloth lies double"),
        ("lengthwise", corner(50.0, -5.0, layers=2),
         "wing: it is cut double, but stands 5.000 mm out of where the cloth lies double"),
        ("lengthwise", corner(-5.0, 50.0, layers=2),
         "wing: it is cut double, but stands 5.000 mm out of where the cloth lies double"),
        ("partial", corner(50.0, 594.0, layers=2),
         "wing: it is cut double, but stands 6.000 mm out of where the cloth lies double"),
        ("middle", corner(50.0, 230.0, layers=2),
         "wing: it is cut double, but stands 20.000 mm out of where the cloth lies double"),
        ("middle", corner(50.0, 215.0, layers=2),
         "wing: it is cut double, but stands 5.000 mm out of where the cloth lies double"),
        ("lengthwise", corner(50.0, 100.0, layers=3), "wing: it is cut through 3 layers"),
        ("lengthwise", corner(50.0, 100.0, on_fold=True), "wing: it is cut through 1 layers"),
    ],
)  # fmt: skip
def test_a_piece_cut_double_lies_where_the_cloth_is_double(fold, wing, line):
    """Over the fold, the edge, the cut end, or from one band into the next."""
    assert folded(fold, wing)[1] == [line]


def test_slack_of_an_edge_passes():
    """A hundredth over the end of a band is no fault, a little more is."""
    assert folded("lengthwise", corner(50.0, 460.009, layers=2))[1] == []
    assert folded("lengthwise", corner(-0.009, 460.0, layers=2))[1] == []
    assert len(folded("lengthwise", corner(50.0, 460.011, layers=2))[1]) == 1


def square(x, y, size=60.0):
    """Return a square wanted once, its corner at (x, y)."""
    ring = np.array([(x, y), (x + size, y), (x + size, y + size), (x, y + size)])
    return replace(corner(0.0, 0.0), outline=ring)


@pytest.mark.parametrize(
    ("fold", "piece", "lines"),
    [
        ("lengthwise", square(650.0, 100.0),
         ["wing: it is wanted once, but reaches 49.990 mm under the fold"]),
        ("lengthwise", square(699.985, 100.0), []),
        ("lengthwise", square(699.97, 100.0),
         ["wing: it is wanted once, but reaches 0.020 mm under the fold"]),
        ("lengthwise", square(50.0, 490.0),
         ["wing: it is wanted once, but reaches 10.000 mm under the fold",
          "wing: it stands 50.000 mm over the folded cloth"]),
        ("lengthwise", corner(50.0, 600.0), ["wing: it stands 27.889 mm over the folded cloth"]),
        ("partial", square(50.0, 545.0),
         ["wing: it is wanted once, but reaches 5.000 mm under the fold"]),
        ("partial", square(50.0, 540.009), []),
        ("middle", square(690.0, 100.0),
         ["wing: it is wanted once, but reaches 9.990 mm under the fold",
          "wing: it is wanted once, but begins where both selvages are folded in"]),
        ("middle", square(699.985, 100.0),
         ["wing: it is wanted once, but begins where both selvages are folded in"]),
        ("middle", square(699.991, 100.0), []),
    ],
)  # fmt: skip
def test_a_piece_wanted_once_lies_where_the_cloth_is_single(fold, piece, lines):
    """Under the fold it would be cut twice; over it there is no cloth at all.

    Depths are those of inscribed circles: of the triangle, 60 + 40 - 72.111 = 27.889.
    """
    assert folded(fold, piece)[1] == lines


def test_a_piece_across_two_bands_is_told_of_both():
    """Between two layers that meet in the middle it lies under both."""
    lines = folded("middle", square(50.0, 240.0))[1]
    assert lines == [
        "wing: it is wanted once, but reaches 10.000 mm under the fold",
        "wing: it is wanted once, but reaches 50.000 mm under the fold",
        "wing: it is wanted once, but begins where both selvages are folded in",
    ]


DOUBLE = corner(50.0, 100.0, layers=2)


@pytest.mark.parametrize(
    ("fold", "fields", "line"),
    [
        ("lengthwise", {"fold": "crosswise"},
         "fold 'crosswise' of 2 layers is given, but it is lengthwise"),
        ("lengthwise", {"layers": 1},
         "fold 'lengthwise' of 1 layers is given, but it is lengthwise"),
        ("lengthwise", {"cloth": replace(CLOTH, fold="partial")},
         "it is folded lengthwise; the plan says partial"),
        ("crosswise", {"cloth": replace(CLOTH, nap="one-way")},
         "one-way cloth is folded crosswise, its layers not cut apart"),
        ("crosswise", {"cloth": replace(CLOTH, fold_cut=True)},
         "one-way cloth is folded crosswise, its layers not cut apart"),
        ("lengthwise", {"leftover": (0.0, 0.0, 111.5, 20.0)},
         "what is left over stands 1.500 mm over the folded cloth"),
        ("lengthwise", {"leftover": (0.0, 300.0, 20.0, 503.0)},
         "what is left over stands 3.000 mm over the folded cloth"),
    ],
)  # fmt: skip
def test_what_is_said_of_a_fold_is_so(fold, fields, line):
    """Kind and layers against the folding, the plan's word, and what is left over."""
    assert folded(fold, DOUBLE, **fields)[1] == [line]


def test_layers_cut_apart_only_where_the_plan_allows_it():
    """The word is the plan's."""
    folding = FOLDS["cut apart"]
    lay = lay_on(CLOTH, [DOUBLE], fold="crosswise", layers=2, folding=folding)
    _, faults = unfold(lay, CLOTH)
    assert faults == (
        (None, "its layers are cut apart at the fold, which the plan does not allow"),
    )


def test_one_way_cloth_cut_apart_is_right():
    """Its nap then runs one way in both layers."""
    assert folded("cut apart", DOUBLE, cloth=replace(CLOTH, nap="one-way"))[1] == []


def test_cloth_left_over_within_the_fold_is_right():
    """To the end of the pieces and to the fold; beyond the folded stretch to the far selvage."""
    for leftover in ((60.0, 150.0, 110.0, 500.009), (0.0, 200.0, 110.009, 500.0)):
        assert folded("lengthwise", DOUBLE, leftover=leftover)[1] == []
    long = square(700.0, 100.0)
    leftover = (699.995, 600.0, 760.0, 1000.0)
    assert folded("lengthwise", DOUBLE, long, leftover=leftover)[1] == []
    short = (699.98, 600.0, 760.0, 1000.0)
    assert folded("lengthwise", DOUBLE, long, leftover=short)[1] == [
        "what is left over stands 500.000 mm over the folded cloth"
    ]


@pytest.mark.parametrize("fold", ["lengthwise", "crosswise", "partial", "middle"])
def test_folds_and_double_parts_are_where_they_are_said_to_be(fold):
    """Moved by more than a hundredth, left out or added: refused; by less: passed."""
    folding, y = FOLDS[fold], 620.0 if fold == "partial" else 100.0
    wing = corner(50.0, y, layers=2)
    near = tuple(tuple(v + 0.009 for v in one) for one in folding.double)
    nudged = tuple(tuple((x, y - 0.009) for x, y in edge) for edge in folding.edges)
    assert folded(fold, wing, folding=replace(folding, edges=nudged))[1] == []
    if fold != "partial":  # whose depth is what the double part says, where the plan says none
        assert folded(fold, wing, folding=replace(folding, double=near))[1] == []
    for k in range(4):
        far = tuple(
            tuple(v + 0.011 * (i == k) for i, v in enumerate(one)) for one in folding.double
        )
        lines = folded(fold, wing, folding=replace(folding, double=far))[1]
        assert any(line.startswith("it is said to lie double at [") for line in lines) or any(
            line.startswith("it is said to lie double at (") for line in lines
        )
    for edges in (
        (*folding.edges, folding.edges[0]),
        tuple(((x0, y0), (x1, y1 + 0.011)) for (x0, y0), (x1, y1) in folding.edges),
    ):
        lines = folded(fold, wing, folding=replace(folding, edges=edges))[1]
        assert len(lines) == 1
        assert lines[0].startswith("its folds are said to lie at [(")


def test_the_fold_reaches_over_all_that_is_cut_double():
    """A fold that ends before its last double piece is refused; one from no end is read off."""
    short = replace(FOLDS["lengthwise"], end=109.0,
                    edges=(((0.0, 500.0), (109.0, 500.0)),), double=((0.0, 0.0, 109.0, 500.0),))  # fmt: skip
    assert folded("lengthwise", DOUBLE, folding=short)[1] == [
        "the fold is said to end at 109.000 mm, before 110.000 mm"
    ]
    just = replace(short, end=109.995,
                   edges=(((0.0, 500.0), (110.0, 500.0)),), double=((0.0, 0.0, 110.0, 500.0),))  # fmt: skip
    assert folded("lengthwise", DOUBLE, folding=just)[1] == []
    whole = replace(just, end=None)
    assert folded("lengthwise", DOUBLE, folding=whole)[1] == []
    assert folded("lengthwise", square(110.0, 20.0), DOUBLE, folding=just)[1] == []


def test_a_selvage_folds_in_to_the_middle_at_most():
    """By the plan's own depth, or by what is said to lie double."""
    deep = LaidFold(
        "partial", (((0.0, 400.0), (END, 400.0)),), ((0.0, -200.0, END, 400.0),), END
    )  # fmt: skip
    assert folded("partial", corner(50.0, 100.0, layers=2), folding=deep)[1] == [
        "a selvage cannot be folded in by 600.000 mm"
    ]
    half = LaidFold("partial", (((0.0, 500.0), (END, 500.0)),), ((0.0, 0.0, END, 500.0),), END)
    assert folded("partial", DOUBLE, folding=half)[1] == []
    fixed = replace(CLOTH, fold="partial", fold_depth=200.0)
    assert folded("partial", corner(50.0, 620.0, layers=2), cloth=fixed)[1] == []
    lines = folded(
        "partial", corner(50.0, 620.0, layers=2), cloth=replace(fixed, fold_depth=150.0)
    )
    assert [line[:30] for line in lines[1]] == [
        "it is said to lie double at ((", "its folds are said to lie at [", "wing: it is cut double, but st",
    ]  # fmt: skip
    bare = replace(FOLDS["partial"], double=())
    assert folded("partial", corner(50.0, 620.0, layers=2), folding=bare)[1][0].startswith(
        "it is said to lie double at ()"
    )


def test_an_unknown_fold_is_refused():
    """Nothing is made of it."""
    flat, lines = folded("lengthwise", DOUBLE, folding=LaidFold("concertina"))
    assert flat == ()
    assert lines == ["a fold of the kind 'concertina' is not known"]


def test_open_cloth_has_one_layer():
    """Pieces cut double, halves on a fold, and folds that are named but not told."""
    wing, double = corner(50.0, 100.0), corner(50.0, 300.0, layers=2, piece="pair")
    half = corner(50.0, 500.0, on_fold=True, piece="back")
    flat, faults = unfold(lay_on(DAMASK, [wing, double, half]), DAMASK)
    assert [copy.placement.piece for copy in flat] == ["wing", "pair", "back"]
    assert [(copy.mirrored, copy.turned, copy.upper) for copy in flat] == [
        (False, 30.0, False)
    ] * 3
    assert all(covers(c, *p.outline) for c, p in zip(flat, (wing, double, half), strict=True))
    assert [(at.piece, text) for at, text in faults] == [
        ("pair", "it is cut through 2 layers, but the cloth lies open"),
        ("back", "it is cut through 1 layers, but the cloth lies open"),
    ]
    for fields in ({"fold": "lengthwise"}, {"layers": 2, "fold": "open"}):
        _, faults = unfold(lay_on(DAMASK, [wing], **fields), DAMASK)
        said = f"fold is given as {fields['fold']!r}, but not where it is folded"
        assert faults == ((None, said),)


def test_what_is_no_polygon_is_left_to_others():
    """A broken outline and a turn that is no number end in no copy of their own, nor crash."""
    broken = replace(DOUBLE, outline=np.array([(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)]))
    flat, lines = folded("lengthwise", broken, DOUBLE)
    assert (len(flat), lines) == (2, [])
    flat, _ = unfold(lay_on(DAMASK, [broken, corner(0.0, 0.0)]), DAMASK)
    assert len(flat) == 1
    flat, lines = folded("lengthwise", replace(DOUBLE, turned=math.nan))
    assert (len(flat), lines) == (1, [])
