"""Where positions on a strip may be: domains, lattices with one offset per phase, obstacles."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely import affinity

from ..model.problem import Domain, Lattice, PlacementProblem, Position
from .apart import overlap_depth
from .congruence import ring_polygon
from .findings import Finding

ROUNDS_ALONG, ROUNDS_ACROSS = 24, 4
"""Steps of one lattice, along and across, after which others that share its phase have met it."""


def check_domains(
    problem: PlacementProblem, layout: Sequence[Position], tolerance: float
) -> Iterator[Finding]:
    """Yield items outside every domain of the shape they take, or off its lattice.

    A phase is one offset for all lattices that name it: it is read off the first item that
    needs it and asked of all others. ``tolerance`` is in the problem's unit.
    """
    open_to: list[list[Lattice | None]] = []
    for item, position in zip(problem.items, layout, strict=True):
        domains = item.domains or (None,) * len(item.shapes)
        own = [d for s, d in zip(item.shapes, domains, strict=True) if s == position.shape]
        within = [d for d in own if d is None or _within(d, position, tolerance)]
        if not within:
            text = f"it lies at ({position.x:.6g}, {position.y:.6g}), outside its domain"
            yield Finding("edge", text, piece=item.name)
            within = [None]
        open_to.append([None if d is None else d.lattice for d in within])
    offsets = {
        phase: _offset(problem, phase, layout, open_to, tolerance)
        for phase in range(len(problem.phases))
    }
    for item, position, lattices in zip(problem.items, layout, open_to, strict=True):
        if not any(_meets(lattice, position, offsets, tolerance) for lattice in lattices):
            text = f"it lies at ({position.x:.6g}, {position.y:.6g}), off its lattice"
            yield Finding("design", text, piece=item.name)


def check_obstacles(
    problem: PlacementProblem, layout: Sequence[Position], tolerance: float
) -> Iterator[Finding]:
    """Yield items that cover an obstacle deeper than ``tolerance``, with what counts of them."""
    for k, obstacle in enumerate(problem.obstacles):
        fixed = ring_polygon(obstacle.shape.outer, obstacle.shape.holes)
        for i, (item, position) in enumerate(zip(problem.items, layout, strict=True)):
            if i in obstacle.spares:
                continue
            shape = problem.shapes[position.shape]
            if obstacle.inner and shape.inner is not None:
                shape = shape.inner
            region = ring_polygon(shape.outer, shape.holes)
            shared = affinity.translate(region, position.x, position.y).intersection(fixed)
            if not shared.buffer(-tolerance / 2).is_empty:
                text = f"it covers obstacle {k} by {overlap_depth(shared):.4g}"
                yield Finding("flaw", text, piece=item.name, copy=i)


def _within(domain: Domain, at: Position, tolerance: float) -> bool:
    return (
        domain.x[0] - tolerance <= at.x <= domain.x[1] + tolerance
        and domain.y[0] - tolerance <= at.y <= domain.y[1] + tolerance
    )


def _meets(
    lattice: Lattice | None,
    at: Position,
    offsets: dict[int, tuple[float, float]],
    tolerance: float,
) -> bool:
    """Tell whether a position is on a lattice, the phases being settled."""
    if lattice is None:
        return True
    offset = (0.0, 0.0) if lattice.phase is None else offsets[lattice.phase]
    return _on(lattice, at.x - offset[0], at.y - offset[1], tolerance)


def _on(lattice: Lattice, x: float, y: float, tolerance: float) -> bool:
    along, across = x - lattice.x, y - lattice.y
    if lattice.step_y:
        line = round(across / lattice.step_y)
        if abs(across - line * lattice.step_y) > tolerance:
            return False
        along -= line * lattice.shear
    if not lattice.step_x:
        return True
    return abs(along - round(along / lattice.step_x) * lattice.step_x) <= tolerance


def _offset(
    problem: PlacementProblem,
    phase: int,
    layout: Sequence[Position],
    open_to: Sequence[Sequence[Lattice | None]],
    tolerance: float,
) -> tuple[float, float]:
    """Return an offset of a phase that puts all its items on their lattices, if one is found."""
    needed: list[tuple[Position, list[Lattice]]] = []
    for at, lattices in zip(layout, open_to, strict=True):
        own = [v for v in lattices if v is not None and v.phase == phase]
        if own and len(own) == len(lattices):
            needed.append((at, own))
    if not needed:
        return 0.0, 0.0
    first, lattices = needed[0]
    free = problem.phases[phase]
    for lattice in lattices:
        along = (first.x - lattice.x) if free.x else 0.0
        across = (first.y - lattice.y) if free.y else 0.0
        for j in range(ROUNDS_ACROSS if free.y else 1):
            for i in range(ROUNDS_ALONG if free.x else 1):
                offset = (
                    along + i * lattice.step_x + j * lattice.shear if free.x else 0.0,
                    across + j * lattice.step_y,
                )
                if all(
                    any(_on(v, at.x - offset[0], at.y - offset[1], tolerance) for v in own)
                    for at, own in needed
                ):
                    return offset
    return (
        (first.x - lattices[0].x) if free.x else 0.0,
        (first.y - lattices[0].y) if free.y else 0.0,
    )
