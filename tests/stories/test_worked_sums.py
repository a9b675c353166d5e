"""Sums worked by hand, come out of plan files by the whole way: read, laid, checked, paid for."""

from decimal import Decimal
from pathlib import Path

import pytest

from nesting.comparing.run import compare
from nesting.model.stop import Stop
from nesting.readers.plan import read_plan
from nesting.report.alternatives import alternatives, budget_text, sheet_of
from nesting.report.compare import buying_rows

HERE = Path(__file__).parent
BRIEF = Stop(iterations=40, without_gain=20)


@pytest.fixture(scope="module")
def two_panels():
    """Return the comparison of two straight panels on two widths."""
    return compare(read_plan(HERE / "two_panels.toml"), stop=BRIEF)


@pytest.fixture(scope="module")
def maiden():
    """Return the plan of a dress of straight panels, and its comparison."""
    plan = read_plan(HERE / "cloud_maiden.toml")
    return plan, compare(plan, stop=BRIEF)


def test_the_cloth_dearer_by_the_metre_wins(two_panels):
    """Two panels of 27 x 43 in lie side by side on 140 cm, one behind the other on 54 in.

    Worked by hand: 54 in less two selvages of 1/2 in is 53 < 54, so 86 in = 2 7/18 yd, bought as
    2 1/2 yd at 18.00 = 45.00; 140 cm less two of 1 cm is 138 > 137.16 cm, so 43 in = 109.22 cm,
    bought as 1.10 m at 24.00 = 26.40.
    """
    first, second = two_panels.rows
    assert (first.cloth, first.cost) == ("metric width", Decimal("26.40"))
    assert first.length == pytest.approx(1092.2, abs=0.01)
    assert first.buy_length == pytest.approx(1100.0, abs=0.01)
    assert (second.cloth, second.cost) == ("yard-wide and a half", Decimal("45.00"))
    assert second.length == pytest.approx(86 * 25.4, abs=0.01)
    assert second.buy_length == pytest.approx(2.5 * 914.4, abs=0.01)
    assert {row.status for row in two_panels.rows} == {"proven best"}
    words = buying_rows(two_panels, "apron skirt")
    assert words[0][-1] == "cheapest"
    assert words[1][-1] == "18.60 dearer"


def test_two_centimetres_less_lose_the_cheap_width(two_panels):
    """The same arithmetic: 138 less 2 cm holds 27 in once only, so twice the length is bought."""
    narrower = two_panels.rows[0].narrower
    assert narrower.length == pytest.approx(2 * 1092.2, abs=0.01)
    assert narrower.cost == Decimal("52.80")


def test_the_whole_dress_in_two_cloths(maiden):
    """98.15 and 89.75, worked by hand.

    Eight panels of 45 x 70 cm: three across on 138 cm make 2.10 m at 32.00 = 67.20, two across on
    90 cm make 2.80 m at 21.00 = 58.80; six of 55 x 100 cm, two across, make 3.0 m at 6.00 = 18.00;
    hem 8 x 42 = 336 cm + 2 joins of 2 cm = 340 -> 3.50 m at 2.40 = 8.40; ribbon 72 + 2 x 5 = 82
    -> 1.00 m at 1.80 = 1.80; ten bones of 24 less 1.5 cm = 225 -> 2.50 m at 1.10 = 2.75.
    """
    plan, comparison = maiden
    found = alternatives(plan, comparison, None)
    totals = {one.rows[0].cloth: one.total for one in found.combinations}
    assert totals == {"white silk": Decimal("98.15"), "white cotton": Decimal("89.75")}
    assert found.trims == Decimal("12.95")
    assert found.combinations[0].rows[0].cloth == "white cotton"
    sheet = sheet_of(plan, found.combinations[1])
    assert [line.cost for line in sheet.lines] == [
        Decimal(text) for text in ("67.20", "18.00", "8.40", "1.80", "2.75")
    ]
    assert (sheet.total, sheet.currency) == (Decimal("98.15"), "EUR")
    assert not any(line.remarks for line in sheet.lines)


@pytest.mark.parametrize(
    ("budget", "cloth", "words"),
    [
        (100.0, "white silk", "Best under 100.00 EUR by your order of liking: "
         "white silk (140.0 cm), lawn"),
        (98.15, "white silk", "for 98.15 EUR; 0.00 EUR is left"),
        (98.14, "white cotton", "for 89.75 EUR; 8.39 EUR is left"),
        (80.0, None, "Nothing can be had for 80.00 EUR: the cheapest, white cotton (92.0 cm), "
         "lawn, costs 89.75 EUR, which is 9.75 EUR more."),
    ],
)  # fmt: skip
def test_the_best_under_a_budget(maiden, budget, cloth, words):
    """The silk she likes best if it can be paid to the cent, else the cotton, else a plain no."""
    plan, comparison = maiden
    found = alternatives(plan, comparison, budget)
    assert (None if found.chosen is None else found.chosen.rows[0].cloth) == cloth
    assert words in budget_text(found)
