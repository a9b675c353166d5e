"""A panel cut in two parts, drawn and laid by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from nesting.model.layout import Joining
from nesting.model.pattern import Notch
from nesting.model.plan import Cloth, Piecing, Plan, PlanPiece

from ..handmade import lay_on, layout_of, pattern, put

CALICO = Cloth("calico", 1000.0)
PANEL = PlanPiece(
    "panel",
    pattern(
        "panel",
        [(0, 0), (300, 0), (300, 400), (200, 450), (0, 400)],
        notches=(Notch((300.0, 200.0), 180.0), Notch((0.0, 100.0), 0.0)),
        drill_holes=((50.0, 60.0), (290.0, 60.0)),
        internal_lines=(np.array([(20.0, 300.0), (280.0, 300.0)]),),
    ),
    "calico",
    points={"knee": (40.0, 200.0), "corner": (300.0, 0.0)},
    piecing=Piecing(allowance=10.0),
)
"""A panel with a shoulder, top up the page, 30 wide; its join at 20 is 45 cm long."""

JOINED = Joining(
    "panel",
    ("panel, main part", "panel, wedge"),
    ((60.0, 200.0), (250.0, 200.0)),
    (((200.0, 0.0), (200.0, 1.0)),),
    10.0,
)

SEAM = np.array([(200.0, 0.0), (200.0, 450.0)])

MAIN = PlanPiece(
    "panel, main part",
    pattern(
        "main",
        [(0, 0), (210, 0), (210, 450), (200, 450), (0, 400)],
        grain=((100.0, 50.0), (100.0, 350.0)),
        notches=(Notch((0.0, 100.0), 0.0), Notch((200.0, 150.0), 180.0)),
        drill_holes=((50.0, 60.0),),
        sew_lines=(SEAM,),
        internal_lines=(np.array([(20.0, 300.0), (200.0, 300.0)]),),
    ),
    "calico",
    points={"knee": (40.0, 200.0), "join 1": (200.0, 225.0)},
)
"""The part left of the join: 10 added to its right; a notch at a third of the join, inward."""

WEDGE = PlanPiece(
    "panel, wedge",
    pattern(
        "wedge",
        [(190, 0), (300, 0), (300, 400), (200, 450), (190, 450)],
        grain=((250.0, 50.0), (250.0, 350.0)),
        notches=(Notch((300.0, 200.0), 180.0), Notch((200.0, 150.0), 0.0)),
        drill_holes=((290.0, 60.0),),
        sew_lines=(SEAM,),
        internal_lines=(np.array([(200.0, 300.0), (280.0, 300.0)]),),
    ),
    "calico",
    points={"corner": (300.0, 0.0), "join 1": (200.0, 225.0)},
)
"""The part right of the join: 10 added to its left."""


def both_parts(copy=1, along=0.0, **kwargs):
    """Return placements of the two parts, one above the other, tops along the cloth."""
    return [
        put(MAIN, copy, 0.0, (along, 210.0), **kwargs),
        put(WEDGE, copy, 0.0, (along, 600.0), **kwargs),
    ]


def pieced(placements=None, joining=JOINED, cloth=CALICO, **fields):
    """Return a plan of the panel and its layout in two parts."""
    laid = both_parts() if placements is None else placements
    plan = Plan("t", "cm", (cloth,), (replace(PANEL, **fields),))
    return plan, replace(layout_of(lay_on(cloth, laid)), joinings=(joining,))
