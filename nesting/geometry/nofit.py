"""No-fit polygons: where one shape may not lie against another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyclipper

from .convex import IntArray, without_straight_points
from .minkowski import convex_sums


@dataclass(frozen=True, slots=True, eq=False)
class NoFitPolygon:
    """The relative positions at which two shapes overlap.

    ``rings`` bound the open set of vectors p such that the moving shape, translated by p,
    overlaps the fixed one: outer rings counter-clockwise, holes (true fits inside) clockwise,
    so that the forbidden side is always on the left. Integer corners.
    """

    rings: tuple[IntArray, ...]

    @property
    def convex(self) -> bool:
        """Whether the set is one convex polygon."""
        if len(self.rings) != 1:
            return False
        edge = np.roll(self.rings[0], -1, axis=0) - self.rings[0]
        following = np.roll(edge, -1, axis=0)
        return bool((edge[:, 0] * following[:, 1] - edge[:, 1] * following[:, 0] > 0).all())

    def negated(self) -> NoFitPolygon:
        """Return the no-fit polygon of the same two shapes with the roles exchanged."""
        return NoFitPolygon(tuple(-ring for ring in self.rings))


def no_fit_polygon(fixed: Sequence[IntArray], moving: Sequence[IntArray]) -> NoFitPolygon:
    """Return the no-fit polygon of two shapes given as convex parts.

    It is the Minkowski sum of the fixed shape and the moving shape reflected through the
    origin: the union, over all pairs of parts, of convex sums. The union is taken on integers,
    so that its corners lie within one unit of the exact ones.

    Parameters
    ----------
    fixed, moving
        Convex counter-clockwise rings that tile each shape (see ``convex_parts``), in
        coordinates of at most 2**29; both relative to the shape's own reference point.
    """
    sums = convex_sums(fixed, [-part for part in moving])
    if len(sums) == 1:
        return NoFitPolygon((without_straight_points(sums[0]),))
    clipper = pyclipper.Pyclipper()
    clipper.AddPaths([ring.tolist() for ring in sums], pyclipper.PT_SUBJECT, True)
    union = clipper.Execute(
        pyclipper.CT_UNION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO
    )
    rings = [without_straight_points(np.array(ring, dtype=np.int64)) for ring in union]
    return NoFitPolygon(tuple(ring for ring in rings if len(ring) >= 3))
