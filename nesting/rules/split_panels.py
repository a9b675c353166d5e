"""From positions on a strip of panels to one lay for each panel."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import shapely

from ..geometry.empty_rectangle import Rectangle, largest_empty_rectangle
from ..geometry.rings import FloatArray
from ..model.layout import Lay
from ..model.plan import Cloth, Plan
from ..model.problem import Obstacle, PlacementProblem, Position
from ..model.result import Result
from ..tolerances import LENGTH_REPORT, SAME_POINT
from ..units import length_text
from .compile import Ticket
from .flaws import laid_flaws, shape_of
from .panels import WALL, PanelStrip, Stretch, panel_cloth, panel_edge, stretch_of
from .purchase import buy
from .to_layout import lay_from


def split(
    plan: Plan, cloth: Cloth, strip: PanelStrip, result: Result, *, proven: bool
) -> Iterator[Lay]:
    """Yield the lay of every panel that holds a piece, then that of what is bought to match.

    Where pieces are left out, because nothing is bought, the last lay says which and what is
    missing. ``proven`` tells that no fewer panels can hold all pieces, or all together cannot.
    """
    on: dict[int | None, list[tuple[Ticket, Position]]] = {}
    for ticket, position in zip(strip.compiled.tickets, result.layout, strict=True):
        on.setdefault(stretch_of(strip, position).number, []).append((ticket, position))
    behind = on.pop(None, [])
    lays = [
        _panel_lay(cloth, strip, stretch, on[stretch.number])
        for stretch in sorted(strip.stretches[:-1], key=lambda stretch: stretch.number or 0)
        if stretch.number in on
    ]
    tail = strip.stretches[-1]
    if behind and cloth.extra == "buy":
        lays.append(_bought_lay(strip, tail, behind, result))
    elif behind:
        reason = _reason(plan, cloth, strip, behind, proven=proven)
        lays = lays or [_empty_lay(cloth)]
        lays[-1] = replace(lays[-1], status="does not fit", reason=reason)
    remarks = _remarks(cloth, len(on), enough=not behind, proven=proven)
    lays[-1] = replace(lays[-1], remarks=tuple(remarks))
    yield from lays


def _panel_lay(
    cloth: Cloth,
    strip: PanelStrip,
    stretch: Stretch,
    placed: Sequence[tuple[Ticket, Position]],
) -> Lay:
    number = stretch.number or 0
    lay = _part_lay(strip, stretch, placed)
    edge = panel_edge(cloth, number)
    return replace(
        lay,
        status="found",
        panel=number,
        panel_name=cloth.panels[number - 1].name,
        panel_outline=edge,
        leftover=_leftover(lay, edge),
    )


def _part_lay(
    strip: PanelStrip, stretch: Stretch, placed: Sequence[tuple[Ticket, Position]]
) -> Lay:
    """Return the lay of one stretch of the strip, in coordinates of its own."""
    whole = strip.compiled
    tickets = tuple(ticket for ticket, _ in placed)
    positions = tuple(replace(at, x=at.x - stretch.start) for _, at in placed)
    names = {
        id(ticket): item for ticket, item in zip(whole.tickets, whole.problem.items, strict=True)
    }
    width = stretch.cloth.usable_width + whole.cloth.gap
    # The wall behind keeps the lay from being moved to the start, where the edge may be another.
    wall = Obstacle(shape_of(shapely.box(stretch.end + WALL, 0.0, stretch.end + 2 * WALL, width)))
    items = tuple(names[id(ticket)] for ticket in tickets)
    problem = PlacementProblem(whole.problem.shapes, items, width, (wall,))
    end = max(problem.shapes[at.shape].box[2] + at.x for at in positions)
    result = Result(
        problem, positions, "found", end, 0.0, seed=0, seconds=0.0, iterations=0,
        stop_reason="time",
    )  # fmt: skip
    return lay_from(replace(whole, cloth=stretch.cloth, problem=problem, tickets=tickets), result)


def _bought_lay(
    strip: PanelStrip,
    tail: Stretch,
    placed: Sequence[tuple[Ticket, Position]],
    result: Result,
) -> Lay:
    """Return the lay on cloth bought to match; no less of it is needed than is proven."""
    lay = _part_lay(strip, tail, placed)
    least = result.minimum - tail.start - strip.compiled.cloth.gap if strip.compiled.exact else 0.0
    least = min(max(least, 0.0), lay.length)
    best = lay.length <= least + LENGTH_REPORT
    return replace(lay, proven_minimum=least, status="proven best" if best else "found")


def _empty_lay(cloth: Cloth) -> Lay:
    own = panel_cloth(cloth, 1)
    return Lay(
        cloth.name, own.usable_width, 0.0, "does not fit", 0.0, 0.0, buy(own, 0.0), (),
        own.usable_width + 2 * own.selvage, own.selvage, own.nap, 1,
        panel_name=cloth.panels[0].name, panel_outline=panel_edge(cloth, 1),
        flaws=laid_flaws(own.flaws),
    )  # fmt: skip


def _leftover(lay: Lay, edge: FloatArray) -> Rectangle | None:
    """Return the largest clean rectangle that the pieces leave of a panel."""
    length, width = (float(most) for most in edge.max(axis=0))
    rings = [ring for p in lay.placements for ring in (p.outline, *p.cutouts)]
    rings += [flaw.outline for flaw in lay.flaws]
    missing = shapely.difference(shapely.box(0.0, 0.0, length, width), shapely.Polygon(edge))
    for part in shapely.get_parts(missing):
        if part.geom_type == "Polygon" and part.area > SAME_POINT:
            shape = shape_of(part)
            rings += [shape.outer, *shape.holes]
    x0, y0, x1, y1 = largest_empty_rectangle(rings, width, length)
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


def _reason(
    plan: Plan,
    cloth: Cloth,
    strip: PanelStrip,
    behind: Sequence[tuple[Ticket, Position]],
    *,
    proven: bool,
) -> str:
    """Say which pieces find no room, how much cloth they would take, and what is proven."""
    shapes, tail = strip.compiled.problem.shapes, strip.stretches[-1]
    reach = max(shapes[at.shape].box[2] + at.x for _, at in behind)
    more = reach - tail.start - strip.compiled.cloth.gap
    names = Counter(ticket.piece.name for ticket, _ in behind)
    listed = ", ".join(f"{count} of {name}" for name, count in names.items())
    said = (
        f"{listed} found no room on the panels of {cloth.name}: another "
        f"{length_text(more, plan.units)} of cloth "
        f"{length_text(tail.cloth.usable_width, plan.units)} wide would hold them"
    )
    if proven:
        return f"{said}; proven: these panels cannot hold all pieces"
    return f"{said}; it is not proven that they do not fit, so a longer search may find room"


def _remarks(cloth: Cloth, used: int, *, enough: bool, proven: bool) -> Iterator[str]:
    owned = len(cloth.panels)
    if enough and owned > 1:
        least = (
            "no fewer can hold the pieces: proven"
            if proven
            else "fewer may do, but no such lay was found"
        )
        yield f"{used} of the {owned} panels {'is' if used == 1 else 'are'} used" + (
            f"; {least}" if used > 1 else ""
        )
    elif cloth.extra == "buy" and not enough:
        yield (
            "the panels cannot hold all pieces: proven, so cloth is bought to match"
            if proven
            else "no lay on the panels alone was found, so cloth is bought to match"
        )
