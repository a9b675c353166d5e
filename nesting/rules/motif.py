"""Where a motif's repeat lets a piece lie, and what starting on the design costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from ..geometry.rings import Point
from ..model.layout import LaidRepeat, Placement
from ..model.plan import Axis, Cloth, Match, Motif, Plan, Repeat
from ..tolerances import SAME_POINT

AXES: Final[tuple[Axis, Axis]] = ("along", "across")


@dataclass(frozen=True, slots=True)
class Grid:
    """Vectors that carry a design onto itself: (i ``along`` + j ``shift``, j ``across``), mm.

    A step of 0 leaves its axis out of account.
    """

    along: float = 0.0
    across: float = 0.0
    shift: float = 0.0

    def miss(self, dx: float, dy: float) -> float:
        """Return how far a vector is from one that carries the design onto itself."""
        if self.across:
            j = round(dy / self.across)
            dx, dy = dx - j * self.shift, dy - j * self.across
        else:
            dy = 0.0
        dx = dx - round(dx / self.along) * self.along if self.along else 0.0
        return max(abs(dx), abs(dy))


def grid_of(repeat: Repeat, axis: Axis) -> Grid:
    """Return the vectors that count when a piece is placed along an axis, or along both.

    Placed on one axis only, the places of a half drop count as those of a straight repeat: a
    piece that wants the dropped place says so by half the repeat.
    """
    if axis == "along":
        return Grid(along=repeat.along)
    if axis == "across":
        return Grid(across=repeat.across)
    return Grid(repeat.along, repeat.across, repeat.along / 2 if repeat.drop == "half" else 0.0)


def axis_of(motif: Motif) -> Axis:
    """Return the axis, or both, on which a motif gives a place."""
    if motif.on[0] is None:
        return "across"
    return "along" if motif.on[1] is None else "both"


def place_of(motif: Motif) -> Point:
    """Return the place of the repeat, 0 on an axis that is free."""
    return motif.on[0] or 0.0, motif.on[1] or 0.0


def matches_on(plan: Plan, cloth: Cloth) -> tuple[Match, ...]:
    """Return the matches of pieces cut from one cloth."""
    here = {piece.name for piece in plan.pieces_on(cloth.name)}
    return tuple(match for match in plan.matches if {name for name, _ in match.points} <= here)


def points_held(plan: Plan, cloth: Cloth) -> dict[str, tuple[str, ...]]:
    """Return for each piece of a cloth the points by which it is placed on the design."""
    if cloth.repeat is None:
        return {}
    found: dict[str, list[str]] = {}
    for piece in plan.pieces_on(cloth.name):
        if piece.motif is not None:
            found.setdefault(piece.name, []).append(piece.motif.point)
    for match in matches_on(plan, cloth):
        for name, point in match.points:
            found.setdefault(name, []).append(point)
    return {name: tuple(dict.fromkeys(points)) for name, points in found.items()}


def is_placed(plan: Plan, cloth: Cloth) -> bool:
    """Tell whether the design of a cloth, or its border, says where any of its pieces lies."""
    pieces = plan.pieces_on(cloth.name)
    tied = any(piece.motif is not None or piece.border is not None for piece in pieces)
    return tied or bool(matches_on(plan, cloth))


def motif_start(plan: Plan, cloth: Cloth) -> float:
    """Return what reaching the first usable place of the design can cost, in millimetres.

    Bought from the bolt, cloth begins anywhere in the design, so where a piece falls on a place
    along it up to one repeat is lost before the lay can begin (drapery arithmetic: so many
    lengths, and one repeat to start). Nothing is lost where pieces are only matched to each
    other, where the design's place is known, or where the cloth is already owned.
    """
    repeat = cloth.repeat
    if repeat is None or repeat.offset[0] is not None or cloth.length is not None or cloth.panels:
        return 0.0
    motifs = [piece.motif for piece in plan.pieces_on(cloth.name)]
    on_a_place = any(motif is not None and motif.on[0] is not None for motif in motifs)
    return repeat.along if on_a_place else 0.0


def laid_repeat(plan: Plan, cloth: Cloth, placements: Sequence[Placement]) -> LaidRepeat | None:
    """Return the repeat as it lies under the placements; None where no piece is placed by it.

    Where the design's place is unknown it is the one the placements stand for. Where pieces are
    only matched to each other, the design is drawn through the first matched point.
    """
    repeat = cloth.repeat
    if repeat is None or not is_placed(plan, cloth) or not placements:
        return None
    x, y = _undropped(repeat, *_places(plan, cloth, repeat, placements))
    tall = repeat.across * (2.0 if repeat.drop == "half" else 1.0)
    known_x, known_y = repeat.offset
    found_x, found_y = _within(x, repeat.along), _within(y, tall)
    return LaidRepeat(
        repeat.along,
        repeat.across,
        repeat.drop,
        (found_x if known_x is None else known_x, found_y if known_y is None else known_y),
    )


def _within(place: float, step: float) -> float:
    """Return a place counted from the last whole step; 0 for a whole step but for float noise."""
    rest = place % step if step else 0.0
    return 0.0 if step - rest < SAME_POINT else rest


def _places(
    plan: Plan, cloth: Cloth, repeat: Repeat, placements: Sequence[Placement]
) -> tuple[list[float], list[float], list[Point]]:
    """Return what pieces tell of the design's offset: along, across, and both at once.

    The surest come first: a piece on either axis of the design does not say on which.
    """
    motifs = {piece.name: piece.motif for piece in plan.pieces_on(cloth.name)}
    along: list[float] = []
    across: list[float] = []
    both: list[Point] = []
    last: list[float] = []
    for placement in placements:
        motif = motifs[placement.piece]
        if motif is None:
            continue
        (x, y), (on_x, on_y) = placement.points[motif.point], place_of(motif)
        axis = axis_of(motif)
        if axis == "both" and repeat.drop == "half":
            both.append((x - on_x, y - on_y))
            continue
        if axis != "across":
            along.append(x - on_x)
        if axis != "along":
            either = motif.centred and repeat.drop == "none"
            (last if either else across).append(y - on_y)
    across += last
    for match in matches_on(plan, cloth):
        name, point = match.points[0]
        x, y = next(p for p in placements if p.piece == name).points[point]
        if not both and not along and match.axis != "across":
            along.append(x)
        if not both and not across and match.axis != "along":
            across.append(y)
    return along, across, both


def _undropped(
    repeat: Repeat, along: Sequence[float], across: Sequence[float], both: Sequence[Point]
) -> Point:
    """Return one offset all agree with: which columns of a half drop are dropped is told by it."""
    if not both:
        return next(iter(along), 0.0), next(iter(across), 0.0)
    (x, y), (known_x, known_y) = both[0], repeat.offset
    if known_y is not None:
        columns = round((y - known_y) / repeat.across)
        return x - columns * repeat.along / 2, known_y
    straight = known_x if known_x is not None else next(iter(along), x)
    if Grid(along=repeat.along).miss(x - straight, 0.0) > repeat.along / 4:
        return x + repeat.along / 2, y + repeat.across
    return x, y
