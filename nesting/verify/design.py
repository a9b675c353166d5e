"""Pieces on the design of their cloth: every placed point against the repeat."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from ..model.layout import LaidRepeat, Lay, Placement
from ..model.plan import Cloth, Match, Motif, PlanPiece, Repeat
from ..tolerances import LENGTH_REPORT, MOTIF
from .findings import Finding, Kind


def start_on_design(cloth: Cloth, pieces: Mapping[str, PlanPiece]) -> float:
    """Return what reaching the first usable place of the design costs at most, in millimetres.

    A whole repeat where a piece has a place along a design whose place on a bolt is unknown.
    """
    if cloth.repeat is None or cloth.repeat.offset[0] is not None:
        return 0.0
    if cloth.length is not None or cloth.panels:
        return 0.0
    for piece in pieces.values():
        if piece.cloth == cloth.name and piece.motif is not None and piece.motif.on[0] is not None:
            return cloth.repeat.along
    return 0.0


def check_design(
    lay: Lay, cloth: Cloth, pieces: Mapping[str, PlanPiece], matches: Sequence[Match]
) -> Iterator[Finding]:
    """Yield every point that is not on its place of the repeat, or not where its match is.

    Read off the named points of the placements, which are checked elsewhere to be the plan's.
    ``pieces`` are those of the plan, by name, ``matches`` all of the plan.
    """
    tied = [p for p in lay.placements if p.piece in pieces and pieces[p.piece].motif is not None]
    repeat = cloth.repeat
    if repeat is None or (not tied and lay.repeat is None and not matches):
        return
    if lay.repeat is not None:
        for text in _wrong_repeat(lay.repeat, repeat):
            yield Finding("design", text, lay.cloth)
    for placement in tied:
        motif = pieces[placement.piece].motif
        assert motif is not None  # noqa: S101 - so they were chosen
        for kind, text in _off_motif(placement, motif, lay.repeat):
            yield Finding(kind, text, lay.cloth, placement.piece, placement.copy)
    for match in matches:
        yield from _unmatched(lay, repeat, match)


def _wrong_repeat(laid: LaidRepeat, asked: Repeat) -> Iterator[str]:
    sizes = {"along": (laid.along, asked.along), "across": (laid.across, asked.across)}
    for axis, (said, true) in sizes.items():
        if not abs(said - true) <= LENGTH_REPORT:
            yield f"its repeat {axis} is given as {said:.3f} mm; in the plan it is {true:.3f} mm"
    if laid.drop != asked.drop:
        yield f"its repeat is given with drop {laid.drop!r}; in the plan it is {asked.drop!r}"
    for axis, place, known in zip(("along", "across"), laid.offset, asked.offset, strict=True):
        if not math.isfinite(place):
            yield f"its design starts at {place} {axis}"
        elif known is not None and abs(place - known) > LENGTH_REPORT:
            yield (
                f"its design is laid as starting at {place:.3f} mm {axis}; in the plan it starts "
                f"at {known:.3f} mm"
            )


def _off_motif(
    placement: Placement, motif: Motif, laid: LaidRepeat | None
) -> Iterator[tuple[Kind, str]]:
    """Yield how far a point is from its place, where that is farther than it may be."""
    at = placement.points.get(motif.point)
    if laid is None or at is None:
        what = "where the design lies" if laid is None else f"where point {motif.point!r} lies"
        yield "design", f"it has a motif, but the layout does not say {what}"
        return
    along, across = (
        None if on is None else here - start - on
        for on, here, start in zip(motif.on, at, laid.offset, strict=True)
    )
    columns = 0
    step = laid.across
    if motif.centred and laid.drop == "none":
        step = laid.across / 2.0
    off = 0.0
    if across is not None:
        columns = round(across / step)
        off = abs(across - columns * step)
    if along is not None:
        dropped = laid.drop == "half" and across is not None and columns % 2 == 1
        along += laid.along / 2.0 if dropped else 0.0
        off = max(off, abs(math.remainder(along, laid.along)))
    if not off <= MOTIF:
        yield "design", f"its point {motif.point!r} lies {off:.3f} mm from its place of the repeat"


def _unmatched(lay: Lay, repeat: Repeat, match: Match) -> Iterator[Finding]:
    """Compare every placed point of a match with the first one, and the way the pieces lie."""
    names = dict(match.points)
    found = [
        (placement, placement.points[names[placement.piece]])
        for placement in lay.placements
        if placement.piece in names and names[placement.piece] in placement.points
    ]
    for placement, (x, y) in found:
        first, (x0, y0) = found[0]
        where = f"{first.piece}:{names[first.piece]} (copy {first.copy})"
        off = _apart(repeat, match, x - x0, y - y0)
        if not off <= MOTIF:
            point = names[placement.piece]
            text = f"its point {point!r} meets the design {off:.3f} mm apart from {where}"
            yield Finding("design", text, lay.cloth, placement.piece, placement.copy)
        turn = (math.cos(math.radians(placement.turned)), math.sin(math.radians(placement.turned)))
        if turn[0] < -0.1 or (abs(turn[0]) <= 0.1 and turn[1] < 0.0):
            text = f"it is matched to {where}, but its top points against the design"
            yield Finding("design", text, lay.cloth, placement.piece, placement.copy)


def _apart(repeat: Repeat, match: Match, dx: float, dy: float) -> float:
    """Return how differently two points meet the design."""
    ways = [0.0]
    if match.axis == "both" and repeat.drop == "half":
        columns = round(dy / repeat.across)
        dx -= repeat.along / 2.0 * (columns % 2)
    if match.axis != "across" and repeat.along:
        ways.append(abs(math.remainder(dx, repeat.along)))
    if match.axis != "along" and repeat.across:
        ways.append(abs(math.remainder(dy, repeat.across)))
    return max(ways)
