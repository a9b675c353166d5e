"""How pieces lie on the design of a cloth: repeat, motif, border and matches of a plan file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from ..errors import shown_path
from ..model.pattern import ReadNote
from ..model.plan import Axis, Border, Cloth, Match, Motif, PlanPiece, Repeat
from ..tolerances import LARGEST_PIECE, ON_OUTLINE
from ..units import length_text
from .named_points import with_point
from .plan_errors import did_you_mean
from .plan_schema import BorderTable, ClothTable, MatchTable, MotifTable, PieceTable, PlanTable
from .plan_values import Item
from .reference_lines import match_lines

_AXES: Final[tuple[Axis, Axis]] = ("along", "across")


def read_repeat(table: ClothTable, cloth: Cloth, item: Item) -> Cloth:
    """Return the cloth with the repeat its table gives.

    The repeat is measured on the cloth as bought, as its width is; here it is that of the cloth
    as cut, so it has shrunk.

    Raises
    ------
    InputError
        If the repeat is larger than the cloth, a half drop has no columns, or the design's place
        makes no sense.
    NotBuiltError
        If several owned pieces have a repeat.
    """
    asked = table.repeat
    if asked is None:
        return cloth
    if cloth.panels or table.panels is not None:
        raise item.not_built(
            "a repeat on several owned pieces", "give each piece a cloth of its own"
        )
    left = (1.0 - cloth.shrink_along, 1.0 - cloth.shrink_across)
    steps = [
        0.0
        if value is None
        else share * item.length(f"repeat.{axis}", value, high=LARGEST_PIECE, above=True)
        for axis, value, share in zip(_AXES, (asked.along, asked.across), left, strict=True)
    ]
    if not any(steps):
        raise item.wrong(
            "repeat has neither along nor across", 'write repeat = { along = "32 cm" } or both'
        )
    if asked.drop == "half" and not all(steps):
        raise item.wrong(
            'repeat.drop = "half" needs the repeat along and the distance of the columns across',
            'write both, such as repeat = { along = "64 cm", across = "32 cm", drop = "half" }',
        )
    _refuse_large(steps, cloth, item)
    offset = (None, None) if asked.offset is None else _offset(asked.offset, steps, left, item)
    return replace(cloth, repeat=Repeat(steps[0], steps[1], asked.drop, offset))


def _refuse_large(steps: Sequence[float], cloth: Cloth, item: Item) -> None:
    lengths = (None if cloth.length is None else cloth.length * (1.0 - cloth.shrink_along),)
    for axis, step, room in zip(_AXES, steps, (*lengths, cloth.usable_width), strict=True):
        if room is not None and step > room:
            raise item.wrong(
                f"repeat.{axis} is {length_text(step, item.unit)} on the cloth as cut, larger "
                f"than the cloth, of which {length_text(room, item.unit)} can be used that way",
                f"measure the repeat again, or leave out {axis}: then no piece is placed by it",
            )


def _offset(
    place: tuple[float | str, float | str],
    steps: Sequence[float],
    left: tuple[float, float],
    item: Item,
) -> tuple[float | None, float | None]:
    found: list[float | None] = []
    for axis, value, step, share in zip(_AXES, place, steps, left, strict=True):
        if value == "unknown":
            found.append(None)
            continue
        if not step:
            raise item.wrong(
                f"repeat.offset gives a place {axis}, but the design does not repeat {axis}",
                f'write "unknown" there, or give repeat.{axis}',
            )
        key = f"repeat.offset ({axis})"
        found.append(share * item.length(key, value, high=LARGEST_PIECE))
    return found[0], found[1]


def read_design(
    table: PlanTable, pieces: Sequence[PlanPiece], cloths: Sequence[Cloth], item: Item
) -> tuple[tuple[PlanPiece, ...], tuple[Match, ...], tuple[ReadNote, ...]]:
    """Return the pieces with their motifs and borders, all matches, and what was assumed.

    Stripe and plaid lines drawn on several cut pieces of a cloth with a repeat become matches,
    where the plan does not say otherwise.

    Raises
    ------
    InputError
        If a point or an edge is not there or lies outside its piece, a cloth has no repeat to
        place by, or a match names pieces of different cloths.
    NotBuiltError
        If such a piece may be cut from several cloths.
    """
    by_name = {cloth.name: cloth for cloth in cloths}
    placed = []
    for row, piece in zip(table.piece, pieces, strict=True):
        own = Item(item.file, f"piece {piece.name!r}", item.unit)
        placed.append(_placed(row, piece, by_name[piece.cloth], own))
    matches = tuple(
        _match(row, placed, by_name, Item(item.file, f"match {n}", item.unit))
        for n, row in enumerate(table.match, start=1)
    )
    lined = [
        by_name[cloth.name]
        for cloth in table.cloth
        if cloth.repeat is not None and cloth.repeat.lines == "match"
    ]
    return match_lines(tuple(placed), matches, lined, shown_path(item.file))


def _placed(row: PieceTable, piece: PlanPiece, cloth: Cloth, item: Item) -> PlanPiece:
    if row.motif is not None or row.border is not None:
        _refuse_choice(piece, item)
    if row.motif is not None:
        piece = _with_motif(row.motif, piece, cloth, item)
    if row.border is not None:
        piece = replace(piece, border=_border(row.border, piece, cloth, item))
    return piece


def _refuse_choice(piece: PlanPiece, item: Item) -> None:
    if len(piece.cloths) > 1:
        raise item.not_built(
            "placing a piece on the design of one of several cloths",
            f"name one cloth, such as cloth = {piece.cloth!r}",
        )
    if piece.piecing is not None:
        raise item.not_built(
            "placing a piece on the design that may be made of parts",
            "leave out its piecing, or draw the parts as pieces of their own",
        )


def _with_motif(table: MotifTable, piece: PlanPiece, cloth: Cloth, item: Item) -> PlanPiece:
    repeat = cloth.repeat
    if repeat is None:
        raise item.wrong(
            f"motif places it by the design, but cloth {cloth.name!r} has no repeat",
            "give that cloth repeat = { along = ..., across = ... }, or leave out motif",
        )
    piece = with_point(piece, "motif.point", table.point, item)
    centred = table.on[1] == "axis"
    left = (1.0 - cloth.shrink_along, 1.0 - cloth.shrink_across)
    on: list[float | None] = []
    for axis, value, step, share in zip(
        _AXES, table.on, (repeat.along, repeat.across), left, strict=True
    ):
        if value == "free":
            on.append(None)
            continue
        if not step:
            raise item.wrong(
                f"motif.on gives a place {axis}, but the design of {cloth.name!r} does not repeat "
                f"{axis}",
                f'write "free" there, or give that cloth repeat.{axis}',
            )
        if value == "axis" and axis == "across":
            on.append(0.0)
            continue
        far = LARGEST_PIECE
        place = share * item.length(f"motif.on ({axis})", value, low=-far, high=far)
        if abs(place) > step + ON_OUTLINE:
            raise item.wrong(
                f"motif.on ({axis}) = {length_text(place / share, item.unit)} lies beyond the "
                f"repeat, {length_text(step / share, item.unit)}",
                "count from the start of the repeat",
            )
        on.append(place)
    if on[0] is None and on[1] is None:
        raise item.wrong("motif.on leaves both axes free", "give a place, or leave out motif")
    return replace(piece, motif=Motif(table.point, (on[0], on[1]), centred))


def _border(table: BorderTable, piece: PlanPiece, cloth: Cloth, item: Item) -> Border:
    names = [edge.name for edge in piece.edges]
    if table.edge not in names:
        raise item.wrong(
            f"border.edge: there is no edge {table.edge!r}",
            f"name one of its edges; {did_you_mean(table.edge, names)}",
        )
    distance = item.length("border.distance", table.distance, high=LARGEST_PIECE)
    allowance = next(edge.allowance for edge in piece.edges if edge.name == table.edge)
    if distance < allowance:
        raise item.wrong(
            f"border.distance = {length_text(distance, item.unit)} is less than the edge's "
            f"allowance of {length_text(allowance, item.unit)}, which would lie on the selvage",
            "the distance is measured to the edge as drawn, without its allowance",
        )
    if distance > cloth.usable_width:
        raise item.wrong(
            f"border.distance = {length_text(distance, item.unit)} is more than the usable width "
            f"of {cloth.name!r}",
            "give the distance from the selvage's inner edge to the edge as drawn",
        )
    return Border(table.edge, distance, table.selvage)


def _match(
    row: MatchTable, pieces: list[PlanPiece], cloths: dict[str, Cloth], item: Item
) -> Match:
    """Return a match; ``pieces`` gain the points it needs."""
    names = [piece.name for piece in pieces]
    found: list[tuple[str, str]] = []
    for text in row.points:
        n, point = _piece_and_point(text, names, item)
        pieces[n] = with_point(pieces[n], "points", point, item)
        _refuse_choice(pieces[n], item)
        found.append((names[n], point))
    named = [name for name, _ in found]
    for name in named:
        if named.count(name) > 1:
            raise item.wrong(
                f"it names piece {name!r} {named.count(name)} times",
                "name one point of each piece; other points of it go into another [[match]]",
            )
    matched = [piece for piece in pieces if piece.name in named]
    if sum(piece.copies for piece in matched) < 2:
        raise item.wrong(
            f"it names {len(matched)} cut piece" + ("" if matched else "s"),
            'name points of two pieces, such as points = ["front:notch", "back:notch"]',
        )
    _refuse_unlike(matched, row.axis, cloths, item)
    return Match(tuple(found), row.axis)


def _refuse_unlike(
    matched: Sequence[PlanPiece], axis: Axis, cloths: dict[str, Cloth], item: Item
) -> None:
    """Refuse a match of pieces on which the design cannot be alike."""
    first = matched[0]
    for other in matched[1:]:
        if other.cloth != first.cloth:
            raise item.wrong(
                f"{first.name!r} is cut from {first.cloth!r} and {other.name!r} from "
                f"{other.cloth!r}: no two cloths meet in one design",
                "match pieces of one cloth",
            )
        if other.grain != first.grain:
            raise item.wrong(
                f"{first.name!r} is cut on the {first.grain} grain and {other.name!r} on the "
                f"{other.grain} grain, so the design runs another way in each",
                "match pieces of one grain",
            )
    if first.grain == "any" or (first.grain == "bias" and axis != "along"):
        where = "on any grain" if first.grain == "any" else f"on the bias, {axis} the cloth,"
        raise item.wrong(
            f"pieces {where} cannot meet the design alike beyond one point",
            'on the bias match along only: axis = "along"'
            if first.grain == "bias"
            else 'give them a grain, such as grain = "lengthwise"',
        )
    repeat = cloths[first.cloth].repeat
    steps = (0.0, 0.0) if repeat is None else (repeat.along, repeat.across)
    for name, step in zip(_AXES, steps, strict=True):
        if axis in {name, "both"} and not step:
            raise item.wrong(
                f"cloth {first.cloth!r} has no repeat {name} to match by",
                f'give that cloth repeat = {{ {name} = "16 cm" }}',
            )


def _piece_and_point(text: str, names: Sequence[str], item: Item) -> tuple[int, str]:
    """Return the number of the piece and the point that a match names as ``piece:point``."""
    starts = [name for name in names if text.startswith(f"{name}:")]
    if starts:
        name = max(starts, key=len)
        return names.index(name), text[len(name) + 1 :].strip()
    name, colon, point = text.partition(":")
    if not colon or not point.strip():
        raise item.wrong(
            f"{text!r} names no point", 'write piece and point, such as "front:side notch"'
        )
    if name.strip() in names:
        return names.index(name.strip()), point.strip()
    raise item.wrong(f"there is no piece {name.strip()!r}", did_you_mean(name.strip(), names))
