"""Correct layouts made by hand, for tests that check, write and draw layouts.

The arithmetic is written out once more here, with complex numbers, so that neither the rules nor
the check is used to judge itself.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import numpy as np

from nesting.model.layout import Buy, Lay, Layout, Placement, SolverRun
from nesting.model.pattern import Notch, PatternPiece
from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.units import metres_text, round_up_to_step


def pattern(name, outline, **fields):
    """Return a pattern piece whose grain runs up its page unless another is given."""
    fields.setdefault("grain", ((0.0, 0.0), (0.0, 10.0)))
    return PatternPiece(name, "pieces.svg", np.array(outline, dtype=float), **fields)


def rectangle(width, height):
    """Return the ring of a rectangle with a corner at the origin."""
    return [(0, 0), (width, 0), (width, height), (0, height)]


def put(piece: PlanPiece, copy, turned, at, *, mirrored=False, hand="", cut_line=None):
    """Return a placement: turned so that the top points to ``turned``, then moved by ``at``.

    ``cut_line`` is the cut line in file coordinates where it is not the drawn outline; the drawn
    outline then is a sew line.
    """
    drawn = piece.pattern
    first, second = (complex(*end) for end in drawn.grain)
    if piece.top == "reverse":
        first, second = second, first
    upward = (second - first) / abs(second - first)
    turn = cmath.exp(1j * math.radians(turned))

    def point(p):
        along = complex(*p) / upward
        z = (along.conjugate() if mirrored else along) * turn + complex(*at)
        return z.real, z.imag

    def path(points):
        return np.array([point(p) for p in points])

    def ring(points):
        return path(points)[::-1] if mirrored else path(points)

    def angle(degrees):
        if degrees is None:
            return None
        off = degrees - math.degrees(cmath.phase(upward))
        return turned + (-off if mirrored else off)

    sewn = (np.vstack([drawn.outline, drawn.outline[:1]]),) if cut_line is not None else ()
    return Placement(
        piece.name,
        copy,
        mirrored,
        float(turned),
        ring(drawn.outline if cut_line is None else cut_line),
        (point((first.real, first.imag)), point((second.real, second.imag))),
        {name: point(p) for name, p in piece.points.items()},
        hand,
        tuple(ring(hole) for hole in drawn.cutouts),
        tuple(path(line) for line in (*drawn.sew_lines, *sewn)),
        tuple(path(line) for line in drawn.internal_lines),
        tuple(path(line) for line in drawn.stripe_lines),
        tuple(path(line) for line in drawn.plaid_lines),
        tuple(replace(n, at=point(n.at), angle=angle(n.angle)) for n in drawn.notches),
        tuple(point(p) for p in drawn.drill_holes),
    )


def shoelace(ring):
    """Return the area inside a ring."""
    x, y = np.asarray(ring, dtype=float).T
    return abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2


def lay_on(cloth: Cloth, placements, **fields):
    """Return a lay with every figure worked out from its placements."""
    length = max(float(p.outline[:, 0].max()) for p in placements)
    covered = sum(shoelace(p.outline) - sum(map(shoelace, p.cutouts)) for p in placements)
    need = (length + cloth.end_trim) / (1 - cloth.shrink_along)
    bought = round_up_to_step(need, cloth.step)
    cost = None
    if cloth.price is not None:
        cost = cloth.price * bought / (1000.0 if cloth.price_per == "m" else 914.4)
    parts = {
        "lay": length,
        "end_trim": cloth.end_trim,
        "shrinkage": need - length - cloth.end_trim,
        "motif_start": 0.0,
        "rounding": bought - need,
    }
    width = cloth.width * (1 - cloth.shrink_across)
    usable = width - 2 * cloth.selvage
    made = Lay(
        cloth.name,
        usable,
        length,
        "found",
        covered / usable,
        covered / (usable * length),
        Buy(bought, metres_text(bought), cost, parts),
        tuple(placements),
        width,
        cloth.selvage,
        cloth.nap,
    )
    return replace(made, **fields)


def layout_of(*lays, units="cm", warnings=(), title="storm queen"):
    """Return a layout of these lays."""
    return Layout(title, units, tuple(lays), tuple(warnings), SolverRun(1.5, 7, "0.1.0"))


GORE = pattern(
    "gore",
    [(0, 0), (300, 0), (240, 500), (100, 500)],
    grain=((150.0, 50.0), (150.0, 450.0)),
    notches=(Notch((300.0, 0.0), 180.0, 6.0), Notch((240.0, 500.0), None)),
    sew_lines=(np.array([(10.0, 10.0), (285.0, 10.0), (230.0, 490.0)]),),
    internal_lines=(np.array([(50.0, 100.0), (200.0, 100.0)]),),
    drill_holes=((120.0, 200.0), (160.0, 210.0)),
)
"""A piece without any symmetry, with every sort of mark."""

DAMASK = Cloth(
    "damask", 700.0, 10.0, end_trim=50.0, price=40.0, step=100.0, shrink_along=0.05
)  # fmt: skip


def two_gores():
    """Return a plan for one pair of gores on damask, and its layout: right, then left."""
    gore = PlanPiece("gore", GORE, "damask", 1, 1, points={"knee": (120.0, 300.0)})
    plan = Plan("storm queen", "cm", (DAMASK,), (gore,))
    right = put(gore, 1, 0.0, (0.0, 310.0), hand="R")
    left = put(gore, 2, 180.0, (500.0, 660.0), mirrored=True, hand="L")
    return plan, layout_of(lay_on(DAMASK, [right, left]))
