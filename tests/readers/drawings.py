"""Small drawings, and what the tests of the readers ask of them."""

from __future__ import annotations

import ezdxf
import numpy as np
import pytest
import shapely
from hypothesis import strategies as st

from nesting import tolerances
from nesting.errors import YardageError
from nesting.readers.pattern import read_pattern


@st.composite
def rings(draw, smallest=20.0, largest=2000.0):
    """Draw a simple ring round a random centre: radii at rising angles, millimetres."""
    count = draw(st.integers(3, 24))
    radii = draw(st.lists(st.floats(smallest, largest), min_size=count, max_size=count))
    gaps = draw(st.lists(st.floats(0.2, 1.0), min_size=count, max_size=count))
    angles = np.cumsum(gaps) / sum(gaps) * 2.0 * np.pi
    centre = draw(st.tuples(st.floats(-3000, 3000), st.floats(-3000, 3000)))
    ring = np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(radii)[:, None] + centre
    shape = shapely.Polygon(ring)
    if not shape.is_valid or shape.area < tolerances.JOIN_ENDS * shape.length:
        ring = np.array([[0.0, 0.0], [smallest, 0.0], [0.0, smallest]]) + centre
    return ring


def apart(ring, other):
    """Return the greatest distance between two rings, whatever their first points."""
    one, two = shapely.LinearRing(ring), shapely.LinearRing(other)
    return max(one.hausdorff_distance(two), two.hausdorff_distance(one))


def new_dxf(insunits=4, version="R2010"):
    """Return an empty DXF document of a version and unit code."""
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = insunits
    return document


def saved(document, folder, name="pattern.dxf"):
    """Write a document and return where."""
    path = folder / name
    document.saveas(path)
    return path


def svg(folder, body, head='width="210mm" height="297mm" viewBox="0 0 210 297"'):
    """Write an SVG page round a body and return where."""
    path = folder / "page.svg"
    spaces = (
        'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
    )
    path.write_text(f"<svg {spaces} {head}>{body}</svg>", encoding="utf-8")
    return path


def refused(path, *said, units=None):
    """Read a file that must be refused in one line naming the file and all that is ``said``."""
    with pytest.raises(YardageError) as caught:
        read_pattern(path, units=units)
    line = str(caught.value)
    assert "\n" not in line
    assert line.startswith(f"{path}: ")
    assert caught.value.exit_code == 1
    assert "; " in line, "no remedy is given"
    for part in said:
        assert part in line
    return caught.value


def told(found, kind):
    """Return the notes of one kind as 'item: text' lines."""
    return [f"{note.item}: {note.text}" for note in found.notes if note.kind == kind]
