"""The ``panels`` of a cloth in a plan file: several owned pieces, each with its size or edge."""

from __future__ import annotations

from math import atan2, degrees
from typing import Final

import numpy as np

from ..geometry.rings import FloatArray, as_points, bounds, counter_clockwise, rotated
from ..model.pattern import PatternPiece
from ..model.plan import Cloth, Flaw, Panel
from ..tolerances import LARGEST_PIECE, SMALLEST_PIECE
from ..units import length_text
from .plan_piece import PatternFiles
from .plan_schema import ClothTable, PanelTable
from .plan_values import Item

_LONGEST: Final = 1_000_000.0  # mm: a kilometre, more than any bolt


def read_panels(
    table: ClothTable, item: Item, files: PatternFiles
) -> tuple[tuple[Panel, ...], tuple[Flaw, ...]]:
    """Return the panels of a cloth, and the holes that their drawings show.

    A drawn edge is turned so that its grain line runs along the cloth, its second end away from
    the squared end. Both are empty for a cloth without panels.

    Raises
    ------
    InputError
        If panels stand beside ``length``, share a name, or say their size twice or not at all;
        or if ``extra`` is given without panels.
    NotBuiltError
        If the panels are to be folded, or have a motif.
    """
    if table.panels is None:
        if table.extra != "none":
            raise item.wrong(
                f'extra = "{table.extra}" says what to do when panels are not enough, and there '
                "are none",
                "list the panels you own, or leave extra out",
            )
        return (), ()
    _refuse_beside(table, item)
    panels: list[Panel] = []
    holes: list[Flaw] = []
    kept = np.array([1.0 - table.shrink.along / 100, 1.0 - table.shrink.across / 100])
    for number, entry in enumerate(table.panels, start=1):
        name = entry.name.strip() or f"panel {number}"
        at = Item(item.file, f"{item.name}: {name}", item.unit)
        panel, cut_away = _panel(entry, name, at, files)
        if any(panel.name == other.name for other in panels):
            raise at.wrong("two panels have this name", "rename one of them")
        panels.append(panel)
        holes += [Flaw(as_points(ring * kept), number, kind="hole") for ring in cut_away]
    return tuple(panels), tuple(holes)


def _refuse_beside(table: ClothTable, item: Item) -> None:
    if not table.panels:
        raise item.wrong("panels is empty", "list the pieces you own, or give length")
    if table.length is not None:
        raise item.wrong(
            "both length and panels are given",
            "give length for one owned piece, or panels for several",
        )
    if table.extra == "buy" and table.price_per == "piece":
        raise item.wrong(
            'extra = "buy" with price_per = "piece": what is bought to match is cut off the bolt',
            'give its price by the metre or yard: price_per = "m"',
        )
    if table.fold != "open":
        raise item.not_built(
            f'fold = "{table.fold}" on panels', 'lay the panels open: fold = "open"'
        )
    if table.repeat is not None:
        raise item.not_built("a motif's repeat on panels", "leave it out, and match by hand")


def _panel(
    entry: PanelTable, name: str, item: Item, files: PatternFiles
) -> tuple[Panel, tuple[FloatArray, ...]]:
    """Return a panel and the rings cut out of it, both as measured."""
    if entry.file is not None:
        if entry.length is not None or entry.width is not None:
            raise item.wrong(
                "both a file and a size are given", "the file draws the size: leave the size out"
            )
        if entry.piece is None:
            drawn = files.only(entry.file, item)
        else:
            drawn = files.find(entry.file, entry.piece, item)
        return _drawn(drawn, name, item)
    if entry.length is None or entry.width is None:
        missing = "length" if entry.length is None else "width"
        raise item.wrong(f"'{missing}' is missing", f'add it, such as {missing} = "120 cm"')
    length = item.length("length", entry.length, low=SMALLEST_PIECE, high=_LONGEST)
    width = item.length("width", entry.width, low=SMALLEST_PIECE, high=LARGEST_PIECE)
    return Panel(name, length, width), ()


def _drawn(piece: PatternPiece, name: str, item: Item) -> tuple[Panel, tuple[FloatArray, ...]]:
    if piece.mirror is not None:
        raise item.wrong(
            f"{piece.name!r} is drawn as a half", "draw the whole edge of an owned piece of cloth"
        )
    (x0, y0), (x1, y1) = piece.grain or ((0.0, 0.0), (0.0, 1.0))
    turn = -round(degrees(atan2(y1 - y0, x1 - x0)), 9)
    outline = rotated(piece.outline, turn)
    left, low, right, high = bounds(outline)
    corner = np.array([left, low])
    return (
        Panel(name, right - left, high - low, as_points(outline - corner)),
        tuple(counter_clockwise(rotated(ring, turn) - corner) for ring in piece.cutouts),
    )


def refuse_useless(cloth: Cloth, item: Item) -> None:
    """Refuse a rectangular panel of which selvages or trimming leave nothing.

    Raises
    ------
    InputError
        It names the panel.
    """
    for panel in cloth.panels:
        if panel.outline is not None:
            continue
        wide = panel.width * (1.0 - cloth.shrink_across) - 2.0 * cloth.selvage
        long = panel.length * (1.0 - cloth.shrink_along) - cloth.end_trim
        if min(wide, long) <= 0:
            lost = (
                f"two selvages of {length_text(cloth.selvage, item.unit)}"
                if wide <= 0
                else f"an end trim of {length_text(cloth.end_trim, item.unit)}"
            )
            raise Item(item.file, f"{item.name}: {panel.name}", item.unit).wrong(
                f"{lost} leave nothing of it", "give less, or leave the panel out"
            )
