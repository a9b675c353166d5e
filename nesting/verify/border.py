"""Border prints: the named edge of a placed piece against its selvage."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, MultiLineString, Polygon

from ..model.layout import Lay, Placement
from ..model.plan import Border, PlanPiece
from ..tolerances import MOTIF, ON_OUTLINE
from .allowance import Array, stretch_between
from .congruence import move_onto
from .findings import Finding
from .placements import placed_region
from .recompute import CutPiece, reflected


def check_border(
    placement: Placement, lay: Lay, piece: PlanPiece, true: CutPiece
) -> Iterator[Finding]:
    """Yield what is wrong with the edge of a piece that follows a border.

    The edge as drawn must lie straight along the selvage, at its distance, and be on that side of
    its piece. ``true`` is the piece as it has to be cut.
    """
    border, region = piece.border, placed_region(placement)
    if border is None or region is None:
        return
    *lines, square = shapely.get_parts(_edge_as_placed(placement, region, piece, border, true))
    inner = float(shapely.get_coordinates(square)[-1, 1])
    text = _off_border(shapely.get_coordinates(lines)[:, 1], border, inner, lay.usable_width)
    if text:
        yield Finding("design", text, lay.cloth, placement.piece, placement.copy)


def _off_border(edge: Array, border: Border, inner: float, width: float) -> str:
    """Say what is wrong with an edge, given how far across the cloth its points lie.

    ``inner`` is how far across a point just inside of it lies.
    """
    low, high = float(edge.min()), float(edge.max())
    if not high - low <= ON_OUTLINE + MOTIF:
        return f"its edge {border.edge!r} runs {high - low:.3f} mm out of the selvage"
    side = "near" if (low + high) / 2.0 < inner else "far"
    if border.selvage not in {side, "either"}:
        return f"its edge {border.edge!r} faces the {side} selvage, not the border's"
    off = abs((low if side == "near" else width - high) - border.distance)
    if not off <= MOTIF:
        return f"its edge {border.edge!r} lies {off:.3f} mm from its place at the {side} selvage"
    return ""


def _edge_as_placed(
    placement: Placement, region: Polygon, piece: PlanPiece, border: Border, true: CutPiece
) -> MultiLineString:
    """Return the edge as it lies, and last a short line from it square into the piece."""
    ring = np.asarray(piece.pattern.outline)
    lines = [
        line
        for edge in piece.edges
        if edge.name == border.edge
        for line in stretch_between(ring, edge.start, edge.end, 0.0).lines
    ]
    square = _into(Polygon(ring), lines[0])
    if piece.pattern.mirror is not None:
        lines += [reflected(line, piece.pattern.mirror) for line in lines]
    marked = replace(true, internal=MultiLineString([*lines, square]))
    laid = marked.lying(mirrored=placement.mirrored, turned=placement.turned)
    by = move_onto(Polygon(laid.region.exterior), Polygon(region.exterior))
    return laid.shifted(*by).internal


def _into(region: Polygon, line: LineString) -> LineString:
    """Return a line of a tenth of a millimetre from the middle of an edge into its piece."""
    middle = shapely.line_interpolate_point(line, 0.5, normalized=True)
    beside = [
        shapely.line_interpolate_point(line.parallel_offset(0.1, side), 0.5, normalized=True)
        for side in ("left", "right")
    ]
    inner = next((point for point in beside if region.contains(point)), beside[0])
    return LineString([middle, inner])
