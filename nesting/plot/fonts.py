"""Letters of any script: which fonts to fall back on for what DejaVu Sans does not have."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any, Final

import matplotlib as mpl
from matplotlib import font_manager
from matplotlib.figure import Figure
from matplotlib.ft2font import FT2Font
from matplotlib.text import Text

from ..model.layout import Lay
from ..model.reading_order import in_order
from .style import RC

DEFAULT: Final = "DejaVu Sans"
"""The font that comes with matplotlib, so that drawings look the same everywhere."""


_NO_LETTERS: Final = (DEFAULT, "Last Resort")
"""The default itself, and the font that has a box for everything."""


@contextmanager
def drawing_with(texts: Iterable[str]) -> Iterator[None]:
    """Draw with fonts that have the letters of these words, as far as the machine has any."""
    with mpl.rc_context(settings_for(texts)), warnings.catch_warnings():
        # A letter no font has shows as an empty box; `letters_without_font` tells of all at once.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        yield


def words_on(lays: Iterable[Lay], *more: str) -> list[str]:
    """Return the maker's own words that a drawing of these lays bears."""
    found = [*more]
    for lay in lays:
        found += [lay.cloth, lay.panel_name, *(flaw.kind for flaw in lay.flaws)]
        found += [placement.piece for placement in lay.placements]
        found += [name for placement in lay.placements for name in placement.points]
    return found


def letters_without_font(texts: Iterable[str]) -> str:
    """Return the letters of these words that no font of this machine has, each once."""
    missing = frozenset(_drawn(texts) - _letters(font_manager.findfont(DEFAULT)))
    for family in _fallbacks(missing) if missing else ():
        missing -= _letters(font_manager.findfont(family))
    return "".join(sorted(missing))


def in_reading_order(figure: Figure) -> Figure:
    """Return a figure, about to be saved, whose words all stand as they are to be read."""
    for text in figure.findobj(Text):
        if isinstance(text, Text):
            ordered = in_order(text.get_text())
            if ordered != text.get_text():
                text.set_text(ordered)
    return figure


def settings_for(texts: Iterable[str]) -> dict[Any, Any]:
    """Return the settings of a drawing that has these words on it.

    Where DejaVu Sans lacks a letter, fonts of this machine that have it follow it, as few as will
    do. A letter that no font has shows as an empty box; the piece's number still tells it.
    """
    missing = _drawn(texts) - _letters(font_manager.findfont(DEFAULT))
    families = [DEFAULT]
    if missing:
        families += _fallbacks(frozenset(missing))
    return {**RC, "font.family": families}


def _drawn(texts: Iterable[str]) -> set[str]:
    """Return every letter of these words that leaves something on paper."""
    return {c for text in texts for c in text if c.isprintable() and not c.isspace()}


@cache
def _fallbacks(missing: frozenset[str]) -> tuple[str, ...]:
    """Return families that have these letters between them, the one with most of them first."""
    found: list[str] = []
    left = set(missing)
    upright = [
        entry
        for entry in font_manager.fontManager.ttflist
        if entry.style == "normal" and not entry.name.startswith(_NO_LETTERS)
    ]
    # Sans before others, ordinary weight before bold, and always in the same order.
    upright.sort(key=lambda e: ("Sans" not in e.name, abs(_weight(e.weight) - 400), e.name))
    has = {entry.fname: left & _letters(entry.fname) for entry in upright}
    while left:
        best = max(upright, key=lambda entry: len(has[entry.fname] & left), default=None)
        if best is None or not has[best.fname] & left:
            break
        found.append(best.name)
        left -= has[best.fname]
    return tuple(found)


@cache
def _letters(path: str) -> frozenset[str]:
    """Return every letter a font has; none where it cannot be read."""
    if not Path(path).exists():
        return frozenset()
    try:
        return frozenset(map(chr, FT2Font(path).get_charmap()))
    except (RuntimeError, OSError):
        return frozenset()


def _weight(weight: object) -> int:
    if isinstance(weight, int):
        return weight
    return font_manager.weight_dict.get(str(weight), 400)
