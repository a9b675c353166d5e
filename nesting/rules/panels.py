"""Several owned pieces of a cloth as one strip, one behind the other, and back to lays.

Each panel begins behind a wall across the whole strip; what a panel lacks of the strip's width,
and of a rectangle where it is none, is an obstacle too. Behind the last wall lies new cloth that
is bought to match, or else cloth that is not there: what has to lie on it does not fit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from ..geometry.rings import FloatArray, as_points
from ..geometry.simplify import simplify_outward
from ..model.plan import Cloth, Plan
from ..model.problem import Obstacle, PlacementProblem, Position, Shape
from ..tolerances import SAME_POINT, SIMPLIFY_OUTWARD
from .compile import CompiledLay, compile_lay
from .flaws import shape_of

WALL = 20.0
"""Millimetres between panels on the strip; enough that no rounding reaches over it."""

_SPARE = 0.1  # mm; room for rounding beside the widest piece


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """One owned panel on the strip, or what lies behind them all.

    ``number`` counts the cloth's panels from 1, None behind the last. ``cloth`` is the panel as a
    cloth of its own. A piece at x on the panel is at ``start`` + x on the strip.
    """

    number: int | None
    cloth: Cloth
    start: float
    end: float


@dataclass(frozen=True, slots=True, eq=False)
class PanelStrip:
    """Panels of one cloth as a single placement problem.

    Attributes
    ----------
    compiled
        Its problem has the walls and missing parts among its obstacles; its cloth is made up.
    stretches
        In their order along the strip; the last is what lies behind the panels.
    """

    compiled: CompiledLay
    stretches: tuple[Stretch, ...]

    @property
    def owned_end(self) -> float:
        """Greatest x, in the engine's problem, up to which shapes lie on owned panels."""
        return self.stretches[-2].end + self.compiled.cloth.gap


def panel_cloth(cloth: Cloth, number: int) -> Cloth:
    """Return one panel of a cloth, counted from 1, as a cloth of its own.

    A panel whose edge is drawn has neither selvage nor trim; its flaws keep their places.
    """
    panel = cloth.panels[number - 1]
    drawn = panel.outline is not None
    return replace(
        cloth,
        width=panel.width,
        length=panel.length,
        selvage=0.0 if drawn else cloth.selvage,
        end_trim=0.0 if drawn else cloth.end_trim,
        panels=(),
        extra="none",
        flaws=tuple(replace(flaw, panel=1) for flaw in cloth.flaws if flaw.panel == number),
    )


def bought_cloth(cloth: Cloth) -> Cloth:
    """Return the cloth bought to match the panels: off the bolt, without their flaws."""
    return replace(cloth, panels=(), extra="none", flaws=())


def usable_length(panel: Cloth) -> float:
    """Return the length of a panel's cloth that pieces may take, once shrunk and trimmed."""
    return (panel.length or 0.0) * (1.0 - panel.shrink_along) - panel.end_trim


def panel_edge(cloth: Cloth, number: int) -> FloatArray:
    """Return the edge of what can be used of a panel, counter-clockwise, as cut."""
    outline = cloth.panels[number - 1].outline
    if outline is not None:
        kept = np.array([1.0 - cloth.shrink_along, 1.0 - cloth.shrink_across])
        return as_points(outline * kept)
    own = panel_cloth(cloth, number)
    length, width = usable_length(own), own.usable_width
    return as_points([(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)])


def clean_parts(cloth: Cloth, number: int) -> tuple[shapely.Polygon, ...]:
    """Return what of a panel any piece may cover, in parts that no piece can reach across.

    Flaws that an allowance may hide are not taken off.
    """
    strict = [
        shapely.Polygon(flaw.outline)
        for flaw in cloth.flaws
        if flaw.panel == number and flaw.hide == "no"
    ]
    clean = shapely.difference(
        shapely.Polygon(panel_edge(cloth, number)), shapely.union_all(strict)
    )
    return tuple(part for part in shapely.get_parts(clean) if part.geom_type == "Polygon")


def compile_strip(plan: Plan, cloth: Cloth, numbers: Sequence[int]) -> PanelStrip:
    """Return the placement problem of a cloth's pieces on some of its panels.

    Parameters
    ----------
    numbers
        The panels, counted from 1, in their order along the strip.

    Raises
    ------
    InputError
        If a piece is too wide for all of them, and for what is bought to match.
    """
    stretches = tuple(_stretches(cloth, numbers))
    width = max(stretch.cloth.usable_width for stretch in stretches)
    flaws = tuple(
        replace(flaw, outline=as_points(flaw.outline + np.array([stretch.start, 0.0])))
        for stretch in stretches
        for flaw in stretch.cloth.flaws
    )
    made_up = replace(
        cloth, width=width, selvage=0.0, shrink_across=0.0, panels=(), extra="none", flaws=flaws
    )
    compiled = compile_lay(plan, made_up)
    longest = sum(
        max(choice.piece.size[0] for choice in ticket.choices.values()) + cloth.gap
        for ticket in compiled.tickets
    )
    if cloth.extra == "none":
        stretches = (*stretches[:-1], _narrowed(stretches[-1], compiled))
    problem = compiled.problem
    fixed = tuple(
        Obstacle(shape)
        for stretch in stretches
        for shape in _not_there(cloth, stretch, problem.width, longest)
    )
    problem = replace(problem, obstacles=(*problem.obstacles, *fixed))
    return PanelStrip(replace(compiled, problem=problem), stretches)


def _stretches(cloth: Cloth, numbers: Sequence[int]) -> Iterator[Stretch]:
    start = 0.0
    for number in numbers:
        own = panel_cloth(cloth, number)
        end = start + usable_length(own)
        yield Stretch(number, own, start, end)
        start = end + cloth.gap + WALL
    if cloth.extra == "buy":
        behind = bought_cloth(cloth)
    else:
        widest = max(range(1, len(cloth.panels) + 1), key=lambda n: cloth.panels[n - 1].width)
        behind = replace(panel_cloth(cloth, widest), length=None, flaws=())
    yield Stretch(None, behind, start, start)


def _narrowed(behind: Stretch, compiled: CompiledLay) -> Stretch:
    """Return what lies behind the panels as wide only as the widest piece needs.

    There pieces lie one behind the other, so that a shorter strip has fewer of them there.
    """
    width = max(
        min(choice.piece.size[1] for choice in ticket.choices.values())
        for ticket in compiled.tickets
    )
    width = min(width + _SPARE, behind.cloth.usable_width)
    cloth = replace(behind.cloth, width=width, selvage=0.0, shrink_across=0.0)
    return replace(behind, cloth=cloth)


def _not_there(cloth: Cloth, stretch: Stretch, width: float, longest: float) -> Iterator[Shape]:
    """Yield wall and missing parts of one stretch, where shapes lie half a gap further on."""
    gap = cloth.gap
    behind = stretch.number is None
    end = stretch.start + longest if behind else stretch.end + gap
    high = stretch.cloth.usable_width + gap
    if high < width - SAME_POINT:
        yield shape_of(shapely.box(stretch.start, high, end, width))
    if stretch.number is None:
        return
    yield shape_of(shapely.box(end, 0.0, end + WALL, width))
    if cloth.panels[stretch.number - 1].outline is not None:
        edge = panel_edge(cloth, stretch.number) + np.array([stretch.start + gap / 2, gap / 2])
        yield from _outside(edge, shapely.box(stretch.start, 0.0, end, high))


def _outside(edge: FloatArray, box: shapely.Polygon) -> Iterator[Shape]:
    """Yield what of a box lies outside an edge, in simple parts, a hair enlarged."""
    x0, y0, x1, y1 = box.bounds
    middle = (x0 + x1) / 2
    missing = shapely.difference(box, shapely.Polygon(edge))
    # Cut across the middle, so that what surrounds the edge on all sides falls in two.
    for half in (shapely.box(x0, y0, middle, y1), shapely.box(middle, y0, x1, y1)):
        for part in shapely.get_parts(shapely.intersection(missing, half)):
            if part.geom_type == "Polygon" and part.area > SAME_POINT:
                shape = shape_of(part)
                yield Shape(simplify_outward(shape.outer, SIMPLIFY_OUTWARD), shape.holes)


def part_of(strip: PanelStrip, stretch: Stretch, items: Sequence[int]) -> CompiledLay:
    """Return the problem of some items on one stretch, as if nothing else were there."""
    whole = strip.compiled
    back = np.array([stretch.start, 0.0])
    behind = stretch.end + whole.cloth.gap + WALL
    obstacles = tuple(
        replace(obstacle, shape=_moved(obstacle.shape, -back))
        for obstacle in whole.problem.obstacles
        if stretch.start - WALL / 2 <= obstacle.shape.box[0]
        and obstacle.shape.box[2] <= behind + WALL / 2
    )
    problem = PlacementProblem(
        whole.problem.shapes,
        tuple(whole.problem.items[k] for k in items),
        whole.problem.width,
        obstacles,
    )
    return replace(whole, problem=problem, tickets=tuple(whole.tickets[k] for k in items))


def _moved(shape: Shape, by: FloatArray) -> Shape:
    return Shape(as_points(shape.outer + by), tuple(as_points(hole + by) for hole in shape.holes))


def stretch_of(strip: PanelStrip, position: Position) -> Stretch:
    """Return the stretch a placed item lies on."""
    x = position.x + strip.compiled.problem.shapes[position.shape].box[0]
    return next(s for s in reversed(strip.stretches) if x >= s.start - WALL / 2)
