"""Cloth kept between cut lines: shapes grown so that touching shapes are a gap apart."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi

import numpy as np
import shapely

from ..geometry.rings import FloatArray, as_points, bounds, counter_clockwise, signed_area
from ..tolerances import SAME_POINT

_QUARTER_STEPS = 4  # chords to a quarter circle at a sharp corner
_FAR_MITRE = 1000.0
_SPECK = 1.0  # mm2; a hole too small for anything


def grow(
    outline: FloatArray, cutouts: Sequence[FloatArray], by: float
) -> tuple[FloatArray, tuple[FloatArray, ...]]:
    """Return a shape that holds every point within a distance of a piece.

    Corners are mitred and blunted just outside the round, so that few points are added; the
    bounding box grows by exactly the distance, so that a piece as wide as the cloth still fits.

    Parameters
    ----------
    outline, cutouts
        Counter-clockwise ring and the clockwise rings inside it, mm.
    by
        Distance, mm, at least 0.

    Returns
    -------
    tuple
        The grown outline, counter-clockwise, and its holes, clockwise.
    """
    if by <= 0:
        return outline, tuple(cutouts)
    piece = shapely.Polygon(outline, cutouts)
    # A corner's chords span up to one and a half steps (their number is rounded), so with this
    # radius none of them cuts into the true circle.
    step = pi / 2 / _QUARTER_STEPS
    blunt = piece.buffer(by / cos(0.75 * step), quad_segs=_QUARTER_STEPS)
    sharp = piece.buffer(by, join_style="mitre", mitre_limit=_FAR_MITRE)
    grown = shapely.intersection(sharp, blunt)
    if not grown.covers(piece.buffer(by * (1 - 1e-9), quad_segs=64)):
        grown = blunt
    x0, y0, x1, y1 = bounds(outline)
    grown = _largest(shapely.intersection(grown, shapely.box(x0 - by, y0 - by, x1 + by, y1 + by)))
    holes = tuple(
        as_points(counter_clockwise(np.array(ring.coords[:-1]))[::-1])
        for ring in grown.interiors
        if shapely.Polygon(ring).area > _SPECK
    )
    return as_points(counter_clockwise(np.array(grown.exterior.coords[:-1]))), holes


def within_box(ring: FloatArray, box: tuple[float, float, float, float]) -> FloatArray:
    """Return a counter-clockwise ring cut off at a box; the ring itself where it stays inside."""
    x0, y0, x1, y1 = bounds(ring)
    if x0 >= box[0] and y0 >= box[1] and x1 <= box[2] and y1 <= box[3]:
        return ring
    cut = _largest(shapely.intersection(shapely.Polygon(ring), shapely.box(*box)))
    clipped = np.array(cut.exterior.coords[:-1])
    # The box may cut a corner off by float noise, and leave it twice.
    steps = np.hypot(*(clipped - np.roll(clipped, 1, axis=0)).T)
    clipped = clipped[steps > SAME_POINT]
    return as_points(clipped if signed_area(clipped) > 0 else clipped[::-1])


def _largest(shape: shapely.Geometry) -> shapely.Polygon:
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return max(parts, key=lambda part: part.area)
