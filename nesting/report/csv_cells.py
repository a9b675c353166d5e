"""Words in the cells of a table for a spreadsheet."""

from __future__ import annotations

from typing import Final

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def plain_cell(text: str) -> str:
    """Return words that no spreadsheet takes for a formula: an apostrophe goes before such.

    For words only: a negative figure stays a number.
    """
    return f"'{text}" if text.startswith(_FORMULA) else text
