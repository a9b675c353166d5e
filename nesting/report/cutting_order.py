"""The order in which a careful cutter takes the pieces of a lay."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely

from ..model.layout import Lay, Placement

_LARGE: Final = 0.5
"""Share of the greatest area, or of the greatest length along the cloth, that makes a piece one
of the large ones."""


@dataclass(frozen=True, slots=True)
class CuttingPass:
    """One walk along the cloth: the pieces cut on it, in this order.

    ``double`` is True where they are cut through two layers or on a fold, ``large`` where they
    are the large pieces of their stretch; ``placements`` are indices into the lay's placements.
    """

    double: bool
    large: bool
    placements: tuple[int, ...]


def cutting_order(lay: Lay) -> tuple[int, ...]:
    """Return the indices of all placements of a lay in the order in which to cut them.

    What lies double or on a fold comes before what lies single, since the cloth is then opened
    out. Of each, the large pieces (a train, the widths of a skirt) come first, while the cloth
    is whole; then the rest. Every walk along the cloth starts at the end she stands at, so the
    small pieces are cut on the way back. Common practice.

    Returns
    -------
    tuple of int
        Each index of ``lay.placements`` exactly once; empty for a lay without any.
    """
    return tuple(index for walk in cutting_passes(lay) for index in walk.placements)


def cutting_passes(lay: Lay) -> tuple[CuttingPass, ...]:
    """Return the walks along the cloth of which :func:`cutting_order` consists, none empty."""
    walks: list[CuttingPass] = []
    stands = 0.0
    for double in (True, False):
        here = [n for n, p in enumerate(lay.placements) if lies_double(p) is double]
        great = _large_ones(lay, here)
        for large in (True, False):
            members = [n for n in here if (n in great) is large]
            if not members:
                continue
            order = _walk(lay, members, stands)
            walks.append(CuttingPass(double, large, order))
            stands = _middle(lay.placements[order[-1]])
    return tuple(walks)


def step_numbers(lay: Lay) -> dict[int, int]:
    """Return which step of the cutting list cuts each placement, in the cutting order.

    Steps count from 1; folding the cloth and opening it out are steps as well.

    Returns
    -------
    dict
        Number of the step by the index of the placement, the first to be cut first.
    """
    numbers: dict[int, int] = {}
    step, folded = 1, False
    for walk in cutting_passes(lay):
        if walk.double is not folded:
            step += 1
        folded = walk.double
        for index in walk.placements:
            numbers[index] = step
            step += 1
    return numbers


def lies_double(placement: Placement) -> bool:
    """Tell whether a piece is cut while the cloth is folded: through two layers, or on a fold."""
    return placement.layers > 1 or placement.on_fold


def _large_ones(lay: Lay, indices: Sequence[int]) -> set[int]:
    if not indices:
        return set()
    areas = {n: float(shapely.Polygon(lay.placements[n].outline).area) for n in indices}
    lengths = {n: float(np.ptp(lay.placements[n].outline[:, 0])) for n in indices}
    area, length = max(areas.values()), max(lengths.values())
    return {n for n in indices if areas[n] >= _LARGE * area or lengths[n] >= _LARGE * length}


def _walk(lay: Lay, indices: Sequence[int], stands: float) -> tuple[int, ...]:
    """Return pieces along the cloth, from whichever end of them is nearer to where she stands."""

    def nearer(n: int) -> tuple[float, float, int]:
        corner = lay.placements[n].outline.min(axis=0)
        return float(corner[0]), float(corner[1]), n

    def farther(n: int) -> tuple[float, float, int]:
        corner = lay.placements[n].outline.max(axis=0)
        return -float(corner[0]), -float(corner[1]), n

    start = min(nearer(n)[0] for n in indices)
    end = max(-farther(n)[0] for n in indices)
    return tuple(sorted(indices, key=nearer if stands <= (start + end) / 2 else farther))


def _middle(placement: Placement) -> float:
    return float(placement.outline[:, 0].min() + placement.outline[:, 0].max()) / 2
