"""Unknown offsets of the design, gathered into the phases of the placement problem."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ..model.plan import Axis
from ..model.problem import Phase

Unknown = tuple[Axis, int]
"""An axis, "along" or "across", and the place of the design whose offset there is unknown."""


class TangledError(ValueError):
    """One piece would need the offsets of two phases."""


def number_phases(
    pieces: Iterable[set[Unknown]],
) -> tuple[Mapping[Unknown, int], tuple[Phase, ...]]:
    """Return the phase that each unknown offset is a part of, and all phases.

    A piece depends on one phase only, so what one piece depends on comes together.

    Raises
    ------
    TangledError
        If two offsets along, or two across, would come together.
    """
    groups: list[set[Unknown]] = []
    for unknown in pieces:
        if unknown:
            met = [group for group in groups if group & unknown]
            groups = [group for group in groups if not group & unknown]
            groups.append(unknown.union(*met))
    for group in groups:
        axes = [axis for axis, _ in group]
        if len(axes) > len(set(axes)):
            raise TangledError
    numbers = {unknown: n for n, group in enumerate(groups) for unknown in group}
    phases = tuple(
        Phase(
            x=any(axis == "along" for axis, _ in group),
            y=any(axis == "across" for axis, _ in group),
        )
        for group in groups
    )
    return numbers, phases
