"""A study of a train: which way of cutting it takes how much, and what the cloth's width does.

Every figure is the length of a layout that was found, some of them in a fraction of a second, so
that a longer search may still shorten it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from math import inf

from .errors import InputError, NoLayoutError
from .joining import divided
from .model.layout import Lay
from .model.plan import Cloth, Piecing, Plan, PlanPiece
from .model.train import TrainCase, TrainStudy, WidthLength, WidthStep
from .rules.joins import ways_to_join
from .rules.piecing import part_names
from .rules.true_piece import cut_piece

Lay1 = Callable[[Plan, Cloth, float], Lay]
"""Lays one cloth of a plan with a share of the effort set aside for the study."""

NARROW, WIDE, COARSE = 400.0, 1600.0, 120.0
"""Usable widths of the chart, mm: least, greatest, and from one to the next to begin with."""

BETWEEN, FINE = 60.0, 10.0
"""From one width to the next, mm: everywhere, and at jumps of the length, as time allows."""

JUMP = 0.1
"""Share of the length by which it must fall, from one width to the next, to be a jump."""

SLOPE = 0.05
"""Share of the length by which it must fall little by little to be told."""

FLAT = 0.001
"""Share of the length, from one width to the next, that ends a slope."""

_AT_SELVAGE = 2  # the first levels tried are those at which the main part fills the cloth
_WAYS = 1  # ways of joining tried at each width of the chart


_AtWidth = tuple[WidthLength, int]
"""The lengths at one width, and how many trains lie side by side."""


def study_train(
    plan: Plan, train: PlanPiece, lay: Lay1, enough: Callable[[], bool] = lambda: False
) -> TrainStudy:
    """Return what a train does to the length of its cloth.

    Parameters
    ----------
    plan
        As read, no piece divided yet.
    train
        One of its pieces.
    lay
        Lays the pieces of one cloth; an ``InputError`` says that they cannot be laid, a
        ``NoLayoutError`` that this was not done in the time.
    enough
        Asked between lays; once it says True the chart is not refined any further.
    """
    cloth = next(cloth for cloth in plan.cloths if cloth.name == train.cloth)
    cases = tuple(_cases(plan, train, cloth, lay, enough))
    others = [piece for piece in plan.pieces_on(cloth.name) if piece is not train]
    without = None
    if others:
        rest = replace(plan, pieces=tuple(p for p in plan.pieces if p is not train))
        without, _why = _measured(lay, rest, cloth, 0.1)
    found = _by_width(plan, train, cloth, lay, enough)
    chart = _never_rising([point for point, _ in found])
    steps = tuple(_steps(chart, [side for _, side in found], train))
    return TrainStudy(train.name, cloth.name, cloth.usable_width, without, cases, chart, steps)


def _by_width(
    plan: Plan, train: PlanPiece, cloth: Cloth, lay: Lay1, enough: Callable[[], bool]
) -> list[_AtWidth]:
    """Return the lengths by width: coarsely first, then ever finer where they fall most."""
    count = round((WIDE - NARROW) / COARSE)
    widths = {NARROW + COARSE * k for k in range(count + 1)}
    across = cut_piece(train).size[1]
    if NARROW < across < WIDE:
        widths.add(across)  # here it begins to fit whole
    part = 0.5 * BETWEEN / (WIDE - NARROW) / (1 + _WAYS)
    found = [_at_width(plan, train, cloth, width, lay, part) for width in sorted(widths)]
    while not enough():
        gap = _most_telling([point for point, _ in found])
        if gap is None:
            break
        middle = (found[gap - 1][0].width + found[gap][0].width) / 2
        found.insert(gap, _at_width(plan, train, cloth, middle, lay, part))
    return found


def _most_telling(points: Sequence[WidthLength]) -> int | None:
    """Return between which width and the one before it the next should lie, as an index."""
    chart = _never_rising(points)
    gaps = [
        (chart[k].width - chart[k - 1].width > BETWEEN, _fall(chart[k - 1], chart[k]), k)
        for k in range(1, len(chart))
        if chart[k].width - chart[k - 1].width > FINE
    ]
    wide, fall, k = max(gaps, default=(False, 0.0, 0))
    return k if wide or fall >= JUMP else None


def _fall(before: WidthLength, after: WidthLength) -> float:
    """Return the share of the length that a greater width saves; all where it lets it fit."""
    if after.least is None:
        return 0.0
    return 1.0 if before.least is None else 1.0 - after.least / before.least


def _cases(
    plan: Plan, train: PlanPiece, cloth: Cloth, lay: Lay1, enough: Callable[[], bool]
) -> Iterable[TrainCase]:
    whole = replace(train, piecing=None)

    def case(what: str, piece: PlanPiece, on: Cloth) -> TrainCase:
        return TrainCase(what, *_measured(lay, _with(plan, train, piece, on), on, 0.08))

    as_is = case("whole", whole, cloth)
    yield as_is
    fits = as_is.length is not None
    if fits and (cloth.nap == "one-way" or not train.turn):
        free = replace(cloth, nap="none")
        yield case("whole, turned end for end", replace(whole, turn=True), free)
    if fits and cloth.sides == "differ" and train.as_drawn and train.mirrored:
        alike = replace(cloth, nap="none", sides="alike")
        yield case(
            "whole, turned and staggered, on cloth alike on both sides",
            replace(whole, turn=True),
            alike,
        )
    selvage, best = _joined(plan, train, cloth, lay, enough)
    yield best
    yield selvage
    if train.grain != "crosswise":
        yield case("cut across the cloth", replace(whole, grain="crosswise"), cloth)


def _joined(
    plan: Plan, train: PlanPiece, cloth: Cloth, lay: Lay1, enough: Callable[[], bool]
) -> tuple[TrainCase, TrainCase]:
    """Return the train joined once: at the selvage, and in the shortest of the ways tried."""
    piece = replace(train, piecing=replace(train.piecing or Piecing(), most=1))
    why = "no join is allowed that would make the parts fit"
    try:
        ways = ways_to_join(piece, cloth)
    except InputError as error:
        ways, why = (), error.problem
    share = 0.2 / max(1, len(ways))
    changed = _with(plan, train, piece, cloth)
    lengths: list[float] = []
    for way in ways:
        if len(lengths) >= _AT_SELVAGE and enough():
            break
        length, reason = _measured(lay, divided(changed, {piece.name: way}), cloth, share)
        lengths.append(inf if length is None else length)
        why = reason or why

    def case(what: str, tried: Sequence[float]) -> TrainCase:
        least = min(tried, default=inf)
        return TrainCase(what, least) if least < inf else TrainCase(what, None, why)

    return (
        case("pieced at the selvage", lengths[:_AT_SELVAGE]),
        case("pieced where it saves most", lengths),
    )


def _measured(lay: Lay1, plan: Plan, cloth: Cloth, share: float) -> tuple[float | None, str]:
    """Return the length of one cloth's lay; None, and why, where there is none."""
    try:
        return lay(plan, cloth, share).length, ""
    except (InputError, NoLayoutError) as error:
        return None, error.problem


def _with(plan: Plan, train: PlanPiece, piece: PlanPiece, cloth: Cloth) -> Plan:
    """Return the plan with one piece and its cloth exchanged."""
    return replace(
        plan,
        pieces=tuple(piece if other is train else other for other in plan.pieces),
        cloths=tuple(cloth if other.name == cloth.name else other for other in plan.cloths),
    )


def _at_width(
    plan: Plan, train: PlanPiece, cloth: Cloth, width: float, lay: Lay1, share: float
) -> _AtWidth:
    """Return the lengths on cloth of another width, and how many trains lie side by side."""
    other = replace(
        cloth, width=(width + 2 * cloth.selvage) / (1 - cloth.shrink_across), length=None
    )
    least, side = inf, 0
    whole: float | None = None
    try:
        found = lay(_with(plan, train, replace(train, piecing=None), other), other, share)
        whole = least = found.length
        side = _side_by_side(found, train.name)
    except (InputError, NoLayoutError):
        pass
    pieced: float | None = None
    if train.piecing is not None:
        changed = _with(plan, train, train, other)
        main = part_names(train.name, 2)[0]
        for way in ways_to_join(train, other)[:_WAYS]:
            try:
                found = lay(divided(changed, {train.name: way}), other, share)
            except (InputError, NoLayoutError):
                continue
            pieced = found.length if pieced is None else min(pieced, found.length)
            if found.length < least:
                least, side = found.length, _side_by_side(found, main)
    return WidthLength(width, whole, pieced), side


def _side_by_side(lay: Lay, piece: str) -> int:
    """Return how many copies of a piece lie on one level of the cloth at most."""
    spans = [
        (float(p.outline[:, 0].min()), float(p.outline[:, 0].max()))
        for p in lay.placements
        if p.piece == piece
    ]
    return max((sum(a <= x < b for a, b in spans) for x, _ in spans), default=0)


def _never_rising(chart: Sequence[WidthLength]) -> tuple[WidthLength, ...]:
    """Return the chart with every length no longer than on any narrower cloth."""
    kept = []
    least: dict[str, float] = {"whole": inf, "pieced": inf}
    for point in chart:
        for name, length in (("whole", point.whole), ("pieced", point.pieced)):
            if length is not None:
                least[name] = min(least[name], length)
        whole, pieced = (x if x < inf else None for x in least.values())
        kept.append(WidthLength(point.width, whole, pieced))
    return tuple(kept)


def _steps(
    chart: Sequence[WidthLength], sides: Sequence[int], train: PlanPiece
) -> Iterable[WidthStep]:
    """Yield where the length falls: every jump by itself, a slope as a whole."""
    across = cut_piece(train).size[1]
    slope = 0  # where the slope began, as an index of the chart

    def sloped(end: int) -> Iterable[WidthStep]:
        first, last = chart[slope].least, chart[end].least
        if first is not None and last is not None and last < (1.0 - SLOPE) * first:
            since, width = chart[slope].width, chart[end].width
            yield WidthStep(since, width, first, last, "pieces lie ever closer", jumps=False)

    for k in range(1, len(chart)):
        after = chart[k].least
        if after is None:
            continue
        fall = _fall(chart[k - 1], chart[k])
        if fall < JUMP:
            if fall <= FLAT:
                yield from sloped(k - 1)
                slope = k
            continue
        yield from sloped(k - 1)
        slope = k
        if chart[k - 1].least is None or chart[k - 1].width < across <= chart[k].width:
            fits = "whole" if chart[k].whole == after else "with its joins"
            why = f"{train.name} fits {fits}"
        elif sides[k] > sides[k - 1] and sides[k] > 1:
            why = f"{sides[k]} of {train.name} lie side by side"
        else:
            why = "pieces find room beside each other"
        yield WidthStep(chart[k - 1].width, chart[k].width, chart[k - 1].least, after, why)
    yield from sloped(len(chart) - 1)
