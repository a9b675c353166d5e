"""Sheets of paper by the names people use, or by their size."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final

from ..errors import InputError
from ..units import parse_length

_SMALLEST, _LARGEST = 140.0, 5000.0  # mm; below the marks crowd out the drawing
LONG: Final = "long"
"""The name of one page as long as the drawing."""

_NAMED: Final[dict[str, tuple[float, float]]] = {
    "A0": (841.0, 1189.0), "A1": (594.0, 841.0), "A2": (420.0, 594.0), "A3": (297.0, 420.0),
    "A4": (210.0, 297.0), "LETTER": (215.9, 279.4), "LEGAL": (215.9, 355.6),
    "TABLOID": (279.4, 431.8),
}  # fmt: skip
"""ISO 216, and the sheets of ANSI/ASME Y14.1 with Legal (common practice), mm."""

_SIZE = re.compile(
    r"^\s*([\d.,/ ]+?)\s*([a-z]+)?\s*[x\N{MULTIPLICATION SIGN}]\s*([\d.,/ ]+?)\s*([a-z]+)\s*$",
    re.IGNORECASE,
)
_HOW = 'name A4, A3, A0, Letter or a size such as "610 x 914 mm"'


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet: its name, width and height in millimetres."""

    name: str
    width: float
    height: float

    @property
    def lying(self) -> Paper:
        """The same sheet with its long side at the foot."""
        long, short = max(self.width, self.height), min(self.width, self.height)
        return Paper(self.name, long, short)


def paper_of(text: str) -> Paper:
    """Return a sheet by name (A4, Letter, A3, A0 ...) or by size such as ``610 x 914 mm``.

    Raises
    ------
    InputError
        If it is neither, or too small to bear the marks, or over 5 m.
    """
    named = _NAMED.get(text.strip().upper())
    if named is not None:
        return Paper(text.strip().capitalize(), *named)
    match = _SIZE.match(text)
    if match is None:
        raise InputError(f"there is no paper {text!r}", remedy=_HOW)
    wide, wide_unit, high, high_unit = match.groups()
    width = parse_length(f"{wide} {wide_unit or high_unit}", "mm")
    height = parse_length(f"{high} {high_unit}", "mm")
    for side in (width, height):
        if not _SMALLEST <= side <= _LARGEST:
            raise InputError(
                f"paper of {text!r} is not used: each side is {_SMALLEST:g} to {_LARGEST:g} mm",
                remedy=_HOW,
            )
    return Paper(" ".join(text.split()), width, height)
