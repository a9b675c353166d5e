"""Right layouts of any plan made wrong in one way each, with what the check has to call it.

How far a piece must be moved to be wrong by a tenth of a millimetre is worked out here afresh, so
that the check is not used to judge itself.
"""

from dataclasses import replace

import numpy as np
import shapely
from shapely import affinity

from ..verify.faults import moved

DEPTH = 0.1
"""mm of an overlap, or by which a flaw is entered."""

OFF = 1.0
"""mm off the design."""


def wrong_layouts(plan, layout):
    """Yield (what is wrong, kinds one of which the check must find, layout), as plans allow."""
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    for number, lay in enumerate(layout.lays):
        cloth = cloths[lay.cloth]
        for what, kinds, wrong in (
            *_overlap(lay), *_turned(lay, cloth), *_other_hand(lay, cloth),
            *_missing(plan, layout, lay), *_off_design(plan, lay), *_on_flaw(plan, lay),
            *_length(lay),
        ):  # fmt: skip
            lays = (*layout.lays[:number], wrong, *layout.lays[number + 1 :])
            yield what, kinds, replace(layout, lays=lays)


def _put(lay, number, placement):
    places = lay.placements
    return replace(lay, placements=(*places[:number], placement, *places[number + 1 :]))


def _region(placement):
    return shapely.Polygon(placement.outline, placement.cutouts)


def _deep(shared, depth):
    """Tell whether a circle as wide as ``depth`` finds room in what is shared."""
    return not shared.buffer(-depth / 2).is_empty


def _into(region, target, depth=DEPTH):
    """Return the movement that takes a region a given depth into another one, or None."""
    here, there = (one.representative_point() for one in (region, target))
    whole = np.array([there.x - here.x, there.y - here.y])
    low, high = 0.0, 1.0
    if not _deep(affinity.translate(region, *whole).intersection(target), depth):
        return None
    for _ in range(40):
        middle = (low + high) / 2
        by = middle * whole
        if _deep(affinity.translate(region, *by).intersection(target), depth):
            high = middle
        else:
            low = middle
    return high * whole


def _overlap(lay):
    """Move the first piece into each of the next two."""
    for number in range(1, min(3, len(lay.placements))):
        first, other = lay.placements[0], lay.placements[number]
        by = _into(_region(first), _region(other))
        if by is not None:
            # On folded cloth a piece that leaves its layers is a fault of the fold as well.
            kinds = {"overlap"} if lay.folding is None else {"overlap", "fold"}
            yield "overlap of 0.1 mm", kinds, _put(lay, 0, moved(first, *by))


def flipped(placement, sx, sy):
    """Return a placement turned end for end (-1, -1) or over about the warp (1, -1)."""
    middle = np.mean([placement.outline.min(axis=0), placement.outline.max(axis=0)], axis=0)
    scale = np.array([sx, sy])

    def path(points):
        return (np.asarray(points) - middle) * scale + middle

    def ring(points):
        return path(points) if sx == sy else path(points)[::-1]

    def point(at):
        x, y = path(at)
        return float(x), float(y)

    def angle(degrees):
        return None if degrees is None else degrees + 180.0 if sx == sy else -degrees

    return replace(
        placement,
        turned=angle(placement.turned) % 360.0,
        outline=ring(placement.outline),
        cutouts=tuple(map(ring, placement.cutouts)),
        grain=tuple(map(point, placement.grain)),
        points={name: point(at) for name, at in placement.points.items()},
        sew_lines=tuple(map(path, placement.sew_lines)),
        internal_lines=tuple(map(path, placement.internal_lines)),
        notches=tuple(
            replace(n, at=point(n.at), angle=angle(n.angle)) for n in placement.notches
        ),
        drill_holes=tuple(map(point, placement.drill_holes)),
    )  # fmt: skip


def _turned(lay, cloth):
    """Turn the first piece end for end where the nap forbids it."""
    if cloth.nap != "one-way" or not lay.placements:
        return
    first = lay.placements[0]
    if cloth.sides == "alike" and abs(np.cos(np.radians(first.turned))) < 0.1:
        return  # so lies the other hand across the grain, turned over
    kinds = {"turn", "fold"} if first.on_fold else {"turn"}
    yield "turned piece on one-way cloth", kinds, _put(lay, 0, flipped(first, -1.0, -1.0))


def _own_reflection(placement):
    """Tell whether the outline, grain upright, is much the same turned over."""
    upright = affinity.rotate(_region(placement), -placement.turned, origin=(0.0, 0.0))
    box = shapely.box(*upright.bounds).centroid
    over = affinity.scale(upright, 1.0, -1.0, origin=box)
    return upright.symmetric_difference(over).area < 0.02 * upright.area


def _other_hand(lay, cloth):
    """Turn a piece over: once saying so, once not; where cloth and outline show the difference."""
    if cloth.sides == "alike":
        return
    for number, one in enumerate(lay.placements):
        # Where not all find room, the other hand may be one that is missing.
        asked = lay.status != "does not fit" or not one.hand
        if asked and one.layers == 1 and not one.on_fold and not _own_reflection(one):
            over = flipped(one, 1.0, -1.0)
            hand = {"R": "L", "L": "R", "": ""}[one.hand]
            said = replace(over, mirrored=not one.mirrored, hand=hand)
            yield "wrong hand", {"hand", "count"}, _put(lay, number, said)
            unsaid = replace(over, turned=one.turned, grain=one.grain)
            yield (
                "wrong hand, not said",
                {"hand", "outline", "turn", "marks"},
                _put(lay, number, unsaid),
            )
            return


def _missing(plan, layout, lay):
    """Leave out the last piece, where all were said to fit."""
    if lay.placements and all(lay.status != "does not fit" for lay in layout.lays):
        name = lay.placements[-1].piece
        kinds = (
            {"count"} if any(piece.name == name for piece in plan.pieces) else {"count", "join"}
        )
        yield "missing copy", kinds, replace(lay, placements=lay.placements[:-1])


def _off_design(plan, lay):
    """Move a piece off its place of the repeat, or a matched one off the others."""
    pieces = {piece.name: piece for piece in plan.pieces}
    axes = ((OFF, 0.0), (0.0, OFF))
    for number, one in enumerate(lay.placements):
        piece = pieces.get(one.piece)
        if piece is not None and piece.motif is not None:
            for by, on in zip(axes, piece.motif.on, strict=True):
                if on is not None:
                    yield "motif off by 1 mm", {"design"}, _put(lay, number, moved(one, *by))
            break
    if lay.repeat is None:
        return
    for match in plan.matches:
        named = {name for name, _ in match.points}
        tied = [n for n, one in enumerate(lay.placements) if one.piece in named]
        repeats = (lay.repeat.along, lay.repeat.across)
        for by, axis, step in zip(axes, ("along", "across"), repeats, strict=True):
            if len(tied) > 1 and step and match.axis in {axis, "both"}:
                wrong = _put(lay, tied[-1], moved(lay.placements[tied[-1]], *by))
                yield "match off by 1 mm", {"design"}, wrong


def _on_flaw(plan, lay):
    """Move a piece on to each flaw: just into it, or right over it where an allowance may."""
    if not lay.placements:
        return
    first = lay.placements[0]
    region = _region(first)
    widest = max(
        (e.allowance for p in plan.pieces for e in p.edges), default=0.0
    ) + max(p.allowance for p in plan.pieces)  # fmt: skip
    for flaw in lay.flaws:
        place = shapely.Polygon(flaw.outline)
        if flaw.hide == "no":
            by = _into(region, place)
        else:
            deepest = shapely.maximum_inscribed_circle(region)
            if deepest.length < widest + 5.0:
                continue
            here, there = deepest.coords[0], place.representative_point()
            by = (there.x - here[0], there.y - here[1])
        if by is not None:
            yield "flaw touched", {"flaw"}, _put(lay, 0, moved(first, *by))


def _length(lay):
    """Say another length than is taken, or than is to be bought."""
    for off in (-OFF, DEPTH):
        longer = replace(lay, length=lay.length + off)
        yield "length misreported", {"length", "share", "buy", "fold"}, longer
    bought = replace(lay.buy, length=lay.buy.length - OFF)
    yield "purchase misreported", {"buy"}, replace(lay, buy=bought)
