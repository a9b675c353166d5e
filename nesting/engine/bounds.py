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
    best = max(problem.area / problem.width, _longest(problem))
    known = min(greatest, sum(_shortest_spans(problem)))
    if best < known:
        best = max(best, stack_bound(CertainOverlap(scaled or scale_problem(problem))))
    if best < known * (1.0 - SAME_LENGTH):
        best = level_bound(problem, best, known)
    return best


def closed(length: float, minimum: float) -> bool:
    """Tell whether a length is, within ``SAME_LENGTH``, as short as proven possible."""
    return length <= minimum * (1.0 + SAME_LENGTH)


def _longest(problem: PlacementProblem) -> float:
    return max(_shortest_spans(problem))


def _shortest_spans(problem: PlacementProblem) -> list[float]:
    """Return for each item its length in its shortest lie that fits the width."""
    found = []
    for item in problem.items:
        spans = []
        for s in item.shapes:
            low_x, low_y, high_x, high_y = problem.shapes[s].box
            # A lie wider than the strip by rounding only is still a lie.
            if high_y - low_y <= problem.width * (1.0 + 1e-9):
                spans.append(high_x - low_x)
        found.append(min(spans, default=0.0))
    return found
