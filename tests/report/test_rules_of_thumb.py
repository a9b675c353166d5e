"""Rules of thumb: the chart as printed, the quarter yard for nap, whole repeats."""

from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.model.comparison import ComparedRow, Comparison, WhatIf
from nesting.report.rules_of_thumb import (
    CHART,
    CHART_WIDTHS,
    by_chart,
    by_repeat,
    chart_column,
    rule_rows,
    rules_of_thumb,
    sources_text,
)

YARD = 914.4

ROW = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=914.4, usable_width=914.4,
    status="found", length=2.9 * YARD, buy_length=3.0 * YARD, cost=Decimal(30),
)  # fmt: skip


def test_the_chart_is_as_printed():
    """Every column rises downward and no row rises to the right, as in the printed chart."""
    assert len(CHART) == 12
    assert {len(row) for row in CHART} == {len(CHART_WIDTHS)}
    for row in CHART:
        assert list(row) == sorted(row, reverse=True)
    for column in zip(*CHART, strict=True):
        assert list(column) == sorted(set(column))


@pytest.mark.parametrize(
    ("yards", "known", "other", "says"),
    [
        (2.875, 36, 45, 2.25),  # fabric width conversion chart, read in three reprints
        (5.0, 35, 60, 2.875),
        (3.125, 44, 54, 2.625),
        (3.0, 36, 45, 2.5),  # between two rows: the longer one
        (1.0, 60, 36, 1.75),  # the other way round
        (3.0, 36, 36, 3.125),
    ],
)
def test_reading_the_chart(yards, known, other, says):
    """The row that gives at least the known length, in the column of the other width."""
    assert by_chart(yards * YARD, known * 25.4, other * 25.4) == pytest.approx(says * YARD)


def test_off_the_chart():
    """Narrower, wider or longer than the chart is nothing to be told."""
    assert chart_column(34 * 25.4) is None
    assert chart_column(72 * 25.4) is None
    assert chart_column(47 * 25.4) == 3  # between two columns: the narrower
    assert by_chart(6 * YARD, 36 * 25.4, 45 * 25.4) is None
    assert by_chart(1 * YARD, 20 * 25.4, 45 * 25.4) is None


def test_whole_repeats():
    """114 in with a repeat of 4 1/2 are 26 repeats, 117 in, and one to start on.

    Drapery arithmetic: 116 in, repeat 25 -> 125; 118, 13 -> 130; 96, 27 -> 108; 114, 4.5 -> 117.
    """
    for length, repeat, whole in ((116, 25, 125), (118, 13, 130), (96, 27, 108), (114, 4.5, 117)):
        assert by_repeat(length, repeat) == pytest.approx(whole + repeat)
    assert by_repeat(125, 25) == pytest.approx(150)


def test_beside_the_truth():
    """Chart, nap and repeat, each with what was worked out for the same case."""
    turned = WhatIf("one-way", 3.1 * YARD, 3.5 * YARD)
    first = replace(ROW, other_way=turned, repeat_along=0.5 * YARD)
    wide = replace(ROW, number=1, width=60 * 25.4, buy_length=2 * YARD, as_planned=False)
    comparison = Comparison("test", "in", (wide, first), ("outer",))
    rules = rules_of_thumb(comparison, "outer")
    nap, repeat, chart = rules
    assert (nap.computed, nap.says) == (pytest.approx(3.5 * YARD), pytest.approx(3.25 * YARD))
    assert repeat.says == pytest.approx(3.5 * YARD)
    assert (chart.computed, chart.says) == (2 * YARD, pytest.approx(1.875 * YARD))
    words = rule_rows(rules, "in")
    assert words[0][-1] == "0.23 m too little"
    assert words[2][2:5] == (
        "2 yd (1.83 m)", "the chart, from 3 yd of silk", "1 7/8 yd (1.72 m)"
    )  # fmt: skip
    assert "read in three reprints" in sources_text(rules)


def test_nothing_to_say():
    """A layer that fits nowhere has no rules; a width off the chart is told as such."""
    none = replace(ROW, status="does not fit")
    assert rules_of_thumb(Comparison("t", "cm", (none,), ("outer",)), "outer") == ()
    wide = replace(ROW, number=1, width=3000.0, as_planned=False)
    rules = rules_of_thumb(Comparison("t", "cm", (ROW, wide), ("outer",)), "outer")
    assert rule_rows(rules, "cm")[0][4] == "nothing: off the chart"
