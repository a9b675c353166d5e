"""Words for a piece on the cloth: what it is called, which hand, which way up, where it lies."""

from __future__ import annotations

from ..model.layout import Lay, Placement
from ..units import tape_number, tape_unit

_HANDS = {"R": "right", "L": "left"}
_TOPS = (
    "to the far end",
    "on the bias, to the far end and the far selvage",
    "to the far selvage",
    "on the bias, to the squared end and the far selvage",
    "to the squared end",
    "on the bias, to the squared end and the near selvage",
    "to the near selvage",
    "on the bias, to the far end and the near selvage",
)
_STRAIGHT = 0.05  # degrees; a leaning grain below this is not told


def hands_cut(placement: Placement) -> tuple[str, ...]:
    """Return what comes off the cloth when this placement is cut, one word for each piece.

    Two layers give a right and a left where the plan asks for both hands; a piece on the fold
    opens out to one ``whole``; the word is empty for a piece that is neither right nor left.
    """
    if placement.on_fold:
        return ("whole",)
    if placement.layers > 1:
        return ("right", "left") if placement.hand else ("",) * placement.layers
    return (_HANDS.get(placement.hand, ""),)


def placement_title(placement: Placement) -> str:
    """Return name and hand as one: ``side gore, right``; ``side gore, right and left``."""
    hands = [hand for hand in dict.fromkeys(hands_cut(placement)) if hand]
    return f"{placement.piece}, {' and '.join(hands)}" if hands else placement.piece


def lay_title(lay: Lay) -> str:
    """Return the name of the cloth, and of the owned piece of it where there are several."""
    if lay.panel is None:
        return lay.cloth
    return f"{lay.cloth}, {lay.panel_name or f'panel {lay.panel}'}"


def top_words(placement: Placement) -> str:
    """Return where the top of the piece points on the cloth, lean included."""
    eighth = round(placement.turned / 45.0)
    lean = placement.turned - 45.0 * eighth
    words = _TOPS[eighth % 8]
    if abs(lean) < _STRAIGHT:
        return words
    towards = "far" if lean > 0 else "near"
    if eighth % 8 in {3, 4, 5}:
        towards = "near" if lean > 0 else "far"
    if eighth % 8 in {2, 6}:
        to_end = (lean > 0) is (eighth % 8 == 6)
        return f"{words}, leaning {abs(lean):.1f}° to the {'far' if to_end else 'squared'} end"
    return f"{words}, leaning {abs(lean):.1f}° to the {towards} selvage"


def face_words(placement: Placement) -> str:
    """Return how the paper pattern lies on the cloth."""
    return "pattern face down" if placement.mirrored else "pattern face up"


def measured_from(lay: Lay, *, double: bool) -> tuple[str, str]:
    """Return what along and across are measured from: the cloth's own edges, or its folds."""
    along, across = "the squared end", "the near selvage"
    if lay.folding is not None:
        for (x0, y0), (x1, y1) in lay.folding.edges:
            if x0 == x1 == 0.0:
                along = "the fold"
            elif y0 == y1 == 0.0 and double:
                across = "the near fold"
    return along, across


def size_words(along: float, across: float, units: str) -> str:
    """Return a size: ``34.9 by 120.0 cm``, along first."""
    return f"{tape_number(along, units)} by {tape_number(across, units)} {tape_unit(units)}"


def span_words(start: float, end: float, units: str) -> str:
    """Return a stretch: ``12.0 to 140.3 cm``."""
    return f"{tape_number(start, units)} to {tape_number(end, units)} {tape_unit(units)}"


def place_words(placement: Placement, units: str) -> str:
    """Return the box a piece lies in, from the squared end and from the near selvage."""
    (x0, y0), (x1, y1) = placement.outline.min(axis=0), placement.outline.max(axis=0)
    return f"{span_words(x0, x1, units)} along, {span_words(y0, y1, units)} across"


def grain_words(placement: Placement, units: str) -> str:
    """Return how far both ends of the grain line lie from the near selvage, to true it up."""
    (_, first), (_, second) = placement.grain
    a, b = tape_number(first, units), tape_number(second, units)
    return f"{a} {tape_unit(units)} at both ends" if a == b else f"{a} and {b} {tape_unit(units)}"
