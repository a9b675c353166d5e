"""No-fit polygons: where one shape may not lie against another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import pyclipper

from .convex import IntArray, without_straight_points
from .convolution import convolution
from .minkowski import convex_sums

CLEANED = 2.0
"""Corners nearer than this to each other or to the line of their neighbours are dropped."""


class Solid(Protocol):
    """A polygon on integers: its outer ring and holes, and convex parts that tile it."""

    @property
    def rings(self) -> tuple[IntArray, ...]:
        """Outer ring counter-clockwise, then holes clockwise."""

    @property
    def parts(self) -> tuple[IntArray, ...]:
        """Convex counter-clockwise rings (see ``convex_parts``)."""


@dataclass(frozen=True, slots=True, eq=False)
class NoFitPolygon:
    """The relative positions at which two shapes overlap.

    ``rings`` bound the open set of vectors p such that the moving shape, translated by p,
    overlaps the fixed one: outer rings counter-clockwise, holes (true fits inside) clockwise,
    so that the forbidden side is always on the left. Integer corners.
    """

    rings: tuple[IntArray, ...]

    def negated(self) -> NoFitPolygon:
        """Return the no-fit polygon of the same two shapes with the roles exchanged."""
        return NoFitPolygon(tuple(-ring for ring in self.rings))


def no_fit_polygon(fixed: Solid, moving: Solid) -> NoFitPolygon:
    """Return the no-fit polygon of two shapes.

    It is the Minkowski sum of the fixed shape and the moving shape reflected through the
    origin. Where neither shape can lie in a hole of the other it is the region that the
    convolution of their outer rings winds around; else the union of the sums of all pairs of
    convex parts. Either is cleaned up on integers, so that its corners lie within a few units of
    the exact ones.
    """
    if len(fixed.parts) == len(moving.parts) == 1:
        sums = convex_sums(fixed.parts, [-moving.parts[0]])
        return NoFitPolygon((without_straight_points(sums[0]),))
    if not (_may_enter(fixed, moving) or _may_enter(moving, fixed)):
        return _united(convolution(fixed.rings[0], -moving.rings[0]))
    return _united(convex_sums(fixed.parts, [-part for part in moving.parts]))


def _may_enter(holed: Solid, other: Solid) -> bool:
    """Tell whether a shape may lie in a hole of another one, by their boxes."""
    size = np.ptp(other.rings[0], axis=0)
    return any(bool((size <= np.ptp(hole, axis=0)).all()) for hole in holed.rings[1:])


def _united(tracks: Sequence[IntArray]) -> NoFitPolygon:
    """Return the region around which closed tracks wind a positive number of times."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths([track.tolist() for track in tracks], pyclipper.PT_SUBJECT, True)
    union = clipper.Execute(pyclipper.CT_UNION, pyclipper.PFT_POSITIVE, pyclipper.PFT_POSITIVE)
    # Edges of nearly the same direction leave spikes a unit wide, which would turn the nearest
    # corner's answer to "inside or outside" about.
    union = [ring for ring in pyclipper.CleanPolygons(union, CLEANED) if len(ring) >= 3]
    rings = [without_straight_points(np.array(ring, dtype=np.int64)) for ring in union]
    return NoFitPolygon(tuple(ring for ring in rings if len(ring) >= 3))
