"""Which closed outline lies in which, and which outline a mark belongs to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray, Point, signed_area


@dataclass(frozen=True, slots=True)
class Nest:
    """An outline that is a piece and those drawn directly inside it; indices into the outlines."""

    outer: int
    inner: tuple[int, ...]


def nests(outlines: Sequence[FloatArray]) -> list[Nest]:
    """Sort closed outlines into pieces and what lies inside them, in the order drawn.

    An outline in no other, or in an even number of others, is outermost; one in an odd number
    of others lies inside the smallest of those. Outlines that only overlap are apart.
    """
    if not outlines:
        return []
    shapes = [shapely.make_valid(shapely.Polygon(outline)) for outline in outlines]
    areas = [abs(signed_area(outline)) for outline in outlines]
    around: list[list[int]] = [[] for _ in outlines]
    tree = shapely.STRtree(shapes)
    for inside, outside in tree.query(shapes, predicate="covered_by").T.tolist():
        if inside != outside and areas[outside] > areas[inside]:
            around[inside].append(outside)
    inner: dict[int, list[int]] = {
        index: [] for index, others in enumerate(around) if len(others) % 2 == 0
    }
    for index, others in enumerate(around):
        if index not in inner:
            inner[min(others, key=lambda other: areas[other])].append(index)
    return [Nest(outer, tuple(found)) for outer, found in inner.items()]


def refuse_drawn_twice(
    outlines: Sequence[FloatArray], entities: Sequence[str], *, file: str
) -> None:
    """Refuse two outlines that cover the same place.

    Raises
    ------
    InputError
        Naming both entities.
    """
    lines = [shapely.LinearRing(outline) for outline in outlines]
    boxes = np.array([line.bounds for line in lines]).reshape(-1, 4)
    for index, line in enumerate(lines):
        same = np.abs(boxes[:index] - boxes[index]).max(axis=1, initial=0) <= tolerances.JOIN_ENDS
        for other in np.flatnonzero(same).tolist():
            if line.hausdorff_distance(lines[other]) <= tolerances.JOIN_ENDS:
                raise InputError(
                    f"the same outline is drawn twice at the same place ({entities[other]} "
                    f"and {entities[index]})",
                    remedy="delete one of the two",
                    file=file,
                    item=entities[index],
                )


class Owners:
    """Finds the piece a line, point or text belongs to: the smallest that holds it."""

    def __init__(self, outlines: Sequence[FloatArray]) -> None:
        self._shapes = [shapely.make_valid(shapely.Polygon(ring)) for ring in outlines]

    def of_point(self, place: Point, within: float = tolerances.ON_OUTLINE) -> int | None:
        """Return the outline that holds a point, or lies within so many millimetres of it."""
        point = shapely.Point(place)
        holding = [
            index for index, shape in enumerate(self._shapes) if shape.distance(point) <= within
        ]
        return min(
            holding,
            key=lambda index: (self._shapes[index].distance(point), self._shapes[index].area),
            default=None,
        )

    def of_path(self, points: FloatArray) -> int | None:
        """Return the outline that holds the middle of a path, or else one it touches."""
        line = shapely.LineString(points)
        middle = line.interpolate(0.5, normalized=True)
        owner = self.of_point((middle.x, middle.y))
        if owner is not None:
            return owner
        touched = [index for index, shape in enumerate(self._shapes) if shape.intersects(line)]
        return touched[0] if len(touched) == 1 else None
