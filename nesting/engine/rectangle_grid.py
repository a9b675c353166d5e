"""A problem of rectangles on whole numbers.

Where all sides are multiples of one length, some shortest layout has all its corners on that
grid: push every piece towards the cut end and the lower edge until it meets another, and its
coordinates become sums of sides (normal patterns: Herz 1972, Christofides and Whitlock 1977). The
same holds with obstacles, domains and lattices, of known or unknown offset, as long as what can
keep a piece from going on lies on the grid too: the far edges of obstacles, the near ends of
domains, the points and steps of lattices. For once it is settled what meets what, and on which
place of its lattice each piece lies, all that is left are least differences of coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ..geometry.rings import FloatArray
from ..model.problem import Domain, Obstacle, PlacementProblem, Shape
from .scaled import ScaledProblem

ON_GRID = 1e-9
"""Share of the largest figure by which one may miss its multiple of the grid; what is proven is
reduced by it."""

FINEST = 20_000
"""Most grid steps in the width or in a side."""

FAR = 10 * FINEST
"""Most grid steps in any other figure."""

MOST_ITEMS = 80
"""Rectangles beyond which a proof is not worth its time."""

FLOOR = 1e-6
"""Share of a step by which a figure may miss the grid where it is rounded down."""


@dataclass(frozen=True, slots=True)
class GridLattice:
    """A lattice of corners in grid steps, as ``model.problem.Lattice`` is one of positions."""

    x: int
    y: int
    step_x: int
    step_y: int
    shear: int
    phase: int | None


@dataclass(frozen=True, slots=True)
class Lie:
    """One way a rectangle may lie: the distinct shape, and its sides in grid steps.

    ``x`` and ``y`` are the least and greatest coordinates of its corner nearest the origin, the
    greatest None without a limit; ``inner`` the inner rectangle (least x, least y, greatest x,
    greatest y) from that corner, where it is not the whole; ``bound`` the obstacles it avoids.
    """

    shape: int
    along: int
    across: int
    x: tuple[int, int | None] = (0, None)
    y: tuple[int, int | None] = (0, None)
    lattice: GridLattice | None = None
    inner: tuple[int, int, int, int] | None = None
    bound: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class GridObstacle:
    """An obstacle's box in grid steps; its near edges may be off the grid, and are rounded down.

    They only stop what ends there, which is on the grid.
    """

    x0: int
    y0: int
    x1: int
    y1: int
    inner: bool


@dataclass(frozen=True, slots=True)
class Grid:
    """A problem of rectangles on whole numbers.

    ``unit`` is one step in the problem's unit; ``width`` the strip's in steps, rounded down, on an
    empty strip to a sum of sides; ``lies[i]`` the ways item i may lie. ``sure`` is the share of a
    length in steps that is proven of the true rectangles. For each phase ``origins`` holds what
    is taken from its offset in the problem's unit before it is counted in steps, and ``free``
    along which axes it is unknown.
    """

    unit: float
    sure: float
    width: int
    lies: tuple[tuple[Lie, ...], ...]
    obstacles: tuple[GridObstacle, ...] = ()
    origins: tuple[tuple[float, float], ...] = ()
    free: tuple[tuple[bool, bool], ...] = ()


def grid_of(scaled: ScaledProblem) -> Grid | None:
    """Return the problem on a grid; None where it is not one of rectangles with a common grid."""
    problem = scaled.problem
    if len(problem.items) > MOST_ITEMS:
        return None
    used = sorted({s for item in problem.items for s in item.shapes})
    if not all(_is_rectangle(problem.shapes[s]) for s in used):
        return None
    sides = np.array([_sides(problem.shapes[s]) for s in used])
    if not problem.is_free:
        return _bound_grid(scaled, sides)
    unit = _common_unit(sides.ravel())
    if unit is None or problem.width > FINEST * unit:
        return None
    steps = np.rint(sides / unit)
    sure = 1.0 - ON_GRID - float(((steps * unit - sides) / sides).max())
    # Rectangles at most this much smaller than the grid's fit a width this much smaller.
    width = math.floor(problem.width / unit / sure)
    lies = tuple(_free_lies(scaled, i, unit, width) for i in range(len(problem.items)))
    return Grid(unit, sure, max(sums([{lie.across for lie in own} for own in lies], width)), lies)


def sums(sides: list[set[int]], most: int) -> list[int]:
    """Return all sums of at most one side of each set, up to a limit."""
    reached, limit = 1, (1 << (most + 1)) - 1
    for choice in sides:
        before = reached
        for side in choice:
            reached |= before << side
        reached &= limit
    return [k for k in range(most + 1) if reached >> k & 1]


def _free_lies(scaled: ScaledProblem, i: int, unit: float, width: int) -> tuple[Lie, ...]:
    """Return the different ways item i may lie within the width."""
    found: dict[tuple[int, int], Lie] = {}
    for k, s in zip(scaled.problem.items[i].shapes, scaled.lies[i], strict=True):
        along, across = (round(side / unit) for side in _sides(scaled.problem.shapes[k]))
        if across <= width and s >= 0:
            found.setdefault((along, across), Lie(s, along, across))
    return tuple(found.values())


def _is_rectangle(shape: Shape) -> bool:
    along, across = _sides(shape)
    return not shape.holes and abs(shape.area - along * across) <= ON_GRID * along * across


def _sides(shape: Shape) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = shape.box
    return high_x - low_x, high_y - low_y


def _common_unit(sides: FloatArray, finest: int = FINEST) -> float | None:
    """Return the greatest length all sides are multiples of (Euclid's algorithm), if any."""
    largest = float(sides.max())
    near = 100.0 * ON_GRID * largest
    unit = 0.0
    for side in sorted(set(sides.tolist())):
        a, b = side, unit
        while b > near:
            rest = a % b
            a, b = b, 0.0 if b - rest <= near else rest
        unit = a
    count = round(largest / unit)
    if not 1 <= count <= finest:
        return None
    unit = largest / count
    missed = np.abs(sides - np.rint(sides / unit) * unit).max()
    return unit if missed <= ON_GRID * largest else None


# ---------------------------------------------------------------- obstacles, domains, lattices


def _bound_grid(scaled: ScaledProblem, sides: FloatArray) -> Grid | None:
    """Return a problem with obstacles, domains or lattices on a grid; None without one."""
    problem = scaled.problem
    inner = [s.inner for s in problem.shapes if s.inner is not None]
    if not all(_is_rectangle(shape) for shape in (*inner, *(o.shape for o in problem.obstacles))):
        return None
    origins = _origins(problem)
    figures = np.abs(np.array([*sides.ravel(), *_figures(problem, origins)]))
    figures = figures[figures > 100.0 * ON_GRID * figures.max()]
    unit = _common_unit(figures, FAR)
    if unit is None or max(problem.width, float(sides.max())) > FINEST * unit:
        return None
    missed = float(np.abs(figures - np.rint(figures / unit) * unit).max())
    # A coordinate is a sum of a few figures for each thing that stands before it.
    terms = 4 * (len(problem.items) + len(problem.obstacles))
    sure = 1.0 - ON_GRID - terms * missed / float(sides.min())
    width = _down(problem.width / unit)
    lies = tuple(_bound_lies(scaled, i, unit, origins) for i in range(len(problem.items)))
    return Grid(
        unit,
        sure,
        width,
        lies,
        tuple(_grid_obstacle(obstacle, unit, width) for obstacle in problem.obstacles),
        origins,
        tuple((phase.x, phase.y) for phase in problem.phases),
    )


def _domains(problem: PlacementProblem) -> Iterator[tuple[Shape, Domain]]:
    for item in problem.items:
        for s, domain in zip(item.shapes, item.domains, strict=False):
            if domain is not None:
                yield problem.shapes[s], domain


def _origins(problem: PlacementProblem) -> tuple[tuple[float, float], ...]:
    """Return for each phase where its first lattice has its corner, along the free axes."""
    found = [(0.0, 0.0)] * len(problem.phases)
    known: set[int] = set()
    for shape, domain in _domains(problem):
        lattice = domain.lattice
        if lattice is None or lattice.phase is None or lattice.phase in known:
            continue
        known.add(lattice.phase)
        phase = problem.phases[lattice.phase]
        x, y = lattice.x + shape.box[0], lattice.y + shape.box[1]
        found[lattice.phase] = (x if phase.x else 0.0, y if phase.y else 0.0)
    return tuple(found)


def _figures(
    problem: PlacementProblem, origins: tuple[tuple[float, float], ...]
) -> Iterator[float]:
    """Yield all figures besides sides that have to lie on the grid."""
    for obstacle in problem.obstacles:
        _x0, _y0, x1, y1 = obstacle.shape.box
        yield x1
        if y1 < problem.width:
            yield y1
    for shape in problem.shapes:
        if shape.inner is not None:
            yield from (a - b for a, b in zip(shape.inner.box, shape.box[:2] * 2, strict=True))
    for shape, domain in _domains(problem):
        corner = shape.box[:2]
        for (low, _high), at in zip((domain.x, domain.y), corner, strict=True):
            if low + at > 0.0:
                yield low + at
        lattice = domain.lattice
        if lattice is not None:
            origin = (0.0, 0.0) if lattice.phase is None else origins[lattice.phase]
            yield from (lattice.step_x, lattice.step_y, lattice.shear)
            if lattice.step_x:
                yield lattice.x + corner[0] - origin[0]
            if lattice.step_y:
                yield lattice.y + corner[1] - origin[1]


def _bound_lies(
    scaled: ScaledProblem, i: int, unit: float, origins: tuple[tuple[float, float], ...]
) -> tuple[Lie, ...]:
    """Return the different ways item i may lie."""
    problem, item = scaled.problem, scaled.problem.items[i]
    found: dict[tuple[object, ...], Lie] = {}
    domains = item.domains or (None,) * len(item.shapes)
    for k, s, domain in zip(item.shapes, scaled.lies[i], domains, strict=True):
        if s < 0:
            continue
        shape = problem.shapes[k]
        along, across = (round(side / unit) for side in _sides(shape))
        corner = shape.box[:2]
        place = Domain() if domain is None else domain
        x, y = (_ends(ends, at, unit) for ends, at in zip((place.x, place.y), corner, strict=True))
        lie = Lie(
            s, along, across, x, y, _grid_lattice(place, corner, unit, origins),
            _inner(shape, unit), scaled.kinds[s].bound,
        )  # fmt: skip
        found.setdefault((along, across, x, y, lie.lattice, lie.inner), lie)
    return tuple(found.values())


def _ends(ends: tuple[float, float], corner: float, unit: float) -> tuple[int, int | None]:
    low = max(0.0, ends[0] + corner)
    high = ends[1] + corner
    return round(low / unit), None if math.isinf(high) else _down(high / unit)


def _grid_lattice(
    domain: Domain,
    corner: tuple[float, ...],
    unit: float,
    origins: tuple[tuple[float, float], ...],
) -> GridLattice | None:
    lattice = domain.lattice
    if lattice is None:
        return None
    origin = (0.0, 0.0) if lattice.phase is None else origins[lattice.phase]
    x = lattice.x + corner[0] - origin[0] if lattice.step_x else 0.0
    y = lattice.y + corner[1] - origin[1] if lattice.step_y else 0.0
    figures = (x, y, lattice.step_x, lattice.step_y, lattice.shear)
    steps = [round(figure / unit) for figure in figures]
    return GridLattice(steps[0], steps[1], steps[2], steps[3], steps[4], lattice.phase)


def _inner(shape: Shape, unit: float) -> tuple[int, int, int, int] | None:
    if shape.inner is None:
        return None
    x, y = shape.box[:2]
    x0, y0, x1, y1 = shape.inner.box
    return (
        round((x0 - x) / unit),
        round((y0 - y) / unit),
        round((x1 - x) / unit),
        round((y1 - y) / unit),
    )


def _grid_obstacle(obstacle: Obstacle, unit: float, width: int) -> GridObstacle:
    x0, y0, x1, y1 = obstacle.shape.box
    far = width + 1 if y1 / unit > width + FLOOR else round(y1 / unit)
    return GridObstacle(
        _down(max(x0, 0.0) / unit),
        _down(max(y0, 0.0) / unit),
        max(0, round(x1 / unit)),
        max(0, far),
        obstacle.inner,
    )


def _down(steps: float) -> int:
    return math.floor(steps + FLOOR)
