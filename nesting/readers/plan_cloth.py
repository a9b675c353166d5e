"""A ``[[cloth]]`` table of a plan file, judged and put in millimetres."""

from __future__ import annotations

from dataclasses import replace
from typing import Final, Literal

from ..model.plan import Cloth, Panel
from ..tolerances import LARGEST_PIECE, SMALLEST_PIECE
from ..units import length_text
from .plan_costing import price_without_unit
from .plan_design import read_repeat
from .plan_flaws import read_flaws
from .plan_fold import fold_cloth
from .plan_panels import read_panels, refuse_useless
from .plan_piece import PatternFiles
from .plan_schema import ClothTable
from .plan_values import Item

_LONGEST: Final = 1_000_000.0  # mm: a kilometre, more than any bolt
_LARGEST_TRIM: Final = 5_000.0
_LARGEST_GAP: Final = 500.0
_DEAREST: Final = 1e6


def read_cloth(table: ClothTable, item: Item, files: PatternFiles, currency: str = "") -> Cloth:
    """Return the cloth a table describes; ``currency`` is the plan's label for money.

    ``files`` are those of the plan, for panels whose edge a file draws.

    Raises
    ------
    InputError
        If a value makes no sense by itself or beside the others.
    NotBuiltError
        If the cloth is folded and has a design, panels or flaws.
    """
    if not table.name.strip():
        raise item.wrong("the name is empty", "name the cloth, so that pieces can say it")
    per_cent = "write a share in per cent, from 0 to under 100"
    along = item.number("shrink.along", table.shrink.along, low=0, below=100, what=per_cent)
    across = item.number("shrink.across", table.shrink.across, low=0, below=100, what=per_cent)
    price = table.price
    if price is not None:
        price = item.number(
            "price",
            price,
            low=0,
            below=_DEAREST,
            what="write the price of one metre or yard, or of the piece",
        )
        if table.price_per is None:
            raise price_without_unit(price, item, '"m", "yd" or "piece"')
    panels, holes = read_panels(table, item, files)
    cloth = Cloth(
        name=table.name,
        width=_width(table, panels, item),
        selvage=item.length("selvage", table.selvage, high=LARGEST_PIECE),
        nap=table.nap,
        sides=table.sides,
        shrink_along=along / 100.0,
        shrink_across=across / 100.0,
        end_trim=item.length("end_trim", table.end_trim, high=_LARGEST_TRIM),
        gap=item.length("gap", table.gap, high=_LARGEST_GAP),
        price=price,
        price_per=table.price_per or _shop_unit(item),
        currency=table.currency or currency,
        step=item.length("step", table.step, high=_LONGEST),
        fibre=table.fibre or "",
        age=table.age,
        colour=table.colour,
        length=None
        if table.length is None
        else item.length("length", table.length, high=_LONGEST, above=True),
        panels=panels,
        extra=table.extra,
        widths=_widths(table, item),
    )
    if cloth.price_per == "piece" and table.length is None and table.panels is None:
        raise item.wrong(
            'price_per = "piece", but no length is given',
            'give the length of the one piece that is sold, such as length = "4.2 m"',
        )
    if cloth.usable_width <= 0:
        raise item.wrong(
            f"two selvages of {length_text(cloth.selvage, item.unit)} leave nothing of a width of "
            f"{length_text(cloth.width * (1 - cloth.shrink_across), item.unit)}",
            "give the width from edge to edge, and what is lost at each edge",
        )
    refuse_useless(cloth, item)
    cloth = read_repeat(table, cloth, item)
    cloth = fold_cloth(table, cloth, item)
    return replace(cloth, flaws=(*read_flaws(table.flaws or (), cloth, item), *holes))


def _width(table: ClothTable, panels: tuple[Panel, ...], item: Item) -> float:
    """Return the width of a cloth; panels have widths of their own."""
    if table.width is not None:
        return item.length("width", table.width, low=SMALLEST_PIECE, high=LARGEST_PIECE)
    if not panels or table.extra == "buy":
        what = "" if not panels else " of the cloth that is bought to match"
        raise item.wrong(f"'width'{what} is missing", 'add it, such as width = "112 cm"')
    return max(panel.width for panel in panels)


def _widths(table: ClothTable, item: Item) -> tuple[float, ...]:
    """Return the other widths a cloth is sold in; cloth that is there has but its own."""
    if table.widths and (table.length is not None or table.panels is not None):
        raise item.wrong(
            "widths are given, but this cloth is there already, in one width", "leave widths out"
        )
    return tuple(
        item.length("widths", width, low=SMALLEST_PIECE, high=LARGEST_PIECE)
        for width in table.widths
    )


def _shop_unit(item: Item) -> Literal["m", "yd"]:
    return "yd" if item.unit in {"in", "yd"} else "m"
