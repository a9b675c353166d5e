"""How far pieces too wide to lie side by side push each other along the strip.

Two pieces whose boxes are together wider than the strip may still lie partly beside each other,
a narrow end by a wide one. The no-fit region says how far apart their centres must be at least.
Of several such pieces, in whatever order they follow each other, the length is at least half the
first, all these distances, and half the last; the least such sum over all orders and lies is
found by dynamic programming over how many of each kind have been passed (Held and Karp 1962).
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from dataclasses import dataclass

from .certain import CertainOverlap
from .scaled import ScaledProblem

MOST_STATES = 20_000
"""Steps of the dynamic programme; beyond them a weaker sum is taken."""

MOST_KINDS = 12
"""Kinds of wide pieces looked at, the widest first."""


@dataclass(frozen=True, slots=True)
class _Kind:
    """Items that may take the same shapes."""

    shapes: tuple[int, ...]
    count: int
    across: float


def stack_bound(certain: CertainOverlap) -> float:
    """Return a length in the problem's unit that the wide pieces alone need; 0 without any."""
    scaled = certain.scaled
    kinds = _wide_kinds(scaled, certain)
    apart = {
        (s, t): _least_apart(certain, s, t)
        for a, b in itertools.product(kinds, repeat=2)
        for s in a.shapes
        for t in b.shapes
    }
    best = 0.0
    while kinds:
        best = max(best, _shortest_row(kinds, apart, certain))
        # A piece that can lie beside all others lets every order pass through it: leave it out.
        kinds.remove(min(kinds, key=lambda kind: _aloof(kind, kinds, apart)))
    return (best - 2.0) / scaled.scale


def _wide_kinds(scaled: ScaledProblem, certain: CertainOverlap) -> list[_Kind]:
    """Return the kinds of which any two boxes are together wider than the strip."""
    # Where a shape may lie is left aside here: what differs in that alone is of one kind.
    first: dict[int, int] = {}
    same = [first.setdefault(kind.polygon, s) for s, kind in enumerate(scaled.kinds)]
    counts = Counter(tuple(sorted({same[s] for s in choices})) for choices in scaled.choices)
    kinds = [
        _Kind(shapes, count, min(2.0 * certain.half(s)[1] for s in shapes))
        for shapes, count in counts.items()
    ]
    kinds.sort(key=lambda kind: (-kind.across, kind.shapes))
    wide: list[_Kind] = []
    for kind in kinds[:MOST_KINDS]:
        if wide and wide[-1].across + kind.across <= certain.width:
            break
        if 2.0 * kind.across > certain.width:
            wide.append(kind)
        else:  # one of it still keeps clear of all the others, but two would lie side by side
            wide.append(_Kind(kind.shapes, 1, kind.across))
            break
    return wide


def _least_apart(certain: CertainOverlap, s: int, t: int) -> float:
    """Return the least x offset at which shape t can follow shape s, in units."""
    far = certain.half(s)[0] + certain.half(t)[0]
    free = certain.free(s, t, 0.0, far)
    return far if free.is_empty else min(far, float(free.bounds[0]))


def _aloof(kind: _Kind, kinds: list[_Kind], apart: dict[tuple[int, int], float]) -> float:
    return min(
        min(apart[s, t], apart[t, s])
        for other in kinds
        if other is not kind or kind.count > 1 or len(kinds) == 1
        for s in kind.shapes
        for t in other.shapes
    )


def _shortest_row(
    kinds: list[_Kind], apart: dict[tuple[int, int], float], certain: CertainOverlap
) -> float:
    """Return the least length of a row of all pieces of these kinds, in units."""
    ends = {s: certain.half(s)[0] for kind in kinds for s in kind.shapes}
    states = math.prod(kind.count + 1 for kind in kinds) * len(ends)
    if states > MOST_STATES:
        return _weaker_row(kinds, apart, ends)
    start = tuple(0 for _ in kinds)
    shortest: dict[tuple[int, ...], dict[int, float]] = {start: {}}
    # Counts in rising order, so that every way into a state comes before the ways out of it.
    for done in itertools.product(*(range(kind.count + 1) for kind in kinds)):
        lasts = shortest.get(done, {})
        for k, kind in enumerate(kinds):
            if done[k] == kind.count:
                continue
            into = shortest.setdefault((*done[:k], done[k] + 1, *done[k + 1 :]), {})
            for t in kind.shapes:
                length = (
                    ends[t]
                    if done == start
                    else min(before + apart[s, t] for s, before in lasts.items())
                )
                into[t] = min(into.get(t, math.inf), length)
    everything = shortest[tuple(kind.count for kind in kinds)]
    return min(length + ends[s] for s, length in everything.items())


def _weaker_row(
    kinds: list[_Kind], apart: dict[tuple[int, int], float], ends: dict[int, float]
) -> float:
    """Return a lower bound on the row: every piece but the first follows at its least distance."""
    total, most = 0.0, 0.0
    for kind in kinds:
        least = min(
            apart[s, t]
            for other in kinds
            if other is not kind or kind.count > 1
            for s in other.shapes
            for t in kind.shapes
        )
        total += kind.count * least
        most = max(most, least)
    return total - most + 2.0 * min(ends.values())
