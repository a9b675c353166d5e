"""Where the number and the name of a piece fit inside its outline on the report page."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ..model.layout import Placement

_LETTER: Final = 0.6
"""Width of a letter over its height, on the generous side for any sans-serif face."""

_SIZES: Final = (1.0, 0.8, 0.62, 0.48)
"""Sizes tried, as multiples of the drawing's letters; the smallest can be read when enlarged."""

_HANDS: Final = {"R": " R", "L": " L"}


@dataclass(frozen=True, slots=True)
class PieceLabel:
    """Lines of text about a place, y downwards, ``angle`` clockwise in degrees as SVG has it."""

    x: float
    y: float
    size: float
    angle: float
    lines: tuple[str, ...]


def piece_label(placement: Placement, number: int, letters: float, width: float) -> PieceLabel:
    """Return the fullest and largest label that fits inside a piece; at least its number.

    Parameters
    ----------
    placement
        Its name follows its number, with R or L, or both where it is cut double.
    number
        Its number on the plan.
    letters
        Height of the drawing's letters, millimetres.
    width
        Usable width of the cloth, at which y turns round.
    """
    region = shapely.make_valid(shapely.Polygon(placement.outline, placement.cutouts))
    circle = shapely.maximum_inscribed_circle(region, tolerance=2.0)
    radius = float(circle.length)
    # The widest place first; a long even piece has none, and is labelled at its middle.
    middle = region.centroid.coords[0]
    along = _direction(region)
    places = [(*circle.coords[0], 0.0), (*circle.coords[0], 90.0), (*middle, 0.0), (*middle, 90.0)]
    places.append((*middle, along))
    name = f"{placement.piece}{_hand(placement)}"
    wordings = [(str(number), name), *_broken(number, name), (f"{number} {name}",)]
    for share in _SIZES:
        for lines in wordings:
            for x, y, angle in places:
                if region.contains(_box(x, y, lines, share * letters, angle)):
                    return PieceLabel(x, width - y, share * letters, -angle, lines)
    size = min(0.8 * letters, 1.5 * radius / (_LETTER * len(str(number)) + 0.6))
    x, y = circle.coords[0]
    return PieceLabel(x, width - y, size, 0.0, (str(number),))


def _direction(region: BaseGeometry) -> float:
    """Return degrees counter-clockwise along the longer side of a region, never upside down."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(region))
    sides = corners[1:3] - corners[:2]
    dx, dy = max(sides, key=lambda side: float(side @ side))
    return (math.degrees(math.atan2(dy, dx)) + 90.0) % 180.0 - 90.0


def _hand(placement: Placement) -> str:
    if placement.layers > 1 and placement.hand:
        return " R+L"
    return _HANDS.get(placement.hand, "")


def _broken(number: int, name: str) -> list[tuple[str, ...]]:
    """Return the number over the name on two lines, broken near its middle, where it can be."""
    gaps = [k for k, letter in enumerate(name) if letter == " "]
    if not gaps:
        return []
    gap = min(gaps, key=lambda k: abs(2 * k - len(name)))
    return [(str(number), name[:gap], name[gap + 1 :])]


def _box(x: float, y: float, lines: tuple[str, ...], size: float, angle: float) -> BaseGeometry:
    wide, high = _LETTER * size * max(map(len, lines)), 1.15 * size * len(lines)
    box = shapely.box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)
    return affinity.rotate(box, angle, origin=(x, y))
