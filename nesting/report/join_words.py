"""Joins of pieced pieces in words: which part is sewn to which, where, with which allowance."""

from __future__ import annotations

import numpy as np

from ..model.layout import Layout
from ..model.seams import seam_sides
from ..units import tape_number, tape_unit
from .cutting_words import lay_title, placement_title, span_words

_LEVEL = 0.5  # mm by which both ends of a line may differ and still be told as one


def join_notes(layout: Layout) -> dict[tuple[int, int], tuple[str, ...]]:
    """Return what a cutting step says of the joins of its piece, by lay and placement.

    Each sentence names the part on the other side, the stitching line where it lies on the
    cloth, and the allowance beyond it.
    """
    notes: dict[tuple[int, int], tuple[str, ...]] = {}
    for side in seam_sides(layout):
        here = side.lay, side.placement
        (x0, y0), (x1, y1) = side.line.min(axis=0), side.line.max(axis=0)
        words = (
            f"{side.join.capitalize()}, to {_part(layout, side.other, side.lay)}: stitching line "
            f"{_stretch(x0, x1, layout.units)} along, {_stretch(y0, y1, layout.units)} across, "
            f"allowance {_length(side.allowance, layout.units)} beyond it"
        )
        notes[here] = (*notes.get(here, ()), words)
    return notes


def joins_to_sew(layout: Layout, lay: int) -> tuple[str, ...]:
    """Return every join that has a side on a lay, once, as a line to tick off when sewing."""
    lines = []
    for side in seam_sides(layout):
        here = side.lay, side.placement
        if side.lay != lay or (side.other[0] == lay and side.other < here):
            continue
        lines.append(
            f"{_part(layout, here, lay)} to {_part(layout, side.other, lay)}: {side.join}, "
            f"{_length(side.length, layout.units)} long, "
            f"{_length(side.allowance, layout.units)} allowance on both"
        )
    return tuple(lines)


def sewn_to(layout: Layout, lay: int) -> dict[int, tuple[tuple[str, str], ...]]:
    """Return the joins of one lay by placement, each its name and what a plan says."""
    found: dict[int, tuple[tuple[str, str], ...]] = {}
    for side in seam_sides(layout):
        if side.lay == lay:
            words = f"{side.join} to {side.other[1] + 1}"
            if side.other[0] != lay:
                words += f" on {lay_title(layout.lays[side.other[0]])}"
            found[side.placement] = (*found.get(side.placement, ()), (side.join, words))
    return found


def _part(layout: Layout, at: tuple[int, int], lay: int) -> str:
    other = layout.lays[at[0]]
    elsewhere = "" if at[0] == lay else f" of {lay_title(other)}"
    return f"{placement_title(other.placements[at[1]])} (number {at[1] + 1}{elsewhere})"


def _stretch(start: float, end: float, units: str) -> str:
    if np.isclose(start, end, atol=_LEVEL):
        return _length((start + end) / 2, units)
    return span_words(start, end, units)


def _length(mm: float, units: str) -> str:
    return f"{tape_number(mm, units)} {tape_unit(units)}"
