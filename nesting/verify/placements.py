"""One placed piece against the piece it claims to be."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from shapely import affinity
from shapely.geometry import MultiLineString, Polygon

from ..model.layout import Lay, Placement
from ..model.pattern import Notch
from ..model.plan import Cloth, PlanPiece
from ..tolerances import ANGLE_DEG, CONGRUENT, EDGE_SLACK
from .congruence import as_lines, farthest, misfit, move_onto, nearest_pairs, ring_polygon
from .findings import Finding, Kind
from .halves import drawn_half
from .recompute import CutPiece

_HANDS = {False: "as drawn", True: "mirrored"}


def placed_region(placement: Placement) -> Polygon | None:
    """Return what the placement covers, cutouts left out, or None where it is no polygon."""
    for ring in (placement.outline, *placement.cutouts):
        if ring.ndim != 2 or ring.shape[1:] != (2,) or len(ring) < 3:
            return None
        if not np.isfinite(ring).all():
            return None
    region = ring_polygon(placement.outline, placement.cutouts)
    return region if region.is_valid and region.area > 0 else None


def check_placement(
    placement: Placement, lay: Lay, cloth: Cloth, piece: PlanPiece, true: CutPiece
) -> Iterator[Finding]:
    """Yield everything wrong with one placement by itself, as it lies.

    ``true`` is the whole piece as :func:`nesting.verify.recompute.cut_piece` gives it.
    """

    def finding(kind: Kind, text: str) -> Finding:
        return Finding(kind, text, lay.cloth, placement.piece, placement.copy)

    region = placed_region(placement)
    if region is None:
        yield finding("outline", "its outline crosses itself or has no area")
        return
    if not math.isfinite(placement.turned):
        yield finding("turn", f"it is turned by {placement.turned} degrees")
        return
    half = drawn_half(piece, true) if placement.on_fold else true
    if half is None:
        yield finding("fold", "it is said to lie on the fold, but is not drawn as a half")
        return
    for kind, text in (
        *_hand(placement, cloth, piece),
        *_grain_line(placement),
        *_edges(region, lay),
        *_outline(placement, region, half),
    ):
        yield finding(kind, text)


def _hand(placement: Placement, cloth: Cloth, piece: PlanPiece) -> Iterator[tuple[Kind, str]]:
    both = piece.as_drawn > 0 and piece.mirrored > 0
    if both != bool(placement.hand):
        asked = "both hands" if both else "one hand only"
        yield (
            "hand",
            f"it is marked hand {placement.hand or 'none'!r} but the plan asks for {asked}",
        )
    elif both and _has_hand(placement, cloth) and placement.hand != "RL"[placement.mirrored]:
        lies = _HANDS[placement.mirrored]
        yield "hand", f"it is marked hand {placement.hand!r} but declared {lies}"


def _has_hand(placement: Placement, cloth: Cloth) -> bool:
    """Tell whether the side that is up decides the hand."""
    return cloth.sides == "differ" and not placement.on_fold


def _grain_line(placement: Placement) -> Iterator[tuple[Kind, str]]:
    (x0, y0), (x1, y1) = placement.grain
    if math.hypot(x1 - x0, y1 - y0) <= 0:
        yield "turn", "its grain line has no length"
        return
    points_to = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 360.0
    if angle_between(points_to, placement.turned) > ANGLE_DEG:
        yield (
            "turn",
            f"its grain line points to {points_to:.3f} degrees but {placement.turned:g} is "
            "declared",
        )


def angle_between(one: float, other: float) -> float:
    """Return the degrees between two directions, 0 to 180."""
    return abs((one - other + 180.0) % 360.0 - 180.0)


def _edges(region: Polygon, lay: Lay) -> Iterator[tuple[Kind, str]]:
    x0, y0, _, y1 = region.bounds
    if x0 < -EDGE_SLACK:
        yield "edge", f"it stands {-x0:.3f} mm over the cut end"
    if y0 < -EDGE_SLACK:
        yield "edge", f"it stands {-y0:.3f} mm into the near selvage"
    if y1 > lay.usable_width + EDGE_SLACK:
        yield (
            "edge",
            f"it stands {y1 - lay.usable_width:.3f} mm over the usable width of "
            f"{lay.usable_width:.2f} mm",
        )


def _outline(placement: Placement, region: Polygon, true: CutPiece) -> Iterator[tuple[Kind, str]]:
    laid = true.lying(mirrored=placement.mirrored, turned=placement.turned)
    off = misfit(laid.region, region)
    area = abs(Polygon(laid.region.exterior).area - Polygon(region.exterior).area)
    if off > CONGRUENT or area > CONGRUENT * region.exterior.length:
        yield _why_different(placement, region, true, off)
        return
    placed = laid.shifted(*move_onto(Polygon(laid.region.exterior), Polygon(region.exterior)))
    yield from _marks(placement, placed)


def _why_different(
    placement: Placement, region: Polygon, true: CutPiece, off: float
) -> tuple[Kind, str]:
    """Say what the outline is, where it is not what it is declared to be."""
    area, asked = Polygon(region.exterior).area, Polygon(true.region.exterior).area
    if abs(area - asked) > CONGRUENT * region.exterior.length:
        return (
            "outline",
            f"it encloses {area:.1f} square mm but the cut line of the piece {asked:.1f}",
        )
    other = true.lying(mirrored=not placement.mirrored, turned=placement.turned)
    for turn in (0.0, 180.0, 90.0, 270.0):
        turned_over = affinity.rotate(other.region, turn)
        if misfit(turned_over, region) <= CONGRUENT:
            lies, said = _HANDS[not placement.mirrored], _HANDS[placement.mirrored]
            return "hand", f"it lies {lies} but is declared {said}"
    same = true.lying(mirrored=placement.mirrored, turned=placement.turned)
    for turn in (45.0 * eighth for eighth in range(1, 8)):
        if misfit(affinity.rotate(same.region, turn), region) <= CONGRUENT:
            lies_at = (placement.turned + turn) % 360.0
            return (
                "turn",
                f"it lies turned to {lies_at:g} degrees but {placement.turned:g} is declared",
            )
    return "outline", f"it departs by {off:.3f} mm from the cut line of the piece laid as declared"


def _marks(placement: Placement, placed: CutPiece) -> Iterator[tuple[Kind, str]]:
    """Compare everything drawn inside the outline with where the same movement puts it."""
    lines = {
        "cutouts": (as_lines(r.coords for r in placed.region.interiors), _rings(placement)),
        "sew lines": (placed.sew, as_lines(placement.sew_lines)),
        "internal lines": (placed.internal, as_lines(placement.internal_lines)),
        "stripe lines": (placed.stripe, as_lines(placement.stripe_lines)),
        "plaid lines": (placed.plaid, as_lines(placement.plaid_lines)),
    }
    offs = {name: farthest(wanted, found) for name, (wanted, found) in lines.items()}
    offs["drill holes"] = nearest_pairs(placed.drills, placement.drill_holes)
    if placed.grain_drawn:
        ends = zip(placed.grain, placement.grain, strict=True)
        offs["grain line"] = max(math.dist(a, b) for a, b in ends)
    for name, off in offs.items():
        if off == math.inf:
            yield "marks", f"its {name} are not those of the pattern: some are missing or too many"
        elif off > CONGRUENT:
            yield "marks", f"its {name} lie up to {off:.3f} mm from their place"
    yield from _named_points(placement, placed)
    yield from _notches(placement.notches, placed.notches)


def _rings(placement: Placement) -> MultiLineString:
    return as_lines(np.vstack([ring, ring[:1]]) for ring in placement.cutouts)


def _named_points(placement: Placement, placed: CutPiece) -> Iterator[tuple[Kind, str]]:
    if set(placement.points) != set(placed.points):
        found = ", ".join(sorted(placement.points)) or "none"
        wanted = ", ".join(sorted(placed.points)) or "none"
        yield "marks", f"its named points are {found}; the plan names {wanted}"
    for name in sorted(set(placement.points) & set(placed.points)):
        off = math.dist(placement.points[name], placed.points[name])
        if off > CONGRUENT:
            yield "marks", f"its point {name!r} lies {off:.3f} mm from its place"


def _notches(found: tuple[Notch, ...], wanted: tuple[Notch, ...]) -> Iterator[tuple[Kind, str]]:
    if len(found) != len(wanted):
        yield "marks", f"it has {len(found)} notches; the pattern has {len(wanted)}"
    for notch in found:
        if not any(_same_notch(notch, other) for other in wanted):
            x, y = notch.at
            yield "marks", f"its {notch.kind} notch at ({x:.2f}, {y:.2f}) is not the pattern's"
    for notch in wanted:
        if not any(_same_notch(notch, other) for other in found):
            x, y = notch.at
            yield "marks", f"the pattern's {notch.kind} notch is missing at ({x:.2f}, {y:.2f})"


def _same_notch(one: Notch, other: Notch) -> bool:
    alike = (one.kind, one.depth, one.width) == (other.kind, other.depth, other.width)
    if not alike or math.dist(one.at, other.at) > CONGRUENT:
        return False
    if one.angle is None or other.angle is None:
        return one.angle is other.angle
    return angle_between(one.angle, other.angle) <= ANGLE_DEG
