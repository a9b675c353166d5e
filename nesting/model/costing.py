"""What is paid beside the cloth, and what may be chosen instead: trims, layers, a budget."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SoldPer = Literal["m", "yd", "each", "pack"]
Strips = Literal["one", "each"]


@dataclass(frozen=True, slots=True)
class Trim:
    """A trim or notion: counted in pieces, or measured on the pattern; lengths in millimetres.

    Attributes
    ----------
    count
        Pieces to buy where nothing is measured; else how many of each given length.
    edges
        (piece, edge): stretches measured on the sew line, over all copies.
    lines
        (piece, number from 1, or None for all): internal lines, over all copies.
    lengths
        Lengths she measured herself.
    strips
        "one" where all that is measured is trimmed with one strip, "each" where every stretch
        has its own. ``less`` is what each strip stays shorter than measured, ``turn_back`` what
        is turned in at each of its two ends, ``fullness`` its length before gathering over the
        length it is sewn to.
    joins, overlap
        Joins in all, and what each costs.
    step, price, per
        Sold in steps of this length (0: any), at this price per metre, yard, piece or pack of
        ``pack``; None where the price is not known. ``owned`` trims cost nothing.
    """

    name: str
    count: int | None = None
    edges: tuple[tuple[str, str], ...] = ()
    lines: tuple[tuple[str, int | None], ...] = ()
    lengths: tuple[float, ...] = ()
    strips: Strips = "one"
    less: float = 0.0
    turn_back: float = 0.0
    fullness: float = 1.0
    joins: int = 0
    overlap: float = 0.0
    step: float = 0.0
    price: float | None = None
    per: SoldPer = "m"
    pack: int = 1
    owned: bool = False
    currency: str = ""

    @property
    def measured(self) -> bool:
        """True where it is bought by length."""
        return bool(self.edges or self.lines or self.lengths)


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of the garment and the cloths it may be cut from, the one she likes best first."""

    name: str
    cloths: tuple[str, ...]
