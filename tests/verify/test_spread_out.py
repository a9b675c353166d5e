"""Folded lays made by hand: where each cut piece lies on the cloth spread out flat."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import box

from nesting.verify.unfold import unfold

from ..handmade import DAMASK, lay_on
from .folds import DOUBLE, corner, covers, folded, on_fold


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
