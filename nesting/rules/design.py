"""How the design of one cloth, and its border, hold the pieces cut from it.

Compiles motifs, matches and borders into the domains, lattices and phases of the placement
problem. What a point of a piece must do is said where it is stitched: points are taken as they
are drawn, on the stitching line where there is an allowance.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from ..errors import InputError, NotBuiltError
from ..geometry.rings import FloatArray, Point
from ..model.plan import Axis, Cloth, Plan, PlanPiece
from ..model.problem import Domain, Lattice
from ..units import length_text
from .border import BorderEdge
from .contradictions import refuse_contradictions
from .match import CLOTH, ContradictionError, Held, Settled, settle
from .motif import AXES, Grid, axis_of, grid_of, matches_on, place_of
from .orientation import Way, ways
from .phases import TangledError, Unknown, number_phases
from .true_piece import TruePiece

_EVERY: Final[tuple[Axis, ...]] = (*AXES, "both")
_NOTHING = np.empty((0, 2))


class Design:
    """The rules of one cloth's design for its pieces.

    ``pieces`` are ready to cut, by name; ``phases`` are the offsets that are unknown. Pieces no
    rule speaks of are free: all their ways are allowed and their domain is None.

    Raises
    ------
    InputError
        If two rules contradict each other, or a piece can follow its border in no way it may
        lie.
    NotBuiltError
        If the rules tie unknown places in a way the placement problem cannot say.
    """

    def __init__(self, plan: Plan, cloth: Cloth, pieces: Mapping[str, TruePiece]) -> None:
        self.plan, self.cloth, self._pieces = plan, cloth, pieces
        self._matches = matches_on(plan, cloth) if cloth.repeat is not None else ()
        self._matched = {name for match in self._matches for name, _ in match.points}
        self._edges = {
            piece.name: BorderEdge(piece, piece.border)
            for piece in plan.pieces_on(cloth.name)
            if piece.border is not None
        }
        refuse_contradictions(plan, cloth)
        self._settled = {axis: self._settle(axis) for axis in _EVERY}
        unknown = [set(self._unknown(piece)) for piece in plan.pieces_on(cloth.name)]
        try:
            self._phase_of, self.phases = number_phases(unknown)
        except TangledError:
            raise self._tangled() from None

    def ways(
        self, piece: PlanPiece, *, mirrored: bool, leans: Sequence[float] = (0.0,)
    ) -> tuple[Way, ...]:
        """Return the ways a copy may lie; ``leans`` as :func:`nesting.rules.orientation.ways`.

        Matched pieces lie as on one-way cloth: a design may be even at one point and run apart
        beyond it. A piece on a border lies only as its edge can follow it.
        """
        matched = piece.name in self._matched
        found = ways(
            replace(piece, turn=False) if matched else piece,
            self.cloth,
            mirrored=mirrored,
            leans=leans,
        )
        if matched:
            found = tuple(way for way in found if not 180.0 <= way.turned <= 270.0)
        edge = self._edges.get(piece.name)
        if edge is None:
            return found
        kept = tuple(way for way in found if edge.position(way, self.cloth) is not None)
        if not kept:
            raise self._never_on_border(piece)
        return kept

    def marks(self, piece: PlanPiece, laid: TruePiece, way: Way) -> FloatArray:
        """Return the points that say where a piece lies; none for a piece that is free."""
        names = [reason[0] for axis in _EVERY for reason in self._reasons(piece, axis)]
        points = [laid.points[name] for name in names]
        edge = self._edges.get(piece.name)
        if edge is not None:
            points.append((0.0, edge.position(way, self.cloth) or 0.0))
        return np.array(points) if points else _NOTHING

    def domain(self, piece: PlanPiece, laid: TruePiece, way: Way) -> Domain | None:
        """Return where the shape of a piece lying one way may be; None where it is free.

        Positions are those of the engine's shape: half a gap more than those of the piece.
        """
        margin = self.cloth.gap / 2
        edge = self._edges.get(piece.name)
        pinned = None if edge is None else edge.position(way, self.cloth)
        lattice = self._lattice(piece, laid)
        if pinned is None:
            return None if lattice is None else Domain(lattice=lattice)
        at = pinned + margin
        return Domain(y=(at, at), lattice=lattice)

    def _lattice(self, piece: PlanPiece, laid: TruePiece) -> Lattice | None:
        known = self.cloth.repeat.offset if self.cloth.repeat is not None else (None, None)
        at = {"along": 0.0, "across": 0.0}
        grid = Grid()
        phase: int | None = None
        for axis in _EVERY:
            held = self._held(piece, laid, axis)
            if not held:
                continue
            settled = self._settled[axis][held[0].by]
            step = [s + h for s, h in zip(settled.step, held[0].step, strict=True)]
            for name in _both(axis):
                n = AXES.index(name)
                at[name] = step[n] + ((known[n] or 0.0) if settled.root == CLOTH else 0.0)
            grid = _joined(grid, self._grid(axis, piece))
            for name in _both(axis):
                phase = self._phase_of.get((name, settled.root), phase)
        if grid == Grid():
            return None
        margin = self.cloth.gap / 2
        x = at["along"] + margin if grid.along else 0.0
        y = at["across"] + margin if grid.across else 0.0
        return Lattice(x, y, grid.along, grid.across, grid.shift, phase)

    def _grid(self, axis: Axis, piece: PlanPiece) -> Grid:
        """Return the repeat that counts for a piece; an axis of the design lies twice in it."""
        assert self.cloth.repeat is not None  # noqa: S101 - nothing is held without a repeat
        grid = grid_of(self.cloth.repeat, axis)
        halved = piece.motif is not None and piece.motif.centred and not grid.shift
        straight = self.cloth.repeat.drop == "none"
        return replace(grid, across=grid.across / 2) if halved and straight else grid

    def _axes(self, axis: Axis) -> tuple[Axis, ...]:
        """Return the axes a rule is settled on: a straight repeat is settled axis by axis."""
        repeat = self.cloth.repeat
        if repeat is None or (axis == "both" and repeat.drop == "half"):
            return () if repeat is None else (axis,)
        steps = {"along": repeat.along, "across": repeat.across}
        return tuple(name for name in _both(axis) if steps[name])

    def _reasons(self, piece: PlanPiece, axis: Axis) -> Iterator[tuple[str, int, Point, str]]:
        """Yield point, place, the place's own step and words for what holds a piece on an axis."""
        motif = piece.motif
        if motif is not None and axis in self._axes(axis_of(motif)):
            yield motif.point, CLOTH, place_of(motif), f"motif puts {motif.point!r} on the repeat"
        for n, match in enumerate(self._matches):
            if axis in self._axes(match.axis):
                for name, point in match.points:
                    if name == piece.name:
                        others = ", ".join(f"{p}:{q}" for p, q in match.points if p != name)
                        yield point, n, (0.0, 0.0), f"{point!r} matches {others or 'its copies'}"

    def _held(self, piece: PlanPiece, laid: TruePiece, axis: Axis) -> tuple[Held, ...]:
        found = []
        for point, place, on, why in self._reasons(piece, axis):
            x, y = laid.points[point]
            found.append(Held(place, (on[0] - x, on[1] - y), why))
        return tuple(found)

    def _settle(self, axis: Axis) -> Mapping[int, Settled]:
        if self.cloth.repeat is None:
            return {}
        held = (
            (piece.name, self._held(piece, self._pieces[piece.name].laid(way), axis))
            for piece in self.plan.pieces_on(self.cloth.name)
            for mirrored, count in ((False, piece.as_drawn), (True, piece.mirrored))
            for way in (self.ways(piece, mirrored=mirrored) if count else ())
        )
        try:
            return settle(grid_of(self.cloth.repeat, axis), held)
        except ContradictionError as error:
            raise InputError(
                f"{error.one} and {error.other}: {axis} the cloth these are "
                f"{length_text(error.miss, self.plan.units)} apart, whole repeats not counted",
                remedy="leave out one of the two, or move a point",
                file=self.plan.path,
                item=f"piece {error.piece!r}",
            ) from None

    def _unknown(self, piece: PlanPiece) -> Iterator[Unknown]:
        """Yield the unknown offsets that the positions of a piece depend on."""
        known = self.cloth.repeat.offset if self.cloth.repeat is not None else (None, None)
        for axis in _EVERY:
            for _, place, _, _ in self._reasons(piece, axis):
                root = self._settled[axis][place].root
                for name in _both(axis):
                    if root != CLOTH or known[AXES.index(name)] is None:
                        yield name, root

    def _tangled(self) -> NotBuiltError:
        return NotBuiltError(
            "some pieces are placed by the motif on one axis and matched on the other, while "
            "others are placed by the motif on both; that is not built yet",
            remedy="give repeat.offset as measured on the cloth, or place them all alike",
            file=self.plan.path,
            item=f"cloth {self.cloth.name!r}",
        )

    def _never_on_border(self, piece: PlanPiece) -> InputError:
        border = piece.border
        assert border is not None  # noqa: S101 - asked only of a piece with a border
        side = "a" if border.selvage == "either" else f"the {border.selvage}"
        return InputError(
            f"in no way it may lie does edge {border.edge!r} run straight along {side} selvage",
            remedy="a border takes a straight edge; grain, turn and the nap decide how it lies, "
            'such as grain = "crosswise" for a hem',
            file=self.plan.path,
            item=f"piece {piece.name!r}",
        )


def _both(axis: Axis) -> tuple[Axis, ...]:
    return AXES if axis == "both" else (axis,)


def _joined(one: Grid, other: Grid) -> Grid:
    return Grid(one.along or other.along, one.across or other.across, one.shift or other.shift)
