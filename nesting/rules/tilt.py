"""How far a piece leans off its grain where the plan lets it: a few angles that may help."""

from __future__ import annotations

import numpy as np
import shapely

from ..geometry.rings import rotated
from ..model.plan import PlanPiece
from .true_piece import TruePiece

_HARDLY = 0.05
"""Degrees; nearer angles are tried as one."""


def leans(true: TruePiece, piece: PlanPiece) -> tuple[float, ...]:
    """Return the angles, in degrees, by which a piece may lean off its grain; 0 comes first.

    Besides the grain itself these are the farthest either way and, in between, the one at which
    the piece is narrowest across the cloth and the one at which it is shortest along it: there an
    edge of its hull lies straight. Few, since every one of them is another shape to place.

    Parameters
    ----------
    true
        The cut piece, its grain along +x.
    piece
        Its ``tilt`` counts; it must be less than 45.
    """
    tilt = piece.tilt
    if tilt <= 0:
        return (0.0,)
    hull = np.array(shapely.convex_hull(shapely.MultiPoint(true.outline)).exterior.coords)
    along, across = np.diff(hull, axis=0).T
    straight = -np.degrees(np.arctan2(across, along)) % 90.0
    inside = [
        float(lean)
        for angle in straight
        for lean in (angle, angle - 90.0)
        if _HARDLY < abs(lean) < tilt - _HARDLY
    ]
    found = [0.0, -tilt, tilt]
    if inside:
        sizes = {lean: np.ptp(rotated(hull, lean), axis=0) for lean in (*found, *inside)}
        for axis in (1, 0):
            best = min(sizes, key=lambda lean: (float(sizes[lean][axis]), abs(lean)))
            if all(abs(best - other) > _HARDLY for other in found):
                found.append(round(best, 9))
    return tuple(found)
