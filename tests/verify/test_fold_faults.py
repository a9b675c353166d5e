"""Folded lays made by hand: what is wrong with where pieces lie, or with what is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.model.layout import LaidFold
from nesting.verify.unfold import unfold

from ..handmade import lay_on
from .folds import CLOTH, DOUBLE, END, FOLDS, corner, folded, square


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
        ("lengthwise", corner(50.0, 600.0), ["wing: it stands 27.888 mm over the folded cloth"]),
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

    Depths are those of inscribed circles, found from below: 60 + 40 - 72.111 = 27.889.
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
    short = LaidFold(
        "lengthwise", (((0.0, 500.0), (109.0, 500.0)),), ((0.0, 0.0, 109.0, 500.0),), 109.0
    )
    assert folded("lengthwise", DOUBLE, folding=short)[1] == [
        "the fold is said to end at 109.000 mm, before 110.000 mm"
    ]
    just = LaidFold(
        "lengthwise", (((0.0, 500.0), (110.0, 500.0)),), ((0.0, 0.0, 110.0, 500.0),), 109.995
    )
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
    assert [line[:25] for line in lines[1]] == [
        "it is said to lie double ", "its folds are said to lie", "wing: it is cut double, b",
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
