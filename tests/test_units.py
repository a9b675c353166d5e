"""Lengths as people write them, against the definitions of the units."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.units import (
    MM_PER,
    length_text,
    metres_text,
    parse_length,
    parse_number,
    round_up_to_step,
    tape_number,
    whole_text,
    yards_text,
)


@pytest.mark.parametrize(
    ("written", "mm"),
    [
        ("1 yd", 914.4),  # international yard and pound agreement, 1959
        ("1 in", 25.4),
        ("1/8 yd", 114.3),
        ("4 1/2 in", 114.3),
        ("1 3/8 yd", 1257.3),
        ("1⅜ yd", 1257.3),
        ("½ in", 12.7),
        ('54"', 1371.6),
        ("1,5 cm", 15.0),
        (".5 m", 500.0),
        ("15mm", 15.0),
        ("3 metres", 3000.0),
        ("-2 cm", -20.0),
        ("7", 70.0),
        (7, 70.0),
        (0.25, 2.5),
    ],
)
def test_lengths_are_read_exactly(written, mm):
    """Decimal points and commas, vulgar fractions, units by sign, short and long name."""
    assert parse_length(written, "cm") == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("wide", "not a length"),
        ("12 ells", "unknown unit 'ells'"),
        ("1/0 in", "divides by zero"),
        ("1 2 3 in", "not a number"),
        ("", "not a length"),
        (float("nan"), "not a length"),
        (True, "not a length"),
        (None, "not a length"),
    ],
)
def test_nonsense_is_refused_with_a_way_out(written, said):
    """The value as written, and how to write it."""
    with pytest.raises(InputError) as caught:
        parse_length(written, "cm")
    assert said in str(caught.value)
    assert "1 3/8 yd" in str(caught.value) or "use mm" in str(caught.value)


@given(
    st.integers(0, 500), st.integers(0, 15), st.sampled_from([2, 4, 8, 16]),
    st.sampled_from(sorted(MM_PER)),
)  # fmt: skip
def test_a_fraction_and_its_decimal_are_the_same_length(whole, top, below, unit):
    """``3 5/8 in`` and ``3.625 in`` agree to the last digit."""
    value = whole + Fraction(top, below)
    vulgar = f"{whole} {top}/{below} {unit}"
    assert parse_length(vulgar, "mm") == parse_length(f"{float(value)} {unit}", "mm")
    assert parse_number(f"{whole} {top}/{below}") == value


@given(st.floats(0.01, 20_000), st.sampled_from([0.0, 25.4, 100.0, 114.3]))
def test_steps_round_up_and_never_by_a_whole_step(length, step):
    """What is bought is at least what is needed, less than a step more, and a whole step."""
    bought = round_up_to_step(length, step)
    assert bought >= length - 0.01
    assert bought < length + max(step, 1e-9)
    if step:
        assert bought / step == pytest.approx(round(bought / step), abs=1e-9)


def test_noise_buys_no_further_step():
    """1100 mm computed with float noise stays 1.10 m in steps of 10 cm."""
    assert round_up_to_step(1100.0000001, 100.0) == pytest.approx(1100.0)
    assert round_up_to_step(1100.02, 100.0) == pytest.approx(1200.0)


def test_lengths_are_told_for_buying():
    """A circle skirt's 1.581 yd is bought as 1 5/8; eighths of a yard (common practice)."""
    assert yards_text(1.581 * 914.4) == "1 5/8 yd"
    assert yards_text(914.4) == "1 yd"
    assert yards_text(300) == "3/8 yd"
    assert metres_text(2897.0) == "2.90 m"
    assert metres_text(2900.0) == "2.90 m"


def test_lengths_are_told_in_the_makers_unit():
    """Centimetres to the millimetre, inches to the sixteenth."""
    assert length_text(2897, "cm") == "289.7 cm"
    assert length_text(2897, "m") == "2.897 m"
    assert length_text(2897, "mm") == "2897.0 mm"
    assert length_text(2897, "yd") == "114 1/16 in"
    assert length_text(6.35, "in") == "1/4 in"
    assert length_text(0, "in") == "0 in"


def test_whole_units_are_rounded_down():
    """What is left over is never told larger than it is, but float noise takes nothing off."""
    assert whole_text(349.9, "m") == "34 cm"
    assert whole_text(350.0 - 1e-9, "cm") == "35 cm"
    assert whole_text(13 * 25.4 - 0.1, "yd") == "12 in"
    assert whole_text(13 * 25.4, "in") == "13 in"


@pytest.mark.parametrize(
    ("mm", "unit", "text"),
    [
        (349.04, "cm", "34.9"),
        (349.06, "m", "34.9"),
        (349.6, "mm", "35.0"),
        (25.4 * 13.75, "yd", "13 3/4"),
        (25.4 / 16, "in", "1/16"),
        (-25.4 / 16, "in", "-1/16"),
        (-0.2, "cm", "0.0"),
        (-0.2, "in", "0"),
        (-12.0, "cm", "-1.2"),
    ],
)
def test_tape_numbers(mm, unit, text):
    """Read on the tape: to the millimetre or the 1/16 in, and nothing is never minus nothing."""
    assert tape_number(mm, unit) == text
