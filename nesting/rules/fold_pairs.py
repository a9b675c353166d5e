"""Which copies of a piece may be cut at one stroke from folded cloth, and how they then lie."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist

import numpy as np
import shapely

from ..geometry.rings import FloatArray, Point
from ..tolerances import CONGRUENT, SAME_POINT
from .compile import CompiledLay, LaidPiece, Ticket, ready_piece
from .fold import Folding, FoldLine
from .fold_half import half_piece
from .orientation import Way, ways
from .tilt import leans
from .true_piece import TruePiece

_ALIKE = CONGRUENT / 2
"""Halves that agree so far make a piece that is its own reflection; the check is less strict."""


@dataclass(frozen=True, slots=True, eq=False)
class PieceOnFold:
    """One piece of a plan on folded cloth: its copies, and what may be cut at one stroke.

    Attributes
    ----------
    copies
        Indices of its tickets in the open lay.
    pairs
        Pairs of these that may be cut through both layers, as many as there are at most.
    double
        The ways they may then lie in the lower layer.
    on_fold
        The ways a copy may lie as a half, each with the fold it lies on.
    """

    copies: tuple[int, ...]
    pairs: tuple[tuple[int, int], ...]
    double: tuple[LaidPiece, ...]
    on_fold: tuple[tuple[LaidPiece, FoldLine], ...]


def pieces_on_fold(opened: CompiledLay, folding: Folding) -> tuple[PieceOnFold, ...]:
    """Return for every piece of a lay what a fold allows, in the plan's order.

    ``opened`` is the same cloth laid open; its tickets are the copies.
    """
    found = []
    for piece in opened.plan.pieces_on(opened.cloth.name):
        copies = [k for k, ticket in enumerate(opened.tickets) if ticket.piece is piece]
        true = ready_piece(opened.plan, piece)
        found.append(_on_fold(opened, folding, copies, true))
    return tuple(found)


def is_own_reflection(true: TruePiece) -> bool:
    """Tell whether a piece, marks and all, is the same reflected about its grain.

    Then a left is a right, and both layers of folded cloth give the same piece. The piece's
    grain runs along +x.
    """
    one, other = true.laid(Way(False, 0.0)), true.laid(Way(True, 0.0))
    lines = zip(_line_groups(one), _line_groups(other), strict=True)
    marks = zip(_mark_groups(one), _mark_groups(other), strict=True)
    return all(_same_lines(a, b) for a, b in lines) and all(_same_points(a, b) for a, b in marks)


def _line_groups(piece: TruePiece) -> tuple[Sequence[FloatArray], ...]:
    rings = [np.vstack([ring, ring[:1]]) for ring in (piece.outline, *piece.cutouts)]
    return rings, piece.sew_lines, piece.internal_lines, piece.stripe_lines, piece.plaid_lines


def _mark_groups(piece: TruePiece) -> tuple[Sequence[Point], ...]:
    return tuple(notch.at for notch in piece.notches), piece.drill_holes


def _same_lines(one: Sequence[FloatArray], other: Sequence[FloatArray]) -> bool:
    if not one or not other:
        return not one and not other
    a, b = shapely.MultiLineString(list(one)), shapely.MultiLineString(list(other))
    return bool(shapely.hausdorff_distance(a, b, densify=0.25) <= _ALIKE)


def _same_points(one: Sequence[Point], other: Sequence[Point]) -> bool:
    return len(one) == len(other) and all(
        any(dist(p, q) <= _ALIKE for q in to)
        for fro, to in ((one, other), (other, one))
        for p in fro
    )


def _on_fold(
    opened: CompiledLay, folding: Folding, copies: list[int], true: TruePiece
) -> PieceOnFold:
    tickets = [opened.tickets[k] for k in copies]
    piece, cloth = tickets[0].piece, opened.cloth
    own = is_own_reflection(true)
    lean = leans(true, piece)
    hands = {
        mirrored: _closed(ways(piece, cloth, mirrored=mirrored, leans=lean), own=own)
        for mirrored, count in ((False, piece.as_drawn), (True, piece.mirrored))
        if count
    }
    alike = own or cloth.sides == "alike"
    drawn, mirrored = copies[: piece.as_drawn], copies[piece.as_drawn :]
    pairs = list(zip(drawn, mirrored, strict=False))
    if alike:
        rest = drawn[len(pairs) :] + mirrored[len(pairs) :]
        pairs += zip(rest[0::2], rest[1::2], strict=False)
    room = folding.room
    if folding.kind != "crosswise":
        room -= cloth.gap / 2  # kept from the fold
    double = _double_ways(tickets, hands, folding, room, alike=alike) if pairs else ()
    return PieceOnFold(
        tuple(copies),
        tuple(pairs) if double else (),
        double,
        _half_ways(folding, tickets[0], true, set().union(*hands.values())),
    )


def _closed(found: Iterable[Way], *, own: bool) -> set[Way]:
    """Return ways to compare with, angles rounded; of a whole piece either hand will do."""
    listed = [Way(way.mirrored, _rounded(way.turned)) for way in found]
    return {*listed, *(Way(not way.mirrored, way.turned) for way in listed if own)}


def _rounded(angle: float) -> float:
    return round(angle % 360.0, 6) % 360.0


def _double_ways(
    tickets: list[Ticket],
    hands: dict[bool, set[Way]],
    folding: Folding,
    room: float,
    *,
    alike: bool,
) -> tuple[LaidPiece, ...]:
    """Return the ways in which a copy in the lower layer leaves a right one in the upper."""
    every = set().union(*hands.values())
    found: list[LaidPiece] = []
    for ticket in (tickets[0], tickets[-1]):
        for laid in ticket.choices.values():
            upper = folding.upper(laid.way)
            wanted = every if alike else hands.get(upper.mirrored, set())
            if (
                Way(upper.mirrored, _rounded(upper.turned)) in wanted
                and laid.piece.size[1] <= room + SAME_POINT
                and all(laid is not other for other in found)
            ):
                found.append(laid)
    return tuple(found)


def _half_ways(
    folding: Folding, ticket: Ticket, true: TruePiece, allowed: set[Way]
) -> tuple[tuple[LaidPiece, FoldLine], ...]:
    """Return the ways a half may lie on a fold, each on the side of it where the cloth is."""
    half = half_piece(ticket.piece, true)
    if half is None:
        return ()
    found: list[tuple[LaidPiece, FoldLine]] = []
    # Without its other half a half shows which side is up; the whole does not.
    for way in sorted({*allowed, *(Way(not way.mirrored, way.turned) for way in allowed)}):
        laid, inward = half.laid(way)
        if laid.size[1] > folding.room + SAME_POINT:
            continue
        found += [
            (LaidPiece(way, laid), line)
            for line in folding.lines
            if dist(line.inward, inward) <= _ALIKE
        ]
    return tuple(found)
