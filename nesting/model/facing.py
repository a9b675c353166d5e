"""Which side of the cloth is up as it lies on the table, in words."""

from __future__ import annotations

from .layout import Lay


def side_up(lay: Lay, *, wrong_side: bool = False) -> str:
    """Return how the cloth of a lay lies, as a plan of it shows it from above.

    The lower layer of folded cloth lies right side up, so every fold is right side in, and what
    is seen of the double part is the wrong side. ``wrong_side`` says that the cloth was turned
    over (``nesting.plot.turned_over``): a fold stays right side in, single cloth turns its wrong
    side up. Common practice.
    """
    if lay.folding is None:
        return f"seen from the {'wrong' if wrong_side else 'right'} side of the cloth"
    folded = "folded right side in, its wrong side up"
    if wrong_side:
        return f"{folded}, and turned over"
    return f"{folded}; single cloth right side up" if _partly_single(lay) else folded


def _partly_single(lay: Lay) -> bool:
    """Tell whether some of the cloth of a folded lay lies single."""
    folding = lay.folding
    return folding is not None and (folding.kind == "partial" or folding.end is not None)
