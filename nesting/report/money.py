"""Money: exact sums, rounded once at the end, half up; a currency is a label, never converted."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Final

from ..errors import InputError
from ..units import MM_PER

CENT: Final = Decimal("0.01")


def rounded(amount: Fraction) -> Decimal:
    """Return an amount rounded half up to a hundredth of the currency.

    >>> rounded(Fraction("172.4775"))
    Decimal('172.48')
    """
    cents = Decimal(amount.numerator) * 100 / Decimal(amount.denominator)
    return cents.quantize(Decimal(1), rounding=ROUND_HALF_UP) * CENT


def cost_of_length(length_mm: float, price: float, per: str) -> Decimal:
    """Return what a length costs at a price per ``m`` or ``yd``, rounded once.

    The length is taken to a millionth of a millimetre, which rids it of float noise.

    >>> cost_of_length(7.25 * 914.4, 23.79, "yd")
    Decimal('172.48')
    """
    units = Fraction(f"{length_mm:.6f}") / Fraction(str(MM_PER[per]))
    return rounded(units * Fraction(str(price)))


def cost_of_count(count: int, price: float) -> Decimal:
    """Return what a number of pieces or packs costs, rounded once."""
    return rounded(count * Fraction(str(price)))


def amount_text(amount: Decimal | None, currency: str = "") -> str:
    """Write an amount with its currency: ``98.15 EUR``; "?" where it is not known."""
    if amount is None:
        return "?"
    return f"{amount:.2f} {currency}".rstrip()


def one_currency(named: Iterable[tuple[str, str]]) -> str:
    """Return the one currency of a total; ``named`` are (what it is the price of, currency).

    Raises
    ------
    InputError
        If there are two: nothing here knows what one is worth in the other.
    """
    first: tuple[str, str] | None = None
    for what, currency in named:
        if first is None:
            first = (what, currency)
        elif currency != first[1]:
            raise InputError(
                f"{first[0]} is priced in {first[1] or 'no currency'} and {what} in "
                f"{currency or 'no currency'}: they cannot stand in one total",
                remedy="write all prices in one currency; no rates are looked up",
            )
    return first[1] if first else ""
