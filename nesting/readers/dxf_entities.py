"""DXF entities to drawn paths, points and texts, through every block reference."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
from ezdxf.math import Matrix44, Vec3, bulge_center

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray
from .drawn import Drawing, DrawnPath, DrawnPoint, DrawnText, Notes, sharpest_turn

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity
    from ezdxf.entities.insert import Insert
    from ezdxf.entities.polyline import Polyline
    from ezdxf.math import OCS

_PATHS = frozenset({"LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"})
_TEXTS = frozenset({"TEXT", "MTEXT", "ATTRIB"})
_DEEPEST_BLOCK = 8
_MOST_ENTITIES = 200_000
_FINER = (16, 32, 64, 128)  # chords to a span of a curve, tried where it turns sharply
# Of the radius: a chord that turns so much from the next stands so far off its arc.
_GENTLE = 1.0 - math.cos(math.radians(tolerances.TURN_OF_CHORDS / 2.0))


class EntityReader:
    """Reads the entities of one file, in millimetres, y up.

    Parameters
    ----------
    file
        Named in errors.
    to_mm
        Millimetres per drawing unit.
    notes
        Told of everything that is not read.
    hidden_layers
        Layers switched off or frozen, in lower case; what lies on them is not read.
    """

    def __init__(
        self, file: str, to_mm: float, notes: Notes, hidden_layers: frozenset[str]
    ) -> None:
        self.file = file
        self.to_mm = to_mm
        self.notes = notes
        self.hidden_layers = hidden_layers
        self._count = 0
        self._tall = False

    def read(self, entities: Iterable[DXFEntity], matrix: Matrix44 | None = None) -> Drawing:
        """Read the entities as they look through ``matrix`` (drawing units; None: as drawn).

        Raises
        ------
        InputError
            If an entity has coordinates that are no numbers, is larger than 20 m, or if blocks
            refer to each other without end.
        """
        drawing = Drawing()
        self._read_into(drawing, entities, matrix or Matrix44(), layer="0", depth=0)
        return drawing

    def _read_into(
        self,
        drawing: Drawing,
        entities: Iterable[DXFEntity],
        matrix: Matrix44,
        layer: str,
        depth: int,
    ) -> None:
        for entity in entities:
            self._count += 1
            if self._count > _MOST_ENTITIES:
                raise self._too_many()
            # What lies on layer 0 of a block takes the layer the block is put on.
            own = str(entity.dxfattribs().get("layer", "0"))
            on = layer if own == "0" else own
            if on.lower() in self.hidden_layers or entity.dxfattribs().get("invisible", 0):
                self.notes.unread(f"layer {on}", f"hidden {entity.dxftype()}")
                continue
            self._read_one(drawing, entity, matrix, on, depth)

    def _too_many(self) -> InputError:
        return InputError(
            f"its blocks unfold to more than {_MOST_ENTITIES} entities",
            remedy="export the pattern again with one block per piece",
            file=self.file,
        )

    def _read_one(
        self, drawing: Drawing, entity: DXFEntity, matrix: Matrix44, layer: str, depth: int
    ) -> None:
        kind = entity.dxftype()
        name = f"{kind} {entity.dxf.get('handle') or ''} on layer {layer}".replace("  ", " ")
        if kind == "INSERT":
            self._read_insert(drawing, entity, matrix, layer, depth)  # type: ignore[arg-type]
        elif kind == "POINT":
            drawing.points.append(self._point(entity, matrix, layer, name))
        elif kind in _TEXTS:
            drawing.texts.append(self._text(entity, matrix, layer, name))
        elif kind in _PATHS:
            path = self._path(entity, matrix, layer, name)
            if path is not None:
                drawing.paths.append(path)
        elif kind not in {"ATTDEF", "SEQEND"}:
            self.notes.unread(
                f"layer {layer}", f"{kind} is not a kind of line that is cut or drawn"
            )

    def _read_insert(
        self, drawing: Drawing, insert: Insert, matrix: Matrix44, layer: str, depth: int
    ) -> None:
        block = insert.block()
        if block is None:
            self.notes.unread(f"block {insert.dxf.name}", "the block it refers to is missing")
            return
        if depth >= _DEEPEST_BLOCK:
            raise InputError(
                f"blocks lie more than {_DEEPEST_BLOCK} deep in each other",
                remedy="explode the blocks in the drawing program and export it again",
                file=self.file,
                item=f"block {insert.dxf.name}",
            )
        if insert.mcount > _MOST_ENTITIES:
            raise self._too_many()
        self._refuse_absurd(insert, 1.0, f"INSERT of block {insert.dxf.name}")
        for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
            inner = insert_matrix(single) @ matrix
            self._read_into(drawing, block, inner, layer, depth + 1)
            self._read_into(drawing, single.attribs, matrix, layer, depth + 1)

    def _path(
        self, entity: DXFEntity, matrix: Matrix44, layer: str, name: str
    ) -> DrawnPath | None:
        scale = self.to_mm * stretch(matrix)
        if not scale > 0.0 or not math.isfinite(scale):
            raise InputError(
                f"it is drawn at the scale {scale:g}",
                remedy="give its block a scale that is not zero",
                file=self.file,
                item=name,
            )
        self._refuse_absurd(entity, scale, name)
        try:
            found = flattened(entity, tolerances.FLATTEN / scale)
        except (ArithmeticError, ValueError, TypeError, RecursionError) as error:
            raise InputError(
                f"it cannot be drawn ({error})",
                remedy="delete it or draw it again",
                file=self.file,
                item=name,
            ) from error
        if found is None:
            self.notes.unread(f"layer {layer}", f"{entity.dxftype()} is a mesh, not a line")
            return None
        vertices, closed = found
        self._note_height(vertices)
        points = self._to_mm(vertices, matrix, name)
        if closed and len(points) > 1 and np.hypot(*(points[0] - points[-1])) < 1e-9:
            points = points[:-1]
        if len(points) < 2:
            self.notes.unread(f"layer {layer}", f"{entity.dxftype()} has fewer than two points")
            return None
        return DrawnPath(points, closed and len(points) > 2, layer, name)

    def _refuse_absurd(self, entity: DXFEntity, scale: float, name: str) -> None:
        """Refuse coordinates that no flattening could deal with, before it is tried."""
        numbers = np.array(list(_numbers(entity)), dtype=np.float64)
        self._refuse_infinite(numbers, name)
        radius = float(entity.dxfattribs().get("radius", 0.0)) * scale
        if radius > 1000.0 * tolerances.LARGEST_PIECE or np.abs(numbers).max(initial=0) > 1e12:
            raise InputError(
                f"its measures go up to {np.abs(numbers).max() * scale:.3g} mm",
                remedy="the units of the file are probably wrong; correct them, or delete it",
                file=self.file,
                item=name,
            )

    def _point(self, entity: DXFEntity, matrix: Matrix44, layer: str, name: str) -> DrawnPoint:
        self._refuse_absurd(entity, 1.0, name)
        place = Vec3(entity.dxf.location)
        x, y = self._to_mm([Vec3(place.x, place.y)], matrix, name)[0]
        angle = None
        if entity.dxf.hasattr("angle"):
            turned = matrix.transform_direction(Vec3.from_deg_angle(entity.dxf.angle))
            angle = math.degrees(math.atan2(turned.y, turned.x)) % 360.0
        # The notch's depth and width travel in the places of height (30) and thickness (39).
        scale = self.to_mm * stretch(matrix)
        depth, width = abs(place.z) * scale, abs(entity.dxf.get("thickness", 0.0)) * scale
        return DrawnPoint((float(x), float(y)), layer, name, depth, width, angle)

    def _text(self, entity: DXFEntity, matrix: Matrix44, layer: str, name: str) -> DrawnText:
        self._refuse_absurd(entity, 1.0, name)
        words: Any = entity
        text = words.plain_text() if hasattr(words, "plain_text") else str(entity.dxf.text)
        place = Vec3(entity.dxf.get("insert", Vec3()))
        if entity.dxftype() != "MTEXT":
            place = words.ocs().to_wcs(place)
        x, y = self._to_mm([place], matrix, name)[0]
        return DrawnText((float(x), float(y)), " ".join(str(text).split()), layer)

    def _to_mm(self, vertices: list[Vec3], matrix: Matrix44, name: str) -> FloatArray:
        seen = [(v.x, v.y) for v in matrix.transform_vertices(vertices)]
        points = np.array(seen, dtype=np.float64).reshape(-1, 2) * self.to_mm
        self._refuse_infinite(points, name)
        return points

    def _refuse_infinite(self, numbers: FloatArray, name: str) -> None:
        if not np.isfinite(numbers).all():
            bad = numbers[~np.isfinite(numbers)][0]
            raise InputError(
                f"one of its coordinates is {bad}, not a finite number",
                remedy="delete it or draw it again",
                file=self.file,
                item=name,
            )

    def _note_height(self, vertices: list[Vec3]) -> None:
        if not self._tall and any(abs(v.z) > tolerances.SAME_POINT for v in vertices):
            self._tall = True
            self.notes.add("assumed", "", "lines drawn at a height (z) are read as lying flat")


def insert_matrix(insert: Insert) -> Matrix44:
    """Return where a block reference puts its block, in the units of the drawing."""
    return insert.matrix44()


def stretch(matrix: Matrix44) -> float:
    """Return the most by which a matrix lengthens a direction in the plane."""
    columns = [matrix.transform_direction(axis) for axis in (Vec3(1, 0), Vec3(0, 1))]
    plane = np.array([[v.x, v.y] for v in columns])
    return float(np.linalg.norm(plane, 2)) if np.isfinite(plane).all() else math.nan


def flattened(entity: DXFEntity, distance: float) -> tuple[list[Vec3], bool] | None:
    """Return an entity as vertices at most ``distance`` from its curve, and whether it closes.

    Both in drawing units, before any block reference. None for meshes, which are no lines.
    Arcs, ellipses and splines that come round to their start are closed later, by joining ends.
    """
    line: Any = entity
    match entity.dxftype():
        case "LINE":
            return [Vec3(line.dxf.start), Vec3(line.dxf.end)], False
        case "CIRCLE":
            return list(line.flattening(min(distance, _GENTLE * line.dxf.radius))), True
        case "ARC":
            return list(line.flattening(min(distance, _GENTLE * line.dxf.radius))), False
        case "ELLIPSE":
            return _gently(line.construction_tool(), distance), False
        case "SPLINE":
            return _gently(line, distance), False
        case "LWPOLYLINE":
            height = line.dxf.elevation
            corners = [(Vec3(x, y, height), b) for x, y, b in line.get_points("xyb")]
            return _with_bulges(corners, line.closed, line.ocs(), distance)
        case _:
            return _polyline(line, distance)


def _gently(curve: Any, distance: float) -> list[Vec3]:  # noqa: ANN401 - ellipse or spline
    """Return a curve as vertices whose chords turn gently, but at its corners."""
    found: list[Vec3] = list(curve.flattening(distance, segments=8))
    turn, long = _sharpest(found)
    for segments in _FINER:
        if turn <= tolerances.TURN_OF_CHORDS or long <= distance:
            break
        finer = list(curve.flattening(distance, segments=segments))
        before, (turn, long) = turn, _sharpest(finer)
        if not turn < 0.8 * before:
            break  # a corner, which stays one however fine the chords are
        found = finer
    return found


def _sharpest(vertices: list[Vec3]) -> tuple[float, float]:
    return sharpest_turn(np.array([(v.x, v.y) for v in vertices]).reshape(-1, 2))


def _polyline(line: Polyline, distance: float) -> tuple[list[Vec3], bool] | None:
    if line.is_polygon_mesh or line.is_poly_face_mesh:
        return None
    # Curve- and spline-fit polylines also hold the frame of their spline: flag 16.
    kept = [v for v in line.vertices if not v.dxf.flags & 16]
    if line.is_3d_polyline:
        return [Vec3(v.dxf.location) for v in kept], bool(line.is_closed)
    corners = [(Vec3(v.dxf.location), float(v.dxf.get("bulge", 0.0))) for v in kept]
    return _with_bulges(corners, bool(line.is_closed), line.ocs(), distance)


def _with_bulges(
    corners: list[tuple[Vec3, float]], closed: bool, ocs: OCS, distance: float
) -> tuple[list[Vec3], bool]:
    vertices: list[Vec3] = []
    for index, (place, bulge) in enumerate(corners):
        vertices.append(place)
        last = index + 1 == len(corners)
        if bulge and (closed or not last):
            vertices.extend(
                _bulge_arc(place, corners[0 if last else index + 1][0], bulge, distance)
            )
    return list(ocs.points_to_wcs(vertices)), closed


def _bulge_arc(start: Vec3, end: Vec3, bulge: float, distance: float) -> Iterator[Vec3]:
    """Yield the vertices between the ends of an arc; bulge = tan(quarter of the angle turned)."""
    if start.isclose(end) or abs(bulge) < 1e-9:
        return
    middle = Vec3(bulge_center(start, end, bulge))
    spoke = Vec3(start.x - middle.x, start.y - middle.y)
    angle = 4.0 * math.atan(bulge)
    # A chord over the angle a stands r (1 - cos(a/2)) off its arc.
    step = 2.0 * math.acos(1.0 - min(distance / spoke.magnitude, _GENTLE))
    count = math.ceil(abs(angle) / step)
    for index in range(1, count):
        turned = spoke.rotate(angle * index / count)
        yield Vec3(middle.x + turned.x, middle.y + turned.y, start.z)


def _numbers(entity: DXFEntity) -> Iterator[float]:
    """Yield every number that places an entity."""
    line: Any = entity
    for value in entity.dxfattribs().values():
        if isinstance(value, Vec3):
            yield from value.xyz
        elif isinstance(value, float):
            yield value
    if entity.dxftype() == "LWPOLYLINE":
        yield from (float(number) for point in line.get_points("xyb") for number in point)
    elif entity.dxftype() == "POLYLINE":
        for vertex in line.vertices:
            # A vertex may have lost its place in a damaged file.
            place = vertex.dxf.get("location")
            yield from (math.nan,) if place is None else Vec3(place).xyz
            yield float(vertex.dxf.get("bulge", 0.0))
    elif entity.dxftype() == "SPLINE":
        for points in (line.control_points, line.fit_points):
            yield from (float(number) for point in points for number in point)
        yield from (float(number) for number in (*line.knots, *line.weights))
