"""Open benchmark instances: XML of the irregular-packing community, or a plain JSON form.

The XML is the form in which the ESICUP data sets are published (public domain); tag names are
matched without their namespace. The JSON form::

    {"name": "two gores", "width": 36,
     "items": [{"quantity": 2, "angles": [0, 180], "outline": [[0, 0], ...], "holes": []}]}

Lengths have no unit and stay as they are. The strip runs along x; its width is across y.
"""

from __future__ import annotations

import codecs
import math
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import ParseError, parse
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from ..errors import InputError, InputFileError, shown_path
from ..geometry.rings import FloatArray, as_points, counter_clockwise, rotated, signed_area
from ..model.problem import Item, PlacementProblem, Shape
from ..tolerances import LARGEST_FILE_BYTES

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element


@dataclass(frozen=True, slots=True, eq=False)
class Benchmark:
    """One instance: its name and the placement problem it states."""

    name: str
    problem: PlacementProblem


class _JsonItem(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)
    outline: list[tuple[float, float]] = Field(min_length=3)
    holes: list[list[tuple[float, float]]] = []
    quantity: int = Field(default=1, ge=1, le=10_000)
    angles: list[float] = Field(default=[0.0], min_length=1)


class _JsonInstance(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)
    name: str = ""
    width: float = Field(gt=0)
    items: list[_JsonItem] = Field(min_length=1)


def read_benchmark(path: Path) -> Benchmark:
    """Read one instance, XML or JSON by its ending.

    Raises
    ------
    InputFileError
        If the file is missing, too large, or neither form.
    InputError
        If what it says cannot be an instance.
    """
    try:
        size = path.stat().st_size
    except OSError:
        raise InputFileError("there is no such file", file=path) from None
    if size > LARGEST_FILE_BYTES:
        raise InputFileError(f"{size} bytes is too large for an instance", file=path)
    instance = (_read_json if path.suffix.lower() == ".json" else _read_xml)(path)
    try:
        return Benchmark(instance.name or shown_path(path.stem), _problem(instance))
    except ValueError as error:
        raise InputError(str(error), file=path) from None


def _read_json(path: Path) -> _JsonInstance:
    try:
        return _JsonInstance.model_validate_json(path.read_bytes().removeprefix(codecs.BOM_UTF8))
    except ValidationError as error:
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"])
        raise InputError(str(first["msg"]), file=path, item=place) from None
    except OSError as error:
        raise InputFileError(error.strerror or "cannot be read", file=path) from None


def _read_xml(path: Path) -> _JsonInstance:
    try:
        root = parse(path).getroot()
    except (ParseError, DefusedXmlException, ValueError) as error:
        raise InputFileError(f"is not a readable XML file ({error})", file=path) from None
    except OSError as error:
        raise InputFileError(error.strerror or "cannot be read", file=path) from None
    try:
        return _instance(root)
    except (KeyError, ValueError, StopIteration) as error:
        raise InputError(
            f"is not a benchmark instance: {error or 'a part of it is missing'}", file=path
        ) from None


def _instance(root: Element) -> _JsonInstance:
    rings = {
        polygon.attrib["id"]: [
            (float(segment.attrib["x0"]), float(segment.attrib["y0"]))
            for segment in _below(polygon, "segment")
        ]
        for polygon in _below(root, "polygon")
    }
    problem = next(_below(root, "problem"))
    board = rings[_component(next(_below(next(_below(problem, "boards")), "piece")))]
    items = [
        _JsonItem(
            outline=rings[_component(piece)],
            quantity=int(piece.attrib["quantity"]),
            angles=[float(e.attrib["angle"]) for e in _below(piece, "enumeration")] or [0.0],
        )
        for piece in _below(next(_below(problem, "lot")), "piece")
    ]
    across = [y for _x, y in board]
    name = next(_below(root, "name")).text or ""
    return _JsonInstance(name=name.strip().lower(), width=max(across) - min(across), items=items)


def _below(element: Element, tag: str):  # type: ignore[no-untyped-def]  # noqa: ANN202
    """Yield the descendants with this tag, whatever their namespace."""
    return (e for e in element.iter() if e.tag.rpartition("}")[2] == tag and e is not element)


def _component(piece: Element) -> str:
    components = list(_below(piece, "component"))
    if len(components) != 1 or components[0].attrib.get("type", "0") != "0":
        raise ValueError("a piece of several components is not understood")
    return str(components[0].attrib["idPolygon"])


def _problem(instance: _JsonInstance) -> PlacementProblem:
    shapes: list[Shape] = []
    items: list[Item] = []
    for number, item in enumerate(instance.items):
        outer = _ring(item.outline)
        holes = [_ring(hole)[::-1] for hole in item.holes]
        indices = []
        for angle in dict.fromkeys(angle % 360.0 for angle in item.angles):
            indices.append(len(shapes))
            shapes.append(Shape(rotated(outer, angle), tuple(rotated(h, angle) for h in holes)))
        items += [Item(f"piece {number + 1}", tuple(indices))] * item.quantity
    return PlacementProblem(tuple(shapes), tuple(items), instance.width)


def _ring(points: list[tuple[float, float]]) -> FloatArray:
    """Return a counter-clockwise ring without repeated neighbours."""
    if not all(math.isfinite(v) for point in points for v in point):
        raise ValueError("an outline has a coordinate that is not finite")
    distinct = [p for i, p in enumerate(points) if p != points[i - 1]]
    if len(distinct) < 3 or signed_area(as_points(distinct)) == 0.0:
        raise ValueError("an outline encloses no area")
    return counter_clockwise(as_points(distinct))
