"""Whether the pieces keep clear of the flaws of their cloth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..model.layout import Lay, Placement
from ..model.plan import Flaw
from ..tolerances import CONGRUENT, OVERLAP_DEPTH
from .apart import overlap_depth
from .findings import Finding
from .placements import placed_region


def check_flaws(lay: Lay, flaws: Sequence[Flaw]) -> Iterator[Finding]:
    """Yield pieces that cover a flaw, and flaws that the lay shows elsewhere than the plan.

    ``flaws`` are those of the piece of cloth that is laid. A flaw that an allowance may hide may
    be covered by what lies outside the sewn outline of a piece.
    """
    yield from _shown(lay, flaws)
    faults = [(Polygon(flaw.outline), flaw) for flaw in flaws]
    for placement in lay.placements:
        region = placed_region(placement)
        if region is None:
            continue
        for fault, flaw in faults:
            seen = sewn_region(placement, region) if flaw.hide == "allowance" else region
            covered = seen.intersection(fault)
            if not covered.buffer(-OVERLAP_DEPTH / 2).is_empty:
                what = flaw.kind or "flaw"
                text = (
                    f"it covers the {what} at {_place(fault)} by {overlap_depth(covered):.3f} mm"
                )
                yield Finding("flaw", text, lay.cloth, placement.piece, placement.copy)


def sewn_region(placement: Placement, region: Polygon) -> BaseGeometry:
    """Return what of a placed piece lies inside its stitching; all of it where none is closed.

    The sew lines are those of the placement, which are compared with the pattern elsewhere.
    """
    loops = [
        Polygon(line)
        for line in placement.sew_lines
        if len(line) > 3 and float(abs(line[0] - line[-1]).max()) <= CONGRUENT
    ]
    outer = max(loops, key=lambda loop: float(loop.area), default=None)
    if outer is None or not Polygon(region.exterior).buffer(2 * CONGRUENT).covers(outer):
        return region
    openings = [Polygon(ring) for ring in region.interiors]
    open_ = [
        min(
            (loop for loop in loops if loop is not outer and loop.buffer(CONGRUENT).covers(gap)),
            key=lambda loop: float(loop.area),
            default=gap,
        )
        for gap in openings
    ]
    return outer.difference(shapely.union_all(open_))


def _place(fault: Polygon) -> str:
    x0, y0, x1, y1 = fault.bounds
    return f"{x0:.1f} to {x1:.1f} mm along, {y0:.1f} to {y1:.1f} mm across"


def _shown(lay: Lay, flaws: Sequence[Flaw]) -> Iterator[Finding]:
    if len(lay.flaws) != len(flaws):
        text = f"it shows {len(lay.flaws)} flaws; by the plan there are {len(flaws)}"
        yield Finding("flaw", text, lay.cloth)
        return
    for number, (laid, true) in enumerate(zip(lay.flaws, flaws, strict=True), start=1):
        off = shapely.hausdorff_distance(Polygon(laid.outline), Polygon(true.outline))
        if off > CONGRUENT or laid.hide != true.hide:
            yield Finding("flaw", f"flaw {number} is not shown as it is in the plan", lay.cloth)
