"""Right layouts made wrong in one place, and what the check then says."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..handmade import DAMASK, lay_on


def only_lay(layout, **fields):
    """Return the layout with fields of its first lay replaced, its figures untouched."""
    return replace(layout, lays=(replace(layout.lays[0], **fields), *layout.lays[1:]))


def with_copy(layout, index, **fields):
    """Return the layout with fields of one placement replaced."""
    placements = list(layout.lays[0].placements)
    placements[index] = replace(placements[index], **fields)
    return only_lay(layout, placements=tuple(placements))


def relaid(layout, placements, cloth=DAMASK):
    """Return the layout with other placements and every figure worked out anew."""
    return replace(layout, lays=(lay_on(cloth, placements),))


def moved(placement, dx, dy):
    """Return a placement with everything on it moved."""
    by = np.array([dx, dy])

    def point(p):
        return p[0] + dx, p[1] + dy

    return replace(
        placement,
        outline=placement.outline + by,
        grain=tuple(point(p) for p in placement.grain),
        points={name: point(p) for name, p in placement.points.items()},
        cutouts=tuple(ring + by for ring in placement.cutouts),
        sew_lines=tuple(path + by for path in placement.sew_lines),
        internal_lines=tuple(path + by for path in placement.internal_lines),
        notches=tuple(replace(n, at=point(n.at)) for n in placement.notches),
        drill_holes=tuple(point(p) for p in placement.drill_holes),
    )


def said(findings, kind):
    """Return the lines of one kind; fail when there is none, or when a line is not one line."""
    lines = [str(f) for f in findings if f.kind == kind]
    assert lines, f"no {kind!r} among {[str(f) for f in findings]}"
    assert all("\n" not in line for line in lines)
    return " | ".join(lines)


def told(findings):
    """Return findings as lines, each with its kind before it."""
    return [f"{found.kind}: {found}" for found in findings]
