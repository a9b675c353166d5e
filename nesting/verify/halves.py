"""The half of a whole piece that lies on a fold, worked out afresh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, Polygon

from ..model.plan import PlanPiece
from ..tolerances import CONGRUENT, JOIN_ENDS
from .recompute import CutPiece, Point

_HAIR = 1e-6  # mm


def drawn_half(piece: PlanPiece, whole: CutPiece) -> CutPiece | None:
    """Return what of a whole piece lies on the side of its mirror line that is drawn.

    In the coordinates of the pattern file. Lines and marks on the mirror line belong to it; the
    named points stay where they are. None where the pattern is not drawn as a half.
    """
    if piece.pattern.mirror is None:
        return None
    start, stop = (np.asarray(end, dtype=np.float64) for end in piece.pattern.mirror)
    along = (stop - start) / np.linalg.norm(stop - start)
    inward = np.array([-along[1], along[0]])
    if float(((np.asarray(piece.pattern.outline) - start) @ inward).sum()) < 0:
        inward = -inward
    far = 10.0 * float(whole.region.length)
    low = start - _HAIR * inward
    side = Polygon(
        [low - far * along, low + far * along, low + far * (along + inward),
         low + far * (inward - along)]
    )  # fmt: skip

    def within(lines: MultiLineString) -> MultiLineString:
        cut = [part for line in lines.geoms for part in _lines(line.intersection(side))]
        return MultiLineString([part for part in cut if part.length > CONGRUENT])

    def kept(point: Point) -> bool:
        return float((np.asarray(point) - start) @ inward) >= -JOIN_ENDS

    parts = shapely.get_parts(whole.region.intersection(side))
    return replace(
        whole,
        region=max(parts, key=lambda part: float(part.area)),
        sew=within(whole.sew),
        internal=within(whole.internal),
        stripe=within(whole.stripe),
        plaid=within(whole.plaid),
        notches=tuple(notch for notch in whole.notches if kept(notch.at)),
        drills=tuple(hole for hole in whole.drills if kept(hole)),
    )


def _lines(shape: shapely.Geometry) -> list[LineString]:
    return [part for part in shapely.get_parts(shape) if isinstance(part, LineString)]
