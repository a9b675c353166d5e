"""Flaws of a cloth as obstacles of the placement problem, and what of a piece may cover them.

A seam or hem allowance ends up inside the garment, so a flaw in it does no harm where the maker
says so; what lies inside the stitching line, the net piece, is seen (common practice).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely

from ..geometry.rings import FloatArray, as_points, counter_clockwise, signed_area
from ..model.layout import LaidFlaw
from ..model.plan import Flaw
from ..model.problem import Obstacle, Shape
from ..tolerances import CONGRUENT, SAME_POINT
from .true_piece import TruePiece

_SPECK = 1e-3  # mm2; what is left of a flaw beyond the edge of the strip, by rounding


def flaw_obstacles(flaws: Iterable[Flaw], width: float, gap: float = 0.0) -> tuple[Obstacle, ...]:
    """Return the flaws of one piece of cloth as obstacles on its strip.

    Shapes on the strip are half a gap larger than their pieces and lie half a gap further along
    and across, so pieces keep half a gap from a flaw; what an allowance may hide is kept clear of
    by the net pieces alone, which no gap enlarges. What lies in a selvage is left away, and flaws
    that overlap are one.

    Parameters
    ----------
    flaws
        Where they lie on the cloth as cut, mm.
    width
        Of the strip, one gap wider than the usable cloth.
    gap
        Kept between cut lines, mm.
    """
    found = tuple(flaws)
    strip = shapely.box(0.0, 0.0, _end(found) + gap, width)
    obstacles = []
    for hidden in (False, True):
        rings = [
            shapely.Polygon(flaw.outline + gap / 2)
            for flaw in found
            if (flaw.hide == "allowance") is hidden
        ]
        merged = shapely.intersection(shapely.union_all(rings), strip)
        obstacles += [
            Obstacle(shape_of(part), inner=hidden)
            for part in shapely.get_parts(merged)
            if part.geom_type == "Polygon" and part.area > _SPECK
        ]
    return tuple(obstacles)


def _end(flaws: Sequence[Flaw]) -> float:
    return max((float(flaw.outline[:, 0].max()) for flaw in flaws), default=0.0)


def shape_of(polygon: shapely.Polygon) -> Shape:
    """Return a polygon as a shape, its rings running the usual way."""
    outer = as_points(counter_clockwise(np.array(polygon.exterior.coords[:-1])))
    return Shape(
        outer,
        tuple(
            as_points(counter_clockwise(np.array(ring.coords[:-1]))[::-1])
            for ring in polygon.interiors
        ),
    )


def may_hide(flaws: Iterable[Flaw]) -> bool:
    """Tell whether an allowance may hide any of these flaws."""
    return any(flaw.hide == "allowance" for flaw in flaws)


def laid_flaws(flaws: Iterable[Flaw]) -> tuple[LaidFlaw, ...]:
    """Return flaws as a lay carries them."""
    return tuple(LaidFlaw(flaw.outline, flaw.kind, flaw.hide) for flaw in flaws)


def net_rings(piece: TruePiece) -> tuple[FloatArray, ...]:
    """Return what of a piece is seen when it is sewn: its largest closed sew line, with holes.

    The first ring runs counter-clockwise, the holes clockwise. A hole is the sew line round a
    cutout, or the cutout itself. Empty where the piece has no closed sew line, so that all of it
    may be seen.
    """
    sewn = sorted(filter(_is_closed, piece.sew_lines), key=lambda line: abs(signed_area(line)))
    if not sewn:
        return ()
    *others, outer = (counter_clockwise(line[:-1]) for line in sewn)
    cut_line = shapely.Polygon(piece.outline).buffer(CONGRUENT)
    if not cut_line.covers(shapely.Polygon(outer)):
        return ()
    holes = [_opening(cutout, others) for cutout in piece.cutouts]
    return (as_points(outer), *(as_points(counter_clockwise(hole)[::-1]) for hole in holes))


def _is_closed(line: FloatArray) -> bool:
    return len(line) > 3 and bool(np.abs(line[0] - line[-1]).max() <= SAME_POINT)


def _opening(cutout: FloatArray, lines: Sequence[FloatArray]) -> FloatArray:
    """Return the smallest sew line round a cutout, or else the cutout."""
    inside = shapely.Polygon(cutout).buffer(-CONGRUENT)
    return next((line for line in lines if shapely.Polygon(line).covers(inside)), cutout)
