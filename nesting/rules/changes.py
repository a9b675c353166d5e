"""Single changes that would help where flaws cost cloth: one a little further on, or hidden."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from ..geometry.rings import as_points
from ..model.layout import Lay
from ..model.plan import Cloth, Flaw, Plan
from ..units import length_text
from .flaws import net_rings
from .relaxed import with_cloth
from .true_piece import cut_piece

FURTHER = 50.0
"""How much further on a flaw is tried, in mm of the cloth as bought."""

MOST = 6
"""Most flaws, nearest to the cut end first, for which changes are tried."""


def helpful_changes(plan: Plan, cloth: Cloth, length: float) -> Mapping[str, Plan]:
    """Return the plan with each single change that may make a lay of this length shorter.

    The keys say in the trade's words what is changed. Flaws beyond the lay change nothing;
    a flaw is allowed to be hidden only where some piece has an allowance.
    """
    near = sorted(
        (flaw for flaw in cloth.flaws if flaw.outline[:, 0].min() < length),
        key=lambda flaw: float(flaw.outline[:, 0].min()),
    )[:MOST]
    hemmed = any(net_rings(cut_piece(piece)) for piece in plan.pieces_on(cloth.name))
    found = {}
    for flaw in near:
        for words, changed in _changes(plan, cloth, flaw, hemmed=hemmed):
            flaws = tuple(changed if one is flaw else one for one in cloth.flaws)
            found[words] = with_cloth(plan, replace(cloth, flaws=flaws))
    return found


def _changes(plan: Plan, cloth: Cloth, flaw: Flaw, *, hemmed: bool) -> Iterator[tuple[str, Flaw]]:
    kept = 1.0 - cloth.shrink_along
    start = length_text(float(flaw.outline[:, 0].min()) / kept, plan.units)
    name = f"the {flaw.kind or 'flaw'} that begins {start} along"
    moved = as_points(flaw.outline + np.array([FURTHER * kept, 0.0]))
    if cloth.length is None or moved[:, 0].max() <= cloth.length * kept:
        yield (
            f"{name} lay {length_text(FURTHER, plan.units)} further on",
            replace(flaw, outline=moved),
        )
    if hemmed and flaw.hide == "no":
        yield f"an allowance might hide {name}", replace(flaw, hide="allowance")


def best_change(lay: Lay, shorter: Mapping[str, float], units: str) -> tuple[str, ...]:
    """Say which single change would make a lay shortest."""
    if not shorter:
        return ()
    words = min(shorter, key=lambda change: shorter[change])
    now, then = length_text(lay.length, units), length_text(shorter[words], units)
    return (f"what would help most: if {words}, the lay would take {then} instead of {now}",)
