"""What rules of thumb would have made her buy, beside what was worked out.

None of this enters any length or cost: a rule of thumb knows nothing of the pieces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from ..model.comparison import ComparedRow, Comparison
from ..units import MM_PER, length_text, metres_text, yards_text

COLUMNS: Final = ("cloth", "width", "worked out", "rule of thumb", "it says", "that is")
"""Columns of :func:`rule_rows`."""

CHART_SOURCE: Final = "fabric width conversion chart, read in three reprints"
NAP_SOURCE: Final = "the note under that chart: 1/4 yd more for one-way cloth"
REPEAT_SOURCE: Final = "drapery arithmetic: whole repeats, and one to start"

CHART_WIDTHS: Final = (
    (35.0, 36.0), (39.0, 39.0), (41.0, 41.0), (44.0, 45.0), (50.0, 50.0), (52.0, 54.0),
    (58.0, 60.0), (65.0, 66.0),
)  # fmt: skip
"""Inches: least and greatest width of each column of the chart."""

_CHART: Final = """
1 3/4 | 1 1/2 | 1 1/2 | 1 3/8 | 1 1/4 | 1 1/8 | 1     | 7/8
2     | 1 3/4 | 1 3/4 | 1 5/8 | 1 1/2 | 1 3/8 | 1 1/4 | 1 1/8
2 1/4 | 2     | 2     | 1 3/4 | 1 5/8 | 1 1/2 | 1 3/8 | 1 1/4
2 1/2 | 2 1/4 | 2 1/4 | 2 1/8 | 1 3/4 | 1 3/4 | 1 5/8 | 1 1/2
2 7/8 | 2 1/2 | 2 1/2 | 2 1/4 | 2     | 1 7/8 | 1 3/4 | 1 5/8
3 1/8 | 2 3/4 | 2 3/4 | 2 1/2 | 2 1/4 | 2     | 1 7/8 | 1 3/4
3 3/8 | 3     | 2 7/8 | 2 3/4 | 2 3/8 | 2 1/4 | 2     | 1 7/8
3 3/4 | 3 1/4 | 3 1/8 | 2 7/8 | 2 5/8 | 2 3/8 | 2 1/4 | 2 1/8
4 1/4 | 3 1/2 | 3 3/8 | 3 1/8 | 2 3/4 | 2 5/8 | 2 3/8 | 2 1/4
4 1/2 | 3 3/4 | 3 5/8 | 3 3/8 | 3     | 2 3/4 | 2 5/8 | 2 1/2
4 3/4 | 4     | 3 7/8 | 3 5/8 | 3 1/4 | 2 7/8 | 2 3/4 | 2 5/8
5     | 4 1/4 | 4 1/8 | 3 7/8 | 3 3/8 | 3 1/8 | 2 7/8 | 2 3/4
"""

_NAP_EXTRA: Final = MM_PER["yd"] / 4
_HAIR: Final = 1e-6


def _yards(text: str) -> float:
    return float(sum(Fraction(part) for part in text.split()))


CHART: Final = tuple(
    tuple(_yards(cell) for cell in line.split("|")) for line in _CHART.strip().splitlines()
)
"""Yards of equal use: one row for each length, one column for each of ``CHART_WIDTHS``."""


@dataclass(frozen=True, slots=True)
class RuleOfThumb:
    """What one rule would have bought for one candidate: millimetres.

    ``computed`` is what was worked out for the same case; ``says`` is None where the rule does
    not reach so far.
    """

    cloth: str
    width: float
    rule: str
    source: str
    computed: float
    says: float | None


def chart_column(width_mm: float) -> int | None:
    """Return the chart's column for a cloth: the widest that is no wider; None off the chart."""
    inches = width_mm / 25.4 + _HAIR
    if inches < CHART_WIDTHS[0][0] or inches > CHART_WIDTHS[-1][1] + 1:
        return None
    return max(k for k, (least, _) in enumerate(CHART_WIDTHS) if least <= inches)


def by_chart(length_mm: float, width_mm: float, other_mm: float) -> float | None:
    """Return what the chart says is needed in another width, in millimetres.

    The row is the first that gives at least the known length in its own width; None where a
    width or the length is off the chart.
    """
    known, other = chart_column(width_mm), chart_column(other_mm)
    if known is None or other is None:
        return None
    yards = length_mm / MM_PER["yd"]
    row = next((row for row in CHART if row[known] >= yards - _HAIR), None)
    return None if row is None else row[other] * MM_PER["yd"]


def by_repeat(length_mm: float, repeat_mm: float) -> float:
    """Return a length rounded up to whole repeats, and one repeat more to start on."""
    return (math.ceil(length_mm / repeat_mm - _HAIR) + 1) * repeat_mm


def rules_of_thumb(comparison: Comparison, layer: str) -> tuple[RuleOfThumb, ...]:
    """Return what the rules would have bought for each candidate of a layer that fits.

    The chart starts from the first candidate, which is the plan's own cloth in its own width.
    """
    rows = [row for row in comparison.rows_of(layer) if row.fits]
    if not rows:
        return ()
    first = min(rows, key=lambda row: row.number)
    found: list[RuleOfThumb] = []
    for row in sorted(rows, key=lambda row: row.width):
        if row is not first and abs(row.width - first.width) > 1.0:
            says = by_chart(first.buy_length, first.width, row.width)
            rule = f"the chart, from {yards_text(first.buy_length)} of {first.cloth}"
            found.append(_rule(row, rule, CHART_SOURCE, row.buy_length, says))
        found += _nap(row)
        if row.repeat_along > 0:
            says = by_repeat(row.length, row.repeat_along)
            rule = "whole repeats and one to start"
            found.append(_rule(row, rule, REPEAT_SOURCE, row.buy_length, says))
    return tuple(found)


def rule_rows(rules: tuple[RuleOfThumb, ...], units: str) -> list[tuple[str, ...]]:
    """Return the rules in words, under ``COLUMNS``."""
    return [
        (rule.cloth, length_text(rule.width, units), _both(rule.computed), rule.rule,
         "nothing: off the chart" if rule.says is None else _both(rule.says), _off(rule))
        for rule in rules
    ]  # fmt: skip


def sources_text(rules: tuple[RuleOfThumb, ...]) -> str:
    """Name the sources of the rules, each once."""
    return f"Sources: {'; '.join(dict.fromkeys(rule.source for rule in rules))}."


def rule_to_dict(rule: RuleOfThumb) -> dict[str, Any]:
    """Return a rule's answer as plain data, in millimetres."""
    return {
        "cloth": rule.cloth,
        "width": rule.width,
        "computed": rule.computed,
        "rule_of_thumb": rule.rule,
        "says": rule.says,
        "source": rule.source,
    }


def _rule(
    row: ComparedRow, rule: str, source: str, computed: float, says: float | None
) -> RuleOfThumb:
    return RuleOfThumb(row.cloth, row.width, rule, source, computed, says)


def _nap(row: ComparedRow) -> list[RuleOfThumb]:
    """Return the quarter yard for nap beside what one-way laying really takes."""
    other = row.other_way
    if other is None or other.buy_length is None or not (row.as_planned or row.nap == "one-way"):
        return []
    one_way, turned = row.buy_length, other.buy_length
    if other.case == "one-way":
        one_way, turned = turned, one_way
    rule = f"1/4 yd more than {yards_text(turned)} for one-way cloth"
    return [_rule(row, rule, NAP_SOURCE, one_way, turned + _NAP_EXTRA)]


def _both(length: float) -> str:
    return f"{yards_text(length)} ({metres_text(length)})"


def _off(rule: RuleOfThumb) -> str:
    if rule.says is None:
        return ""
    more = rule.says - rule.computed
    if abs(more) < 1.0:
        return "the same"
    return f"{metres_text(abs(more))} {'too much' if more > 0 else 'too little'}"
