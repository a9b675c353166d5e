"""Words that run right to left, kept in their place in a line that runs left to right."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

_MARK: Final = "\N{LEFT-TO-RIGHT MARK}"
_RIGHT_TO_LEFT: Final = frozenset({"R", "AL"})
_STOPS: Final = frozenset({"L", "EN", "AN", "B", "S"})
"""Classes of UAX 9 at which such words end: other letters, figures, line ends."""

_TURNING: Final = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_MAY_TURN: Final = re.compile(
    "[\u0590-\u08ff\u200f\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U0001efff]"
)


def one_form(text: str) -> str:
    """Return a text in the one form in which names are compared, kept and drawn.

    Letters with their marks are composed (Unicode's NFC), since systems differ in which form they
    save. Marks and controls of direction are left out: they are invisible, :func:`in_order` does
    their work, and one left open would turn round the figures after a name.
    """
    return unicodedata.normalize("NFC", _TURNING.sub("", text))


def in_order(text: str) -> str:
    """Return a text whose words and figures are shown in the order in which they are written.

    Words in Arabic, Hebrew and other scripts that run right to left would draw the figures after
    them to their other side (Unicode Standard Annex 9). Each stretch of such words is put between
    marks that have no width and end its direction; a text without any stays as it is.

    >>> in_order("skirt: 2 right")
    'skirt: 2 right'
    """
    if _MAY_TURN.search(text) is None:
        return text
    parts: list[str] = []
    done = place = 0
    while place < len(text):
        if unicodedata.bidirectional(text[place]) not in _RIGHT_TO_LEFT:
            place += 1
            continue
        end = _end_of_words(text, place)
        # Words put between marks already stay so.
        before = "" if text.endswith(_MARK, 0, place) else _MARK
        after = "" if text.startswith(_MARK, end) else _MARK
        parts += [text[done:place], before, text[place:end], after]
        done = place = end
    return "".join([*parts, text[done:]])


def _end_of_words(text: str, start: int) -> int:
    """Return where words that run right to left end: after the last letter before other text."""
    end = start
    for place in range(start, len(text)):
        kind = unicodedata.bidirectional(text[place])
        if kind in _RIGHT_TO_LEFT or (kind == "NSM" and end == place):
            end = place + 1
        elif kind in _STOPS:
            break
    return end
