"""Points for faults after ASTM D5430, the four-point system."""

import numpy as np
import pytest

from nesting.model.layout import LaidFlaw
from nesting.report.flaws import fault_points, flaw_words

INCH, YARD = 25.4, 914.4


def fault(at, along, across=0.1, kind=""):
    """Return a fault that begins at some yards, its size in inches."""
    x, dx, dy = at * YARD, along * INCH, across * INCH
    return LaidFlaw(np.array([(x, 0.0), (x + dx, 0.0), (x + dx, dy), (x, dy)]), kind)


@pytest.mark.parametrize(
    ("inches", "points"), [(0.5, 1), (3, 1), (3.1, 2), (6, 2), (6.1, 3), (9, 3), (9.1, 4), (30, 4)]
)
def test_a_fault_counts_by_its_length(inches, points):
    """ASTM D5430: to 3 in 1 point, to 6 in 2, to 9 in 3, over 9 in 4; along or across."""
    assert fault_points([fault(0, inches)], YARD, YARD).points == points
    assert fault_points([fault(0, 0.1, inches)], YARD, YARD).points == points


@pytest.mark.parametrize(("inches", "points"), [(0.2, 2), (1, 2), (1.1, 4)])
def test_holes_count_more(inches, points):
    """ASTM D5430: a hole of up to 1 in counts 2 points, a larger one 4."""
    assert fault_points([fault(0, inches, kind="moth hole")], YARD, YARD).points == points


def test_no_yard_counts_more_than_four():
    """ASTM D5430: at most 4 points to a linear yard, so a fault all along counts 4 in each."""
    three = [fault(0.1, 7), fault(0.3, 7), fault(0.5, 7), fault(1.2, 7)]
    assert fault_points(three, YARD, 2 * YARD).points == 4 + 3
    assert fault_points([fault(0, 108)], YARD, 3 * YARD).points == 12


def test_the_worked_example():
    """ASTM D5430 worked: 30 points on 130 yd of 45 in are 18.46 per 100 square yards."""
    found = fault_points([fault(k, 2) for k in range(30)], 45 * INCH, 130 * YARD)
    assert found.points == 30
    assert found.per_100_square_yards == pytest.approx(18.46, abs=0.005)


def test_flaws_are_told_by_kind():
    """One line: what there is, and the points."""
    flaws = [fault(0, 2, kind="stain"), fault(2, 2, kind="stain"), fault(4, 2)]
    said = flaw_words(flaws, fault_points(flaws, 45 * INCH, 130 * YARD))
    assert said.startswith("2 stain, unnamed; 3 points on the whole piece, 1.8 per 100 square")
