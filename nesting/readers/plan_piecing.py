"""The ``piecing`` of a piece in a plan file: where joins are allowed, in millimetres."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
import shapely
from shapely.ops import substring

from ..geometry.rings import FloatArray, Point, as_points, counter_clockwise
from ..model.pattern import PatternPiece
from ..model.plan import EdgeAllowance, Piecing
from ..tolerances import JOIN_ENDS
from .plan_schema import PiecingTable
from .plan_values import Item

Place = tuple[float | str, float | str]

_MOST_JOINS: Final = 6  # more than this is patchwork, and takes the solver for ever
_WIDEST: Final = 100.0  # mm of seam allowance
_FARTHEST: Final = 5_000.0
_LONGEST: Final = 20_000.0


def read_piecing(
    table: PiecingTable | None,
    item: Item,
    pattern: PatternPiece,
    edges: Mapping[str, EdgeAllowance],
    place: Callable[[str, Place], Point],
    *,
    reverse: bool,
) -> Piecing | None:
    """Return the piecing a table asks for, None where there is none.

    Parameters
    ----------
    table, item
        What the plan says, and of which piece.
    pattern, edges
        The piece as drawn, and its named stretches.
    place
        Puts a point of the file in millimetres; the text names its key.
    reverse
        True where the plan turns the top of the garment to the other end of the grain line.

    Raises
    ------
    InputError
        If a value makes no sense, an edge is not there, or a zone or line misses the piece.
    """
    if table is None:
        return None
    if not 1 <= table.most <= _MOST_JOINS:
        raise item.wrong(
            f"piecing.most = {table.most} makes no sense",
            f"allow from 1 to {_MOST_JOINS} joins in one copy",
        )
    line = None
    if table.line is not None:
        line = _line("line", table.line, item, place)
        if table.most != 1:
            raise item.wrong("piecing.line is one join", "leave out most, or leave out line")
        _refuse_missing(pattern, shapely.LineString(line), "line", item)
    return Piecing(
        zones=tuple(_zones(table, item, pattern, edges, place, reverse=reverse)),
        most=table.most,
        allowance=item.length("piecing.allowance", table.allowance, high=_WIDEST),
        worth=item.length("piecing.worth", table.worth, high=_LONGEST),
        match=table.match,
        line=line,
    )


def _zones(
    table: PiecingTable,
    item: Item,
    pattern: PatternPiece,
    edges: Mapping[str, EdgeAllowance],
    place: Callable[[str, Place], Point],
    *,
    reverse: bool,
) -> list[FloatArray]:
    found = []
    if (table.within is None) != (table.of is None):
        raise item.wrong(
            "piecing needs within and of together",
            'write within = "30 cm", of = "hem", where hem is one of the edges',
        )
    if table.within is not None and table.of is not None:
        if table.of not in edges:
            named = ", ".join(edges) or "none"
            raise item.wrong(
                f"piecing.of = {table.of!r}: there is no such edge",
                f"name one of the piece's edges ({named})",
            )
        distance = item.length("piecing.within", table.within, high=_FARTHEST, above=True)
        found.append(_near_edge(pattern.outline, edges[table.of], distance))
    if table.below is not None:
        line = _line("below", table.below, item, place)
        _refuse_missing(pattern, shapely.LineString(line), "below", item)
        found.append(_below(pattern, line, reverse=reverse))
    for number, zone in enumerate(table.zones or [], 1):
        key = f"piecing.zones ({number})"
        if len(zone) < 3:
            raise item.wrong(f"{key} has {len(zone)} points", "an outline needs three or more")
        ring = np.array([place(key, point) for point in zone])
        polygon = shapely.Polygon(ring)
        if not polygon.is_valid or polygon.area <= 0:
            raise item.wrong(f"{key} crosses itself or has no area", "draw a simple outline")
        _refuse_missing(pattern, polygon, f"zones ({number})", item)
        found.append(ring)
    return [as_points(counter_clockwise(ring)) for ring in found]


def _line(
    key: str,
    ends: tuple[Place, Place],
    item: Item,
    place: Callable[[str, Place], Point],
) -> tuple[Point, Point]:
    first, second = (place(f"piecing.{key}", end) for end in ends)
    if float(np.hypot(first[0] - second[0], first[1] - second[1])) <= JOIN_ENDS:
        raise item.wrong(f"piecing.{key} has no length", "give two points apart")
    return first, second


def _refuse_missing(pattern: PatternPiece, shape: shapely.Geometry, key: str, item: Item) -> None:
    if not shapely.Polygon(pattern.outline).intersects(shape):
        raise item.wrong(
            f"piecing.{key} lies outside the piece", "write it in the file's coordinates"
        )


def _near_edge(outline: FloatArray, edge: EdgeAllowance, distance: float) -> FloatArray:
    """Return the ring of all within a distance of a stretch of the outline."""
    loop = shapely.LineString(np.vstack([outline, outline[:1]]))
    begin, end = (float(loop.project(shapely.Point(at))) for at in (edge.start, edge.end))
    spans = [(begin, end)] if begin < end else [(begin, loop.length), (0.0, end)]
    stretch = shapely.union_all([substring(loop, a, b) for a, b in spans])
    return np.array(stretch.buffer(distance).exterior.coords[:-1])


def _below(pattern: PatternPiece, line: tuple[Point, Point], *, reverse: bool) -> FloatArray:
    """Return a ring holding all of the piece on the side of a line away from its top."""
    first, second = pattern.grain or ((0.0, 0.0), (0.0, 1.0))
    up = np.array(second) - np.array(first)
    if reverse:
        up = -up
    low, high = pattern.outline.min(axis=0), pattern.outline.max(axis=0)
    reach = 4.0 * float(np.hypot(*(high - low)))
    start, end = np.array(line[0]), np.array(line[1])
    along = (end - start) / np.hypot(*(end - start))
    down = np.array([-along[1], along[0]])
    if float(down @ up) > 0:
        down = -down
    a, b = start - reach * along, end + reach * along
    return np.array([a, b, b + reach * down, a + reach * down])
