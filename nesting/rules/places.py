"""Whether the design leaves every piece a place across the cloth at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import floor, inf
from typing import NamedTuple

from ..errors import InputError
from ..model.plan import Cloth, Plan
from ..model.problem import Domain, PlacementProblem, Shape
from ..tolerances import SAME_POINT


class _Room(NamedTuple):
    """Positions across open to a shape: from ``low`` to ``high``, on every step from ``start``."""

    low: float
    high: float
    start: float = 0.0
    step: float = 0.0

    def holds(self, offset: float) -> bool:
        """Tell whether there is a place when the lattice is moved by an offset."""
        if not self.step:
            return self.low <= self.high + SAME_POINT
        last = floor((self.high + SAME_POINT - self.start - offset) / self.step)
        return self.start + offset + last * self.step >= self.low - SAME_POINT


def refuse_without_place(plan: Plan, cloth: Cloth, problem: PlacementProblem) -> None:
    """Refuse a cloth on which some piece, or some pieces together, have no place across.

    Raises
    ------
    InputError
        Naming the pieces.
    """
    for item in problem.items:
        if item.domains and not any(
            room.holds(offset)
            for room, phase in _rooms(problem, item.shapes, item.domains)
            for offset in ((0.0,) if phase is None else _offsets([room]))
        ):
            raise InputError(
                f"no place of the design lies where {item.name!r} fits between the selvages of "
                f"{cloth.name!r}",
                remedy="place another point of it, leave it free across, or check repeat.offset",
                file=plan.path,
                item=f"piece {item.name!r}",
            )
    for number, phase in enumerate(problem.phases):
        if phase.y:
            _refuse_apart(plan, cloth, problem, number)


def _refuse_apart(plan: Plan, cloth: Cloth, problem: PlacementProblem, number: int) -> None:
    """Refuse pieces that share an unknown offset across, of which none suits them all."""
    shared: dict[str, list[_Room]] = {}
    for item in problem.items:
        rooms = list(_rooms(problem, item.shapes, item.domains)) if item.domains else []
        if rooms and all(phase == number for _, phase in rooms):
            shared[item.name] = [room for room, _ in rooms]
    offsets = _offsets([room for rooms in shared.values() for room in rooms])
    if not any(
        all(any(room.holds(offset) for room in rooms) for rooms in shared.values())
        for offset in offsets
    ):
        raise InputError(
            f"wherever the design lies across the cloth, not all of {', '.join(shared)} have a "
            "place between the selvages",
            remedy="leave one of them free across, or place another point of it",
            file=plan.path,
            item=f"cloth {cloth.name!r}",
        )


def _rooms(
    problem: PlacementProblem, shapes: Sequence[int], domains: Sequence[Domain | None]
) -> Iterator[tuple[_Room, int | None]]:
    """Yield what every shape of an item may do across, and the phase it shares there."""
    for index, domain in zip(shapes, domains, strict=True):
        yield _room(problem.shapes[index], domain, problem)


def _room(
    shape: Shape, domain: Domain | None, problem: PlacementProblem
) -> tuple[_Room, int | None]:
    _, y0, _, y1 = shape.box
    least, most = (-inf, inf) if domain is None else domain.y
    low, high = max(-y0, least), min(problem.width - y1, most)
    lattice = None if domain is None else domain.lattice
    if lattice is None or not lattice.step_y:
        return _Room(low, high), None
    shared = lattice.phase is not None and problem.phases[lattice.phase].y
    return _Room(low, high, lattice.y, lattice.step_y), lattice.phase if shared else None


def _offsets(rooms: Sequence[_Room]) -> list[float]:
    """Return offsets of which one suits if any does: those that bring a place to an end."""
    return [0.0, *(room.low - room.start for room in rooms if room.step)]
