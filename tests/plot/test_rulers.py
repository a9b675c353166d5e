"""Rulers: the marks that a print shows apart, graded, and said in words."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from nesting.plot.rulers import CLOSEST, Ruler, draw_rulers

MM = 25.4 / 72


@pytest.mark.parametrize(
    ("units", "times", "told"),
    # On paper 1/8 in is 0.32 mm at 1:10, 1/4 in is 0.64 mm; at 1:5 1/8 in is 0.64 mm (3.175 / 5).
    [
        ("in", 10.0, "in, a mark every 1/4"),
        ("yd", 5.0, "in, a mark every 1/8"),
        ("in", 20.0, "in, a mark every 1/2"),
        ("in", 40.0, "in, a mark every 1"),
        ("cm", 10.0, "cm, a mark every 1"),
        ("cm", 17.0, "cm, a mark every 5"),
        ("mm", 1.5, "cm, a mark every 0.1"),
    ],
)
def test_the_finest_marks_are_those_that_can_be_told_apart(units, times, told):
    """Eighths where a print shows them, else quarters or halves; the words at the ruler say so."""
    ruler = Ruler.of(units)
    assert ruler.told(times * MM) == told
    finest = ruler.shown(times * MM)[0]
    assert finest * ruler.mm / times >= 0.6 - 1e-9
    finer = [m for m in ruler.marks if m < finest]
    assert all(m * ruler.mm / times < 0.6 for m in finer)
    assert pytest.approx(0.6) == CLOSEST * MM


@pytest.mark.parametrize("across_from", [0.0, 500.0])
def test_marks_stand_where_they_say(across_from):
    """Every quarter inch from the cut end and from the near selvage; inches are the longest."""
    axes = Figure(figsize=(8, 6)).add_axes((0.1, 0.1, 0.8, 0.8))
    axes.set_xlim(100.0, 900.0)
    axes.set_ylim(-10.0, 510.0)
    draw_rulers(axes, "in", (100.0, 900.0), 500.0, 10 * MM, across_from=across_from)
    (marks,) = axes.collections
    lines = np.array(marks.get_segments())
    flat = lines[lines[:, 0, 1] == -10.0]
    upright = lines[lines[:, 0, 0] == 100.0]
    found = np.unique(np.round(flat[:, 0, 0] / 25.4, 6))
    assert found.tolist() == np.arange(4, 35.5, 0.25).tolist()
    counted = np.unique(np.round(np.abs(upright[:, 0, 1] - across_from) / 25.4, 6))
    assert counted.tolist() == np.arange(0, 19.75, 0.25).tolist()
    long = {round(x, 6): y for (x, _), (_, y) in flat}
    assert long[round(5 * 25.4, 6)] < long[round(5.5 * 25.4, 6)] < long[round(5.25 * 25.4, 6)]
