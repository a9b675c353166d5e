"""Setting pieces out on a sheet, so that a pattern file opened in any viewer can be read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from .curves import XY, moved
from .garment import Garment, cut_ring

SPACE = 60.0


def shifted(garment: Garment, x: float, y: float) -> Garment:
    """Return the piece moved on the sheet; nothing else changes."""

    def along(point: XY) -> XY:
        return point[0] + x, point[1] + y

    return replace(
        garment,
        edges=tuple(replace(edge, path=moved(edge.path, x, y)) for edge in garment.edges),
        grain=(along(garment.grain[0]), along(garment.grain[1])),
        internal=tuple(moved(path, x, y) for path in garment.internal),
        drills=tuple(along(point) for point in garment.drills),
    )


def set_out(garments: Iterable[Garment], width: float) -> tuple[list[Garment], float, float]:
    """Return the pieces in rows of at most ``width``, and the sheet's width and height.

    Every coordinate is positive and a whole number of millimetres away from where it was drafted.
    """
    placed: list[Garment] = []
    row: list[tuple[Garment, float]] = []
    x = y = SPACE
    sheet_width = height = 0.0

    def close_row() -> None:
        nonlocal x, y, height
        placed.extend(shifted(garment, dx, y) for garment, dx in row)
        x, y, height = SPACE, y + height + SPACE, 0.0
        row.clear()

    for garment in garments:
        ring = cut_ring(garment)
        low, high = ring.min(axis=0), ring.max(axis=0)
        if row and x + float(high[0] - low[0]) > width:
            close_row()
        upright = shifted(garment, 0.0, float(round(-low[1])))
        row.append((upright, float(round(x - low[0]))))
        x += float(round(high[0] - low[0])) + SPACE
        sheet_width = max(sheet_width, x)
        height = max(height, float(round(high[1] - low[1])))
    close_row()
    return placed, sheet_width, y
