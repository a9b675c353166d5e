"""A dress of many small pieces on the widths of the conversion chart: the trend is the chart's."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.plan import read_plan
from nesting.report.rules_of_thumb import CHART, CHART_WIDTHS, by_chart
from nesting.units import yards_text

PLAN = read_plan(Path(__file__).parent / "many_pieces.toml")
WIDTHS = [25.4 * sum(ends) / 2 for ends in CHART_WIDTHS]
BAND = 0.12
"""A lay may be so much longer or shorter than the chart has it: the chart counts in eighths of a
yard, up to a tenth of the lengths met here, and a piece goes beside another or it does not."""


@pytest.fixture(scope="module")
def lengths():
    """Return the length of a lay on the middle of each width the chart has, shortly searched."""
    (cloth,) = PLAN.cloths
    return [
        lay_plan(
            replace(PLAN, cloths=(replace(cloth, width=width),)), stop=Stop(iterations=8)
        ).lays[0].length
        for width in WIDTHS
    ]  # fmt: skip


@pytest.mark.slow
def test_lengths_fall_with_the_width_as_in_the_chart(lengths):
    """Relative to the narrowest, each length is within the band of the chart's mean column.

    Fabric width conversion chart, read in three reprints; a rule of thumb, so no equality.
    """
    means = [sum(row[k] / row[0] for row in CHART) / len(CHART) for k in range(len(CHART_WIDTHS))]
    for width, length, mean in zip(WIDTHS, lengths, means, strict=True):
        says = by_chart(lengths[0], WIDTHS[0], width)
        print(  # noqa: T201 - shown with -rP: both, side by side
            f"{width / 25.4:5.1f} in: worked out {length / 914.4:.2f} yd, "
            f"{length / lengths[0]:.2f} of the narrowest; chart {mean:.2f}, "
            f"{'off' if says is None else yards_text(says)}"
        )
        assert length / lengths[0] == pytest.approx(mean, rel=BAND)


@pytest.mark.slow
def test_no_wider_cloth_takes_much_more(lengths):
    """Searches are short, so a hair more may happen; the chart's rows never rise at all."""
    for narrower, wider in pairwise(lengths):
        assert wider <= 1.05 * narrower
