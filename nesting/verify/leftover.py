"""Whether the rectangle said to be left over is cloth that no piece needs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import Polygon, box

from ..model.layout import Lay
from ..tolerances import EDGE_SLACK, OVERLAP_DEPTH
from .apart import overlap_depth
from .findings import Finding


def check_leftover(
    lay: Lay,
    regions: Sequence[Polygon],
    names: Sequence[tuple[str, int]],
    usable: Polygon | None = None,
) -> Iterator[Finding]:
    """Yield what is wrong with a lay's leftover; nothing where the lay names none.

    ``regions`` is what the pieces cover, ``names`` tells piece and copy of each.
    ``usable`` is what can be used of the panel the lay is on: its leftover may lie behind the lay.
    """
    if lay.leftover is None:
        return
    x0, y0, x1, y1 = lay.leftover
    # Written so that a NaN is refused as well.
    if not (x0 < x1 < math.inf and y0 < y1 < math.inf):
        yield Finding("leftover", f"{lay.leftover} is no rectangle", lay.cloth)
        return
    rectangle = box(x0, y0, x1, y1)
    over = max(-x0, -y0, x1 - lay.length, y1 - lay.usable_width)
    if usable is not None:
        over = shapely.hausdorff_distance(rectangle, rectangle.intersection(usable))
    if not over <= EDGE_SLACK:
        yield Finding("leftover", f"it stands {over:.3f} mm over the edge of the lay", lay.cloth)
    for flaw in lay.flaws:
        shared = rectangle.intersection(Polygon(flaw.outline))
        if not shared.buffer(-OVERLAP_DEPTH / 2).is_empty:
            yield Finding("leftover", f"it holds the {flaw.kind or 'flaw'}", lay.cloth)
    for region, name in zip(regions, names, strict=True):
        shared = region.intersection(rectangle)
        if not shared.buffer(-OVERLAP_DEPTH / 2).is_empty:
            depth = overlap_depth(shared)
            text = f"it enters what is said to be left over by {depth:.3f} mm"
            yield Finding("leftover", text, lay.cloth, *name)
