"""Which cloths and widths a garment is compared on, each as a small plan of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from ..errors import InputError
from ..model.costing import Layer
from ..model.plan import Cloth, Plan
from ..rules.compile import compile_lay

_ROOMY = 100_000.0  # mm; no piece is wider
_SAME_WIDTH = 0.01  # mm


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """One layer of the garment on one cloth of one width.

    ``plan`` has this cloth alone, and the layer's pieces. ``number`` tells candidates apart;
    ``rank`` is the cloth's place in the maker's order of liking, from 0; ``copies`` the pieces
    to cut.
    """

    number: int
    layer: str
    rank: int
    plan: Plan
    as_planned: bool

    @property
    def cloth(self) -> Cloth:
        """The cloth it is cut from."""
        return self.plan.cloths[0]

    @property
    def copies(self) -> int:
        """Pieces to cut, copies counted."""
        return sum(piece.copies for piece in self.plan.pieces)


def layers_of(plan: Plan) -> tuple[Layer, ...]:
    """Return the layers of a plan, those it names first.

    Every other cloth that pieces are cut from is a layer by itself. Where a plan names no layer
    and cuts everything from one cloth, its other cloths are the alternatives.
    """
    listed = {name for layer in plan.layers for name in layer.cloths}
    used = [cloth.name for cloth in plan.cloths if plan.pieces_on(cloth.name)]
    if not plan.layers and len(used) == 1:
        others = [cloth.name for cloth in plan.cloths if cloth.name != used[0]]
        return (Layer(used[0], (used[0], *others)),)
    return (*plan.layers, *(Layer(name, (name,)) for name in used if name not in listed))


def candidates(plan: Plan, widths: Iterable[float] = ()) -> tuple[Candidate, ...]:
    """Return every candidate of a plan: each layer on each of its cloths, in each width.

    Cloth still to be bought is tried in its own width, in those the plan says it is also sold in,
    and in those asked for.

    Parameters
    ----------
    plan
        With its layers, cloths and pieces.
    widths
        Further widths (mm, edge to edge) for every cloth that is still to be bought.

    Raises
    ------
    InputError
        If a piece cannot be made ready to cut, or a width leaves nothing between the selvages.
    """
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    wanted = tuple(widths)
    found: list[Candidate] = []
    for layer in layers_of(plan):
        for rank, name in enumerate(layer.cloths):
            cloth = cloths[name]
            for width in _widths(cloth, wanted):
                part = _layer_plan(plan, layer, replace(cloth, width=width))
                if part.cloths[0].usable_width <= 0:
                    raise InputError(
                        f"nothing is left between the selvages of {name!r} at that width",
                        remedy="give the width from edge to edge",
                        item=f"--width {width / 10:g} cm",
                    )
                same = abs(width - cloth.width) <= _SAME_WIDTH
                found.append(Candidate(len(found), layer.name, rank, part, same))
        _refuse_faulty(plan, layer, cloths[layer.cloths[0]])
    return tuple(found)


def _widths(cloth: Cloth, wanted: tuple[float, ...]) -> tuple[float, ...]:
    """Return the widths to try a cloth on: its own first; cloth that is there has no other."""
    if cloth.length is not None or cloth.panels:
        return (cloth.width,)
    widths = [cloth.width]
    for width in (*cloth.widths, *wanted):
        if all(abs(width - known) > _SAME_WIDTH for known in widths):
            widths.append(width)
    return tuple(widths)


def _layer_plan(plan: Plan, layer: Layer, cloth: Cloth) -> Plan:
    """Return the plan of one layer's pieces, all cut from one cloth."""
    pieces = tuple(
        replace(piece, cloth=cloth.name, cloths=(), train=False)
        for piece in plan.pieces
        if piece.cloth in layer.cloths
    )
    names = {piece.name for piece in pieces}
    matches = tuple(m for m in plan.matches if all(piece in names for piece, _ in m.points))
    return replace(
        plan, cloths=(cloth,), pieces=pieces, matches=matches, notes=(), trims=(), layers=()
    )


def _refuse_faulty(plan: Plan, layer: Layer, cloth: Cloth) -> None:
    """Raise what is wrong with a layer's pieces, whatever cloth they are cut from."""
    roomy = replace(
        cloth, width=_ROOMY, length=None, panels=(), flaws=(), repeat=None, fold="open"
    )
    part = _layer_plan(plan, layer, roomy)
    plain = tuple(replace(piece, motif=None, border=None) for piece in part.pieces)
    compile_lay(replace(part, pieces=plain, matches=()), roomy)
