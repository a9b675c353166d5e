"""How to fold the cloth and how to open it out again, in a sentence."""

from __future__ import annotations

from ..model.layout import LaidFold, Lay
from ..units import tape_number, tape_unit


def fold_words(lay: Lay, units: str) -> str:
    """Return how to fold the cloth of a lay before its double pieces are cut.

    The lower layer lies right side up, so every fold is right side in. Common practice.
    """
    folding = lay.folding
    if folding is None:
        return "Lay the cloth double, right side in"
    kinds = {"crosswise": _crosswise, "partial": _partial, "middle": _middle}
    words = "Fold the cloth lengthwise, right side in, selvage on selvage"
    if folding.kind in kinds:
        words = kinds[folding.kind](lay, folding, units)
    if folding.end is not None and folding.kind != "crosswise":
        words += f", for the first {_tape(folding.end, units)}"
    return words


def open_words(lay: Lay) -> str:
    """Return how to lay the cloth once its double pieces are cut."""
    if lay.folding is not None and lay.folding.end is not None:
        return "Open out the rest of the cloth, right side up, end squared and selvages straight"
    return "Open out the cloth, right side up, selvages straight"


def _crosswise(lay: Lay, folding: LaidFold, units: str) -> str:
    half = max((x1 for _, _, x1, _ in folding.double), default=lay.length / 2)
    if not folding.edges:
        return (
            f"Cut the cloth across {_tape(half, units)} from the squared end, turn one part end "
            "for end so that the nap of both runs one way, and lay them right sides together"
        )
    return (
        f"Fold the cloth crosswise, right side in, {_tape(half, units)} deep, selvages on selvages"
    )


def _partial(lay: Lay, folding: LaidFold, units: str) -> str:
    fold = max((y0 for (_, y0), (_, y1) in folding.edges if y0 == y1), default=lay.usable_width)
    depth = lay.usable_width - fold
    return (
        f"Fold in the far selvage by {_tape(depth, units)}, right side in: the fold lies "
        f"{_tape(fold, units)} from the near selvage, the folded selvage "
        f"{_tape(fold - depth, units)}"
    )


def _middle(lay: Lay, folding: LaidFold, units: str) -> str:
    width = max((y1 for _, _, _, y1 in folding.double), default=lay.usable_width / 2)
    return (
        "Fold both selvages to the middle, right side in, so that they meet "
        f"{_tape(width / 2, units)} from either fold"
    )


def _tape(length: float, units: str) -> str:
    return f"{tape_number(length, units)} {tape_unit(units)}"
