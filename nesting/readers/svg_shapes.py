"""SVG shapes to points: lines, curves and arcs flattened."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element

import numpy as np
from svgelements import (
    Arc,
    Circle,
    Close,
    CubicBezier,
    Ellipse,
    Move,
    Path,
    PathSegment,
    QuadraticBezier,
    Rect,
)

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray
from .drawn import DrawnPath, sharpest_turn
from .svg_page import local_name, numbers, pixels

if TYPE_CHECKING:
    from collections.abc import Iterator

SHAPES: Final = frozenset({"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})

# Possessive throughout: a long row of digits must not be tried in every division.
_PATH_DATA = re.compile(
    r"\s*+[Mm](?:[\sMmZzLlHhVvCcSsQqTtAa,]|[+-]?(?:\d++\.?\d*+|\.\d++)(?:[eE][+-]?\d++)?+)*+",
    re.ASCII,
)
_MOST_CHORDS: Final = 5_000  # of one curve: more is kilometres of it


def shape_paths(
    element: Element, matrix: FloatArray, *, file: str, item: str, layer: str
) -> list[DrawnPath]:
    """Return the paths of one shape element in millimetres.

    Parameters
    ----------
    element
        One of :data:`SHAPES`.
    matrix
        3 by 3, from the element's own units to millimetres.
    layer
        Passed on to the paths.

    Returns
    -------
    list of DrawnPath
        One per subpath of two points or more, each within :data:`.tolerances.FLATTEN` of its
        curve; closed where it says so or comes round to its start.

    Raises
    ------
    InputError
        If its attributes are not what SVG allows.
    """
    scale = float(np.linalg.norm(matrix[:2, :2], 2))
    if not 1e-9 < scale < 1e9:
        raise InputError(
            f"it is drawn at the scale of {scale:.3g} mm to its unit",
            remedy="correct the transforms, width, height or viewBox around it",
            file=file,
            item=item,
        )
    found = []
    for points, closed in _subpaths(element, tolerances.FLATTEN / scale, file=file, item=item):
        if not np.isfinite(points).all() or np.abs(points).max(initial=0.0) > 1e12:
            raise InputError(
                "a coordinate is too large to be drawn (over 1e12 units)",
                remedy="delete it or draw it again",
                file=file,
                item=item,
            )
        placed = points @ matrix[:2, :2].T + matrix[:2, 2]
        meets = len(placed) >= 4 and np.hypot(*(placed[-1] - placed[0])) <= tolerances.JOIN_ENDS
        if meets:
            placed = placed[:-1]
        if len(placed) >= 2:
            found.append(
                DrawnPath(placed, bool((closed or meets) and len(placed) > 2), layer, item)
            )
    return found


def _subpaths(
    element: Element, distance: float, *, file: str, item: str
) -> Iterator[tuple[FloatArray, bool]]:
    def length(name: str, default: str = "0") -> float:
        return pixels(element.get(name) or default, file=file, item=f"{item} {name}")

    match local_name(element):
        case "line":
            ends = [[length("x1"), length("y1")], [length("x2"), length("y2")]]
            yield np.array(ends), False
        case "polyline" | "polygon" as name:
            values = numbers(element.get("points") or "")
            if values is None or len(values) % 2:
                raise _refused("points", element.get("points"), file=file, item=item)
            yield np.array(values).reshape(-1, 2), name == "polygon"
        case "rect":
            corner = {
                name: length(name) for name in ("rx", "ry") if element.get(name, "auto") != "auto"
            }
            rect = Rect(length("x"), length("y"), length("width"), length("height"), **corner)
            yield from _flattened(Path(rect), distance)
        case "circle":
            circle = Circle(cx=length("cx"), cy=length("cy"), r=length("r"))
            yield from _flattened(Path(circle), distance)
        case "ellipse":
            rx, ry = length("rx"), length("ry")
            yield from _flattened(
                Path(Ellipse(cx=length("cx"), cy=length("cy"), rx=rx, ry=ry)), distance
            )
        case _:
            yield from _flattened(_path(element.get("d") or "", file=file, item=item), distance)


def _path(data: str, *, file: str, item: str) -> Path:
    if not data.strip() or data.strip() == "none":
        return Path()
    allowed = _PATH_DATA.match(data)
    read = allowed.end() if allowed else 0
    if read < len(data):
        raise _refused("d", data[max(0, read - 10) :], file=file, item=item)
    try:
        return Path(data)
    except (ValueError, IndexError, TypeError, ArithmeticError):
        raise _refused("d", data, file=file, item=item) from None


def _refused(name: str, value: str | None, *, file: str, item: str) -> InputError:
    shown = value if value is None or len(value) <= 40 else f"{value[:40]}..."
    return InputError(
        f"{name} holds {shown!r}, which SVG does not allow",
        remedy="draw the shape again or save the file anew",
        file=file,
        item=item,
    )


def _flattened(path: Path, distance: float) -> Iterator[tuple[FloatArray, bool]]:
    points: list[FloatArray] = []
    closed = False
    for segment in path:
        if isinstance(segment, Move) or closed:
            if points:
                yield np.vstack(points), closed
            start = segment.end if isinstance(segment, Move) else segment.start
            points, closed = [np.array([[start.x, start.y]])], False
            if isinstance(segment, Move):
                continue
        if isinstance(segment, Close):
            closed = True
        else:
            points.append(_chords(segment, distance))
    if points:
        yield np.vstack(points), closed


def _chords(segment: PathSegment, distance: float) -> FloatArray:
    """Return the points after the first of one segment, each chord within ``distance``.

    Chords turn gently too, see :data:`.tolerances.TURN_OF_CHORDS`.

    For a curve B(t) cut into n equal steps of t the chords stand at most max|B''|/(8 n^2) off
    (error of linear interpolation); for Beziers the control points bound B''.
    """
    end = np.array([[segment.end.x, segment.end.y]])
    bend = _bend(segment)
    if not math.isfinite(bend) or bend <= 0.0:
        return end
    count = math.ceil(math.sqrt(bend / (8.0 * distance)))
    while count <= _MOST_CHORDS:
        places = np.arange(count) / count
        points = np.asarray(segment.npoint(places), dtype=np.float64).reshape(-1, 2)
        turn, long = sharpest_turn(np.vstack([points, end]))
        # What turns more within a tenth of a millimetre is a corner, however it is drawn.
        if not turn > tolerances.TURN_OF_CHORDS or long <= distance:
            return np.vstack([points[1:], end])
        count = math.ceil(count * min(1.05 * turn / tolerances.TURN_OF_CHORDS, 2.0))
    return np.array([[math.inf, math.inf]])


def _bend(segment: PathSegment) -> float:
    """Return a bound of the second derivative over the segment's parameter from 0 to 1."""
    if isinstance(segment, CubicBezier):
        p = [complex(q) for q in (segment.start, segment.control1, segment.control2, segment.end)]
        return 6.0 * max(abs(p[0] - 2 * p[1] + p[2]), abs(p[1] - 2 * p[2] + p[3]))
    if isinstance(segment, QuadraticBezier):
        p = [complex(q) for q in (segment.start, segment.control, segment.end)]
        return 2.0 * abs(p[0] - 2 * p[1] + p[2])
    if isinstance(segment, Arc):
        return float(max(segment.rx, segment.ry) * segment.sweep**2)
    return 0.0
