"""Breadths: whether enough full widths are cut, none too many, and each to its measure."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import numpy as np

from ..model.plan import Breadths, Cloth, Plan, PlanPiece
from ..tolerances import CONGRUENT
from .findings import Finding


def check_breadths(plan: Plan) -> Iterator[Finding]:
    """Yield where the pieces that stand for breadths are not what the plan asks for."""
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    for breadths in plan.breadths:
        pieces = [piece for piece in plan.pieces if piece.breadths == breadths]
        if not pieces:
            yield Finding("count", "none of its breadths is to be cut", piece=breadths.name)
            continue
        cloth = cloths[pieces[0].cloth]
        yield from _count(breadths, cloth, sum(piece.copies for piece in pieces))
        for piece in pieces:
            yield from _measure(breadths, cloth, piece)


def _count(breadths: Breadths, cloth: Cloth, count: int) -> Iterator[Finding]:
    if breadths.count:
        if count != breadths.count:
            text = f"{count} breadths are cut; the plan asks for {breadths.count}"
            yield Finding("count", text, cloth.name, breadths.name)
        return
    each = cloth.width * (1 - cloth.shrink_across) - 2 * cloth.selvage - 2 * breadths.seam
    wanted = Fraction(breadths.round) * Fraction(breadths.ratio)
    hair = Fraction(CONGRUENT)
    if count * Fraction(each) + hair < wanted:
        text = f"{count} breadths of {each:.1f} mm fall short of {float(wanted):.1f} mm"
        yield Finding("count", text, cloth.name, breadths.name)
    elif count > 1 and (count - 1) * Fraction(each) - hair > wanted:
        text = f"{count} breadths are cut where {count - 1} would do"
        yield Finding("count", text, cloth.name, breadths.name)


def _measure(breadths: Breadths, cloth: Cloth, piece: PlanPiece) -> Iterator[Finding]:
    width, length = np.ptp(np.asarray(piece.pattern.outline), axis=0)
    usable = cloth.width * (1 - cloth.shrink_across) - 2 * cloth.selvage
    if abs(width - usable) > CONGRUENT or abs(length - breadths.cut_length) > CONGRUENT:
        text = (
            f"a breadth is {width:.2f} by {length:.2f} mm; the cloth is {usable:.2f} wide and it "
            f"is to be cut {breadths.cut_length:.2f} long"
        )
        yield Finding("outline", text, cloth.name, piece.name)
