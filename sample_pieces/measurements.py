"""The storm queen's measurements and the ease allowed on them, in millimetres.

All invented. Right and left are the wearer's own. Her right shoulder slopes more and her right
bust is fuller, so the halves of the bodice are drafted one by one.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class HalfBody:
    """What differs from side to side, each measured from the centre line to the side."""

    bust_front: float
    bust_back: float
    waist_front: float
    waist_back: float
    shoulder: float
    shoulder_drop: float
    bust_height: float


@dataclass(frozen=True)
class Body:
    """What does not differ, and both halves."""

    right: HalfBody
    left: HalfBody
    nape_to_waist: float = 395.0
    neck_point_to_waist: float = 432.0
    half_back_neck: float = 72.0
    front_neck_depth: float = 84.0
    armhole_depth: float = 198.0
    sleeve_length: float = 585.0
    upper_arm: float = 295.0
    wrist: float = 168.0
    hip: float = 980.0
    hip_depth: float = 200.0
    waist_to_floor: float = 1050.0
    head_height: float = 350.0

    @property
    def waist(self) -> float:
        """Whole waist."""
        halves = (self.right, self.left)
        return sum(half.waist_front + half.waist_back for half in halves)


QUEEN = Body(
    right=HalfBody(
        bust_front=244.0,
        bust_back=221.0,
        waist_front=176.0,
        waist_back=159.0,
        shoulder=121.0,
        shoulder_drop=50.0,
        bust_height=172.0,
    ),
    left=HalfBody(
        bust_front=233.0,
        bust_back=226.0,
        waist_front=169.0,
        waist_back=163.0,
        shoulder=124.0,
        shoulder_drop=39.0,
        bust_height=180.0,
    ),
)

BUST_EASE = 9.0
"""Added to each quarter of the bust: a boned bodice is fitted close."""

WAIST_EASE = 4.0
"""Added to each quarter of the waist."""

SEAM = 15.0
"""Seam allowance."""

HEM = 50.0
"""Hem allowance of skirt and cape."""

TRAIN = 910.0
"""How much longer than the floor the back of the skirt is."""
