"""The finished cut piece: cut line and every mark, and how it looks laid one way or another."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import atan2, degrees

import numpy as np

from ..geometry.rings import (
    FloatArray,
    Point,
    as_points,
    bounds,
    mirrored_across_x,
    rotated,
    signed_area,
)
from ..model.pattern import Notch
from ..model.plan import PlanPiece
from .allowance import add_allowance, shrink_cutout
from .completion import complete, complete_edges
from .orientation import Way


@dataclass(frozen=True, slots=True, eq=False)
class TruePiece:
    """A piece exactly as it is to be cut, in millimetres.

    Attributes
    ----------
    outline, cutouts
        The cut line: a counter-clockwise ring and clockwise rings inside it.
    grain
        Grain line, its second end towards the top of the garment.
    points
        The plan's named points.
    sew_lines, internal_lines, stripe_lines, plaid_lines
        Paths; a closed path repeats its first point. Where the plan adds an allowance, the
        drawn outline (and each drawn cutout) is one of the sew lines.
    notches, drill_holes
        Where the file draws them: notches on the drawn outline, where seams are matched.
    """

    outline: FloatArray
    cutouts: tuple[FloatArray, ...]
    grain: tuple[Point, Point]
    points: Mapping[str, Point]
    sew_lines: tuple[FloatArray, ...]
    internal_lines: tuple[FloatArray, ...]
    stripe_lines: tuple[FloatArray, ...]
    plaid_lines: tuple[FloatArray, ...]
    notches: tuple[Notch, ...]
    drill_holes: tuple[Point, ...]

    @property
    def area(self) -> float:
        """Cloth the piece covers, mm2."""
        return signed_area(self.outline) + sum(signed_area(ring) for ring in self.cutouts)

    @property
    def size(self) -> tuple[float, float]:
        """Extent along x and along y, mm."""
        x0, y0, x1, y1 = bounds(self.outline)
        return x1 - x0, y1 - y0

    def laid(self, way: Way) -> TruePiece:
        """Return the piece lying one way, its bounding box starting at the origin.

        The piece must have its grain along +x, as :func:`cut_piece` leaves it: it is reflected
        about its grain if the way says so, then turned.
        """

        def move(points: FloatArray) -> FloatArray:
            return rotated(mirrored_across_x(points) if way.mirrored else points, way.turned)

        def direction(angle: float) -> float:
            return (way.turned + (-angle if way.mirrored else angle)) % 360.0

        turned = self._mapped(move, direction, turned_over=way.mirrored)
        x, y, _, _ = bounds(turned.outline)
        return turned.shifted(-x, -y)

    def shifted(self, dx: float, dy: float) -> TruePiece:
        """Return the piece moved by a vector."""
        step = np.array([dx, dy])
        return self._mapped(lambda points: points + step, lambda angle: angle, turned_over=False)

    def _mapped(
        self,
        move: Callable[[FloatArray], FloatArray],
        direction: Callable[[float], float],
        *,
        turned_over: bool,
    ) -> TruePiece:
        """Return the piece after a rigid motion; rings keep their direction when turned over."""

        def ring(points: FloatArray) -> FloatArray:
            moved = move(points)
            return as_points(moved[::-1] if turned_over else moved)

        def paths(drawn: tuple[FloatArray, ...]) -> tuple[FloatArray, ...]:
            return tuple(as_points(move(path)) for path in drawn)

        def point(at: Point) -> Point:
            x, y = move(np.array([at]))[0]
            return float(x), float(y)

        return TruePiece(
            outline=ring(self.outline),
            cutouts=tuple(ring(cutout) for cutout in self.cutouts),
            grain=(point(self.grain[0]), point(self.grain[1])),
            points={name: point(at) for name, at in self.points.items()},
            sew_lines=paths(self.sew_lines),
            internal_lines=paths(self.internal_lines),
            stripe_lines=paths(self.stripe_lines),
            plaid_lines=paths(self.plaid_lines),
            notches=tuple(
                replace(
                    notch,
                    at=point(notch.at),
                    angle=None if notch.angle is None else direction(notch.angle),
                )
                for notch in self.notches
            ),
            drill_holes=tuple(point(hole) for hole in self.drill_holes),
        )


def cut_piece(piece: PlanPiece) -> TruePiece:
    """Return a plan piece as it is to be cut, its grain arrow along +x.

    A half is completed, then the allowances are added. Without a grain line the piece is taken
    to stand upright, its top towards +y.

    Raises
    ------
    InputError
        If the half cannot be completed or the allowance cannot be added.
    """
    whole = complete(piece.pattern)
    edges = complete_edges(piece.pattern, piece.edges)
    outline, cutouts, sew_lines = whole.outline, whole.cutouts, whole.sew_lines
    if piece.allowance > 0 or any(edge.allowance > 0 for edge in edges):
        outline = add_allowance(whole.outline, piece.allowance, edges)
        cutouts = tuple(
            left for ring in whole.cutouts for left in shrink_cutout(ring, piece.allowance)
        )
        stitched = (whole.outline, *(whole.cutouts if piece.allowance > 0 else ()))
        sew_lines += tuple(as_points(np.vstack([ring, ring[:1]])) for ring in stitched)
    grain = _towards_top(piece)
    drawn = TruePiece(
        outline=outline,
        cutouts=cutouts,
        grain=grain,
        points=piece.points,
        sew_lines=sew_lines,
        internal_lines=whole.internal_lines,
        stripe_lines=whole.stripe_lines,
        plaid_lines=whole.plaid_lines,
        notches=whole.notches,
        drill_holes=whole.drill_holes,
    )
    angle = grain_angle(piece)
    return drawn._mapped(
        lambda points: rotated(points, -angle),
        lambda direction: (direction - angle) % 360.0,
        turned_over=False,
    )


def grain_angle(piece: PlanPiece) -> float:
    """Return the direction of the grain in the file, degrees counter-clockwise from +x.

    From the bottom to the top of the garment. Turning the file's coordinates back by it about
    the origin gives those of :func:`cut_piece`.
    """
    (x0, y0), (x1, y1) = _towards_top(piece)
    # Rounding far below any tolerance keeps an upright grain line an exact quarter turn.
    return round(degrees(atan2(y1 - y0, x1 - x0)), 9)


def _towards_top(piece: PlanPiece) -> tuple[Point, Point]:
    """Return the grain line with its second end towards the top of the garment."""
    x0, y0, x1, y1 = bounds(piece.pattern.outline)
    middle = (x0 + x1) / 2
    first, second = piece.pattern.grain or ((middle, y0), (middle, y1))
    return (second, first) if piece.top == "reverse" else (first, second)
