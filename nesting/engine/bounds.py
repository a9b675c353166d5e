"""Lengths that no layout can be shorter than."""

from __future__ import annotations

import math

from ..model.problem import PlacementProblem
from .bound_levels import level_bound
from .bound_stack import stack_bound
from .certain import CertainOverlap
from .scaled import ScaledProblem, scale_problem

SAME_LENGTH = 1e-6
"""A layout is called the best when it exceeds what is proven by at most this share: the rounding
of outlines and of linear programmes stays below it, and so does anyone's scissors."""


def proven_minimum(
    problem: PlacementProblem,
    *,
    scaled: ScaledProblem | None = None,
    greatest: float = math.inf,
) -> float:
    """Return a length that every layout of the problem has at least.

    The greatest of: the pieces' area spread over the whole width; the longest piece in its
    shortest allowed lie that fits the width; what lines across and along the strip meet
    (``bound_levels``); pieces too wide to lie side by side, with their true outlines, one behind
    the other (``bound_stack``).

    Parameters
    ----------
    scaled
        The same problem on integers, where it is at hand.
    greatest
        The length of some layout: as soon as it is reached, the other bounds are left out.
    """
    spans = _least_spans(problem, 0)
    best = max(problem.area / problem.width, *spans)
    known = min(greatest, sum(spans))
    if best < known and sum(sorted(_least_spans(problem, 1))[-2:]) > problem.width:
        best = max(best, stack_bound(CertainOverlap(scaled or scale_problem(problem))))
    if best < known * (1.0 - SAME_LENGTH):
        best = level_bound(problem, best, known)
    return best


def closed(length: float, minimum: float) -> bool:
    """Tell whether a length is, within ``SAME_LENGTH``, as short as proven possible."""
    return length <= minimum * (1.0 + SAME_LENGTH)


def _least_spans(problem: PlacementProblem, axis: int) -> list[float]:
    """Return for each item how long (axis 0) or wide (1) it is at least, as it fits the width."""
    found = []
    for item in problem.items:
        boxes = [problem.shapes[s].box for s in item.shapes]
        # A lie wider than the strip by rounding only is still a lie.
        fitting = [box for box in boxes if problem.holds_across(box[3] - box[1])]
        found.append(min((box[axis + 2] - box[axis] for box in fitting), default=0.0))
    return found
