"""The ``[[trim]]`` and ``[[layer]]`` tables of a plan file, and what the dress may cost."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from pathlib import Path
from typing import Final

from ..errors import InputError
from ..model.costing import Layer, SoldPer, Trim
from ..model.plan import PlanPiece
from ..tolerances import LARGEST_PIECE
from .plan_errors import did_you_mean
from .plan_schema import LayerTable, TrimTable
from .plan_values import Item

DEAREST: Final = 1e6
_MOST: Final = 100_000  # pieces, packs or joins: more is a slip of the pen
_LONGEST: Final = 1_000_000.0  # mm: a kilometre
_FULLEST: Final = 10.0
_PER_LENGTH: Final = ("m", "yd")


def read_trim(table: TrimTable, item: Item, pieces: Sequence[PlanPiece], currency: str) -> Trim:
    """Return the trim a table describes.

    Raises
    ------
    InputError
        If it is neither counted nor measured, names a piece, an edge or a line that is not
        there, or a value makes no sense by itself or beside the others.
    """
    if not table.name.strip():
        raise item.wrong("the name is empty", "name the trim, as on the shopping list")
    lengths = table.length if isinstance(table.length, list) else [table.length]
    trim = Trim(
        name=table.name,
        count=_count("count", table.count, item),
        edges=tuple(_edge(text, pieces, item) for text in table.edges),
        lines=tuple(_line(text, pieces, item) for text in table.lines),
        lengths=tuple(
            item.length("length", length, high=_LONGEST, above=True)
            for length in lengths
            if length is not None
        ),
        strips=table.strips or ("one" if table.edges else "each"),
        less=item.length("less", table.less, high=LARGEST_PIECE),
        turn_back=item.length("turn_back", table.turn_back, high=LARGEST_PIECE),
        fullness=item.number(
            "fullness", table.fullness, low=1, below=_FULLEST,
            what="write its length before gathering over the finished length, such as 1.5",
        ),
        joins=_count("joins", table.joins, item, least=0) or 0,
        overlap=item.length("overlap", table.overlap, high=LARGEST_PIECE),
        step=item.length("step", table.step, high=_LONGEST),
        price=_price(table, item),
        per=table.price_per or "m",
        pack=_count("pack", table.pack, item) or 1,
        owned=table.owned,
        currency=table.currency or currency,
    )  # fmt: skip
    _check_together(trim, table, item)
    return trim


def read_layers(
    tables: Sequence[LayerTable], path: Path, unit: str, cloths: Sequence[str],
    pieces: Sequence[PlanPiece],
) -> tuple[Layer, ...]:  # fmt: skip
    """Return the layers of a plan, in its order.

    Raises
    ------
    InputError
        If a layer names a cloth that is not there, one that another layer has, or none that a
        piece is cut from.
    """
    layers: list[Layer] = []
    taken: dict[str, str] = {}
    cut_from = {piece.cloth for piece in pieces}
    for table in tables:
        item = Item(path, f"layer {table.name!r}", unit)
        if table.name in {layer.name for layer in layers}:
            raise item.wrong("two [[layer]] tables have this name", "rename one of them")
        for name in table.cloth:
            if name not in cloths:
                raise item.wrong(
                    f"there is no cloth {name!r} in the plan", did_you_mean(name, cloths)
                )
            if name in taken:
                raise item.wrong(
                    f"cloth {name!r} stands in {taken[name]} already",
                    "list a cloth once; a cloth that serves two layers needs two [[cloth]] tables",
                )
            taken[name] = f"layer {table.name!r}"
        if not cut_from & set(table.cloth):
            raise item.wrong(
                f"no piece is cut from {' or '.join(table.cloth)}",
                "let the layer's pieces name one of its cloths",
            )
        layers.append(Layer(table.name, tuple(table.cloth)))
    return tuple(layers)


def read_money(key: str, value: float | None, path: Path) -> float | None:
    """Return an amount of money, or None where none is given.

    Raises
    ------
    InputError
        If it is no amount that anyone could pay.
    """
    if value is not None and not (isfinite(value) and 0 <= value < DEAREST):
        raise InputError(
            f"{key} = {value:g} makes no sense", remedy=f"write {key} = 120.00", file=path
        )
    return value


def price_without_unit(price: float, item: Item, units: str) -> InputError:
    """Return the error for a price that does not say of what."""
    return item.wrong(f"price = {price:g} has no unit", f"add price_per = {units}")


def _price(table: TrimTable, item: Item) -> float | None:
    if table.price is None:
        return None
    if table.price_per is None:
        raise price_without_unit(table.price, item, '"m", "yd", "each" or "pack"')
    return item.number(
        "price", table.price, low=0, below=DEAREST, what="write the price of what is sold"
    )


def _check_together(trim: Trim, table: TrimTable, item: Item) -> None:
    """Refuse a trim whose keys do not agree."""
    per: SoldPer | None = table.price_per
    if not trim.measured and trim.count is None:
        raise item.wrong(
            "it is neither counted nor measured",
            'add count = 12, edges = ["skirt gore:hem"], lines = ["bodice front"] '
            'or length = "72 cm"',
        )
    if trim.count is not None and (trim.edges or trim.lines):
        raise item.wrong(
            "it is counted and measured on the pattern at once",
            "leave count out; copies of a piece are counted by themselves",
        )
    if per is not None and (per in _PER_LENGTH) != trim.measured:
        how = "measured" if trim.measured else "counted in pieces"
        units = '"m" or "yd"' if trim.measured else '"each" or "pack"'
        raise item.wrong(f'it is {how}, but price_per = "{per}"', f"write price_per = {units}")
    if trim.overlap > 0 and trim.joins == 0:
        raise item.wrong("overlap is given, but no joins", "add joins = 2, or leave overlap out")
    if table.pack != 1 and per != "pack":
        raise item.wrong('pack is given without price_per = "pack"', "add it, or leave pack out")


def _count(key: str, value: int | None, item: Item, least: int = 1) -> int | None:
    if value is not None and not least <= value <= _MOST:
        raise item.wrong(
            f"{key} = {value} makes no sense", f"write a number from {least} to {_MOST}"
        )
    return value


def _piece(name: str, pieces: Sequence[PlanPiece], item: Item) -> PlanPiece:
    for piece in pieces:
        if piece.name == name:
            return piece
    raise item.wrong(
        f"there is no piece {name!r} in the plan", did_you_mean(name, [p.name for p in pieces])
    )


def _edge(text: str, pieces: Sequence[PlanPiece], item: Item) -> tuple[str, str]:
    """Return piece and edge of ``"piece:edge"``, having made sure that they are there."""
    name, colon, edge = text.rpartition(":")
    if not colon:
        raise item.wrong(
            f"edges: {text!r} names no edge", 'write piece and edge, such as "side gore:hem"'
        )
    piece = _piece(name.strip(), pieces, item)
    known = [one.name for one in piece.edges]
    if edge.strip() not in known:
        raise item.wrong(
            f"piece {piece.name!r} has no edge {edge.strip()!r}",
            did_you_mean(edge.strip(), known) if known
            else "name the stretch in the piece's edges, from one point of the outline to another",
        )  # fmt: skip
    return piece.name, edge.strip()


def _line(text: str, pieces: Sequence[PlanPiece], item: Item) -> tuple[str, int | None]:
    """Return piece and number of ``"piece"`` or ``"piece:2"``."""
    names = {piece.name for piece in pieces}
    name, colon, number = text.rpartition(":")
    if not colon or text in names:
        name, number = text, ""
    piece = _piece(name.strip(), pieces, item)
    drawn = len(piece.pattern.internal_lines)
    if drawn == 0:
        raise item.wrong(
            f"piece {piece.name!r} has no internal line",
            f"draw it in {piece.pattern.file}, or give a length instead",
        )
    if not number:
        return piece.name, None
    if not (number.strip().isdecimal() and 1 <= int(number) <= drawn):
        raise item.wrong(
            f"piece {piece.name!r} has no internal line {number.strip()!r}",
            f"number them from 1 to {drawn}",
        )
    return piece.name, int(number)
