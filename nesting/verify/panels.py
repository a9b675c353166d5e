"""Which piece of cloth a lay lies on, and whether its pieces keep within that one's edge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from ..model.layout import Lay
from ..model.plan import Cloth
from ..tolerances import CONGRUENT, EDGE_SLACK
from .findings import Finding


def cloth_under(lay: Lay, cloth: Cloth) -> Cloth | Finding:
    """Return the very piece of cloth a lay is on, as a cloth without panels, or what is wrong."""
    if lay.panel is None:
        if cloth.panels and cloth.extra != "buy":
            return Finding("cloth", "it lies on no panel of the plan", lay.cloth)
        return replace(cloth, flaws=(), panels=()) if cloth.panels else cloth
    if not 1 <= lay.panel <= len(cloth.panels):
        return Finding("cloth", f"the plan has no panel {lay.panel} of it", lay.cloth)
    panel = cloth.panels[lay.panel - 1]
    if lay.panel_name != panel.name:
        text = f"panel {lay.panel} is called {lay.panel_name!r}; in the plan it is {panel.name!r}"
        return Finding("cloth", text, lay.cloth)
    on_it = tuple(flaw for flaw in cloth.flaws if flaw.panel == lay.panel)
    owned = replace(
        cloth, width=panel.width, length=panel.length, panels=(), extra="none", flaws=on_it
    )
    # A drawn edge is all usable: nothing is lost to selvages or to squaring an end.
    return owned if panel.outline is None else replace(owned, selvage=0.0, end_trim=0.0)


def usable_region(lay: Lay, cloth: Cloth) -> Polygon | None:
    """Return what of a lay's panel can be used, by the plan; None where it lies on none."""
    if lay.panel is None or not 1 <= lay.panel <= len(cloth.panels):
        return None
    panel = cloth.panels[lay.panel - 1]
    left = (1.0 - cloth.shrink_along, 1.0 - cloth.shrink_across)
    if panel.outline is not None:
        return affinity.scale(Polygon(panel.outline), *left, origin=(0.0, 0.0))
    end = panel.length * left[0] - cloth.end_trim
    return shapely.box(0.0, 0.0, end, panel.width * left[1] - 2 * cloth.selvage)


def check_panel(
    lay: Lay, usable: Polygon, regions: Sequence[Polygon], names: Sequence[tuple[str, int]]
) -> Iterator[Finding]:
    """Yield pieces that stand over the edge of their panel, and an edge that is not the plan's."""
    shown = None if lay.panel_outline is None else Polygon(lay.panel_outline)
    if shown is None or shapely.hausdorff_distance(shown, usable) > CONGRUENT:
        yield Finding("cloth", f"the edge of panel {lay.panel} is not that of the plan", lay.cloth)
    within = usable.buffer(EDGE_SLACK, join_style="mitre")
    for region, name in zip(regions, names, strict=True):
        if not within.covers(region):
            over = shapely.hausdorff_distance(region, region.intersection(usable))
            text = f"it stands {over:.3f} mm over the edge of panel {lay.panel}"
            yield Finding("edge", text, lay.cloth, *name)
