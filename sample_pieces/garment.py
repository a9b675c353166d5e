"""A drafted piece: its named sewing edges and marks, and the cut line that follows from them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .curves import XY, Path, Points, flatten, length, point_at, reflected, start_of, unit

MITRE_LIMIT = 2.5
"""A corner of the cut line may stand this many allowances off the stitched corner; a sharper one
is cut off square, as scissors would."""


@dataclass(frozen=True)
class Edge:
    """One edge of a piece on the stitching line; ``allowance`` millimetres of cloth beyond it."""

    name: str
    path: Path
    allowance: float


@dataclass(frozen=True)
class Mark:
    """A notch, ``distance`` millimetres along the edge of that name; kind slit, T or check."""

    edge: str
    distance: float
    kind: str = "slit"


@dataclass(frozen=True)
class Garment:
    """A piece drawn right side up, edges counter-clockwise, the top of the garment up the page.

    ``fold_edge`` names the edge about which a half is completed; ``grain`` runs from the lower to
    the upper end; ``quantity`` counts copies as drawn and mirrored.
    """

    name: str
    edges: tuple[Edge, ...]
    grain: tuple[XY, XY]
    marks: tuple[Mark, ...] = ()
    internal: tuple[Path, ...] = ()
    drills: tuple[XY, ...] = ()
    fold_edge: str = ""
    quantity: tuple[int, int] = (1, 0)
    material: str = ""

    def edge(self, name: str) -> Edge:
        """Return the edge of that name."""
        return next(edge for edge in self.edges if edge.name == name)

    def seam(self, name: str) -> float:
        """Return the sewn length of an edge in millimetres."""
        return length(self.edge(name).path)


def other_hand(garment: Garment, name: str) -> Garment:
    """Return the piece reflected, as it is drawn for the other side of the body."""

    def across(point: XY) -> XY:
        return -point[0], point[1]

    return replace(
        garment,
        name=name,
        edges=tuple(replace(edge, path=reflected(edge.path)) for edge in reversed(garment.edges)),
        grain=(across(garment.grain[0]), across(garment.grain[1])),
        marks=tuple(
            replace(mark, distance=garment.seam(mark.edge) - mark.distance)
            for mark in garment.marks
        ),
        internal=tuple(reflected(path) for path in garment.internal),
        drills=tuple(across(point) for point in garment.drills),
    )


def sew_ring(garment: Garment) -> Points:
    """Return the stitching line all round, counter-clockwise, first point not repeated."""
    return np.concatenate([flatten(edge.path)[:-1] for edge in garment.edges])


def sew_paths(garment: Garment) -> list[Points]:
    """Return the stitching lines to draw: the ring, or the open rest where one edge is a fold."""
    names = [edge.name for edge in garment.edges]
    if garment.fold_edge not in names:
        ring = sew_ring(garment)
        return [np.vstack([ring, ring[:1]])]
    after = names.index(garment.fold_edge) + 1
    order = garment.edges[after:] + garment.edges[: after - 1]
    parts = [flatten(edge.path) for edge in order]
    return [np.concatenate([parts[0], *(part[1:] for part in parts[1:])])]


def cut_ring(garment: Garment) -> Points:
    """Return the cut line: every edge moved out by its allowance, corners mitred or cut square.

    Counter-clockwise, first point not repeated.
    """
    rings = [flatten(edge.path) for edge in garment.edges]
    corners = np.concatenate([ring[:-1] for ring in rings])
    widths = np.concatenate(
        [np.full(len(r) - 1, e.allowance) for r, e in zip(rings, garment.edges, strict=True)]
    )
    ahead = np.roll(corners, -1, axis=0) - corners
    ahead /= np.hypot(*ahead.T)[:, None]
    outward = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    points: list[Points] = []
    for i, corner in enumerate(corners):
        points.extend(
            _offset_corner(corner, (ahead[i - 1], ahead[i]), (outward[i - 1], outward[i]),
                           (widths[i - 1], widths[i]))
        )  # fmt: skip
    return np.array(points)


def _offset_corner(
    corner: Points, ahead: tuple[Points, Points], out: tuple[Points, Points],
    width: tuple[float, float],
) -> list[Points]:  # fmt: skip
    """Return the one or two points of the cut line that belong to a corner of the sew line."""
    before, after = corner + width[0] * out[0], corner + width[1] * out[1]
    turn = float(ahead[0][0] * ahead[1][1] - ahead[0][1] * ahead[1][0])
    if abs(turn) < 1e-6:
        return [before] if abs(width[0] - width[1]) < 1e-9 else [before, after]
    gap = after - before
    run = float(gap[0] * ahead[1][1] - gap[1] * ahead[1][0]) / turn
    mitre = before + run * ahead[0]
    reach = MITRE_LIMIT * max(width)
    if turn > 0 and float(np.hypot(*(mitre - corner))) > reach:
        return [before + reach / 2 * ahead[0], after - reach / 2 * ahead[1]]
    return [mitre]


@dataclass(frozen=True)
class PlacedMark:
    """A notch on the cut line; ``angle`` in degrees points into the piece."""

    at: XY
    angle: float
    kind: str


def placed_marks(garment: Garment, *, on_cut_line: bool) -> list[PlacedMark]:
    """Return the notches on the cut line, or on the stitching line where that is the outline.

    They lie on the chords of the outline, so that whoever reads the file finds them on its edge.
    """
    ring = cut_ring(garment) if on_cut_line else sew_ring(garment)
    placed = []
    for mark in garment.marks:
        edge = garment.edge(mark.edge)
        (x, y), (dx, dy) = point_at(edge.path, mark.distance)
        out = edge.allowance if on_cut_line else 0.0
        at = _nearest_on(ring, (x + out * dy, y - out * dx))
        placed.append(PlacedMark(at, float(np.degrees(np.arctan2(dx, -dy))), mark.kind))
    return placed


def _nearest_on(ring: Points, point: XY) -> XY:
    """Return the point of a ring's sides nearest to a point."""
    ahead = np.roll(ring, -1, axis=0) - ring
    share = ((np.array(point) - ring) * ahead).sum(axis=1) / (ahead**2).sum(axis=1)
    feet = ring + np.clip(share, 0.0, 1.0)[:, None] * ahead
    x, y = feet[np.hypot(*(feet - np.array(point)).T).argmin()]
    return float(x), float(y)


def fold_ends(garment: Garment) -> tuple[XY, XY] | None:
    """Return both ends of the mirror line on the cut line, lower end first, or None."""
    if not garment.fold_edge:
        return None
    ring = cut_ring(garment)
    path = garment.edge(garment.fold_edge).path
    base = np.array(start_of(path))
    along = unit(path[-1, 3] - path[0, 0])
    offset = ring - base
    on_line = ring[np.abs(offset[:, 0] * along[1] - offset[:, 1] * along[0]) < 1e-6]
    far = (on_line - base) @ along
    ends = on_line[[far.argmin(), far.argmax()]]
    low, high = sorted(ends.tolist(), key=lambda point: point[1])
    return (low[0], low[1]), (high[0], high[1])
