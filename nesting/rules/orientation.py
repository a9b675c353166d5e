"""Which ways a copy of a piece may lie on its cloth: grain, nap, turning and right side.

How the trade reads these rules (common practice): the grain line fixes the direction of the
warp in the garment; a piece may be turned end for end unless the cloth has a nap or the maker
forbids it; a piece is turned over only on cloth whose two sides are alike, because a left cut
from cloth with a right side would become a right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..model.plan import Cloth, PlanPiece


class Way(NamedTuple):
    """One way a piece may lie.

    ``mirrored`` tells that it lies as the reflection of its drawing; ``turned`` is the direction
    of the grain arrow, towards the top of the garment, in degrees counter-clockwise from +x.
    """

    mirrored: bool
    turned: float

    @property
    def turned_over(self) -> Way:
        """The same cut piece with its other side up, turned over about the warp."""
        return Way(not self.mirrored, (360.0 - self.turned) % 360.0)


# One entry per grain: all directions, and those that the nap or the maker (turn = false) leaves.
_ALL = {
    "lengthwise": (0.0, 180.0),
    "crosswise": (90.0, 270.0),
    "bias": (45.0, 225.0),
    "any": (0.0, 45.0, 90.0, 135.0, 180.0, 225.0, 270.0, 315.0),
}
_NAP = {
    "lengthwise": (0.0,),
    "crosswise": (90.0,),
    "bias": (45.0,),
    # With the nap or square to it, never against it.
    "any": (0.0, 45.0, 315.0),
}
_NO_TURN = {**_NAP, "any": _ALL["any"]}


def ways(
    piece: PlanPiece, cloth: Cloth, *, mirrored: bool, leans: Sequence[float] = (0.0,)
) -> tuple[Way, ...]:
    """Return every way in which a copy may lie.

    Parameters
    ----------
    piece
        Its ``grain`` and ``turn`` count.
    cloth
        Its ``nap`` and ``sides`` count.
    mirrored
        True for a copy wanted as the reflection of the drawing.
    leans
        Degrees by which a copy as drawn may lean off its grain, 0 first.

    Returns
    -------
    tuple of Way
        Never empty, without duplicates, the untouched way first. On the bias a mirrored copy
        leans the other way, so that a pair drapes alike left and right. On cloth whose sides
        are alike the set is closed under turning over.
    """
    if cloth.nap == "one-way":
        angles = _NAP[piece.grain]
    elif not piece.turn:
        angles = _NO_TURN[piece.grain]
    else:
        angles = _ALL[piece.grain]
    if piece.grain == "bias" and mirrored:
        angles = tuple((360.0 - angle) % 360.0 for angle in angles)
    towards = -1.0 if mirrored else 1.0
    found = [Way(mirrored, (angle + towards * lean) % 360.0) for lean in leans for angle in angles]
    if cloth.sides == "alike":
        found += [way.turned_over for way in found]
    return tuple(found)
