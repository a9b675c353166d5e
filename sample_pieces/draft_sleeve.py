"""Sleeve, cuff and collar, drafted to the armholes, wrists and neckline they are sewn to."""

from __future__ import annotations

import numpy as np

from .curves import (
    XY,
    Path,
    arc,
    end_of,
    join,
    length,
    line,
    moved,
    start_of,
    sweep,
    trued,
    turned_round,
)
from .draft_bodice import draft_bodice
from .garment import Edge, Garment, Mark
from .measurements import QUEEN, SEAM, Body

CAP_EASE = 24.0
"""By how much the sleeve cap is longer than the armhole; eased in over the crown."""

SLEEVE_EASE = 48.0
SHIFT = 17.0
"""The seams of a two-piece sleeve lie this far under the arm."""

CUFF_DEPTH = 92.0
COLLAR_DEPTH = 88.0


def armhole_length(side: str, body: Body = QUEEN) -> float:
    """Return the whole armhole of the wearer's right or left, as sewn."""
    return sum(
        piece.seam("armhole") for piece in draft_bodice(body) if piece.name.startswith(side)
    )


def neckline_length(side: str, body: Body = QUEEN) -> float:
    """Return half the neckline, centre back to centre front, as sewn."""
    pieces = {piece.name: piece for piece in draft_bodice(body)}
    return pieces[f"{side} front"].seam("neck") + pieces[f"{side} back"].seam("neck")


def _upper_cap(front: XY, back: XY, crown: float) -> Path:
    top = (0.54 * (front[0] + back[0]) - 6.0, crown)
    return join(
        sweep(back, (-0.5, 1.0), top, (-1.0, 0.0), 0.46),
        sweep(top, (-1.0, 0.0), front, (-0.42, -1.0), 0.5),
    )


def draft_sleeve(body: Body = QUEEN) -> tuple[Garment, Garment]:
    """Return the upper and the under sleeve.

    The crown is raised until the cap is longer than the mean armhole by ``CAP_EASE``.
    """
    across = 0.5 * (body.upper_arm + SLEEVE_EASE)
    inner = join(
        sweep((0.0, 24.0), (0.08, -1.0), (19.0, -190.0), (0.0, -1.0)),
        sweep((19.0, -190.0), (0.0, -1.0), (2.0, -450.0), (-0.12, -1.0)),
    )
    outer = join(
        sweep((across, 66.0), (0.0, -1.0), (across + 9.0, -195.0), (-0.02, -1.0)),
        sweep((across + 9.0, -195.0), (-0.02, -1.0), (118.0, -470.0), (-0.3, -1.0)),
    )
    under_cap = sweep(
        moved_point(outer, -SHIFT), (-0.75, -1.0), moved_point(inner, SHIFT), (-0.8, 0.9), 0.44
    )
    armhole = 0.5 * (armhole_length("right", body) + armhole_length("left", body))
    upper_front, upper_back = moved_point(inner, -SHIFT), moved_point(outer, SHIFT)
    cap = trued(
        lambda crown: _upper_cap(upper_front, upper_back, crown),
        armhole + CAP_EASE - length(under_cap), 80.0, 220.0,
    )  # fmt: skip
    upper = _sleeve_piece("upper sleeve", moved(inner, -SHIFT, 0), moved(outer, SHIFT, 0), cap)
    under = _sleeve_piece(
        "under sleeve", moved(inner, SHIFT, 0), moved(outer, -SHIFT, 0), under_cap
    )
    return upper, under


def moved_point(path: Path, x: float) -> XY:
    """Return the first point of a path, shifted sideways."""
    start = start_of(path)
    return start[0] + x, start[1]


def _sleeve_piece(name: str, inner: Path, outer: Path, cap: Path) -> Garment:
    wrist = sweep(end_of(inner), (1.0, 0.04), end_of(outer), (1.0, -0.3))
    middle = 0.5 * (start_of(inner)[0] + start_of(outer)[0])
    crown = (Mark("cap", length(cap[:1]), "T"),) if len(cap) > 1 else ()
    return Garment(
        name,
        (
            Edge("wrist", wrist, SEAM),
            Edge("outer seam", turned_round(outer), SEAM),
            Edge("cap", cap, SEAM),
            Edge("inner seam", inner, SEAM),
        ),
        grain=((middle - 12.0, -390.0), (middle - 12.0, 0.0)),
        marks=(
            Mark("inner seam", length(inner[:1])),
            Mark("outer seam", length(outer[1:]) - 40.0, "check"),
            Mark("outer seam", length(outer[1:]) + 70.0, "check"),
            *crown,
        ),
        quantity=(1, 1),
    )


def draft_cuff(body: Body = QUEEN) -> Garment:
    """Return a flared, peaked cuff whose wrist edge is as long as both sleeve wrists."""
    upper, under = draft_sleeve(body)
    wrist = upper.seam("wrist") + under.seam("wrist")
    radius = 330.0
    half = float(np.degrees(wrist / radius)) / 2.0
    inner = arc((0.0, -radius), radius, 90.0 - half, 90.0 + half)
    far = np.radians([90.0 - half, 90.0 + half])
    right, left = (
        (
            (radius + CUFF_DEPTH) * float(np.cos(a)),
            (radius + CUFF_DEPTH) * float(np.sin(a)) - radius,
        )
        for a in far
    )
    peak = (58.0, CUFF_DEPTH + 34.0)
    outer = join(
        sweep(right, (-0.9, 0.2), peak, (-0.55, 1.0), 0.4),
        sweep(peak, (-0.8, -0.75), left, (-0.95, -0.3), 0.4),
    )
    return Garment(
        "cuff",
        (
            Edge("wrist", turned_round(inner), SEAM),
            Edge("outer end", line(end_of(turned_round(inner)), right), SEAM),
            Edge("free edge", outer, SEAM),
            Edge("inner end", line(left, start_of(turned_round(inner))), SEAM),
        ),
        grain=((0.0, 12.0), (0.0, 82.0)),
        marks=(Mark("wrist", under.seam("wrist"), "T"),),
        quantity=(1, 1),
    )


def draft_collar(body: Body = QUEEN) -> Garment:
    """Return half the storm collar, standing and flared, with its centre back on the mirror line.

    Cut twice, outside and facing. Its neck edge is half the whole neckline: the halves of the
    neckline differ by a few millimetres and the collar is set from the nape.
    """
    neck = 0.5 * (neckline_length("right", body) + neckline_length("left", body))
    lower = trued(
        lambda reach: sweep((0.0, 0.0), (1.0, 0.0), (reach, 30.0), (1.0, 0.42), 0.38),
        neck, 60.0, 300.0,
    )  # fmt: skip
    front = end_of(lower)
    tip = (front[0] + 8.0, front[1] + 74.0)
    upper = sweep(tip, (-1.0, -0.05), (0.0, COLLAR_DEPTH), (-1.0, 0.0), 0.38)
    shoulder = {piece.name: piece for piece in draft_bodice(body)}["left back"].seam("neck")
    return Garment(
        "storm collar",
        (
            Edge("neck", lower, SEAM),
            Edge("front", sweep(front, (-0.3, 1.0), tip, (0.5, 1.0)), SEAM),
            Edge("free edge", upper, SEAM),
            Edge("centre back", line((0.0, COLLAR_DEPTH), (0.0, 0.0)), 0.0),
        ),
        grain=((18.0, 12.0), (18.0, 76.0)),
        marks=(Mark("neck", shoulder, "T"),),
        fold_edge="centre back",
        quantity=(2, 0),
    )
