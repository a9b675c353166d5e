"""A line or point whose role is told by a word becomes a part of its piece."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np
import shapely

from ..geometry.rings import FloatArray, Point, bounds
from ..model.pattern import Notch
from .drawn import DrawnPath, DrawnPoint, Notes
from .outline import open_outline_error
from .piece import RawPiece, far_ends
from .roles import notch_kind_of, role_of

_LINES: Final[dict[str, Callable[[RawPiece], list[FloatArray]]]] = {
    "sew": lambda piece: piece.sew_lines,
    "internal": lambda piece: piece.internal_lines,
    "stripe": lambda piece: piece.stripe_lines,
    "plaid": lambda piece: piece.plaid_lines,
}


def add_path(piece: RawPiece, path: DrawnPath, notes: Notes) -> None:
    """Add a path by the role its ``layer`` tells (which there is: see :mod:`.roles`).

    Raises
    ------
    InputError
        If a cutout is open.
    """
    role = role_of(path.layer)
    match role:
        case "sew" | "internal" | "stripe" | "plaid":
            line = np.vstack([path.points, path.points[:1]]) if path.closed else path.points
            _LINES[role](piece).append(line)
        case "grain":
            piece.grains.append(_grain(piece, path, notes))
        case "fold":
            piece.mirrors.append(path.points)
        case "top":
            piece.tops.append(middle(path.points))
        case "notch":
            piece.notches.append(_notch(piece.outline, path))
        case "drill":
            piece.drill_holes.append(middle(path.points))
        case "cutout":
            if not path.closed:
                raise open_outline_error(path.points, file=notes.file, item=path.entity)
            piece.cutouts.append(path.points)
        case None:
            raise ValueError(f"{path.layer!r} tells no role")


def add_point(piece: RawPiece, point: DrawnPoint, notes: Notes) -> None:
    """Add a single point by the role its ``layer`` tells: a notch, a drill hole or the top."""
    match role_of(point.layer):
        case "notch":
            kind = notch_kind_of(point.layer)
            piece.notches.append(Notch(point.at, point.angle, point.depth, point.width, kind))
        case "drill":
            piece.drill_holes.append(point.at)
        case "top":
            piece.tops.append(point.at)
        case role:
            notes.unread(piece.name, f"a single point says nothing as {role}")


def middle(points: FloatArray) -> Point:
    """Return the middle of the box round the points."""
    left, low, right, high = bounds(points)
    return (left + right) / 2.0, (low + high) / 2.0


def _grain(piece: RawPiece, path: DrawnPath, notes: Notes) -> FloatArray:
    """Return a grain line; of a closed arrow shape the end higher on the page is the top."""
    if not path.closed:
        return path.points
    ends = sorted(far_ends(path.points), key=lambda end: (end[1], end[0]))
    notes.add(
        "assumed",
        piece.name,
        "the grain is drawn as a closed shape; its end higher on the page is the top",
    )
    return np.array(ends)


def _notch(outline: FloatArray, path: DrawnPath) -> Notch:
    """Return a notch drawn as a short line or a small shape.

    A line runs from the outline into the piece, whichever end was drawn first; of a shape the
    middle of its box counts.
    """
    kind = notch_kind_of(path.layer)
    if path.closed or len(path.points) != 2:
        return Notch(middle(path.points), kind=kind)
    edge = shapely.LinearRing(outline)
    first, second = path.points
    if edge.distance(shapely.Point(second)) < edge.distance(shapely.Point(first)):
        first, second = second, first
    into = second - first
    angle = float(np.degrees(np.arctan2(into[1], into[0]))) % 360.0
    return Notch((float(first[0]), float(first[1])), angle, float(np.hypot(*into)), 0.0, kind)
