"""What of a lay finds room on an owned cloth that is too short for all of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from ..model.plan import Cloth, Panel, Plan, PlanPiece
from .compile import compile_lay
from .lay_panels import Solver
from .panels import compile_strip, stretch_of
from .purchase import longest_lay


def room_for(plan: Plan, cloth: Cloth, solve: Solver) -> str:
    """Say which pieces find room on one owned length, and whether one more could.

    The cloth is laid as a panel with a wall at its end, so that as little as can be found lies
    behind it; what lies before it fits. Then each piece that was left out is added by itself to
    those, and where even that is proven too long, so is said.

    Returns
    -------
    str
        A sentence; empty where nothing fits, or all does after all.
    """
    panel = Panel(cloth.name, cloth.length or 0.0, cloth.width)
    strip = compile_strip(plan, replace(cloth, length=None, panels=(panel,)), (1,))
    result = solve(strip.compiled, 0.5)
    tickets = strip.compiled.tickets
    behind = [
        ticket.piece.name
        for ticket, at in zip(tickets, result.layout, strict=True)
        if stretch_of(strip, at).number is None
    ]
    out = Counter(behind)
    kept = Counter(ticket.piece.name for ticket in tickets) - out
    if not kept or not out:
        return ""
    found = f"of these, {_list(kept)} find room on what is owned, {_list(out)} not"
    if result.stop_reason == "interrupted":
        return found
    share = 0.5 / len(out)
    on = plan.pieces_on(cloth.name)
    sure = all(
        _cannot_join(plan, cloth, _some(on, kept + Counter([n])), solve, share) for n in out
    )
    return f"{found}; proven: none of those left out can be added" if sure else found


def _cannot_join(
    plan: Plan, cloth: Cloth, pieces: Sequence[PlanPiece], solve: Solver, share: float
) -> bool:
    """Tell whether pieces are proven to find no room together on an owned length."""
    here = {piece.name for piece in plan.pieces_on(cloth.name)}
    others = tuple(piece for piece in plan.pieces if piece.name not in here)
    job = compile_lay(replace(plan, pieces=(*others, *pieces)), cloth)
    longest = longest_lay(cloth) or 0.0
    if not job.exact or longest <= 0:
        return False
    result = solve(job, share, target=longest + job.cloth.gap, useful=longest + job.cloth.gap)
    return result.minimum - job.cloth.gap > longest


def _some(pieces: Sequence[PlanPiece], counts: Counter[str]) -> tuple[PlanPiece, ...]:
    """Return pieces in given numbers of copies, as drawn first."""
    found = []
    for piece in pieces:
        count = counts[piece.name]
        if count:
            as_drawn = min(count, piece.as_drawn)
            found.append(replace(piece, as_drawn=as_drawn, mirrored=count - as_drawn))
    return tuple(found)


def _list(counts: Counter[str]) -> str:
    return ", ".join(f"{count} of {name}" for name, count in counts.items())
