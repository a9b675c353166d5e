"""What the maker asks for: her cloths and the pieces to be cut from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from ..geometry.rings import Point
from .pattern import PatternPiece, ReadNote

Nap = Literal["none", "one-way"]
Sides = Literal["differ", "alike"]
Grain = Literal["lengthwise", "crosswise", "bias", "any"]


@dataclass(frozen=True, slots=True)
class Cloth:
    """One cloth; every length in millimetres, every share a fraction of one.

    ``width`` is edge to edge as measured, ``selvage`` is lost at each edge. ``shrink_along`` and
    ``shrink_across`` are what washing or steaming takes before cutting, 0 <= share < 1.
    ``length`` is None for cloth to be bought and the one piece's length for cloth owned.
    ``price`` is per metre or per yard (``price_per``), None when unknown; ``step`` is 0 when the
    shop cuts any length.
    """

    name: str
    width: float
    selvage: float = 0.0
    nap: Nap = "none"
    sides: Sides = "differ"
    shrink_along: float = 0.0
    shrink_across: float = 0.0
    end_trim: float = 0.0
    gap: float = 0.0
    price: float | None = None
    price_per: Literal["m", "yd"] = "m"
    step: float = 0.0
    length: float | None = None

    @property
    def usable_width(self) -> float:
        """Millimetres between the selvages once the cloth has shrunk; always positive."""
        return self.width * (1.0 - self.shrink_across) - 2.0 * self.selvage


@dataclass(frozen=True, slots=True)
class EdgeAllowance:
    """A named stretch of an outline with an allowance of its own.

    The stretch runs along the outline counter-clockwise from ``start`` to ``end``, both in
    millimetres in the file's coordinates and lying on the outline; ``allowance`` in millimetres.
    """

    name: str
    start: Point
    end: Point
    allowance: float


@dataclass(frozen=True, slots=True, eq=False)
class PlanPiece:
    """One piece of the plan: a pattern piece, the cloth it is cut from, and how.

    ``as_drawn`` and ``mirrored`` are the copies to cut of either hand, together at least one.
    When the pattern is drawn as a half (``pattern.mirror``), a copy is the whole piece. ``top``
    is "reverse" when the top of the garment lies at the first end of the grain line.
    ``allowance`` (mm) is added all round the outline, except on the stretches in ``edges``.
    ``points`` are in millimetres in the file's coordinates.
    """

    name: str
    pattern: PatternPiece
    cloth: str
    as_drawn: int = 1
    mirrored: int = 0
    grain: Grain = "lengthwise"
    top: Literal["as drawn", "reverse"] = "as drawn"
    turn: bool = True
    allowance: float = 0.0
    edges: tuple[EdgeAllowance, ...] = ()
    points: Mapping[str, Point] = field(default_factory=dict)

    @property
    def copies(self) -> int:
        """All copies to cut, of either hand."""
        return self.as_drawn + self.mirrored


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A whole plan: validated, with every pattern piece read.

    Piece names and cloth names are unique; every piece's cloth is one of ``cloths``. ``units`` is
    the maker's own unit, used for reading back to her; everything here is in millimetres.
    """

    title: str
    units: str
    cloths: tuple[Cloth, ...]
    pieces: tuple[PlanPiece, ...]
    path: Path | None = None
    notes: tuple[ReadNote, ...] = ()

    def pieces_on(self, cloth: str) -> tuple[PlanPiece, ...]:
        """Return the pieces cut from one cloth, in the plan's order."""
        return tuple(piece for piece in self.pieces if piece.cloth == cloth)
