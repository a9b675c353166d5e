"""No-fit polygons of all pairs of shapes, laid out flat for the kernels."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import NamedTuple

import numpy as np

from ..geometry.compiled import inner_kernel, lent
from ..geometry.convex import IntArray
from ..geometry.nofit import no_fit_polygon
from ..geometry.rings import FloatArray
from .grids import GRID, EdgeArray, Grids, RunArray, join_grids, make_grids
from .grounds import Ground
from .scaled import ScaledProblem, ScaledShape, images

BLOCK = 64
"""No-fit polygons worked out between two looks at the clock."""

MOST_KNOWN = 2000
"""No-fit polygons kept for problems to come; a few kilobytes each."""

_TURNS = ((1, 1), (-1, -1), (1, -1), (-1, 1))
"""Signs of x and y that leave a shape as it is, turn it by 180 degrees, or reflect it."""


class PairTables(NamedTuple):
    """What the kernels know of the shapes and their pairs.

    ``half[s]`` is half the width and height of shape s. ``pair[t, s]``, for a fixed shape t and
    a moving shape s, holds on one cache line what rules most pairs out and what is needed of
    the others: the box of their no-fit polygon (least x, least y, greatest x, greatest y), how
    many cells make one unit of x and of y, negative where the polygon listed is the reflection
    of this one along that axis, and the numbers of its first cell and first edge; the box is
    empty where the two may overlap. Cells and edges are those of ``Grids``.

    ``ground[s]`` holds the shape's ``Ground``, but for its phase the entry of a layout whose
    place moves the lattice, -1 for none. (One array, since kernels pass on all of them.)
    """

    pair: FloatArray
    half: FloatArray
    ground: FloatArray
    edges: EdgeArray
    first_edge: IntArray
    cells: IntArray
    runs: RunArray


@inner_kernel
def lent_tables(tables: PairTables) -> PairTables:
    """Return tables of the same arrays, lent."""
    return PairTables(
        lent(tables.pair),
        lent(tables.half),
        lent(tables.ground),
        lent(tables.edges),
        lent(tables.first_edge),
        lent(tables.cells),
        lent(tables.runs),
    )


class KnownPairs:
    """No-fit polygons with their grids, kept from one problem to the next that has like shapes.

    They are the same however often they are worked out; this only saves the time. The oldest
    ones give way to new ones.
    """

    def __init__(self) -> None:
        self._grids: dict[bytes, Grids] = {}

    def grids(self, fixed: ScaledShape, moving: ScaledShape) -> Grids:
        """Return the no-fit polygon of one pair, worked out at its first time."""
        key = _bytes(fixed) + b"#" + _bytes(moving)
        found = self._grids.get(key)
        if found is None:
            found = self._grids[key] = make_grids([no_fit_polygon(fixed, moving)])
            if len(self._grids) > MOST_KNOWN:
                self._grids.pop(next(iter(self._grids)), None)
        return found


def _bytes(shape: ScaledShape) -> bytes:
    return b"|".join(ring.tobytes() for ring in shape.rings)


class _Plan(NamedTuple):
    """Which pairs to work out, and which polygon with which signs serves each pair."""

    pairs: list[tuple[int, int]]
    polygon: IntArray
    sign: FloatArray


def build_tables(
    scaled: ScaledProblem,
    *,
    workers: int = 1,
    look: Callable[[], None] | None = None,
    known: KnownPairs | None = None,
) -> PairTables:
    """Compute the no-fit polygons of all pairs of shapes and their grids.

    Parameters
    ----------
    workers
        Threads; the tables do not depend on their number. Only the grids gain by more than one,
        since the clipping library holds the interpreter's lock.
    look
        Called now and then; what it raises ends the work.
    known
        What was worked out for other problems, and is kept for the next.
    """
    shapes = scaled.polygons
    meeting = _meeting(scaled)
    plan = _plan(shapes, meeting)

    def work(pairs: list[tuple[int, int]]) -> Grids:
        if look is not None:
            look()
        if known is not None:
            return join_grids([known.grids(shapes[t], shapes[s]) for t, s in pairs])
        return make_grids([no_fit_polygon(shapes[t], shapes[s]) for t, s in pairs])

    with ThreadPoolExecutor(workers) as pool:
        tasks = [
            pool.submit(work, plan.pairs[k : k + BLOCK]) for k in range(0, len(plan.pairs), BLOCK)
        ]
        try:
            blocks = [task.result() for task in tasks]
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    del tasks  # they would hold the blocks
    grids = join_grids(blocks)
    return PairTables(
        _pair_rows(plan, meeting, grids),
        np.array([shape.half for shape in scaled.shapes], dtype=np.float64),
        _grounds(scaled),
        grids.edges,
        grids.first_edge,
        grids.cells,
        grids.runs,
    )


def _grounds(scaled: ScaledProblem) -> FloatArray:
    """Return the ground of every shape on one row each.

    Obstacles have none; a mark's has no ends along the free axes of its phase.
    """
    rows = np.zeros((len(scaled.shapes), len(Ground._fields)))
    rows[:, -1] = -1.0
    for s, kind in enumerate(scaled.kinds):
        rows[s] = kind.ground
        if kind.ground.phase >= 0:
            rows[s, -1] += scaled.first_mark
    for p, phase in enumerate(scaled.problem.phases, len(rows) - len(scaled.problem.phases)):
        rows[p, :2] = (-np.inf, np.inf) if phase.x else (0.0, 0.0)
        rows[p, 2:4] = (-np.inf, np.inf) if phase.y else (0.0, 0.0)
    return rows


def _meeting(scaled: ScaledProblem) -> IntArray:
    """Return which polygons keep two shapes apart: for each pair the fixed and the moving one.

    Shape (shapes, shapes, 2); -1 where nothing keeps them apart.
    """
    kinds, items, every = scaled.kinds, len(scaled.kinds), len(scaled.shapes)
    polygon = np.array([kind.polygon for kind in kinds], dtype=np.int64)
    meeting = np.full((every, every, 2), -1, dtype=np.int64)
    meeting[:items, :items, 0] = polygon[:, None]
    meeting[:items, :items, 1] = polygon[None, :]
    for k, (own, obstacle) in enumerate(
        zip(scaled.obstacles, scaled.problem.obstacles, strict=True)
    ):
        for s, kind in enumerate(kinds):
            if k in kind.bound:
                other = kind.inner if obstacle.inner else kind.polygon
                meeting[items + k, s] = own, other
                meeting[s, items + k] = other, own
    return meeting


def _plan(shapes: tuple[ScaledShape, ...], meeting: IntArray) -> _Plan:
    """Choose pairs so that each no-fit polygon is worked out only once.

    nfp(s, t) = -nfp(t, s), and turning or reflecting both shapes does the same to nfp(t, s).
    """
    n = len(shapes)
    polygon = np.full((n, n), -1, dtype=np.int64)
    sign = np.ones((n, n, 2))
    turned = images(shapes, _TURNS)
    wanted = np.zeros((n, n), dtype=np.bool_)
    kept_apart = meeting[meeting[..., 0] >= 0]
    wanted[kept_apart[:, 0], kept_apart[:, 1]] = True
    pairs: list[tuple[int, int]] = []
    for t, s in np.argwhere(wanted).tolist():
        if polygon[t, s] >= 0:
            continue
        for (x, y), image in zip(_TURNS, turned, strict=True):
            for fixed, moving, factor in ((image[t], image[s], 1), (image[s], image[t], -1)):
                if fixed >= 0 and moving >= 0 and polygon[fixed, moving] < 0:
                    polygon[fixed, moving] = len(pairs)
                    sign[fixed, moving] = factor * x, factor * y
        pairs.append((t, s))
    assert (polygon[wanted] >= 0).all()  # noqa: S101 - a pair left out would pass for parted
    return _Plan(pairs, polygon, sign)


def _pair_rows(plan: _Plan, meeting: IntArray, grids: Grids) -> FloatArray:
    """Gather what is asked of every ordered pair of shapes on one row each."""
    fixed, moving = meeting[..., 0], meeting[..., 1]
    polygon, sign = plan.polygon[fixed, moving], plan.sign[fixed, moving]
    pair = np.empty((*polygon.shape, 8))
    box = grids.box[polygon]
    cells_per_unit = GRID / np.maximum(box[..., 2:] - box[..., :2], 1.0)
    negated = sign < 0
    pair[..., 0:2] = np.where(negated, -box[..., 2:], box[..., :2])
    pair[..., 2:4] = np.where(negated, -box[..., :2], box[..., 2:])
    pair[..., 4:6] = sign * cells_per_unit
    pair[..., 6] = polygon * (GRID * GRID)
    pair[..., 7] = grids.first_edge[polygon]
    pair[fixed < 0] = (np.inf, np.inf, -np.inf, -np.inf, 1.0, 1.0, 0.0, 0.0)
    return pair
