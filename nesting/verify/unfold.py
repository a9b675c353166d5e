"""Folded cloth spread out flat again: where every cut piece then lies, and what is wrong with it.

Flat, x runs along the cloth from its cut end and y across it from the near selvage. Of the lower
layer every point keeps its place, but for the strip's own start; a point of the upper layer is
reflected in the fold. Where the layers of a crosswise fold are cut apart and the upper one is
turned, that one is reflected across the cloth instead, since it lies face to face.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import Polygon, box

from ..model.layout import Lay, Placement
from ..model.plan import Cloth
from ..tolerances import CONGRUENT, EDGE_SLACK, LENGTH_REPORT, OVERLAP_DEPTH
from .apart import overlap_depth
from .placements import placed_region

_FAR = 100.0
"""Mitres, as multiples of a distance, kept whole: corners of over a degree."""

Fault = tuple[Placement | None, str]


@dataclass(frozen=True, slots=True, eq=False)
class FlatCopy:
    """One cut piece on the cloth spread out flat, right side up."""

    placement: Placement
    region: Polygon
    mirrored: bool
    turned: float
    upper: bool = False


@dataclass(frozen=True, slots=True)
class _Fold:
    """A fold worked out from the plan and the placements: lengths in millimetres."""

    kind: str
    usable: float
    depth: float
    end: float
    cut: bool

    @property
    def strip(self) -> float:
        """Width of the folded cloth."""
        if self.kind == "crosswise":
            return self.usable
        return self.usable - (self.depth if self.kind == "partial" else self.usable / 2)

    @property
    def bands(self) -> tuple[tuple[float, float], ...]:
        """Where it lies double, across; no piece may go from one band into another."""
        half = self.usable / 2
        return {
            "lengthwise": ((0.0, half),),
            "crosswise": ((0.0, self.usable),),
            "partial": ((self.usable - 2 * self.depth, self.usable - self.depth),),
            "middle": ((0.0, half / 2), (half / 2, half)),
        }[self.kind]

    @property
    def edges(self) -> list[tuple[float, float, float, float]]:
        """The folds themselves, as x0, y0, x1, y1."""
        if self.kind == "crosswise":
            return [] if self.cut else [(0.0, 0.0, 0.0, self.usable)]
        across = [0.0, self.strip] if self.kind == "middle" else [self.strip]
        return [(0.0, y, self.end, y) for y in across]

    def lower(self, region: Polygon, *, folded: bool) -> Polygon:
        """Return where a region of the lower layer lies flat."""
        dx = self.end if self.kind == "crosswise" else 0.0
        dy = self.usable / 4 if self.kind == "middle" and folded else 0.0
        return affinity.translate(region, dx, dy)

    def upper(self, region: Polygon) -> Polygon:
        """Return where the region above one in the lower layer lies flat."""
        if self.kind == "crosswise":
            if self.cut:
                return _across(region, self.usable / 2)
            return affinity.scale(region, -1.0, 1.0, origin=(self.end / 2, 0.0))
        if self.kind == "middle":
            near = region.centroid.y < self.usable / 4
            flat = affinity.translate(region, 0.0, self.usable / 4)
            return _across(flat, self.usable / 4 if near else 3 * self.usable / 4)
        return _across(region, self.strip)

    def turned(self, angle: float) -> float:
        """Return where the top of a piece in the upper layer points, flat."""
        return (180.0 - angle if self.kind == "crosswise" and not self.cut else -angle) % 360.0


def _across(region: Polygon, y: float) -> Polygon:
    return affinity.scale(region, 1.0, -1.0, origin=(0.0, y))


def unfold(lay: Lay, cloth: Cloth) -> tuple[tuple[FlatCopy, ...], tuple[Fault, ...]]:
    """Return every cut piece of a lay on its cloth spread out flat, and what is wrong so far.

    A placement on the fold gives one whole piece, a double one gives two; outlines that are no
    polygons are left out, since they are found elsewhere.
    """
    laid = [(p, region) for p in lay.placements if (region := placed_region(p)) is not None]
    if lay.folding is None:
        faults: list[Fault] = [
            (p, f"it is cut through {p.layers} layers, but the cloth lies open")
            for p in lay.placements
            if p.layers != 1 or p.on_fold
        ]
        if lay.fold != "open" or lay.layers != 1:
            faults.append((None, f"fold is given as {lay.fold!r}, but not where it is folded"))
        flat = tuple(FlatCopy(p, region, p.mirrored, p.turned) for p, region in laid)
        return flat, tuple(faults)
    fold = _fold_of(lay, cloth, laid)
    if fold is None:
        return (), ((None, f"a fold of the kind {lay.folding.kind!r} is not known"),)
    wrong: list[Fault] = [*_declared(lay, cloth, fold, laid)]
    copies: list[FlatCopy] = []
    for placement, region in laid:
        copies += _flat(placement, region, fold)
        wrong += ((placement, text) for text in _in_its_layer(placement, region, fold))
    return tuple(copies), tuple(wrong)


def _fold_of(lay: Lay, cloth: Cloth, laid: Sequence[tuple[Placement, Polygon]]) -> _Fold | None:
    """Return the fold by the plan, the depth by the lay where the plan leaves it open."""
    folding = lay.folding
    if folding is None or folding.kind not in {"lengthwise", "crosswise", "partial", "middle"}:
        return None
    depth = 0.0
    if folding.kind == "partial":
        said = folding.double[0] if folding.double else (0.0, 0.0, 0.0, 0.0)
        depth = said[3] - said[1] if cloth.fold_depth is None else cloth.fold_depth
    usable = cloth.width * (1.0 - cloth.shrink_across) - 2.0 * cloth.selvage
    # Beside the double part of a partial fold pieces may reach farther than any that is double.
    end = folding.end
    if end is None:
        end = max((region.bounds[2] for _, region in laid), default=0.0)
    return _Fold(folding.kind, usable, depth, end, not folding.edges)


def _declared(
    lay: Lay, cloth: Cloth, fold: _Fold, laid: Sequence[tuple[Placement, Polygon]]
) -> Iterator[Fault]:
    """Yield what the lay says of its fold that is not so, or that the plan forbids."""
    folding = lay.folding
    if folding is None:
        return
    if lay.fold != folding.kind or lay.layers != 2:
        yield None, f"fold {lay.fold!r} of {lay.layers} layers is given, but it is {folding.kind}"
    if cloth.fold not in {folding.kind, "best"}:
        yield None, f"it is folded {folding.kind}; the plan says {cloth.fold}"
    if fold.kind == "crosswise" and fold.cut and not cloth.fold_cut:
        yield None, "its layers are cut apart at the fold, which the plan does not allow"
    if fold.kind == "crosswise" and not fold.cut and (cloth.nap == "one-way" or cloth.fold_cut):
        yield None, "one-way cloth is folded crosswise, its layers not cut apart"
    if not 0.0 <= fold.depth <= fold.usable / 2 + LENGTH_REPORT:
        yield None, f"a selvage cannot be folded in by {fold.depth:.3f} mm"
    needed = max((region.bounds[2] for p, region in laid if p.layers == 2), default=0.0)
    if not fold.end >= needed - EDGE_SLACK:
        yield None, f"the fold is said to end at {fold.end:.3f} mm, before {needed:.3f} mm"
    doubled = [(0.0, low, fold.end, high) for low, high in fold.bands]
    if not _same(folding.double, doubled):
        yield None, f"it is said to lie double at {folding.double}; it does at {doubled}"
    edges = [(*a, *b) for a, b in folding.edges]
    if not _same(edges, fold.edges):
        yield None, f"its folds are said to lie at {edges}; they lie at {fold.edges}"
    if lay.leftover is not None:
        x0, _, x1, y1 = lay.leftover
        visible = max((region.bounds[2] for _, region in laid), default=0.0)
        over = max(x1 - visible, y1 - fold.strip if x0 < fold.end - EDGE_SLACK else 0.0)
        if over > EDGE_SLACK:
            yield None, f"what is left over stands {over:.3f} mm over the folded cloth"


def _same(said: Sequence[tuple[float, ...]], true: Sequence[tuple[float, ...]]) -> bool:
    return len(said) == len(true) and all(
        abs(a - b) <= LENGTH_REPORT
        for one, other in zip(sorted(said), sorted(true), strict=True)
        for a, b in zip(one, other, strict=True)
    )


def _in_its_layer(placement: Placement, region: Polygon, fold: _Fold) -> Iterator[str]:
    """Yield why a piece cannot be cut where it lies."""
    if placement.layers not in {1, 2} or (placement.on_fold and placement.layers != 2):
        yield f"it is cut through {placement.layers} layers"
        return
    x0, y0, _, y1 = region.bounds
    if placement.layers == 1:
        for low, high in fold.bands:
            # Each end of a band is another cut end, so the slack along is that of an edge.
            shared = region.intersection(box(0.0, low, fold.end - EDGE_SLACK, high))
            if not shared.buffer(-OVERLAP_DEPTH / 2).is_empty:
                depth = overlap_depth(shared)
                yield f"it is wanted once, but reaches {depth:.3f} mm under the fold"
        beyond = region.intersection(box(0.0, fold.strip, fold.end - EDGE_SLACK, y1 + 1.0))
        if not beyond.buffer(-OVERLAP_DEPTH / 2).is_empty:
            yield f"it stands {overlap_depth(beyond):.3f} mm over the folded cloth"
        if fold.kind == "middle" and x0 < fold.end - EDGE_SLACK:
            yield "it is wanted once, but begins where both selvages are folded in"
        return
    over = min(max(low - y0, y1 - high, -x0) for low, high in fold.bands)
    if over > EDGE_SLACK:
        yield f"it is cut double, but stands {over:.3f} mm out of where the cloth lies double"
    if placement.on_fold:
        yield from _on_the_fold(region, fold)


def _on_the_fold(region: Polygon, fold: _Fold) -> Iterator[str]:
    """Yield why a half does not open out to a whole."""
    lines = [shapely.LineString([(a, b), (c, d)]) for a, b, c, d in fold.edges]
    if not lines:
        yield "it is a half, but there is no fold"
        return
    off = min(region.distance(line) for line in lines)
    ring = region.exterior
    # The stretch of its outline within a hair of the fold is the edge that lies there.
    touching = max(ring.intersection(line.buffer(CONGRUENT)).length for line in lines)
    if off > CONGRUENT or touching <= 4 * CONGRUENT:
        yield f"its half lies {off:.3f} mm off the fold"


def _flat(placement: Placement, region: Polygon, fold: _Fold) -> Iterator[FlatCopy]:
    """Yield the cut pieces that one placement gives."""
    m, t = placement.mirrored, placement.turned
    if placement.layers != 2:
        yield FlatCopy(placement, fold.lower(region, folded=region.bounds[0] < fold.end), m, t)
        return
    below, above = fold.lower(region, folded=True), fold.upper(region)
    if placement.on_fold:
        # Closed over the fold by the hair by which the edge may miss it; mitred, since round
        # corners would fill every narrow notch of the outline too.
        whole = shapely.union(below, above)
        for hair in (CONGRUENT, -CONGRUENT):
            whole = whole.buffer(hair, join_style="mitre", mitre_limit=_FAR)
        parts = sorted(shapely.get_parts(whole), key=lambda part: float(part.area))
        yield FlatCopy(placement, parts[-1], m, t)
        return
    yield FlatCopy(placement, below, m, t)
    if math.isfinite(t):
        yield FlatCopy(placement, above, not m, fold.turned(t), upper=True)
