"""Lengths that no layout can be shorter than."""

from __future__ import annotations

from ..model.problem import PlacementProblem


def proven_minimum(problem: PlacementProblem) -> float:
    """Return a length that every layout of the problem has at least.

    The greater of two bounds, both plain: the pieces' area spread over the whole width, and the
    longest piece in its shortest allowed lie that fits the width.
    """
    area = problem.area / problem.width
    longest = 0.0
    for item in problem.items:
        spans = []
        for s in item.shapes:
            low_x, low_y, high_x, high_y = problem.shapes[s].box
            # A lie wider than the strip by rounding only is still a lie.
            if high_y - low_y <= problem.width * (1.0 + 1e-9):
                spans.append(high_x - low_x)
        if spans:
            longest = max(longest, min(spans))
    return max(area, longest)
