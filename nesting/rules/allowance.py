"""Seam allowances: from the stitching line to the cut line, with mitred corners.

The *raw* cut line follows every edge at its own allowance. At an outward corner it runs on to
where the two offset lines meet (the mitre); where they meet farther away than ``MITRE_LIMIT``
times the larger allowance the corner is cut square across, through the ends of both offset
edges. At an inward corner it returns through the corner itself. As a chain, this curve is the
outline plus one counter-clockwise strip per edge plus one counter-clockwise patch per outward
corner, so the points about which it winds at least once are exactly the union of all those:
every edge keeps its whole allowance and overlapping strips merge. The winding rule is applied
on integers by a clipping library (B. R. Vatti, Comm. ACM 35 (1992) 56-63), which never breaks
on touching or coinciding edges.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pyclipper
import shapely

from ..errors import InputError
from ..geometry.rings import FloatArray, Point, as_points, signed_area
from ..model.plan import EdgeAllowance
from ..tolerances import SAME_POINT, STRETCH_END

MITRE_LIMIT = 4.0
"""Greatest mitre length, as a multiple of the larger allowance, before a corner is cut off."""

_SCALE = 1e6  # integer steps to the millimetre
_NO_WIDTH = 2e-5  # mm; well above the integer step, well below every tolerance
_TRAPPED = 1.0  # mm2; a trapped gap smaller than this is closed by the scissors anyway


def add_allowance(
    outline: FloatArray, allowance: float, edges: Sequence[EdgeAllowance] = ()
) -> FloatArray:
    """Return the cut line around a stitching line.

    Parameters
    ----------
    outline
        Simple counter-clockwise ring, mm.
    allowance
        Millimetres added along every edge, not negative.
    edges
        Stretches with an allowance of their own; where two overlap, the later one counts.

    Returns
    -------
    FloatArray
        Simple counter-clockwise ring that contains ``outline``; ``outline`` itself when
        nothing is added.

    Raises
    ------
    InputError
        If a stretch does not start and end on the outline, or the allowances of two edges meet
        across a bay and shut it in.
    """
    ring, widths = _edge_widths(outline, allowance, edges)
    if not (widths > 0).any():
        return outline
    parts = _wound(_raw_offset(ring, widths), pyclipper.PFT_POSITIVE)
    outer = [part for part in parts if signed_area(part) > 0]
    trapped = [part for part in parts if signed_area(part) < -_TRAPPED]
    if len(outer) != 1 or trapped or not shapely.Polygon(outer[0]).is_valid:
        raise InputError(
            f"the allowance of up to {widths.max():g} mm closes a bay of the outline, so the cut "
            "line is no longer one simple outline",
            remedy="give a smaller allowance there, or draw the cut line",
        )
    return as_points(outer[0])


def shrink_cutout(cutout: FloatArray, allowance: float) -> tuple[FloatArray, ...]:
    """Return what is cut away of a clockwise cutout once its edge has an allowance.

    Returns
    -------
    tuple of FloatArray
        Clockwise rings inside ``cutout``; one, or several where a narrow neck closes.

    Raises
    ------
    InputError
        If nothing is left to cut away.
    """
    if allowance <= 0:
        return (cutout,)
    raw = _raw_offset(cutout, np.full(len(cutout), allowance))
    left = _wound(raw, pyclipper.PFT_NEGATIVE)
    # The clipper returns the boundary of the region that is left, counter-clockwise.
    rings = tuple(as_points(ring[::-1]) for ring in left if signed_area(ring) > _TRAPPED)
    if not rings:
        raise InputError(
            f"the allowance of {allowance:g} mm leaves nothing of a cutout",
            remedy="give a smaller allowance, or draw the opening as an internal line",
        )
    return rings


def _edge_widths(
    outline: FloatArray, allowance: float, edges: Sequence[EdgeAllowance]
) -> tuple[FloatArray, FloatArray]:
    """Return the ring, with a corner at the ends of every stretch, and each edge's allowance."""
    starts = _distances_along(outline)
    total = starts[-1]
    spans = []
    cuts = list(starts[:-1])
    for edge in edges:
        begin = _place_on(outline, starts, edge.start, edge.name)
        end = _place_on(outline, starts, edge.end, edge.name)
        if abs(begin - end) < SAME_POINT:
            raise InputError(
                f"edge {edge.name!r} starts and ends at the same place",
                remedy="give two points, in counter-clockwise order along the outline",
            )
        spans.append((begin, end, edge.allowance))
        cuts += [begin, end]
    places = np.unique(np.round(np.array(cuts) % total, 9))
    # Places that fall together within the tolerance are one corner.
    places = places[np.append(True, np.diff(places) > SAME_POINT)]
    if len(places) > 1 and total - places[-1] < SAME_POINT:
        places = places[:-1]
    ring = _points_at(outline, starts, places)
    middles = (places + np.append(places[1:], total)) / 2
    widths = np.full(len(ring), float(allowance))
    for begin, end, width in spans:
        inside = (middles > begin) & (middles < end)
        if begin > end:
            inside = (middles > begin) | (middles < end)
        widths[inside] = width
    return ring, widths


def _distances_along(outline: FloatArray) -> FloatArray:
    """Return the distance along the ring at each corner, and the whole length at the end."""
    steps = np.hypot(*(np.roll(outline, -1, axis=0) - outline).T)
    distances: FloatArray = np.concatenate([[0.0], np.cumsum(steps)])
    return distances


def _points_at(outline: FloatArray, starts: FloatArray, places: FloatArray) -> FloatArray:
    closed = np.vstack([outline, outline[:1]])
    return np.column_stack([np.interp(places, starts, closed[:, axis]) for axis in (0, 1)])


def _place_on(outline: FloatArray, starts: FloatArray, point: Point, name: str) -> float:
    """Return the distance along the ring of the place nearest to a point that must lie on it."""
    nexts = np.roll(outline, -1, axis=0)
    feet = _feet(outline, nexts, np.array(point))
    miss = np.hypot(*(feet - point).T)
    edge = int(miss.argmin())
    if miss[edge] > STRETCH_END:
        raise InputError(
            f"edge {name!r}: the point ({point[0]:.1f}, {point[1]:.1f}) mm lies {miss[edge]:.1f} "
            "mm from the outline",
            remedy="give a point on the outline, in the file's coordinates",
        )
    return float(starts[edge] + np.hypot(*(feet[edge] - outline[edge]))) % float(starts[-1])


def _feet(points: FloatArray, nexts: FloatArray, at: FloatArray) -> FloatArray:
    """Return the nearest point to ``at`` on every edge."""
    along = nexts - points
    share = ((at - points) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-300)
    feet: FloatArray = points + np.clip(share, 0.0, 1.0)[:, None] * along
    return feet


def _raw_offset(ring: FloatArray, widths: FloatArray) -> FloatArray:
    """Return the raw cut line; material lies to the left of the ring, as described above."""
    along = np.roll(ring, -1, axis=0) - ring
    along = along / np.hypot(*along.T)[:, None]
    normals = np.column_stack([along[:, 1], -along[:, 0]])
    raw: list[FloatArray] = []
    for i, corner in enumerate(ring):
        end = corner + widths[i - 1] * normals[i - 1]
        start = corner + widths[i] * normals[i]
        turn = float(along[i - 1, 0] * along[i, 1] - along[i - 1, 1] * along[i, 0])
        if turn > 0:
            middle = _mitre(corner, normals[i - 1], normals[i], widths[i - 1], widths[i])
        else:
            middle = [corner]
        raw += [end, *middle, start]
    return np.array(raw)


def _mitre(
    corner: FloatArray, before: FloatArray, after: FloatArray, w_before: float, w_after: float
) -> list[FloatArray]:
    """Return the points between the ends of two offset edges at an outward corner."""
    cosine = float(before @ after)
    sine = float(before[0] * after[1] - before[1] * after[0])
    if sine <= 1e-9:
        return []  # straight on, or back upon itself: through the ends
    tip = (
        before * (w_before - w_after * cosine) + after * (w_after - w_before * cosine)
    ) / sine**2
    if float(np.hypot(*tip)) > MITRE_LIMIT * max(w_before, w_after):
        return []
    # The tip lies beyond the end of an offset edge only if the other allowance is deep enough;
    # where it is not, the shallower line runs on to the side of the deeper strip.
    if w_after < w_before * cosine:
        return [corner + before * (w_after / cosine)]
    if w_before < w_after * cosine:
        return [corner + after * (w_before / cosine)]
    return [corner + tip]


def _wound(raw: FloatArray, rule: int) -> list[FloatArray]:
    """Return the boundary of the region the curve winds about, by the given winding rule."""
    clipper = pyclipper.Pyclipper()
    clipper.AddPath(np.round(raw * _SCALE).astype(np.int64).tolist(), pyclipper.PT_SUBJECT, True)
    parts = clipper.Execute(pyclipper.CT_UNION, rule, rule)
    # Sides of strips that coincide but for rounding leave spikes and slits of no width.
    cleaned = [pyclipper.CleanPolygon(part, _NO_WIDTH * _SCALE) for part in parts]
    return [np.array(part, dtype=np.float64) / _SCALE for part in cleaned if len(part) >= 3]
