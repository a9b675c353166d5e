"""Lengths as people write them, to millimetres and back.

Inside the package every length is in millimetres; this module is the only edge where other
units exist. 1 in = 25.4 mm and 1 yd = 914.4 mm exactly (international yard and pound
agreement, 1959).
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Final, Literal

from .errors import InputError

Unit = Literal["mm", "cm", "m", "in", "yd"]

MM_PER: Final[dict[str, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "yd": 914.4}

_NAMES: Final[dict[str, str]] = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "centimetre": "cm", "centimetres": "cm", "centimeter": "cm", "centimeters": "cm",
    "m": "m", "metre": "m", "metres": "m", "meter": "m", "meters": "m",
    "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in",
    "yd": "yd", "yds": "yd", "yard": "yd", "yards": "yd",
}  # fmt: skip

_VULGAR: Final[dict[str, Fraction]] = {
    "¼": Fraction(1, 4), "½": Fraction(1, 2), "¾": Fraction(3, 4), "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3), "⅛": Fraction(1, 8), "⅜": Fraction(3, 8), "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
}  # fmt: skip

_NUMBER = re.compile(
    r"""^(?P<sign>[+-]?)\s*(?:
        (?P<whole>\d+)\s+(?P<num>\d+)\s*/\s*(?P<den>\d+)      # 1 3/8
      | (?P<num2>\d+)\s*/\s*(?P<den2>\d+)                     # 3/8
      | (?P<dec>\d+(?:[.,]\d+)?|[.,]\d+)                      # 1.5 or 1,5
    )$""",
    re.VERBOSE,
)
_LENGTH = re.compile(r'^(?P<number>[+\-\d\s.,/]+?)\s*(?P<unit>[a-zA-Z"″]*)\.?$')

_HOW = 'write a number with a unit, such as "54 in", "1 3/8 yd" or "1.5 cm"'


def parse_number(text: str) -> Fraction:
    """Read a decimal (point or comma) or a vulgar fraction such as ``1 3/8``.

    Raises
    ------
    InputError
        If the text is not such a number, or a fraction has a zero below the line.
    """
    for sign, value in _VULGAR.items():
        text = text.replace(sign, f" {value.numerator}/{value.denominator}")
    match = _NUMBER.match(text.strip())
    if match is None:
        raise InputError(f"{text.strip()!r} is not a number", remedy=_HOW)
    part = match.groupdict()
    try:
        if part["dec"] is not None:
            value = Fraction(part["dec"].replace(",", "."))
        elif part["num2"] is not None:
            value = Fraction(int(part["num2"]), int(part["den2"]))
        else:
            value = int(part["whole"]) + Fraction(int(part["num"]), int(part["den"]))
    except ZeroDivisionError:
        raise InputError(f"{text.strip()!r} divides by zero", remedy=_HOW) from None
    return -value if part["sign"] == "-" else value


def parse_length(value: str | float, default_unit: str) -> float:
    """Read a length in millimetres.

    Parameters
    ----------
    value
        A bare number, taken in ``default_unit``, or text with a unit: ``"54 in"``,
        ``"1 3/8 yd"``, ``"1,5 cm"``.
    default_unit
        One of ``mm cm m in yd``.

    Returns
    -------
    float
        Millimetres; always finite, may be negative.

    Raises
    ------
    InputError
        If the number or the unit is not understood.
    """
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise InputError(f"{value!r} is not a length", remedy=_HOW)
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise InputError(f"{value!r} is not a length", remedy=_HOW)
        return float(value) * MM_PER[default_unit]
    text = value.strip()
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction.numerator}/{fraction.denominator}")
    match = _LENGTH.match(text.strip())
    if match is None:
        raise InputError(f"{value!r} is not a length", remedy=_HOW)
    name = match["unit"].lower()
    if name and name not in _NAMES:
        raise InputError(
            f"{value!r} has the unknown unit {match['unit']!r}", remedy="use mm, cm, m, in or yd"
        )
    unit = _NAMES[name] if name else default_unit
    number = parse_number(match["number"])
    # Through Fraction, "1/3 yd" and "1.1 cm" are rounded once only, at the very end.
    return float(number * Fraction(str(MM_PER[unit])))


def round_up_to_step(length_mm: float, step_mm: float) -> float:
    """Round a length up to what the shop sells, e.g. the next 10 cm or 1/8 yd.

    A length within a hundredth of a millimetre above a step counts as that step, so that float
    noise never buys a whole step more.
    """
    if step_mm <= 0:
        return length_mm
    return math.ceil(length_mm / step_mm - 0.01 / step_mm) * step_mm


def yards_text(length_mm: float, eighths: int = 8) -> str:
    """Write a length in yards with a vulgar fraction, rounded up: ``1 5/8 yd``.

    >>> yards_text(1.581 * 914.4)
    '1 5/8 yd'
    """
    parts = math.ceil(length_mm / MM_PER["yd"] * eighths - 1e-6)
    whole, rest = divmod(parts, eighths)
    if rest == 0:
        return f"{whole} yd"
    fraction = Fraction(rest, eighths)
    vulgar = f"{fraction.numerator}/{fraction.denominator}"
    return f"{whole} {vulgar} yd" if whole else f"{vulgar} yd"


def metres_text(length_mm: float) -> str:
    """Write a length in metres to the centimetre, rounded up: ``3.10 m``."""
    return f"{math.ceil(length_mm / 10 - 1e-3) / 100:.2f} m"


def whole_text(length_mm: float, unit: str) -> str:
    """Write a length in whole centimetres or inches, rounded down: ``34 cm`` or ``13 in``.

    >>> whole_text(349.9, "m")
    '34 cm'
    """
    name = "in" if unit in {"in", "yd"} else "cm"
    return f"{math.floor(length_mm / MM_PER[name] + 1e-6)} {name}"


def length_text(length_mm: float, unit: str) -> str:
    """Write a length for reading in the maker's own unit: ``289.7 cm`` or ``114 1/16 in``."""
    if unit in {"in", "yd"}:
        sixteenths = round(length_mm / 25.4 * 16)
        whole, rest = divmod(sixteenths, 16)
        fraction = Fraction(rest, 16)
        vulgar = f" {fraction.numerator}/{fraction.denominator}" if rest else ""
        return f"{whole}{vulgar} in" if whole or not rest else f"{vulgar.strip()} in"
    if unit == "mm":
        return f"{length_mm:.1f} mm"
    if unit == "m":
        return f"{length_mm / 1000:.3f} m"
    return f"{length_mm / 10:.1f} cm"


def tape_unit(unit: str) -> Literal["cm", "in"]:
    """Return what the tape of a maker who works in ``unit`` is marked in."""
    return "in" if unit in {"in", "yd"} else "cm"


def tape_step(unit: str) -> float:
    """Return the finest mark read on that tape, in millimetres: 1 mm or 1/16 in."""
    return MM_PER["in"] / 16 if tape_unit(unit) == "in" else 1.0


def tape_number(length_mm: float, unit: str) -> str:
    """Write a length as read on the tape, without its unit: ``34.9`` (cm) or ``13 3/4`` (in).

    Rounded to the nearest mark of :func:`tape_step`; a negative length keeps its sign, and one
    that rounds to nothing has none.

    >>> tape_number(-1.5875, "yd"), tape_number(349.04, "m")
    ('-1/16', '34.9')
    """
    marks = round(length_mm / tape_step(unit))
    name = tape_unit(unit)
    text = length_text(abs(marks) * tape_step(unit), name).removesuffix(f" {name}")
    return f"-{text}" if marks < 0 else text
