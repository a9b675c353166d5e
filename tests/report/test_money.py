"""Sums of money: exact, rounded once at the end, in one currency."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.report.money import (
    amount_text,
    cost_of_count,
    cost_of_length,
    one_currency,
    rounded,
)


def test_seven_and_a_quarter_yards():
    """7 1/4 yd at 23.79 = 172.4775, rounded once to 172.48 (worked by hand)."""
    assert cost_of_length(7.25 * 914.4, 23.79, "yd") == Decimal("172.48")


@pytest.mark.parametrize(
    ("length", "price", "per", "cost"),
    [
        (2286.0, 18.0, "yd", "45.00"),
        (1100.0, 24.0, "m", "26.40"),
        (2100.0, 32.0, "m", "67.20"),
        (0.1 + 0.2, 100.0, "m", "0.03"),
        (500.0, 0.01, "m", "0.01"),  # half a cent goes up
        (1000.0, 0.0, "m", "0.00"),
    ],
)
def test_price_times_length(length, price, per, cost):
    """Worked by hand; a half goes up, and float noise does not count."""
    assert cost_of_length(length, price, per) == Decimal(cost)


@given(
    st.integers(0, 10**7).map(lambda micro: micro / 1000),
    st.integers(0, 10**6).map(lambda cents: cents / 100),
)
def test_it_is_never_off_by_more_than_half_a_cent(length, price):
    """Against exact fractions, for any length to a thousandth of a millimetre."""
    exact = Fraction(str(length)) / 1000 * Fraction(str(price))
    assert abs(Fraction(cost_of_length(length, price, "m")) - exact) <= Fraction(1, 200)


def test_counting_and_rounding():
    """A dozen at 0.35 is 4.20; thirds are rounded at the end only."""
    assert cost_of_count(12, 0.35) == Decimal("4.20")
    assert rounded(Fraction(2, 3)) == Decimal("0.67")


def test_words():
    """An amount has two decimals and its currency; an unknown one is a question mark."""
    assert amount_text(Decimal("3.5"), "EUR") == "3.50 EUR"
    assert amount_text(Decimal(3)) == "3.00"
    assert amount_text(None, "EUR") == "?"


def test_two_currencies_are_refused_by_name():
    """Both prices are named, and no rate is looked up."""
    assert one_currency([("silk", "EUR"), ("lace", "EUR")]) == "EUR"
    assert one_currency([]) == ""
    with pytest.raises(InputError, match="silk is priced in EUR and lace in GBP"):
        one_currency([("silk", "EUR"), ("lace", "GBP")])
    with pytest.raises(InputError, match="lace in no currency"):
        one_currency([("silk", "EUR"), ("lace", "")])
