"""Marks find their place on a piece, or are refused or told."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nesting.errors import InputError
from nesting.model.pattern import Notch
from nesting.readers.drawn import Notes
from nesting.readers.fold_edge import fold_edge
from nesting.readers.piece import RawPiece, finish_piece

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])


def finish(**marks):
    """Return the square with these marks, and the notes on it."""
    notes = Notes("gore.dxf")
    return finish_piece(RawPiece("gore", SQUARE, **marks), notes), [
        f"{note.kind}: {note.text}" for note in notes.as_tuple()
    ]


def line(*points):
    """Return a path through the points."""
    return np.array(points, dtype=float)


def refusal(**marks):
    """Return the line in which the square with these marks is refused."""
    with pytest.raises(InputError) as caught:
        finish(**{"grains": [line((0, 0), (0, 50))], **marks})
    text = str(caught.value)
    assert text.startswith("gore.dxf: gore: ")
    assert caught.value.remedy
    return text


def test_without_a_grain_line_the_page_points_to_the_top():
    """Up the page, through the middle, and told."""
    piece, notes = finish()
    assert piece.grain == ((50, 0), (50, 100))
    assert notes == ["assumed: no grain line is drawn; the grain runs up the page to the top"]


def test_the_grain_line_keeps_its_direction():
    """From the first end to the second; an arrow head drawn on does not bend it."""
    piece, notes = finish(grains=[line((50, 90), (50, 10), (45, 20))])
    assert piece.grain == ((50, 90), (50, 10))
    assert notes == []


def test_a_mark_at_the_top_turns_the_grain():
    """The second end is the one nearer the mark, drawn grain or assumed."""
    piece, _ = finish(grains=[line((50, 10), (50, 90))], tops=[(40, 5)])
    assert piece.grain == ((50, 90), (50, 10))
    piece, _ = finish(tops=[(50, 2)])
    assert piece.grain == ((50, 100), (50, 0))


def test_of_several_grain_lines_the_longest_counts():
    """And that is told."""
    piece, notes = finish(grains=[line((10, 10), (20, 10)), line((50, 10), (50, 90))])
    assert piece.grain == ((50, 10), (50, 90))
    assert notes == ["unread: 2 grain lines are drawn; the longest is used"]


def test_a_grain_line_of_no_length_is_refused():
    """It points nowhere, and guessing would ruin the cloth."""
    assert "the grain line is 0 mm long" in refusal(grains=[line((50, 50), (50, 50))])
    assert "not a finite number" in refusal(grains=[line((50, 50), (50, math.nan))])


def test_notches_are_put_on_the_outline():
    """Rounding is silent, up to a chalk line is told, more is left unread."""
    drawn = [Notch((50, y), 90.0, 6.0, 3.0, "T") for y in (-0.04, 0.8, -1.2)]
    piece, notes = finish(grains=[line((0, 0), (0, 50))], notches=drawn)
    assert [notch.at for notch in piece.notches] == [(50, 0), (50, 0)]
    assert piece.notches[0] == Notch((50, 0), 90.0, 6.0, 3.0, "T")
    assert notes == [
        "repaired: the notch at (50.00, 0.80) mm stands 0.80 mm off the outline; moved on to it",
        "unread: the notch at (50.00, -1.20) mm stands 1.20 mm off the outline, over the 1 mm "
        "allowed",
    ]


def test_drill_holes_off_the_piece_are_told():
    """One on the piece stays."""
    piece, notes = finish(grains=[line((0, 0), (0, 50))], drill_holes=[(5, 5), (105, 5)])
    assert piece.drill_holes == ((5, 5),)
    assert notes == ["unread: the drill hole at (105.00, 5.00) mm is off the piece"]


def test_cutouts_must_lie_apart_inside_the_piece():
    """Over the edge, or meeting each other, is refused with the place."""
    hole = SQUARE * 0.2 + 30
    assert "meets another cutout" in refusal(cutouts=[hole + 5, hole])
    assert "reaches over the outline" in refusal(cutouts=[hole + 60])


@pytest.mark.parametrize("drawn", [((0, 100), (0, 0)), ((0, 20), (0, 80)), ((0.5, 95), (0.6, 9))])
def test_the_fold_is_the_whole_edge(drawn):
    """A line along part of the edge, or a little off it, means the edge."""
    piece, _ = finish(grains=[line((5, 5), (5, 90))], mirrors=[line(*drawn)])
    assert set(piece.mirror) == {(0, 0), (0, 100)}
    assert sorted(piece.outline.tolist()) == sorted(SQUARE.tolist())


def test_a_fold_elsewhere_is_refused():
    """Inside the piece, across it, of no length, or with piece on both sides."""
    assert "lies along no edge" in refusal(mirrors=[line((50, 0), (50, 100))])
    assert "lies along no edge" in refusal(mirrors=[line((0, 0), (100, 100))])
    assert "fold line is 0 mm long" in refusal(mirrors=[line((0, 0), (0, 0))])
    step = line((0, 0), (100, 0), (100, 100), (50, 100), (50, 50), (0, 50))
    with pytest.raises(InputError, match=r"on both sides of its fold line, 50\.00 mm beyond"):
        fold_edge(step, ((50, 50), (50, 100)), file="f", item="i")


def test_a_fold_edge_that_is_a_little_bent_is_made_straight():
    """Out by 0.3 mm in its middle: moved, and told."""
    bent = np.insert(SQUARE, 4, [[-0.3, 50.0]], axis=0)
    found = fold_edge(bent, ((0, 0), (0, 100)), file="f", item="i")
    assert found.outline[4].tolist() == [0.0, 50.0]
    assert found.repairs == ("the fold edge was made straight; it was out by 0.30 mm",)


def test_what_was_mended_is_told():
    """A bent fold edge and a hair on a cutout: the piece is clean, both are notes."""
    notes = Notes("gore.dxf")
    bent = np.insert(SQUARE, 4, [[-0.3, 50.0]], axis=0)
    slit = line((40, 40), (60, 40), (60, 60), (70, 70), (60, 60))
    raw = RawPiece("gore", bent, cutouts=[slit], mirrors=[line((0, 0), (0, 100))])
    piece = finish_piece(raw, notes)
    assert len(piece.outline) == 4
    assert len(piece.cutouts[0]) == 3
    assert [note.text for note in notes.as_tuple() if note.kind == "repaired"] == [
        "the fold edge was made straight; it was out by 0.30 mm",
        "a hair of no width at (70.00, 70.00) mm was cut off the cutout",
    ]


def test_turned_folds_are_exact():
    """At any angle no point of the half lies beyond its fold."""
    for degrees in range(0, 360, 7):
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        turned = SQUARE @ np.array([[c, s], [-s, c]]) + 1234.5
        a, b = turned[0], turned[3]
        found = fold_edge(turned, (tuple(a), tuple(b)), file="f", item="i")
        along = np.subtract(*found.mirror[::-1])
        away = (found.outline - found.mirror[0]) / np.hypot(*along)
        off = along[0] * away[:, 1] - along[1] * away[:, 0]
        assert min(abs(off.min()), abs(off.max())) < 1e-9
