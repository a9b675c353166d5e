"""A ``[[breadths]]`` table of a plan file: full widths of cloth joined selvage to selvage."""

from __future__ import annotations

from collections.abc import Mapping
from math import isfinite
from typing import Final

from ..model.breadths import count_breadths
from ..model.plan import Breadths, Cloth
from ..tolerances import LARGEST_PIECE, SMALLEST_PIECE
from ..units import length_text
from .plan_errors import did_you_mean
from .plan_schema import BreadthsTable
from .plan_values import Item

_MOST: Final = 100  # breadths of one piece
_FULLEST: Final = 10.0
_WIDEST_SEAM: Final = 200.0  # mm
_ROUNDEST: Final = 100_000.0  # mm


def read_breadths(table: BreadthsTable, item: Item, cloths: Mapping[str, Cloth]) -> Breadths:
    """Return the breadths a table asks for.

    Raises
    ------
    InputError
        If a value makes no sense, the cloth is not there, its seams leave nothing of it, or
        neither or both of round and count are given.
    """
    if table.cloth not in cloths:
        raise item.wrong(
            f"there is no cloth {table.cloth!r} in the plan",
            did_you_mean(table.cloth, list(cloths)),
        )
    if (table.round is None) == (table.count is None):
        raise item.wrong(
            "it needs either round or count",
            'give the finished measure, round = "320 cm", or how many, count = 7',
        )
    if table.count is not None and not 1 <= table.count <= _MOST:
        raise item.wrong(f"count = {table.count} makes no sense", f"write 1 to {_MOST}")
    if not (isfinite(table.ratio) and 1.0 <= table.ratio <= _FULLEST):
        raise item.wrong(
            f"ratio = {table.ratio:g} makes no sense",
            f"write how many times the finished measure the cloth comes to, 1 to {_FULLEST:g}",
        )
    parts = (
        item.length("length", table.length, low=SMALLEST_PIECE, high=LARGEST_PIECE),
        item.length("hem", table.hem, high=LARGEST_PIECE),
        item.length("top", table.top, high=LARGEST_PIECE),
    )
    found = Breadths(
        name=table.name,
        cloth=table.cloth,
        cut_length=sum(parts),
        round=0.0
        if table.round is None
        else item.length("round", table.round, high=_ROUNDEST, above=True),
        ratio=table.ratio,
        seam=item.length("seam", table.seam, high=_WIDEST_SEAM),
        count=table.count or 0,
    )
    cloth = cloths[table.cloth]
    counted = count_breadths(found, cloth)
    if counted.each <= 0:
        seam, usable = (length_text(x, item.unit) for x in (found.seam, cloth.usable_width))
        raise item.wrong(
            f"two seams of {seam} leave nothing of {usable} of cloth",
            "give the seam at one edge of a breadth",
        )
    if counted.count > _MOST:
        raise item.wrong(
            f"it takes {counted.count} breadths", f"no more than {_MOST} are laid: check round"
        )
    return found
