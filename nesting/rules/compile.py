"""From the plan to the placement problem of one cloth."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import ceil, floor

import numpy as np

from ..errors import InputError
from ..geometry.rings import FloatArray, bounds
from ..geometry.simplify import simplify_outward
from ..model.layout import Hand
from ..model.plan import Cloth, Grain, Plan, PlanPiece
from ..model.problem import Item, PlacementProblem, Shape
from ..tolerances import SAME_POINT, SIMPLIFY_OUTWARD
from ..units import length_text
from .design import Design
from .flaws import flaw_obstacles, may_hide, net_rings
from .gap import grow, within_box
from .orientation import Way, ways
from .places import refuse_without_place
from .tilt import leans
from .true_piece import TruePiece, cut_piece

_GRAINS: tuple[Grain, ...] = ("lengthwise", "crosswise", "bias")


@dataclass(frozen=True, slots=True, eq=False)
class LaidPiece:
    """A piece lying one way, its bounding box starting at the origin."""

    way: Way
    piece: TruePiece


@dataclass(frozen=True, slots=True, eq=False)
class Ticket:
    """What one item of the placement problem is in garment terms.

    ``choices`` gives, for each shape the item may take (index into the problem), the piece as
    it then lies. With ``layers`` 2 it is cut through both layers of folded cloth; ``on_fold``
    tells that it is a half whose edge lies on the fold.
    """

    piece: PlanPiece
    copy: int
    hand: Hand
    choices: Mapping[int, LaidPiece]
    layers: int = 1
    on_fold: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class CompiledLay:
    """One cloth's pieces as a placement problem, and the way back.

    Attributes
    ----------
    problem
        Its strip is the usable width plus one gap wide; every shape is the piece with half a
        gap around it, simplified outward. A shape at (x, y) is the piece at
        (x - gap / 2, y - gap / 2).
    tickets
        One per item, in the items' order.
    exact
        True where every shape is its piece to the last point, so that what is proven of the
        problem is proven of the lay.
    """

    plan: Plan
    cloth: Cloth
    problem: PlacementProblem
    tickets: tuple[Ticket, ...]
    exact: bool


def compile_lay(plan: Plan, cloth: Cloth) -> CompiledLay:
    """Return the placement problem of the pieces cut from one cloth.

    Copies that may lie alike share their shapes; a shape that is another one moved (a piece
    that is its own reflection, say) is kept once. All copies as drawn come before the mirrored
    ones, numbered from 1.

    Raises
    ------
    ValueError
        If no piece is cut from this cloth.
    InputError
        If a piece cannot be made ready (half, allowance), or is too wide for the cloth in
        every way it may lie, or the design of the cloth leaves pieces no place across.
    """
    pieces = plan.pieces_on(cloth.name)
    if not pieces:
        raise ValueError(f"no piece is cut from {cloth.name}")
    shapes = _Shapes(cloth.gap, net=may_hide(cloth.flaws))
    tickets: list[Ticket] = []
    widest = cloth.usable_width
    ready = {piece.name: ready_piece(plan, piece) for piece in pieces}
    design = Design(plan, cloth, ready)
    for piece in pieces:
        both = piece.as_drawn > 0 and piece.mirrored > 0
        for mirrored, count in ((False, piece.as_drawn), (True, piece.mirrored)):
            if count == 0:
                continue
            choices = _choices(design, piece, ready[piece.name], shapes, mirrored=mirrored)
            widest = max(widest, *(laid.piece.size[1] for laid in choices.values()))
            hand: Hand = ("L" if mirrored else "R") if both else ""
            first = 1 + (piece.as_drawn if mirrored else 0)
            tickets += [Ticket(piece, first + k, hand, choices) for k in range(count)]
    items = tuple(_item(ticket, design) for ticket in tickets)
    width = widest + cloth.gap
    obstacles = flaw_obstacles(cloth.flaws, width, cloth.gap)
    problem = PlacementProblem(tuple(shapes.shapes), items, width, obstacles, design.phases)
    refuse_without_place(plan, cloth, problem)
    return CompiledLay(plan, cloth, problem, tuple(tickets), shapes.exact)


def _item(ticket: Ticket, design: Design) -> Item:
    """Return the item of a ticket; where its cloth's design holds it, with its domains."""
    domains = tuple(
        design.domain(ticket.piece, laid.piece, laid.way) for laid in ticket.choices.values()
    )
    held = any(domain is not None for domain in domains)
    return Item(item_name(ticket), tuple(ticket.choices), domains if held else ())


def item_name(ticket: Ticket) -> str:
    """Return what the engine calls a ticket's item."""
    return " ".join(part for part in (ticket.piece.name, str(ticket.copy), ticket.hand) if part)


def ready_piece(plan: Plan, piece: PlanPiece) -> TruePiece:
    """Return the cut piece; an error names the plan and the piece."""
    with at_fault(plan, piece):
        return cut_piece(piece)


@contextmanager
def at_fault(plan: Plan, piece: PlanPiece) -> Iterator[None]:
    """Name the plan and the piece in what is raised meanwhile."""
    try:
        yield
    except InputError as error:
        raise InputError(
            error.problem, remedy=error.remedy, file=plan.path, item=f"piece {piece.name!r}"
        ) from error


class _Shapes:
    """The shapes of a problem as they gather; equal ones are kept once.

    With ``net`` each has what an allowance may not hide as its inner shape.
    """

    def __init__(self, gap: float, *, net: bool) -> None:
        self.shapes: list[Shape] = []
        self.exact = gap == 0.0
        self._gap = gap
        self._net = net
        self._rings: list[tuple[FloatArray, ...]] = []
        self._marks: list[FloatArray] = []

    def index(self, piece: TruePiece, marks: FloatArray) -> int:
        """Return the index of the shape of a laid piece, adding it if it is new.

        ``marks`` are the points by which it is placed: where they lie elsewhere it is another.
        """
        net = net_rings(piece) if self._net else ()
        rings = (piece.outline, *piece.cutouts, *net)
        for i, (known, points) in enumerate(zip(self._rings, self._marks, strict=True)):
            alike = points.shape == marks.shape and np.allclose(points, marks, 0, SAME_POINT)
            if alike and len(known) == len(rings) and all(map(_same_ring, known, rings)):
                return i
        self._rings.append(rings)
        self._marks.append(marks)
        inner = self._inner(net) if net else None
        self.shapes.append(replace(self._shape(piece), inner=inner))
        return len(self.shapes) - 1

    def _shape(self, piece: TruePiece) -> Shape:
        margin = self._gap / 2
        outer, holes = grow(piece.outline, piece.cutouts, margin)
        # The engine's copy may be larger by a hair, but never wider or longer than the piece.
        x0, y0, x1, y1 = bounds(piece.outline)
        box = (x0 - margin, y0 - margin, x1 + margin, y1 + margin)
        shape = Shape(within_box(simplify_outward(outer, SIMPLIFY_OUTWARD), box), holes)
        if shape.area > piece.area * (1 + 1e-9):
            self.exact = False
        return shape

    def _inner(self, net: tuple[FloatArray, ...]) -> Shape:
        inner = Shape(simplify_outward(net[0], SIMPLIFY_OUTWARD), net[1:])
        if inner.area > Shape(net[0], net[1:]).area * (1 + 1e-9):
            self.exact = False
        return inner


def _same_ring(one: FloatArray, other: FloatArray) -> bool:
    """Tell whether two rings with boxes at the origin are the same, wherever they start."""
    if len(one) != len(other):
        return False
    starts = np.flatnonzero(np.hypot(*(other - one[0]).T) <= SAME_POINT)
    return any(np.abs(np.roll(other, -s, axis=0) - one).max() <= SAME_POINT for s in starts)


def _choices(
    design: Design, piece: PlanPiece, true: TruePiece, shapes: _Shapes, *, mirrored: bool
) -> dict[int, LaidPiece]:
    """Return the shapes a copy may take: every way it may lie that fits the width."""
    choices: dict[int, LaidPiece] = {}
    narrowest = np.inf
    for way in design.ways(piece, mirrored=mirrored, leans=leans(true, piece)):
        laid = true.laid(way)
        narrowest = min(narrowest, laid.size[1])
        if laid.size[1] <= design.cloth.usable_width + SAME_POINT:
            index = shapes.index(laid, design.marks(piece, laid, way))
            choices.setdefault(index, LaidPiece(way, laid))
    if not choices:
        raise _too_wide(design.plan, design.cloth, piece, true, narrowest)
    return choices


def _too_wide(
    plan: Plan, cloth: Cloth, piece: PlanPiece, true: TruePiece, width: float
) -> InputError:
    """Return the error for a piece wider than its cloth, with both numbers and what would help."""
    needed = (width + 2 * cloth.selvage) / (1 - cloth.shrink_across)
    help_ = [f"take cloth at least {_rounded(needed, plan.units, up=True)} wide"]
    for grain in _GRAINS:
        other = replace(piece, grain=grain)
        sizes = [true.laid(way).size[1] for way in ways(other, cloth, mirrored=False)]
        if grain != piece.grain and min(sizes) <= cloth.usable_width + SAME_POINT:
            help_.append(f"or cut it {_GRAIN_WORDS[grain]}, where it would fit")
    help_.append("or divide the piece by a seam")
    return InputError(
        f"it is {_rounded(width, plan.units, up=True)} wide as laid, but {cloth.name!r} has only "
        f"{_rounded(cloth.usable_width, plan.units, up=False)} of usable width",
        remedy=", ".join(help_),
        file=plan.path,
        item=f"piece {piece.name!r}",
    )


_GRAIN_WORDS = {
    "lengthwise": "on the lengthwise grain",
    "crosswise": "on the crosswise grain",
    "bias": "on the bias",
}


def _rounded(length: float, unit: str, *, up: bool) -> str:
    """Write a length rounded up or down, so that two unequal lengths never read alike wrongly."""
    step = 25.4 / 16 if unit in {"in", "yd"} else 1.0
    parts = ceil(length / step - 1e-9) if up else floor(length / step + 1e-9)
    return length_text(parts * step, unit)
