"""The boned bodice: front, side body and back for either half of an uneven body.

Each half is drafted in a frame of its own: x from the centre line towards the side, y up from the
waist. That is how the left front and the right back look from outside; the other two are their
reflections, drafted from the other half's measurements.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .curves import (
    XY,
    Path,
    cubic,
    end_of,
    join,
    length,
    line,
    split,
    start_of,
    sweep,
    trued,
    turned_round,
)
from .garment import Edge, Garment, Mark, other_hand
from .measurements import BUST_EASE, QUEEN, SEAM, WAIST_EASE, Body, HalfBody

SIDE_INTAKE = 26.0
CENTRE_BACK_INTAKE = 14.0
BACK_PANEL_WAIST = 42.0
SIDE_BODY_INTAKE = 27.0
BASQUE_SIDE = 66.0


@dataclass(frozen=True)
class BackFrame:
    """Construction points and lines of one half of the back."""

    nape: XY
    neck_point: XY
    shoulder_tip: XY
    underarm: XY
    armhole: Path


def armhole_level(body: Body) -> float:
    """Return the height of the underarm above the waist."""
    return body.nape_to_waist - body.armhole_depth


def _shoulder_tip(neck_point: XY, half: HalfBody, ahead: float) -> XY:
    drop = half.shoulder_drop + ahead
    across = float(np.sqrt(half.shoulder**2 - drop**2))
    return neck_point[0] + across, neck_point[1] - drop


def back_frame(body: Body, half: HalfBody) -> BackFrame:
    """Set out the back: nape, shoulder, underarm and armhole."""
    neck_point = (body.half_back_neck, body.nape_to_waist + 20.0)
    tip = _shoulder_tip(neck_point, half, -6.0)
    underarm = (half.bust_back + BUST_EASE, armhole_level(body))
    armhole = cubic(
        tip, (tip[0] - 26.0, tip[1] - 78.0), (underarm[0] - 62.0, underarm[1]), underarm
    )
    return BackFrame((0.0, body.nape_to_waist), neck_point, tip, underarm, armhole)


def _side_seam(underarm: XY) -> Path:
    """Return the side seam from the underarm over the waist to the hem; front and back alike."""
    waist = (underarm[0] - SIDE_INTAKE, 0.0)
    hem = (waist[0] + 17.0, -BASQUE_SIDE)
    return join(
        sweep(underarm, (-0.22, -1.0), waist, (-0.02, -1.0)),
        sweep(waist, (-0.02, -1.0), hem, (0.32, -1.0)),
    )


def _bone(*ends: XY) -> Path:
    return line(*ends)


def draft_back(body: Body, half: HalfBody) -> tuple[Garment, Garment]:
    """Return the back and the side body of one half, as drawn for the wearer's right."""
    frame = back_frame(body, half)
    on_armhole, rest = split(frame.armhole, 0.47 * length(frame.armhole))
    top = end_of(on_armhole)
    back_waist = (CENTRE_BACK_INTAKE + BACK_PANEL_WAIST, 0.0)
    back_hem = (back_waist[0] + 13.0, -102.0)
    above = sweep(top, (-0.62, -0.78), back_waist, (-0.12, -1.0), 0.38)
    below = sweep(back_waist, (-0.12, -1.0), back_hem, (0.24, -1.0))
    centre_hem = (7.0, -132.0)
    centre = join(
        sweep(frame.nape, (0.01, -1.0), (CENTRE_BACK_INTAKE, 0.0), (0.03, -1.0)),
        sweep((CENTRE_BACK_INTAKE, 0.0), (0.03, -1.0), centre_hem, (-0.12, -1.0)),
    )
    neck = sweep(frame.neck_point, (-0.42, -1.0), frame.nape, (-1.0, 0.0), 0.42)
    back = Garment(
        "right back",
        (
            Edge("hem", sweep(centre_hem, (1.0, 0.18), back_hem, (1.0, 0.5)), SEAM),
            Edge("panel seam", turned_round(join(above, below)), SEAM),
            Edge("armhole", turned_round(on_armhole), SEAM),
            Edge("shoulder", line(frame.shoulder_tip, frame.neck_point), SEAM),
            Edge("neck", neck, SEAM),
            Edge("centre", centre, SEAM),
        ),
        grain=((36.0, -60.0), (36.0, 240.0)),
        marks=(
            Mark("panel seam", length(below)),
            Mark("panel seam", length(below) + 130.0, "check"),
            Mark("centre", length(centre[:1])),
        ),
        internal=(_bone((CENTRE_BACK_INTAKE + 12.0, -95.0), (CENTRE_BACK_INTAKE + 8.0, 170.0)),),
    )
    return back, _draft_side_body(half, frame.underarm, rest, (above, below))


def _draft_side_body(
    half: HalfBody, back_underarm: XY, armhole: Path, back_seam: tuple[Path, Path]
) -> Garment:
    """Return the side body; its curved seam is trued to the back's, above and below the waist."""
    above, below = back_seam
    top = start_of(armhole)
    waist = (CENTRE_BACK_INTAKE + BACK_PANEL_WAIST + SIDE_BODY_INTAKE, 0.0)
    # What the three seams do not take in at the waist is what the measurement asks for.
    side_waist = waist[0] + half.waist_back + WAIST_EASE - BACK_PANEL_WAIST
    underarm = (side_waist + SIDE_INTAKE, back_underarm[1])
    armhole = armhole + np.linspace(0.0, 1.0, 4)[None, :, None] * np.array(
        [underarm[0] - back_underarm[0], 0.0]
    )
    seam_above = trued(
        lambda pull: sweep(top, (-0.8, -0.6), waist, (0.03, -1.0), pull), length(above), 0.1, 0.9
    )
    seam_below = trued(
        lambda drop: sweep(waist, (0.03, -1.0), (waist[0] - 9.0, -drop), (-0.2, -1.0)),
        length(below), 60.0, 140.0,
    )  # fmt: skip
    hem_left = end_of(seam_below)
    side = _side_seam(underarm)
    middle = 0.5 * (waist[0] + side_waist)
    return Garment(
        "right side body",
        (
            Edge("hem", sweep(hem_left, (1.0, 0.12), end_of(side), (1.0, 0.28)), SEAM),
            Edge("side seam", turned_round(side), SEAM),
            Edge("armhole", turned_round(armhole), SEAM),
            Edge("panel seam", join(seam_above, seam_below), SEAM),
        ),
        grain=((middle, -50.0), (middle, 150.0)),
        marks=(
            Mark("panel seam", length(seam_above)),
            Mark("panel seam", length(seam_above) - 130.0, "check"),
            Mark("side seam", length(side[1:])),
            Mark("armhole", 0.5 * length(armhole), "T"),
        ),
        internal=(_bone((middle + 22.0, -48.0), (middle + 26.0, 165.0)),),
    )


def _dart(centre: float, width: float, top: float, bottom: float) -> tuple[Path, Path]:
    """Return both legs of a waist dart, from its upper to its lower point."""
    legs = []
    for side in (-0.5, 0.5):
        waist = (centre + side * width, 0.0)
        legs.append(
            join(
                sweep((centre, top), (side * 0.12, -1.0), waist, (side * 0.04, -1.0)),
                sweep(waist, (-side * 0.04, -1.0), (centre, -bottom), (-side * 0.4, -1.0)),
            )
        )
    return legs[0], legs[1]


def draft_front(body: Body, half: HalfBody, closing: Path, *, bones: tuple[Path, ...]) -> Garment:
    """Return a front as drawn for the wearer's left.

    ``closing`` runs from the neck at the centre line down to the point of the basque; what lies
    beyond the centre line (x < 0) laps over or under.
    """
    neck_point = (body.half_back_neck, body.neck_point_to_waist)
    tip = _shoulder_tip(neck_point, half, 6.0)
    underarm = (half.bust_front + BUST_EASE, armhole_level(body))
    armhole = cubic(
        underarm, (underarm[0] - 88.0, underarm[1]), (tip[0] - 40.0, tip[1] - 66.0), tip
    )
    side = _side_seam(underarm)
    width = (underarm[0] - SIDE_INTAKE - half.waist_front - WAIST_EASE) / 2.0
    darts = _dart(76.0, width, half.bust_height - 8.0, 84.0) + _dart(
        128.0, width, half.bust_height - 24.0, 70.0
    )
    neck = sweep(neck_point, (-0.16, -1.0), start_of(closing), (-1.0, 0.0), 0.55)
    hem = sweep(end_of(closing), (1.0, 0.06), end_of(side), (1.0, 0.42), 0.4)
    return Garment(
        "left front",
        (
            Edge("hem", hem, SEAM),
            Edge("side seam", turned_round(side), SEAM),
            Edge("armhole", armhole, SEAM),
            Edge("shoulder", line(tip, neck_point), SEAM),
            Edge("neck", neck, SEAM),
            Edge("closing", closing, SEAM),
        ),
        grain=((28.0, -70.0), (28.0, 290.0)),
        marks=(
            Mark("side seam", length(side[1:])),
            Mark("armhole", 85.0),
            Mark("hem", length(hem) * 0.5),
        ),
        internal=(*darts, *bones),
        drills=(
            (76.0, half.bust_height - 18.0),
            (128.0, half.bust_height - 34.0),
            (76.0, 0.0),
            (128.0, 0.0),
        ),
    )


def _fronts(body: Body) -> tuple[Garment, Garment]:
    """Return (right front, left front); the right laps over in a slanting curve."""
    neck = (0.0, body.neck_point_to_waist - body.front_neck_depth)
    waist_lap = (-24.0, 0.0)
    over = join(
        sweep(neck, (-1.0, -0.35), (-74.0, 205.0), (-0.1, -1.0), 0.42),
        sweep((-74.0, 205.0), (0.1, -1.0), waist_lap, (0.18, -1.0), 0.4),
        sweep(waist_lap, (0.18, -1.0), (-6.0, -122.0), (0.1, -1.0)),
    )
    under = line(neck, (-22.0, neck[1] - 14.0), (-22.0, -118.0))
    bones_right = (
        _bone((26.0, -84.0), (-38.0, 205.0)),
        _bone((178.0, -56.0), (188.0, 150.0)),
    )
    bones_left = (
        _bone((10.0, -90.0), (10.0, 190.0)),
        _bone((44.0, -84.0), (40.0, 150.0)),
        _bone((176.0, -56.0), (182.0, 145.0)),
    )
    right = draft_front(body, body.right, over, bones=bones_right)
    left = draft_front(body, body.left, under, bones=bones_left)
    return other_hand(right, "right front"), left


def draft_bodice(body: Body = QUEEN) -> tuple[Garment, ...]:
    """Return the six pieces of the bodice, each cut once."""
    right_front, left_front = _fronts(body)
    right_back, right_side = draft_back(body, body.right)
    left_back, left_side = draft_back(body, body.left)
    return (
        right_front,
        left_front,
        right_side,
        other_hand(left_side, "left side body"),
        right_back,
        other_hand(left_back, "left back"),
    )
