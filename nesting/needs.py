"""What every piece needs of a cloth's length, whatever lies beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from .engine.bound_levels import level_shares
from .model.plan import Cloth, Plan
from .rules.bound import true_problem
from .rules.choose_joins import Needs
from .rules.compile import compile_lay
from .rules.relaxed import with_cloth


def piece_needs(plan: Plan, cloth: Cloth) -> Mapping[str, Needs]:
    """Return for each piece on a cloth what all its copies need, by name.

    It holds for every lay in which these pieces lie, on cloth of that width, whatever other
    pieces there are and whatever else is asked of them: flaws and the design are left aside.

    Raises
    ------
    InputError
        If a piece cannot be made ready, or is too wide for the cloth.
    """
    plain = replace(cloth, flaws=(), repeat=None)
    pieces = tuple(replace(piece, motif=None, border=None) for piece in plan.pieces)
    job = compile_lay(with_cloth(replace(plan, pieces=pieces, matches=()), plain), plain)
    problem = true_problem(job)
    shares = level_shares(problem)
    found = {}
    for piece in job.plan.pieces_on(cloth.name):
        items = [k for k, ticket in enumerate(job.tickets) if ticket.piece is piece]
        spans = [
            min(
                problem.shapes[s].box[2] - problem.shapes[s].box[0]
                for s in problem.items[k].shapes
            )
            for k in items
        ]
        found[piece.name] = Needs(shares[:, items].sum(axis=1), max(spans))
    return found
