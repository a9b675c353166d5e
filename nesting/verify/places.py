"""Where positions on a strip may be: domains, lattices with one offset per phase, obstacles."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from shapely import affinity

from ..model.problem import Domain, Lattice, Phase, PlacementProblem, Position
from .apart import overlap_depth
from .congruence import ring_polygon
from .findings import Finding

ROUNDS = 12
"""Steps of one lattice after which others that share its phase must have met it."""

MOST_WAYS = 256
"""Ways to share phases out among items that may lie on several, beyond which no more are tried."""


class _Unsettled(NamedTuple):
    """An item that only lattices of unknown offset can serve: these, by their phase."""

    name: str
    at: Position
    by_phase: dict[int, list[Lattice]]


def check_domains(
    problem: PlacementProblem, layout: Sequence[Position], tolerance: float
) -> Iterator[Finding]:
    """Yield items outside every domain of the shape they take, or off its lattice.

    A phase is one offset for all lattices that name it: it is read off the first item that needs
    it and asked of all others. ``tolerance`` is in the problem's unit.
    """
    unsettled: list[_Unsettled] = []
    for item, position in zip(problem.items, layout, strict=True):
        domains = item.domains or (None,) * len(item.shapes)
        own = [d for s, d in zip(item.shapes, domains, strict=True) if s == position.shape]
        within = [d for d in own if d is None or _within(d, position, tolerance)]
        if not within:
            text = f"it lies at ({position.x:.6g}, {position.y:.6g}), outside its domain"
            yield Finding("edge", text, piece=item.name)
            continue
        lattices = [d.lattice for d in within if d is not None and d.lattice is not None]
        known = [v for v in lattices if v.phase is None]
        if len(lattices) < len(within) or any(_on(v, position, (0, 0), tolerance) for v in known):
            continue
        by_phase: dict[int, list[Lattice]] = {}
        for lattice in lattices:
            if lattice.phase is not None:
                by_phase.setdefault(lattice.phase, []).append(lattice)
        unsettled.append(_Unsettled(item.name, position, by_phase))
    yield from _check_phases(problem, unsettled, tolerance)


def _check_phases(
    problem: PlacementProblem, items: list[_Unsettled], tolerance: float
) -> Iterator[Finding]:
    """Yield items that no lattice serves, whatever the offsets of phases are."""
    lost = [item for item in items if not item.by_phase]
    others = [item for item in items if item.by_phase]
    # An item mostly has one phase; where it has several, all ways to share them out are tried.
    ways = itertools.islice(itertools.product(*(item.by_phase for item in others)), MOST_WAYS)
    least: list[_Unsettled] | None = None
    for way in ways:
        off: list[_Unsettled] = []
        for phase in set(way):
            own = [item for item, chosen in zip(others, way, strict=True) if chosen == phase]
            off += _off_phase(problem.phases[phase], phase, own, tolerance)
        if least is None or len(off) < len(least):
            least = off
    for item in (*lost, *(least or ())):
        text = f"it lies at ({item.at.x:.6g}, {item.at.y:.6g}), off its lattice"
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


def _on(lattice: Lattice, at: Position, offset: tuple[float, float], tolerance: float) -> bool:
    """Tell whether a position is on a lattice moved by an offset."""
    along, across = at.x - offset[0] - lattice.x, at.y - offset[1] - lattice.y
    if lattice.step_y:
        line = round(across / lattice.step_y)
        if abs(across - line * lattice.step_y) > tolerance:
            return False
        along -= line * lattice.shear
    if not lattice.step_x:
        return True
    return abs(along - round(along / lattice.step_x) * lattice.step_x) <= tolerance


def _off_phase(
    free: Phase, phase: int, items: list[_Unsettled], tolerance: float
) -> list[_Unsettled]:
    """Return the items off their lattices with the offset that serves the most; at best none.

    Only offsets are tried that serve the first items with a lattice along or across, on whichever
    line of it they lie.
    """
    least = items
    offsets = itertools.product(_along(free, phase, items), _across(free, phase, items))
    for offset in offsets:
        off = [
            item
            for item in items
            if not any(_on(v, item.at, offset, tolerance) for v in item.by_phase[phase])
        ]
        if not off:
            return []
        least = min(least, off, key=len)
    return least


def _along(free: Phase, phase: int, items: list[_Unsettled]) -> list[float]:
    """Return the offsets along to try: those that serve some item with a lattice along."""
    found: list[float] = []
    for item in items if free.x else ():
        lattices = [v for v in item.by_phase[phase] if v.step_x]
        found += [
            item.at.x - v.x + i * v.step_x - j * v.shear
            for v in lattices
            for j in range(ROUNDS if v.shear else 1)
            for i in range(ROUNDS)
        ]
        if len(lattices) == len(item.by_phase[phase]):
            break  # one of these it has to be
    return found or [0.0]


def _across(free: Phase, phase: int, items: list[_Unsettled]) -> list[float]:
    """Return the offsets across to try: those that serve some item with a lattice across."""
    found: list[float] = []
    for item in items if free.y else ():
        lattices = [v for v in item.by_phase[phase] if v.step_y]
        found += [item.at.y - v.y - j * v.step_y for v in lattices for j in range(ROUNDS)]
        if len(lattices) == len(item.by_phase[phase]):
            break
    return found or [0.0]
