"""The trained skirt: four gores to each half, the waistband, and facings for the train's hem.

A gore hangs from the waist at y = 0 down the page. Its left edge is the one nearer the centre
front. Seams that are sewn together are drawn to the same length by letting the straight part
below the hip run on until they are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import LineString
from shapely.ops import substring

from .curves import (
    XY,
    Path,
    end_of,
    fitted,
    flatten,
    join,
    length,
    line,
    point_at,
    start_of,
    sweep,
    trued,
    turned_round,
    unit,
)
from .garment import Edge, Garment, Mark
from .measurements import HEM, QUEEN, SEAM, TRAIN, Body

WAISTBAND_DEPTH = 35.0
WAISTBAND_EASE = 12.0
UNDERLAP = 40.0
FACING_DEPTH = 150.0


@dataclass(frozen=True)
class GoreShape:
    """Widths of one gore in millimetres and the sewn lengths of its edges.

    ``hip_left`` and ``hip_right`` say how far the edges have moved out at the hip from where they
    start at the waist; ``spread_left`` and ``spread_right`` how far the hem ends lie outside the
    waist ends. ``lift`` raises the right end of the waist. ``dip_left`` and ``dip_right`` are the
    degrees by which the hem falls away there from square to the seam; the gores either side of a
    seam have the same dip, so that the hem runs on without a corner.
    """

    waist: float
    hip_left: float
    hip_right: float
    spread_left: float
    spread_right: float
    left: float
    right: float
    lift: float
    dip_left: float
    dip_right: float


def gore_shapes(body: Body = QUEEN) -> dict[str, GoreShape]:
    """Return the four gores of one half, centre front to centre back.

    The waist of the gores is the waistband's half; the last gore has 90 mm more for its pleats.
    """
    half = 0.5 * (body.waist + WAISTBAND_EASE)
    floor = body.waist_to_floor
    waists = (0.18 * half, 0.27 * half, 0.25 * half, 0.30 * half)
    return {
        "front gore": GoreShape(waists[0], 0, 30, 0, 150, floor, floor + 8, 6, 0, 0),
        "side gore": GoreShape(waists[1], 12, 30, 14, 260, floor + 8, floor + 45, 12, 0, 10),
        "back side gore": GoreShape(
            waists[2], 14, 34, 18, 330, floor + 45, floor + 290, 12, 10, 38
        ),
        "train gore": GoreShape(
            waists[3] + 90, 40, 0, 470, 0, floor + 290, floor + TRAIN, 4, 38, 0
        ),
    }  # fmt: skip


def gore_seam(
    start: XY, hip: float, spread: float, reach: float, *, side: int, depth: float
) -> Path:
    """Return a gore's edge, ``reach`` long: rounded over the hip and straight from there down.

    ``side`` is 1 for an edge that moves out to the right and -1 to the left.
    """
    knee = (start[0] + side * hip, -depth)
    slope = (spread - hip) / (reach - depth)
    below = (side * slope, -1.0)
    # From a straight edge without hip the curve is the straight line itself.
    top = (side * (hip / depth * 1.7 - slope * 0.7), -1.0)
    over = sweep(start, top, knee, below)
    run = reach - length(over)
    down = np.array(below) / float(np.hypot(*below)) * run
    return join(over, line(knee, (knee[0] + float(down[0]), knee[1] + float(down[1]))))


def draft_gore(name: str, shape: GoreShape, body: Body) -> Garment:
    """Return one gore with its waist, both seams and hem."""
    # The curved waist, not its chord, is as long as the measurement asks for.
    waist = trued(
        lambda across: sweep((across, shape.lift), (-1.0, -0.2), (0.0, 0.0), (-1.0, 0.02)),
        shape.waist, 0.5 * shape.waist, 1.2 * shape.waist,
    )  # fmt: skip
    deep = body.hip_depth
    left = gore_seam(
        (0.0, 0.0), shape.hip_left, shape.spread_left, shape.left, side=-1, depth=deep
    )
    right = gore_seam(
        start_of(waist), shape.hip_right, shape.spread_right, shape.right, side=1, depth=deep
    )
    hem = _hem(left, right, shape)
    hip_notch = body.hip_depth + 10.0
    marks = [Mark("left", hip_notch), Mark("left", 640.0)]
    marks += [Mark("right", shape.right - hip_notch), Mark("right", shape.right - 640.0)]
    middle = 0.5 * shape.waist
    return Garment(
        name,
        (
            Edge("hem", hem, HEM),
            Edge("right", turned_round(right), SEAM),
            Edge("waist", waist, SEAM),
            Edge("left", left, SEAM),
        ),
        grain=((middle, -0.75 * shape.left), (middle, -0.25 * shape.left)),
        marks=tuple(marks),
        quantity=(1, 1),
    )


def _turned(direction: XY, degrees: float) -> XY:
    c, s = float(np.cos(np.radians(degrees))), float(np.sin(np.radians(degrees)))
    return c * direction[0] - s * direction[1], s * direction[0] + c * direction[1]


def _hem(left: Path, right: Path, shape: GoreShape) -> Path:
    """Return the hem, from the lower end of the left edge to that of the right."""
    (_, down_left), (_, down_right) = point_at(left, 1e9), point_at(right, 1e9)
    leaving = _turned(down_left, 90.0 - shape.dip_left)
    arriving = _turned(down_right, 90.0 - shape.dip_right)
    return sweep(end_of(left), leaving, end_of(right), arriving, 0.36)


def draft_gores(body: Body = QUEEN) -> dict[str, Garment]:
    """Return the gores by name; the front gore is drawn as a half."""
    gores = {name: draft_gore(name, shape, body) for name, shape in gore_shapes(body).items()}
    front, train = gores["front gore"], gores["train gore"]
    gores["front gore"] = Garment(
        front.name,
        tuple(
            Edge("centre front", edge.path, 0.0) if edge.name == "left" else edge
            for edge in front.edges
        ),
        front.grain,
        tuple(mark for mark in front.marks if mark.edge != "left"),
        fold_edge="centre front",
    )
    pleats = tuple(line((x, -6.0), (x, -90.0)) for x in (52.0, 82.0, 112.0, 142.0))
    gores["train gore"] = Garment(
        train.name,
        train.edges,
        ((150.0, -1250.0), (150.0, -500.0)),
        (*train.marks[:2], Mark("right", train.seam("right") - 240.0, "T")),
        internal=pleats,
        quantity=(1, 1),
    )
    return gores


def _band_top(hem: Path, left: Path, right: Path) -> Path:
    """Return the line ``FACING_DEPTH`` above a hem, from the right seam to the left one."""
    above = []
    for share in np.linspace(0.0, 1.0, 41):
        (x, y), (dx, dy) = point_at(hem, share * length(hem))
        above.append((x - FACING_DEPTH * dy, y + FACING_DEPTH * dx))
    # Run on straight beyond both ends, so that it crosses the seams wherever they lie.
    first, last = np.array(above[:2]), np.array(above[-2:])
    before = first[0] + FACING_DEPTH * unit(first[0] - first[1])
    after = last[1] + FACING_DEPTH * unit(last[1] - last[0])
    band = LineString([before, *above, after])
    ends = [band.project(band.intersection(LineString(flatten(seam)))) for seam in (left, right)]
    return turned_round(fitted(np.array(substring(band, *ends).coords)))


def draft_facing(gore: Garment) -> Garment:
    """Return the facing of a gore's hem: a band ``FACING_DEPTH`` deep along its curve."""
    hem = gore.edge("hem").path
    top = _band_top(hem, gore.edge("left").path, gore.edge("right").path)
    middle = length(hem) / 2.0
    (x, y), _ = point_at(hem, middle)
    return Garment(
        f"{gore.name} hem facing",
        (
            Edge("hem", hem, SEAM),
            Edge("right", line(end_of(hem), start_of(top)), SEAM),
            Edge("top", top, SEAM),
            Edge("left", line(end_of(top), start_of(hem)), SEAM),
        ),
        grain=((x, y + 30.0), (x, y + FACING_DEPTH - 20.0)),
        marks=(Mark("hem", middle),),
        quantity=(1, 1),
    )


def draft_waistband(body: Body = QUEEN) -> Garment:
    """Return the waistband: folded along its length, closed at the left side with an underlap."""
    long = body.waist + WAISTBAND_EASE + UNDERLAP
    deep = 2.0 * WAISTBAND_DEPTH
    front = 0.25 * (body.waist + WAISTBAND_EASE)
    return Garment(
        "waistband",
        (
            Edge("skirt edge", line((0.0, 0.0), (long, 0.0)), SEAM),
            Edge("underlap end", line((long, 0.0), (long, deep)), SEAM),
            Edge("inside edge", line((long, deep), (0.0, deep)), SEAM),
            Edge("end", line((0.0, deep), (0.0, 0.0)), SEAM),
        ),
        # Drawn along the page, with the warp running along the band for strength.
        grain=((120.0, 18.0), (long - 120.0, 18.0)),
        marks=tuple(Mark("skirt edge", front * k) for k in (1, 2, 3, 4)),
        internal=(line((0.0, deep / 2.0), (long, deep / 2.0)),),
    )


def draft_binding() -> Garment:
    """Return the bias strip that binds the collar and the slanting closing in one length."""
    long, deep = 880.0, 44.0
    return Garment(
        "closing binding",
        (
            Edge("lower", line((0.0, 0.0), (long, 0.0)), 0.0),
            Edge("end", line((long, 0.0), (long + deep, deep)), 0.0),
            Edge("upper", line((long + deep, deep), (deep, deep)), 0.0),
            Edge("start", line((deep, deep), (0.0, 0.0)), 0.0),
        ),
        grain=((140.0, deep / 2.0), (long - 100.0, deep / 2.0)),
    )
