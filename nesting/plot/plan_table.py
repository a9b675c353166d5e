"""The table of a cutting plan: for every piece where it lies, and when it is cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes

from ..model.layout import Lay, Placement
from ..units import tape_number, tape_unit
from .fit import extent
from .grain_marks import grain_distances, told_distances
from .style import FAINT, INK

_LETTERS = 7.0  # points
LINE = 4.2
"""Millimetres from line to line of the table."""
HEAD = 9.0
"""Millimetres that the headings take."""

_HEADINGS = (
    ("step", ""), ("no.", ""), ("piece", ""), ("hand", ""), ("pattern", ""),
    ("from cut end", "start"), ("", "end"), ("grain line from near selvage", "foot"), ("", "top"),
)  # fmt: skip
_SHARES = (0.045, 0.045, 0.32, 0.10, 0.14, 0.08, 0.08, 0.095, 0.095)
"""What each column takes of the width."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One piece: its cells as words, in the order of the headings."""

    cells: tuple[str, ...]


def table_rows(
    lay: Lay, units: str, steps: Mapping[int, int], *, wrong_side: bool = False
) -> tuple[TableRow, ...]:
    """Return a row for each placement in the order of cutting.

    Parameters
    ----------
    lay
        As drawn; turned over where ``wrong_side`` is true. Distances are from the near selvage
        and the squared cut end in either case.
    steps
        Which step of the cutting list cuts each placement, by its index.
    """
    rows = []
    for index, step in sorted(steps.items(), key=lambda item: item[1]):
        placement = lay.placements[index]
        start, end = placement.outline[:, 0].min(), placement.outline[:, 0].max()
        distances = grain_distances(placement, lay.usable_width, wrong_side=wrong_side)
        name = " ".join(placement.piece.split())
        cells = (
            str(step), str(index + 1), f"{name}, copy {placement.copy}",
            hand_words(placement), "face down" if placement.mirrored else "face up",
            tape_number(float(start), units), tape_number(float(end), units),
            *told_distances(distances, units),
        )  # fmt: skip
        rows.append(TableRow(cells))
    return tuple(rows)


def hand_words(placement: Placement) -> str:
    """Return which hand a placement gives: R, L, a pair at once, or a whole on the fold."""
    if placement.on_fold:
        return "on the fold"
    if placement.layers > 1:
        return "pair, R + L" if placement.hand else f"{placement.layers} at once"
    return placement.hand


def draw_table(
    axes: Axes, rows: Sequence[TableRow], units: str, left: float, top: float, width: float
) -> None:
    """Write headings and rows on axes that measure in millimetres of paper."""
    edges = [left]
    for share in _SHARES:
        edges.append(edges[-1] + share * width)
    for x, (above, below) in zip(edges, _HEADINGS, strict=False):
        axes.text(x, top, above, fontsize=_LETTERS, va="top", color=FAINT)
        words = f"{below}, {tape_unit(units)}" if below else ""
        axes.text(x, top - 3.6, words, fontsize=_LETTERS, va="top", color=FAINT)
    y = top - HEAD + 1.0
    axes.plot([left, left + width], [y + 0.6, y + 0.6], color=INK, lw=0.6)
    for row in rows:
        for column, (x, cell) in enumerate(zip(edges, row.cells, strict=False)):
            room = edges[column + 1] - x - 1.5
            axes.text(x, y, _shortened(cell, room), fontsize=_LETTERS, va="top", parse_math=False)
        y -= LINE
        axes.plot([left, left + width], [y + 0.7, y + 0.7], color=FAINT, lw=0.2)


def _shortened(words: str, room: float) -> str:
    """Return words cut off where they would run into the next column (mm)."""
    kept = words
    while len(kept) > 1 and extent([kept], _LETTERS)[0] * 25.4 / 72 > room + 1.4:
        kept = kept[:-2] + "\N{HORIZONTAL ELLIPSIS}"
    return kept
