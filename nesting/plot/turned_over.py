"""A lay as it looks with the cloth turned over, its wrong side up."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from ..model.layout import LaidFold, Lay, Placement

Points = npt.NDArray[np.float64]


def turned_over(lay: Lay) -> Lay:
    """Return a lay seen from the wrong side, its squared cut end still at x = 0.

    The cloth is turned about its length: what lay at y from the near selvage is drawn at the
    usable width less y, so that the near selvage is drawn above. A piece that lay face down is
    seen face up and the other way round; hands stay, since they are the body's.
    """
    width = lay.usable_width

    def path(points: Points) -> Points:
        found: Points = np.column_stack([points[:, 0], width - points[:, 1]])
        return found

    def place(point: tuple[float, float]) -> tuple[float, float]:
        return point[0], width - point[1]

    repeat, leftover, panel = lay.repeat, lay.leftover, lay.panel_outline
    return replace(
        lay,
        placements=tuple(_placement(p, width) for p in lay.placements),
        folding=None if lay.folding is None else _fold(lay.folding, width),
        repeat=None if repeat is None else replace(repeat, offset=place(repeat.offset)),
        flaws=tuple(replace(f, outline=path(f.outline)[::-1]) for f in lay.flaws),
        panel_outline=None if panel is None else path(panel)[::-1],
        leftover=None if leftover is None else _box(leftover, width),
    )


def _placement(placement: Placement, width: float) -> Placement:
    def path(points: Points) -> Points:
        found: Points = np.column_stack([points[:, 0], width - points[:, 1]])
        return found

    def place(point: tuple[float, float]) -> tuple[float, float]:
        return point[0], width - point[1]

    def paths(lines: tuple[Points, ...]) -> tuple[Points, ...]:
        return tuple(path(line) for line in lines)

    return replace(
        placement,
        mirrored=not placement.mirrored,
        turned=(-placement.turned) % 360.0,
        outline=path(placement.outline)[::-1],
        grain=(place(placement.grain[0]), place(placement.grain[1])),
        points={name: place(point) for name, point in placement.points.items()},
        cutouts=tuple(path(ring)[::-1] for ring in placement.cutouts),
        sew_lines=paths(placement.sew_lines),
        internal_lines=paths(placement.internal_lines),
        stripe_lines=paths(placement.stripe_lines),
        plaid_lines=paths(placement.plaid_lines),
        notches=tuple(
            replace(n, at=place(n.at), angle=None if n.angle is None else (-n.angle) % 360.0)
            for n in placement.notches
        ),
        drill_holes=tuple(place(hole) for hole in placement.drill_holes),
    )


def _fold(folding: LaidFold, width: float) -> LaidFold:
    return replace(
        folding,
        edges=tuple(((ax, width - ay), (bx, width - by)) for (ax, ay), (bx, by) in folding.edges),
        double=tuple(_box(box, width) for box in folding.double),
    )


def _box(
    box: tuple[float, float, float, float], width: float
) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = box
    return x0, width - y1, x1, width - y0
