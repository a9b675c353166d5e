"""Small pieces and plans made by hand, for the tests of the rules."""

from __future__ import annotations

from math import cos, pi, sin

import numpy as np
from hypothesis import strategies as st

from nesting.geometry.rings import as_points
from nesting.model.pattern import PatternPiece
from nesting.model.plan import Cloth, Panel, Plan, PlanPiece
from nesting.model.problem import Position
from nesting.model.result import Result
from nesting.rules.compile import CompiledLay

UP = ((0.0, 0.0), (0.0, 1.0))


def pattern(outline, **fields) -> PatternPiece:
    """Return a pattern piece with an upright grain line unless another is given."""
    fields.setdefault("grain", UP)
    return PatternPiece("piece", "test.svg", as_points(outline), **fields)


def piece(outline, name="piece", cloth="calico", **fields) -> PlanPiece:
    """Return a plan piece; ``mirror``, ``cutouts`` and the like go to its pattern."""
    drawn = {
        key: fields.pop(key)
        for key in list(fields)
        if key in PatternPiece.__slots__ and key != "grain"
    }
    grain_line = fields.pop("grain_line", UP)
    return PlanPiece(name, pattern(outline, grain=grain_line, **drawn), cloth, **fields)


def rectangle(width: float, height: float) -> np.ndarray:
    """Return a rectangle standing at the origin; upright, its height lies along the cloth."""
    return as_points([(0, 0), (width, 0), (width, height), (0, height)])


def plan_of(*pieces: PlanPiece, units: str = "cm", **cloth) -> Plan:
    """Return a plan with one cloth called calico."""
    cloth.setdefault("width", 1000.0)
    return Plan("test", units, (Cloth("calico", **cloth),), pieces)


def cuffs_on_panels(*sizes, count=3, size=(300, 200), units="cm", **cloth):
    """Return a plan of upright cuffs (width, height) on panels (along, across)."""
    owned = tuple(Panel(f"p{n}", *each) for n, each in enumerate(sizes, start=1))
    cloth = {"width": max(p.width for p in owned), "panels": owned} | cloth
    made = Cloth("calico", **cloth)
    return Plan("test", units, (made,), (piece(rectangle(*size), name="cuff", as_drawn=count),))


def result_of(compiled: CompiledLay, positions, minimum: float = 0.0) -> Result:
    """Return what the engine would say of positions given by hand: (shape, x, y) each."""
    layout = tuple(Position(*position) for position in positions)
    length = max(
        compiled.problem.shapes[position.shape].box[2] + position.x for position in layout
    )
    status = "proven best" if length <= minimum else "found"
    return Result(
        problem=compiled.problem,
        layout=layout,
        status=status,
        length=length,
        minimum=minimum,
        seed=0,
        seconds=0.0,
        iterations=0,
        stop_reason="iterations",
    )


@st.composite
def star_outlines(draw, least=20.0, greatest=400.0) -> np.ndarray:
    """Draw a simple counter-clockwise outline, seen whole from a point inside, often concave."""
    count = draw(st.integers(5, 14))
    radii = draw(st.lists(st.floats(least, greatest), min_size=count, max_size=count))
    angles = [2 * pi * k / count for k in range(count)]
    x, y = draw(st.floats(-500, 500)), draw(st.floats(-500, 500))
    return as_points(
        [(x + r * cos(a), y + r * sin(a)) for r, a in zip(radii, angles, strict=True)]
    )
