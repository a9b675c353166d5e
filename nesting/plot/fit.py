"""Where the words fit: labels inside outlines, numbers led out of what is too small."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import matplotlib as mpl
import numpy as np
import numpy.typing as npt
import shapely
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.textpath import TextPath
from shapely import affinity
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

LEADING = 1.22
"""Distance from line to line, as a multiple of the size of the letters."""

_PAD = 2.0  # points kept free around a label
_GRID = 17  # places tried along each side of a region
_MEASURED_AT = 100.0
# What a number on, and a lead across, another piece is worth in points of nearness.
_ON_PIECE, _OVER_PIECE = 25.0, 15.0


@dataclass(frozen=True, slots=True)
class Label:
    """Lines of text at a place, in the units of the drawing (points); turned by ``angle``."""

    x: float
    y: float
    angle: float
    size: float
    lines: tuple[str, ...]

    @property
    def box(self) -> BaseGeometry:
        """The rectangle the words cover."""
        width, height = extent(self.lines, self.size)
        flat = shapely.box(-width / 2, -height / 2, width / 2, height / 2)
        return affinity.translate(
            affinity.rotate(flat, self.angle, origin=(0.0, 0.0)), self.x, self.y
        )


def _width(line: str) -> float:
    """Return the width of a line in the fonts set for the drawing, for letters one point high."""
    return _width_in(line, tuple(mpl.rcParams["font.family"]))


@cache
def _width_in(line: str, families: tuple[str, ...]) -> float:
    if not line.strip():
        return 0.0
    path = TextPath(
        (0.0, 0.0), line, size=_MEASURED_AT, prop=FontProperties(family=list(families))
    )
    # Of the control points, which hold the curves: their true extent takes fifty times as long.
    drawn = path.vertices[path.codes != Path.CLOSEPOLY, 0]
    return float(drawn.max() - drawn.min()) / _MEASURED_AT


def extent(lines: Sequence[str], size: float) -> tuple[float, float]:
    """Return width and height of lines of text with a little room around them, in points."""
    width = max(_width(line) for line in lines) * size
    return width + 2 * _PAD, len(lines) * LEADING * size + 2 * _PAD


def fit_inside(
    region: BaseGeometry, wordings: Sequence[Sequence[str]], sizes: Sequence[float]
) -> Label | None:
    """Return the largest of the wordings that fits wholly into a region, or None.

    Larger letters come before fuller wordings, and upright words before words along the piece;
    among places where the label fits, the one nearest to the middle is taken.
    """
    if region.is_empty:
        return None
    shapely.prepare(region)
    places = _places(region)
    for size in sizes:
        for lines in wordings:
            for angle in _angles(region):
                label = _first_fit(region, places, tuple(lines), size, angle)
                if label is not None:
                    return label
    return None


def _angles(region: BaseGeometry) -> Iterator[float]:
    yield 0.0
    yield 90.0
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(region))
    if len(corners) < 4:
        return
    sides = corners[1:3] - corners[:2]
    dx, dy = sides[int(np.linalg.norm(sides, axis=1).argmax())]
    along = math.degrees(math.atan2(dy, dx))
    # Never upside down: between -90 and 90 degrees.
    yield (along + 90.0) % 180.0 - 90.0


def _places(region: BaseGeometry) -> npt.NDArray[np.float64]:
    x0, y0, x1, y1 = region.bounds
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, _GRID), np.linspace(y0, y1, _GRID)), axis=-1)
    around = grid.reshape(-1, 2)
    middle = np.array([region.centroid.x, region.centroid.y])
    places = np.vstack([middle, around[shapely.contains_xy(region, around)]])
    order = np.argsort(np.linalg.norm(places - middle, axis=1), kind="stable")
    sorted_places: npt.NDArray[np.float64] = places[order]
    return sorted_places


def _first_fit(
    region: BaseGeometry,
    places: npt.NDArray[np.float64],
    lines: tuple[str, ...],
    size: float,
    angle: float,
) -> Label | None:
    width, height = extent(lines, size)
    x0, y0, x1, y1 = region.bounds
    if width * height > region.area or min(width, height) > math.hypot(x1 - x0, y1 - y0):
        return None
    corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * [width / 2, height / 2]
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turned = corners @ np.array([[c, s], [-s, c]])
    fits = shapely.covers(region, shapely.polygons(places[:, None] + turned[None]))
    if not fits.any():
        return None
    x, y = places[int(fits.argmax())]
    return Label(float(x), float(y), angle, size, lines)


def lead_out(
    own: BaseGeometry,
    words: str,
    size: float,
    *,
    room: BaseGeometry,
    others: BaseGeometry,
    labels: BaseGeometry,
) -> Label:
    """Return a place near a piece for its number.

    It lies wholly inside ``room``, off the piece itself (``own``) and off all ``labels``, which
    its lead does not cross either. Near is good; on free cloth is better than on ``others``; a
    lead that crosses none of them is better still. Everything is in points.
    """
    start = lead_start(own)
    for shape in (room, own, others, labels):
        shapely.prepare(shape)
    best, best_cost = Label(*start, 0.0, size, (words,)), math.inf
    for radius, x, y in _around(start):
        if radius >= best_cost:
            break
        label = Label(x, y, 0.0, size, (words,))
        box, lead = label.box, LineString([start, (x, y)])
        if not room.covers(box) or own.intersects(box) or labels.intersects(box):
            continue
        if labels.intersects(lead):
            continue
        cost = radius + _ON_PIECE * others.intersects(box) + _OVER_PIECE * others.intersects(lead)
        if cost < best_cost:
            best, best_cost = label, cost
    return best


def lead_start(own: BaseGeometry) -> tuple[float, float]:
    """Return the place inside a piece at which its lead ends."""
    inside = own.representative_point()
    return float(inside.x), float(inside.y)


def _around(start: tuple[float, float]) -> Iterator[tuple[float, float, float]]:
    for radius in range(8, 150, 3):
        for turn in range(0, 360, 15):
            angle = math.radians(turn)
            yield (
                float(radius),
                start[0] + radius * math.cos(angle),
                start[1] + radius * math.sin(angle),
            )
