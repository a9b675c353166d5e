"""From the engine's positions on folded cloth back to a lay in garment terms."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry.empty_rectangle import Rectangle, largest_empty_rectangle
from ..geometry.rings import Point, bounds
from ..model.layout import LaidFold, Lay, Placement
from ..model.result import Result
from .bound import least_length
from .compile import CompiledLay
from .fold import Folding
from .fold_compile import FoldedLay
from .purchase import buy
from .to_layout import lay_status, place


def folded_lay_from(job: FoldedLay, results: Sequence[Result], proven: float = 0.0) -> Lay:
    """Return the lay that positions on folded cloth stand for.

    Parameters
    ----------
    job
        The problems solved.
    results
        One for each of ``job.stretches``.
    proven
        A length, in millimetres, that every lay of the true outlines on this cloth has, folded
        or open: a folded lay opened out is an open one.

    Returns
    -------
    Lay
        Placements as they lie, in the coordinates of the lower layer: x from the squared cut
        end (a crosswise fold: from the fold), y from the near edge of the folded cloth; those
        behind the folded stretch from the near selvage. Its length is the cloth it takes, both
        layers of a crosswise fold counted.
    """
    cloth, folding = job.whole.cloth, job.folding
    inside = _folded(job, results[0])
    end = max(bounds(p.outline)[2] for p in inside)
    behind: tuple[Placement, ...] = ()
    far = end
    if job.opened is not None:
        margin = cloth.gap / 2
        start = min(bounds(p.outline)[0] for p in _placed(job.opened, results[1], 0.0, margin))
        behind = _placed(job.opened, results[1], start - end - cloth.gap, margin)
        far = max(bounds(p.outline)[2] for p in behind)
    length = far + (folding.takes - 1.0) * end
    minimum = min(max(proven, least_length(job.whole)), length)
    status, reason = lay_status(job.whole, length, minimum)
    placements = inside + behind
    return Lay(
        cloth=cloth.name,
        usable_width=cloth.usable_width,
        length=length,
        status=status,
        proven_minimum=minimum,
        utilisation=_area(job, results) / (cloth.usable_width * length),
        buy=buy(cloth, length),
        placements=placements,
        cloth_width=cloth.usable_width + 2 * cloth.selvage,
        selvage=cloth.selvage,
        nap=cloth.nap,
        fold=folding.kind,
        layers=2,
        reason=reason,
        folding=_laid_fold(folding, end, opened=job.opened is not None),
        leftover=None if reason else _leftover(folding, inside, behind, end, far),
    )


def _folded(job: FoldedLay, result: Result) -> tuple[Placement, ...]:
    """Return the placements of the folded stretch; without a fold across they start at 0."""
    dx, dy = job.margin
    placed = _placed(job.folded, result, dx, dy)
    if job.folding.kind == "crosswise" and not job.folding.cut:
        return placed
    start = min(bounds(placement.outline)[0] for placement in placed)
    return _placed(job.folded, result, dx + start, dy)


def _placed(compiled: CompiledLay, result: Result, dx: float, dy: float) -> tuple[Placement, ...]:
    """Return a stretch's placements, moved back from the engine's positions by (dx, dy)."""
    return tuple(
        place(ticket, position, dx, dy)
        for ticket, position in zip(compiled.tickets, result.layout, strict=True)
    )


def _area(job: FoldedLay, results: Sequence[Result]) -> float:
    """Return the cloth all cut pieces cover, mm2: what is cut double or on a fold, twice."""
    return sum(
        ticket.layers * ticket.choices[position.shape].piece.area
        for stretch, result in zip(job.stretches, results, strict=True)
        for ticket, position in zip(stretch.tickets, result.layout, strict=True)
    )


def _laid_fold(folding: Folding, end: float, *, opened: bool) -> LaidFold:
    edges: list[tuple[Point, Point]] = []
    for line in folding.lines:
        if line.inward[0]:
            edges.append(((line.at, 0.0), (line.at, folding.width)))
        else:
            edges.append(((0.0, line.at), (end, line.at)))
    double = tuple((0.0, low, end, high) for low, high in folding.double)
    return LaidFold(folding.kind, tuple(edges), double, end if opened else None)


def _leftover(
    folding: Folding,
    inside: Sequence[Placement],
    behind: Sequence[Placement],
    end: float,
    far: float,
) -> Rectangle | None:
    """Return the largest clean rectangle, of the lower layer or of the opened stretch."""

    def largest(
        placements: Sequence[Placement], width: float, start: float, stop: float
    ) -> Rectangle:
        back = np.array([start, 0.0])
        rings = [ring - back for p in placements for ring in (p.outline, *p.cutouts)]
        x0, y0, x1, y1 = largest_empty_rectangle(rings, width, stop - start)
        return x0 + start, y0, x1 + start, y1

    found = [largest(inside, folding.width, 0.0, end)]
    if behind:
        found.append(largest(behind, folding.usable, end, far))
    x0, y0, x1, y1 = max(found, key=lambda r: (r[2] - r[0]) * (r[3] - r[1]))
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None
