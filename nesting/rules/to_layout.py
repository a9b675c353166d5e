"""From the engine's positions back to a lay in garment terms."""

from __future__ import annotations

from dataclasses import replace
from math import isfinite
from types import MappingProxyType

from ..geometry.empty_rectangle import Rectangle, largest_empty_rectangle
from ..geometry.rings import bounds
from ..model.layout import Lay, LayStatus, Placement
from ..model.plan import Cloth
from ..model.problem import PlacementProblem, Position
from ..model.result import Result
from ..tolerances import LENGTH_REPORT
from ..units import length_text
from .bound import least_length
from .compile import CompiledLay, Ticket
from .design_words import design_remarks
from .flaws import laid_flaws
from .motif import laid_repeat, motif_start, points_held
from .purchase import buy, length_needed, missing_length


def lay_from(compiled: CompiledLay, result: Result, proven: float = 0.0) -> Lay:
    """Return the lay that positions of a compiled problem stand for.

    ``proven`` is a length, in millimetres, that every lay of the true outlines is known to have.

    Placements carry the true outlines, not the engine's, and the lay starts at the cut end,
    unless flaws or the like fix where it lies; its length is the greatest x of a true outline.
    The status is "does not fit", with the reason,
    where an owned cloth is too short; "proven best" only where that is proven of the true
    outlines. The leftover is worked out anew between the true outlines.
    """
    cloth = compiled.cloth
    placed = [
        place(ticket, position, cloth.gap / 2, cloth.gap / 2)
        for ticket, position in zip(compiled.tickets, result.layout, strict=True)
    ]
    start = min(bounds(placement.outline)[0] for placement in placed)
    start = start if _may_move(compiled.problem) else 0.0
    held = points_held(compiled.plan, cloth)
    placements = tuple(
        replace(
            place(ticket, position, cloth.gap / 2 + start, cloth.gap / 2),
            held=held.get(ticket.piece.name, ()),
        )
        for ticket, position in zip(compiled.tickets, result.layout, strict=True)
    )
    length = max(bounds(placement.outline)[2] for placement in placements)
    minimum = _minimum(compiled, result, length, proven)
    area = sum(
        ticket.choices[position.shape].piece.area
        for ticket, position in zip(compiled.tickets, result.layout, strict=True)
    )
    status, reason = lay_status(compiled, length, minimum)
    repeat = laid_repeat(compiled.plan, cloth, placements)
    return Lay(
        cloth=cloth.name,
        usable_width=cloth.usable_width,
        length=length,
        status=status,
        proven_minimum=minimum,
        utilisation=area / (cloth.usable_width * length),
        buy=buy(cloth, length, motif_start(compiled.plan, cloth)),
        placements=placements,
        cloth_width=cloth.usable_width + 2 * cloth.selvage,
        selvage=cloth.selvage,
        nap=cloth.nap,
        reason=reason,
        flaws=laid_flaws(cloth.flaws),
        repeat=repeat,
        remarks=tuple(design_remarks(compiled.plan, cloth, repeat)),
        leftover=None if reason else _leftover(cloth, placements, length),
    )


def _may_move(problem: PlacementProblem) -> bool:
    """Tell whether a whole lay may be moved along the cloth.

    It may not where the cloth has places of its own, such as flaws or a known design; a design
    whose place along the cloth is unknown moves with it.
    """
    if problem.obstacles:
        return False
    domains = [domain for item in problem.items for domain in item.domains if domain is not None]
    if any(isfinite(end) for domain in domains for end in domain.x):
        return False
    lattices = [domain.lattice for domain in domains if domain.lattice is not None]
    return all(
        lattice.step_x == 0 or (lattice.phase is not None and problem.phases[lattice.phase].x)
        for lattice in lattices
    )


def place(ticket: Ticket, position: Position, dx: float, dy: float) -> Placement:
    """Return a placement, moved back by (dx, dy) mm from the engine's position.

    Where a pair is cut double its hand is that of the one in the lower layer.
    """
    choice = ticket.choices[position.shape]
    laid = choice.piece.shifted(position.x - dx, position.y - dy)
    hand = ticket.hand
    if hand and ticket.layers == 2 and not ticket.on_fold:
        hand = "L" if choice.way.mirrored else "R"
    return Placement(
        piece=ticket.piece.name,
        copy=ticket.copy,
        mirrored=choice.way.mirrored,
        turned=choice.way.turned,
        outline=laid.outline,
        grain=laid.grain,
        points=MappingProxyType(dict(laid.points)),
        hand=hand,
        cutouts=laid.cutouts,
        sew_lines=laid.sew_lines,
        internal_lines=laid.internal_lines,
        stripe_lines=laid.stripe_lines,
        plaid_lines=laid.plaid_lines,
        notches=laid.notches,
        drill_holes=laid.drill_holes,
        layers=ticket.layers,
        on_fold=ticket.on_fold,
    )


def _leftover(cloth: Cloth, placements: tuple[Placement, ...], length: float) -> Rectangle | None:
    """Return the largest rectangle between the true cut lines; a gap need not be kept from it."""
    rings = [ring for p in placements for ring in (p.outline, *p.cutouts)]
    rings += [flaw.outline for flaw in cloth.flaws]
    x0, y0, x1, y1 = largest_empty_rectangle(rings, cloth.usable_width, length)
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


def _minimum(compiled: CompiledLay, result: Result, length: float, proven: float) -> float:
    """Return what is proven of the true outlines, never more than the length itself."""
    least = max(proven, least_length(compiled))
    if compiled.exact:
        least = max(least, result.minimum)
    return min(least, length)


def lay_status(compiled: CompiledLay, length: float, minimum: float) -> tuple[LayStatus, str]:
    """Return the status of a lay of this length, and the reason where it does not fit."""
    cloth, units = compiled.cloth, compiled.plan.units
    if missing_length(cloth, length) > 0:
        return "does not fit", _too_short(cloth, length, minimum, units)
    return ("proven best" if length <= minimum + LENGTH_REPORT else "found"), ""


def _too_short(cloth: Cloth, length: float, minimum: float, units: str) -> str:
    need = length_text(length_needed(cloth, length), units)
    owned = length_text(cloth.length or 0.0, units)
    short = length_text(missing_length(cloth, length), units)
    said = (
        f"the lay needs {need} of {cloth.name}, trim and shrinkage included, and only {owned} is "
        f"owned: {short} too short"
    )
    if missing_length(cloth, minimum) <= 0:
        return f"{said}; it is not proven that no lay fits, so a longer search may find one"
    least = length_text(length_needed(cloth, minimum), units)
    return f"{said}; proven: no lay of these pieces takes less than {least}"
