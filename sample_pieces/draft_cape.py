"""The storm cape: back on the fold, fronts, hood, front bands and a flap over the right shoulder.

Drafted to the stitching line; the plan adds the allowances. The neckline of the cape stands off
the bodice's by half a finger all round, so that the storm collar comes up through it.
"""

from __future__ import annotations

from .curves import XY, Path, end_of, join, length, line, point_at, sweep, trued, turned_round
from .garment import Edge, Garment, Mark, other_hand
from .measurements import QUEEN, Body

CAPE_LENGTH = 860.0
HOOD_PLEAT = 45.0
BAND = 85.0
NECK_STAND_OFF = 12.0


def _over_the_shoulder(neck_point: XY, hem_across: float, drop: float) -> Path:
    """Return the seam from the neck over the shoulder and down the arm to the hem."""
    tip = (neck_point[0] + 132.0, neck_point[1] - 62.0)
    low = (hem_across, neck_point[1] - drop)
    return join(
        sweep(neck_point, (1.0, -0.26), tip, (1.0, -0.78), 0.36),
        sweep(tip, (1.0, -0.78), low, (0.34, -1.0), 0.36),
    )


def draft_back(body: Body = QUEEN) -> Garment:
    """Return half the cape back, centre back on the mirror line."""
    neck_point = (body.half_back_neck + NECK_STAND_OFF, 24.0)
    seam = _over_the_shoulder(neck_point, 575.0, 720.0)
    neck = sweep(neck_point, (-0.5, -1.0), (0.0, 0.0), (-1.0, 0.0), 0.42)
    hem = sweep((0.0, -CAPE_LENGTH), (1.0, 0.0), end_of(seam), (1.0, 0.4), 0.36)
    return Garment(
        "cape back",
        (
            Edge("hem", hem, 0.0),
            Edge("shoulder seam", turned_round(seam), 0.0),
            Edge("neck", neck, 0.0),
            Edge("centre back", line((0.0, 0.0), (0.0, -CAPE_LENGTH)), 0.0),
        ),
        grain=((60.0, -720.0), (60.0, -120.0)),
        marks=(
            Mark("shoulder seam", length(seam) - 150.0, "check"),
            Mark("shoulder seam", length(seam) - 520.0),
        ),
        fold_edge="centre back",
    )


def draft_front(body: Body = QUEEN) -> Garment:
    """Return the left cape front; its shoulder seam is trued to the back's."""
    back = draft_back(body)
    neck_point = (body.half_back_neck + NECK_STAND_OFF, 24.0)
    seam = trued(
        lambda drop: _over_the_shoulder(neck_point, 500.0, drop),
        back.seam("shoulder seam"), 500.0, 900.0,
    )  # fmt: skip
    centre_top = (0.0, neck_point[1] - 92.0)
    centre_hem = (0.0, -CAPE_LENGTH - 18.0)
    neck = sweep(neck_point, (-0.12, -1.0), centre_top, (-1.0, 0.0), 0.55)
    hem = sweep(centre_hem, (1.0, 0.0), end_of(seam), (1.0, 0.36), 0.36)
    slit = line((205.0, -330.0), (214.0, -590.0))
    return Garment(
        "cape front",
        (
            Edge("hem", hem, 0.0),
            Edge("shoulder seam", turned_round(seam), 0.0),
            Edge("neck", neck, 0.0),
            Edge("front", line(centre_top, centre_hem), 0.0),
        ),
        grain=((110.0, -720.0), (110.0, -160.0)),
        marks=(
            Mark("shoulder seam", length(seam) - 150.0),
            Mark("shoulder seam", length(seam) - 520.0),
        ),
        internal=(slit,),
        drills=((205.0, -330.0), (214.0, -590.0)),
        quantity=(1, 1),
    )


def cape_neckline(body: Body = QUEEN) -> float:
    """Return half the cape's neckline as sewn."""
    return draft_back(body).seam("neck") + draft_front(body).seam("neck")


def draft_hood(body: Body = QUEEN) -> Garment:
    """Return half the hood; its neck edge has a pleat more than half the cape's neckline."""
    tall = body.head_height + 30.0
    neck = trued(
        lambda reach: sweep((-reach, 26.0), (0.9, -0.42), (0.0, 0.0), (1.0, 0.1), 0.36),
        cape_neckline(body) + HOOD_PLEAT, 100.0, 400.0,
    )  # fmt: skip
    nape = (float(neck[0, 0, 0]), float(neck[0, 0, 1]))
    crown = (14.0, tall)
    back = join(
        sweep(crown, (-1.0, 0.16), (-262.0, 255.0), (-0.1, -1.0), 0.5),
        sweep((-262.0, 255.0), (-0.1, -1.0), nape, (0.3, -1.0), 0.36),
    )
    return Garment(
        "hood",
        (
            Edge("neck", neck, 0.0),
            Edge("face", sweep((0.0, 0.0), (0.06, 1.0), crown, (-0.02, 1.0)), 0.0),
            Edge("crown seam", back, 0.0),
        ),
        grain=((-110.0, 70.0), (-110.0, 320.0)),
        marks=(
            Mark("neck", length(neck) - 120.0),
            Mark("neck", length(neck) - 120.0 - HOOD_PLEAT),
            Mark("crown seam", 0.45 * length(back), "check"),
        ),
        quantity=(1, 1),
    )


def draft_band(body: Body = QUEEN) -> Garment:
    """Return the facing of the cape's front edge, shaped to the neck at its upper end."""
    front = draft_front(body)
    edge, neck = front.edge("front").path, front.edge("neck").path
    (shoulder_x, shoulder_y), _ = point_at(neck, length(neck) - BAND)
    top, bottom = (float(edge[0, 0, 0]), float(edge[0, 0, 1])), end_of(edge)
    inner_hem, _ = point_at(front.edge("hem").path, BAND)
    upper = sweep((shoulder_x, shoulder_y), (-0.6, -0.8), top, (-1.0, 0.0), 0.4)
    return Garment(
        "cape front band",
        (
            Edge("hem", line(bottom, inner_hem), 0.0),
            Edge(
                "inside", sweep(inner_hem, (0, 1), (shoulder_x, shoulder_y), (-0.1, 1), 0.2), 0.0
            ),
            Edge("neck", upper, 0.0),
            Edge("front", line(top, bottom), 0.0),
        ),
        grain=((BAND / 2.0, -700.0), (BAND / 2.0, -250.0)),
        marks=(Mark("front", 300.0),),
        quantity=(1, 1),
    )


def draft_flap(body: Body = QUEEN) -> Garment:
    """Return the storm flap that lies over the right shoulder only, falling in a slant."""
    neck_point = (body.half_back_neck + NECK_STAND_OFF, 24.0)
    seam = _over_the_shoulder(neck_point, 330.0, 330.0)
    front_neck = (18.0, -58.0)
    neck = sweep(neck_point, (-0.2, -1.0), front_neck, (-1.0, -0.1), 0.5)
    point = (96.0, -410.0)
    hem = join(
        sweep(point, (1.0, 0.5), (300.0, -372.0), (1.0, 0.05), 0.36),
        sweep((300.0, -372.0), (1.0, 0.05), end_of(seam), (0.3, 1.0), 0.36),
    )
    edge = sweep(front_neck, (-0.1, -1.0), point, (0.45, -1.0), 0.38)
    as_for_the_left = Garment(
        "storm flap",
        (
            Edge("hem", hem, 0.0),
            Edge("shoulder seam", turned_round(seam), 0.0),
            Edge("neck", neck, 0.0),
            Edge("front", edge, 0.0),
        ),
        grain=((170.0, -330.0), (170.0, -90.0)),
        marks=(Mark("shoulder seam", length(seam) - 150.0, "check"),),
    )
    return other_hand(as_for_the_left, "storm flap")


def draft_cape(body: Body = QUEEN) -> tuple[Garment, ...]:
    """Return the five pieces of the cape."""
    return (
        draft_back(body),
        draft_front(body),
        draft_hood(body),
        draft_band(body),
        draft_flap(body),
    )
