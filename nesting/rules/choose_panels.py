"""Which owned panels a lay takes: fewest first, then those that leave the largest one whole.

Three simple truths rule choices of panels out before any is tried; they hold for every lay, so
what they rule out is proven. A piece lies in one part of a panel that flaws leave clean, since it
cannot reach across a flaw, and must fit that part's box. The pieces in a part have together at
most its area. And of pieces longer than half the part all cross its middle line, along and across,
where their narrowest sections together are at most what the line has of clean cloth. OR-tools'
CP-SAT finds the best choice that these leave; one that turns out not to do is ruled out too,
with all choices within it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil, floor

import numpy as np
import shapely
from ortools.sat.python import cp_model

from ..errors import InputError
from ..geometry.rings import FloatArray
from ..geometry.sections import least_section, section_length
from ..model.plan import Cloth, Plan
from ..tolerances import SAME_POINT
from ..units import length_text
from .compile import CompiledLay, Ticket
from .panels import clean_parts
from .true_piece import TruePiece

_AREA = 100.0  # mm2 to the whole number
_WIDTH = 0.01  # mm to the whole number
_BESIDE = 1e-6  # mm to either side of a middle line, where a section may jump
_SECONDS = 5.0  # far more than the choice has ever taken


@dataclass(frozen=True, slots=True, eq=False)
class _Alike:
    """Tickets that may take the same shapes."""

    tickets: tuple[Ticket, ...]

    @property
    def ways(self) -> tuple[TruePiece, ...]:
        return tuple(choice.piece for choice in self.tickets[0].choices.values())


@dataclass(frozen=True, slots=True, eq=False)
class _Part:
    """A clean part of panel number ``panel``."""

    panel: int
    region: shapely.Polygon


class PanelChoice:
    """The choices of panels still open, best first.

    Parameters
    ----------
    plan, cloth
        The cloth has panels.
    compiled
        The pieces cut from it, each with every way it may lie on the widest.
    """

    def __init__(self, plan: Plan, cloth: Cloth, compiled: CompiledLay) -> None:
        self._numbers = range(1, len(cloth.panels) + 1)
        self._parts = [_Part(n, part) for n in self._numbers for part in clean_parts(cloth, n)]
        ordered = sorted(compiled.tickets, key=lambda ticket: sorted(ticket.choices))
        self._groups = [
            _Alike(tuple(same))
            for _, same in groupby(ordered, key=lambda ticket: sorted(ticket.choices))
        ]
        self._fits = [
            [_fitting(group.ways, part.region) for part in self._parts] for group in self._groups
        ]
        self._refused: list[frozenset[int]] = []
        self.proven = True
        self._refuse_misfits(plan, cloth)

    def best(self) -> tuple[int, ...] | None:
        """Return the best choice still open, by its panels' numbers; None where there is none."""
        model = cp_model.CpModel()
        used = {n: model.new_bool_var(f"panel {n}") for n in self._numbers}
        self._hold(model, used)
        for refused in self._refused:
            model.add(sum(used[n] for n in self._numbers if n not in refused) >= 1)
        self._prefer(model, used)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.max_time_in_seconds = _SECONDS
        status = solver.solve(model)
        if status == cp_model.UNKNOWN:
            self.proven = False
        if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
            return None
        return tuple(n for n in self._numbers if solver.boolean_value(used[n]))

    def refuse(self, numbers: Sequence[int], *, proven: bool) -> None:
        """Rule out a choice that will not do, and all within it."""
        self._refused.append(frozenset(numbers))
        self.proven = self.proven and proven

    def _hold(self, model: cp_model.CpModel, used: dict[int, cp_model.IntVar]) -> None:
        """Say of every clean part what it can hold."""
        counts = [
            [
                model.new_int_var(0, len(group.tickets) if fits[b] else 0, f"{g} on {b}")
                for b in range(len(self._parts))
            ]
            for g, (group, fits) in enumerate(zip(self._groups, self._fits, strict=True))
        ]
        for group, on in zip(self._groups, counts, strict=True):
            model.add(sum(on) == len(group.tickets))
        for b, part in enumerate(self._parts):
            here = [on[b] for on in counts]
            is_used = used[part.panel]
            areas = [
                floor(min((way.area for way in fits[b]), default=0.0) / _AREA)
                for fits in self._fits
            ]
            room = ceil(part.region.area / _AREA)
            model.add(sum(a * n for a, n in zip(areas, here, strict=True)) <= room * is_used)
            for n, group in zip(here, self._groups, strict=True):
                model.add(n <= len(group.tickets) * is_used)
            for flip in (False, True):
                self._hold_line(model, b, here, flip=flip)

    def _hold_line(
        self, model: cp_model.CpModel, b: int, here: Sequence[cp_model.IntVar], *, flip: bool
    ) -> None:
        rings = _rings(self._parts[b].region, flip=flip)
        low, high = float(rings[0][:, 0].min()), float(rings[0][:, 0].max())
        middle, half = (low + high) / 2, (high - low) / 2
        beside = section_length(rings, np.array([middle - _BESIDE, middle + _BESIDE]))
        takes = [
            floor(min((_crossing(way, half, flip=flip) for way in fits[b]), default=0.0) / _WIDTH)
            for fits in self._fits
        ]
        model.add(
            sum(t * n for t, n in zip(takes, here, strict=True)) <= ceil(beside.max() / _WIDTH)
        )

    def _prefer(self, model: cp_model.CpModel, used: dict[int, cp_model.IntVar]) -> None:
        """Fewest panels; then the largest one left whole; then the least cloth begun."""
        areas = {
            n: max((part.region.area for part in self._parts if part.panel == n), default=0.0)
            for n in self._numbers
        }
        greatest = max(areas.values())
        worth = {n: round(1000 * area / greatest) for n, area in areas.items()}
        kept = {n: model.new_bool_var(f"keep {n}") for n in self._numbers}
        for n in self._numbers:
            model.add(kept[n] + used[n] <= 1)
        model.add(sum(kept.values()) <= 1)
        begun = sum(worth[n] * used[n] for n in self._numbers)
        most = 1000 * len(self._numbers) + 1
        whole = sum(worth[n] * kept[n] for n in self._numbers)
        model.minimize(1002 * most * sum(used.values()) - most * whole + begun)

    def _refuse_misfits(self, plan: Plan, cloth: Cloth) -> None:
        """Refuse a panel that can hold no piece, and a piece that no panel can hold."""

        def tell(length: float) -> str:
            return length_text(length, plan.units)

        for n in self._numbers:
            on = [b for b, part in enumerate(self._parts) if part.panel == n]
            if not any(fits[b] for fits in self._fits for b in on):
                panel = cloth.panels[n - 1]
                size = f"{tell(panel.length)} by {tell(panel.width)}"
                raise InputError(
                    f"it is too small for any piece: none fits what is clean of {size}",
                    remedy="leave it out",
                    file=plan.path,
                    item=f"cloth {cloth.name!r}: {panel.name}",
                )
        if cloth.extra == "buy":
            return
        for group, fits in zip(self._groups, self._fits, strict=True):
            if not any(fits):
                along, across = group.ways[0].size
                raise InputError(
                    f"it is {tell(along)} along and {tell(across)} across, and no panel of "
                    f"{cloth.name!r} has so large a clean place",
                    remedy='divide the piece by a seam, or let cloth be bought: extra = "buy"',
                    file=plan.path,
                    item=f"piece {group.tickets[0].piece.name!r}",
                )


def _fitting(ways: Sequence[TruePiece], region: shapely.Polygon) -> tuple[TruePiece, ...]:
    """Return the ways in which a piece's box fits the box of a region."""
    x0, y0, x1, y1 = region.bounds
    return tuple(
        way
        for way in ways
        if way.size[0] <= x1 - x0 + SAME_POINT and way.size[1] <= y1 - y0 + SAME_POINT
    )


def _rings(region: shapely.Polygon, *, flip: bool) -> list[FloatArray]:
    oriented = shapely.orient_polygons(region)
    return _flipped(
        [np.array(ring.coords[:-1]) for ring in (oriented.exterior, *oriented.interiors)],
        flip=flip,
    )


def _flipped(rings: list[FloatArray], *, flip: bool) -> list[FloatArray]:
    """Return rings with their axes exchanged, running the same way round as before."""
    return [ring[::-1, ::-1] for ring in rings] if flip else rings


def _crossing(way: TruePiece, half: float, *, flip: bool) -> float:
    """Return the least that a piece takes of the middle line of a part, 0 where it may miss it.

    ``half`` is half the part's length; the piece begins where its box does, at 0.
    """
    rings = _flipped([way.outline, *way.cutouts], flip=flip)
    length = way.size[1 if flip else 0]
    return least_section(rings, length - half, half) if length > half + SAME_POINT else 0.0
