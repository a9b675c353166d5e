"""Folded lays made by hand, and what the check makes of them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from shapely.geometry import Polygon

from nesting.model.layout import LaidFold, Placement
from nesting.model.plan import Cloth
from nesting.verify.unfold import unfold

from ..handmade import lay_on

CLOTH = Cloth("silk", 1275.0, 10.0, shrink_across=0.2, fold="best")

"""Usable 1000 wide: 1275 less a fifth, less 10 at each edge."""

END = 700.0

FOLDS = {
    "lengthwise": LaidFold(
        "lengthwise", (((0.0, 500.0), (END, 500.0)),), ((0.0, 0.0, END, 500.0),), END
    ),
    "crosswise": LaidFold(
        "crosswise", (((0.0, 0.0), (0.0, 1000.0)),), ((0.0, 0.0, END, 1000.0),), END
    ),
    "cut apart": LaidFold("crosswise", (), ((0.0, 0.0, END, 1000.0),), END),
    "partial": LaidFold(
        "partial", (((0.0, 800.0), (END, 800.0)),), ((0.0, 600.0, END, 800.0),), END
    ),
    "middle": LaidFold(
        "middle",
        (((0.0, 0.0), (END, 0.0)), ((0.0, 500.0), (END, 500.0))),
        ((0.0, 0.0, END, 250.0), (0.0, 250.0, END, 500.0)),
        END,
    ),
}


def corner(x, y, **fields):
    """Return a right-angled piece, 60 along and 40 across, its square corner at (x, y)."""
    ring = np.array([(x, y), (x + 60.0, y), (x, y + 40.0)])
    fields = {"mirrored": False, "turned": 30.0, **fields}
    grain = ((x + 5.0, y + 5.0), (x + 9.0, y + 5.0))
    return Placement(fields.pop("piece", "wing"), 1, outline=ring, grain=grain, **fields)


def folded(how, *placements, cloth=CLOTH, **fields):
    """Return what the check makes of pieces on folded cloth: flat copies, and lines said."""
    folding = FOLDS[how]
    fields = {"fold": folding.kind, "layers": 2, "folding": folding, **fields}
    cloth = replace(cloth, fold_cut=cloth.fold_cut or how == "cut apart")
    flat, faults = unfold(lay_on(cloth, placements, **fields), cloth)
    return flat, [text if at is None else f"{at.piece}: {text}" for at, text in faults]


def covers(copy, *ring):
    """Tell whether a flat copy covers just this polygon."""
    return copy.region.symmetric_difference(Polygon(ring)).area < 1e-6


def on_fold(fold, ring, **fields):
    """Return a half on the fold."""
    half = replace(corner(0.0, 0.0, piece="back", layers=2, on_fold=True), outline=np.array(ring))
    return folded(fold, half, **fields)


def square(x, y, size=60.0):
    """Return a square wanted once, its corner at (x, y)."""
    ring = np.array([(x, y), (x + size, y), (x + size, y + size), (x, y + size)])
    return replace(corner(0.0, 0.0), outline=ring)


DOUBLE = corner(50.0, 100.0, layers=2)
