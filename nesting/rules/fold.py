"""How cloth is folded: where it lies double, where its folds are, how the upper layer lies.

Common practice: a lengthwise fold lays selvage on selvage; a crosswise fold lays cut end on cut
end, which turns the nap of the upper layer round unless the layers are cut apart and the upper
one is turned; a partial fold brings one selvage in only as far as the pieces on the fold need;
with both selvages folded to the middle there are two folds to lay pieces on.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..model.plan import Cloth
from .orientation import Way

FoldKind = Literal["lengthwise", "crosswise", "partial", "middle"]
Band = tuple[float, float]
"""Least and greatest y, millimetres."""


@dataclass(frozen=True, slots=True)
class FoldLine:
    """A fold on which pieces may lie.

    It runs along the cloth at y = ``at`` or, where ``inward`` points along x, across it at
    x = ``at``; ``inward`` is the unit vector from the fold to the pieces on it.
    """

    at: float
    inward: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Folding:
    """One way to fold a cloth, in the coordinates of the lower layer, millimetres.

    Attributes
    ----------
    kind
        The plan's word.
    usable
        Width between the selvages.
    depth
        How far one selvage is folded in on a partial fold; 0 else.
    cut
        True where the layers of a crosswise fold are cut apart and the upper one turned end for
        end, so that the nap runs one way in both; then there is no fold to lie on.
    """

    kind: FoldKind
    usable: float
    depth: float = 0.0
    cut: bool = False

    @property
    def width(self) -> float:
        """Width of the folded stretch from edge to edge."""
        if self.kind == "crosswise":
            return self.usable
        return self.usable - self.depth if self.kind == "partial" else self.usable / 2

    @property
    def double(self) -> tuple[Band, ...]:
        """The bands in which a piece cut through both layers must lie; it may not cross them."""
        if self.kind == "partial":
            return ((self.usable - 2 * self.depth, self.usable - self.depth),)
        if self.kind == "middle":  # the selvages of the upper layer meet between the two bands
            return ((0.0, self.usable / 4), (self.usable / 4, self.usable / 2))
        return ((0.0, self.width),)

    @property
    def room(self) -> float:
        """Width of each band in which pieces lie double."""
        low, high = self.double[0]
        return high - low

    @property
    def single(self) -> Band | None:
        """The band of a partial fold that stays a single layer."""
        left = self.usable - 2 * self.depth
        return (0.0, left) if self.kind == "partial" and left > 0 else None

    @property
    def lines(self) -> tuple[FoldLine, ...]:
        """The folds on which pieces may lie."""
        if self.kind == "crosswise":
            return () if self.cut else (FoldLine(0.0, (1.0, 0.0)),)
        far = FoldLine(self.width, (0.0, -1.0))
        return (FoldLine(0.0, (0.0, 1.0)), far) if self.kind == "middle" else (far,)

    @property
    def takes(self) -> float:
        """Cloth that a folded stretch takes, as a multiple of its own length."""
        return 2.0 if self.kind == "crosswise" else 1.0

    def upper(self, way: Way) -> Way:
        """Return how a piece cut together with one in the lower layer lies, seen right side up."""
        if self.kind == "crosswise" and not self.cut:
            return Way(not way.mirrored, (180.0 - way.turned) % 360.0)
        return way.turned_over

    @property
    def words(self) -> str:
        """The fold in the trade's words."""
        return FOLD_WORDS[self.kind]


FOLD_WORDS = {
    "open": "laid open",
    "lengthwise": "folded lengthwise",
    "crosswise": "folded crosswise",
    "partial": "with one selvage folded in",
    "middle": "with both selvages folded to the middle",
}
"""How each fold is told."""


def folds_allowed(cloth: Cloth) -> tuple[FoldKind, ...]:
    """Return the folds a plan allows for a cloth, in the order in which they are tried.

    One-way cloth is not folded crosswise unless the layers may be cut apart.
    """
    if cloth.fold == "open":
        return ()
    if cloth.fold != "best":
        return (cloth.fold,)
    if cloth.nap == "one-way" and not cloth.fold_cut:
        return ("lengthwise", "partial", "middle")
    return ("lengthwise", "crosswise", "partial", "middle")
