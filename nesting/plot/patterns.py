"""The pieces of a lay as pattern pieces: all where they lie, or one of each with its top up."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from ..errors import InputError
from ..model.layout import Lay, Placement
from ..model.pattern import PatternPiece

FloatArray: TypeAlias = npt.NDArray[np.float64]
"""Points in rows, shape (n, 2), millimetres."""
Point: TypeAlias = tuple[float, float]

_ON_FOLD = 0.05  # mm within which a corner lies on a fold line
_BETWEEN = 20.0  # mm left between pieces set side by side


def as_laid(lay: Lay) -> tuple[PatternPiece, ...]:
    """Return every placement of a lay as a pattern piece of its own, where it lies.

    Names are number, piece, copy and hand, so no two are alike; numbers count the placements
    from 1, as on every drawing. Each is to be cut once as it lies.
    """
    return tuple(
        replace(_as_pattern(placement, lay), name=name_of(placement, number))
        for number, placement in enumerate(lay.placements, start=1)
    )


def name_of(placement: Placement, number: int) -> str:
    """Return what a file calls one placement: ``3 gore, copy 2 L``."""
    hand = f" {placement.hand}" if placement.hand else ""
    return f"{number} {' '.join(placement.piece.split())}, copy {placement.copy}{hand}"


def one_of_each(lay: Lay, names: Sequence[str] = ()) -> tuple[PatternPiece, ...]:
    """Return one pattern piece for each piece of a lay, as drawn, its grain pointing up the page.

    The outline is the true cut line, its box starting at the origin; quantities are the copies
    that the lay cuts as drawn and mirrored. A piece on the fold is the half that lies there,
    with its mirror line. With ``names`` only these, in this order.

    Raises
    ------
    InputError
        If a name is not that of a piece of the lay.
    """
    there = list(dict.fromkeys(placement.piece for placement in lay.placements))
    for name in names:
        if name not in there:
            raise InputError(
                f"no piece {name!r} lies on {lay.cloth!r}",
                remedy=f"the pieces on it are {', '.join(there)}",
            )
    return tuple(_upright(lay, name) for name in (names or there))


def side_by_side(pieces: Sequence[PatternPiece]) -> tuple[PatternPiece, ...]:
    """Return the pieces moved to stand in a row, a little apart, each at its foot."""
    placed, x = [], 0.0
    for piece in pieces:
        low = piece.outline.min(axis=0)
        by = np.array([x, 0.0]) - low
        placed.append(moved(piece, Motion(offset=(float(by[0]), float(by[1])))))
        x += float(np.ptp(piece.outline[:, 0])) + _BETWEEN
    return tuple(placed)


def _upright(lay: Lay, name: str) -> PatternPiece:
    copies = [placement for placement in lay.placements if placement.piece == name]
    shown = next((p for p in copies if not p.mirrored), copies[0])
    c, s = math.cos(math.radians(shown.turned)), math.sin(math.radians(shown.turned))
    # Back so that the grain points along +x, reflected where it lies mirrored, a quarter turn up.
    m = -1.0 if shown.mirrored else 1.0
    stood = moved(_as_pattern(shown, lay), Motion(((m * s, -m * c), (c, s))))
    low = stood.outline.min(axis=0)
    both = sum(p.layers > 1 for p in copies)
    mirrored = sum(p.hand == "L" or (not p.hand and p.mirrored) for p in copies if p.layers == 1)
    as_drawn = len(copies) - both - mirrored
    return replace(
        moved(stood, Motion(offset=(-float(low[0]), -float(low[1])))),
        name=name,
        quantity=(as_drawn + both, mirrored + both),
    )


@dataclass(frozen=True, slots=True)
class Motion:
    """A rigid motion of the plane: a point p goes to ``matrix`` p + ``offset`` (mm)."""

    matrix: tuple[tuple[float, float], tuple[float, float]] = ((1.0, 0.0), (0.0, 1.0))
    offset: tuple[float, float] = (0.0, 0.0)

    @property
    def mirrors(self) -> bool:
        """True where the motion turns the plane over."""
        return float(np.linalg.det(np.array(self.matrix))) < 0.0

    def path(self, points: FloatArray) -> FloatArray:
        """Return points moved."""
        turned = np.asarray(points, dtype=np.float64) @ np.array(self.matrix).T
        found: FloatArray = turned + np.array(self.offset)
        return found

    def ring(self, points: FloatArray) -> FloatArray:
        """Return a ring moved, running the same way round as before."""
        found: FloatArray = self.path(points)
        return found[::-1] if self.mirrors else found

    def point(self, point: Point) -> Point:
        """Return one point moved."""
        x, y = self.path(np.array([point]))[0]
        return float(x), float(y)

    def angle(self, degrees: float | None) -> float | None:
        """Return a direction turned with the plane, in degrees from 0 to 360."""
        if degrees is None:
            return None
        direction = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
        x, y = np.array(self.matrix) @ direction
        return math.degrees(math.atan2(y, x)) % 360.0


def moved(piece: PatternPiece, motion: Motion) -> PatternPiece:
    """Return a pattern piece with everything on it moved."""

    def ends(line: tuple[Point, Point] | None) -> tuple[Point, Point] | None:
        return None if line is None else (motion.point(line[0]), motion.point(line[1]))

    def paths(lines: tuple[FloatArray, ...]) -> tuple[FloatArray, ...]:
        return tuple(motion.path(line) for line in lines)

    return replace(
        piece,
        outline=motion.ring(piece.outline),
        cutouts=tuple(motion.ring(ring) for ring in piece.cutouts),
        grain=ends(piece.grain),
        mirror=ends(piece.mirror),
        sew_lines=paths(piece.sew_lines),
        internal_lines=paths(piece.internal_lines),
        stripe_lines=paths(piece.stripe_lines),
        plaid_lines=paths(piece.plaid_lines),
        notches=tuple(
            replace(notch, at=motion.point(notch.at), angle=motion.angle(notch.angle))
            for notch in piece.notches
        ),
        drill_holes=tuple(motion.point(point) for point in piece.drill_holes),
        annotations=tuple(replace(a, at=motion.point(a.at)) for a in piece.annotations),
    )


def _as_pattern(placement: Placement, lay: Lay) -> PatternPiece:
    return PatternPiece(
        placement.piece,
        "",
        placement.outline,
        placement.cutouts,
        placement.grain,
        _fold_edge(placement, lay),
        placement.sew_lines,
        placement.internal_lines,
        placement.stripe_lines,
        placement.plaid_lines,
        placement.notches,
        placement.drill_holes,
        quantity=(1, 1) if placement.layers > 1 else (1, 0),
        may_fold=placement.on_fold,
        material=lay.cloth,
    )


def _fold_edge(placement: Placement, lay: Lay) -> tuple[Point, Point] | None:
    """Return the stretch of a piece's outline that lies on a fold, or None."""
    if not placement.on_fold or lay.folding is None:
        return None
    for first, second in lay.folding.edges:
        start = np.array(first)
        along = np.array(second) - start
        along /= np.linalg.norm(along)
        off = placement.outline - start
        on = np.abs(off[:, 0] * along[1] - off[:, 1] * along[0]) < _ON_FOLD
        if on.sum() >= 2:
            ends = placement.outline[on]
            order = np.argsort((ends - start) @ along)
            (ax, ay), (bx, by) = ends[order[0]], ends[order[-1]]
            return (float(ax), float(ay)), (float(bx), float(by))
    return None
