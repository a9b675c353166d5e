"""Lines and points become the part of a piece their name tells."""

from __future__ import annotations

import numpy as np
import pytest

from nesting.errors import InputError
from nesting.readers.drawn import DrawnPath, DrawnPoint, Notes
from nesting.readers.marks import add_path, add_point
from nesting.readers.piece import RawPiece

SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]])


def marked(name, *points, closed=False):
    """Return a square with one path of that name, and what was noted."""
    piece, notes = RawPiece("gore", SQUARE), Notes("f")
    path = DrawnPath(np.array(points, dtype=float), closed, name, f"<path> {name}")
    add_path(piece, path, notes)
    return piece, [note.text for note in notes.as_tuple()]


@pytest.mark.parametrize("points", [((50, 0), (50, 8)), ((50, 8), (50, 0))])
def test_a_notch_line_runs_into_the_piece(points):
    """Whichever end was drawn first: it starts at the edge, 8 mm deep, pointing up."""
    (notch,) = marked("notch castle", *points)[0].notches
    assert (notch.at, notch.angle, notch.depth, notch.kind) == ((50, 0), 90.0, 8.0, "castle")


def test_a_notch_shape_counts_by_its_middle():
    """A little triangle or circle on the edge."""
    (notch,) = marked("notch", (48, 0), (52, 0), (50, 6), closed=True)[0].notches
    assert (notch.at, notch.angle) == ((50, 3), None)


def test_a_closed_arrow_points_up_the_page():
    """Its outline has no first end, so the top is taken upwards, and that is told."""
    arrow = [(50, 90), (45, 80), (49, 80), (49, 10), (51, 10), (51, 80), (55, 80)]
    for shape in (arrow, arrow[::-1], arrow[3:] + arrow[:3]):
        piece, notes = marked("grain", *shape, closed=True)
        (low, high) = piece.grains[0]
        assert low[1] == 10
        assert tuple(high) == (50, 90)
        assert "closed shape" in notes[0]


def test_closed_lines_are_drawn_closed():
    """A closed sew line comes back to its start."""
    piece, _ = marked("sew", *(SQUARE * 0.9), closed=True)
    assert piece.sew_lines[0][0].tolist() == piece.sew_lines[0][-1].tolist()
    assert len(piece.sew_lines[0]) == 5


def test_an_open_cutout_is_refused():
    """There is no telling what to cut."""
    with pytest.raises(InputError, match="<path> cutout: the outline is open"):
        marked("cutout", (10, 10), (20, 10), (20, 20))


def test_single_points():
    """A notch with its measures, a drill hole, the top; other roles need a line."""
    piece, notes = RawPiece("gore", SQUARE), Notes("f")
    add_point(piece, DrawnPoint((50, 0), "notch U", "POINT", 5.0, 2.0, 90.0), notes)
    add_point(piece, DrawnPoint((50, 50), "drill", "POINT"), notes)
    add_point(piece, DrawnPoint((50, 99), "top", "POINT"), notes)
    add_point(piece, DrawnPoint((5, 9), "sew", "POINT"), notes)
    (notch,) = piece.notches
    assert (notch.kind, notch.depth, notch.width, notch.angle) == ("U", 5.0, 2.0, 90.0)
    assert (piece.drill_holes, piece.tops) == ([(50, 50)], [(50, 99)])
    assert [str(n) for n in notes.as_tuple()] == [
        "f: gore: unread: a single point says nothing as sew"
    ]


def test_the_top_may_be_any_small_shape():
    """Its middle counts."""
    assert marked("top", (40, 98), (60, 98), (50, 100))[0].tops == [(50, 99)]
