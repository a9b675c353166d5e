"""The same garment on several cloths and widths, side by side: what is compared and found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

RowStatus = Literal["found", "proven best", "does not fit"]


@dataclass(frozen=True, slots=True)
class LaidFigures:
    """What else is told of a layout: as in the row of a candidate."""

    made_of: Mapping[str, float]
    used: float
    leftover: tuple[float, float] | None
    joins: int


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What changes if one thing were otherwise: millimetres and money.

    ``case`` is "one-way", "turned" or "narrower". ``length`` is the lay's, ``buy_length`` what
    would be bought; both None, with a ``reason``, where the pieces do not fit. ``figures`` are
    there where the layout may serve another row.
    """

    case: Literal["one-way", "turned", "narrower"]
    length: float | None = None
    buy_length: float | None = None
    cost: Decimal | None = None
    reason: str = ""
    figures: LaidFigures | None = None


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One candidate: a layer's pieces on one cloth of one width; lengths in millimetres.

    Attributes
    ----------
    number
        The candidate's number, from 0, by which it is told apart from all others.
    rank
        The place of its cloth in the maker's order of liking, from 0.
    as_planned
        True where the width is the plan's own.
    owned
        True where the cloth is there already, or is sold as one piece.
    made_of
        What ``buy_length`` is made of: lay, end_trim, shrinkage, motif_start, rounding.
    cost
        Rounded to a hundredth of the currency; None where no price is known.
    leftover
        Extent along and across of the largest clean rectangle left over, or None.
    joins
        Seams added because a piece is wider than the cloth.
    reason
        Why it does not fit; the figures are then 0 where there is no lay at all.
    same_as
        The narrower width (mm) whose layout this is, where none shorter was found for its own.
    same_cloth
        The cloth of that width, where it is another; "" where it is this one.
    early
        True where the search was broken off.
    """

    number: int
    layer: str
    cloth: str
    rank: int
    width: float
    usable_width: float
    status: RowStatus
    as_planned: bool = True
    owned: bool = False
    nap: str = "none"
    length: float = 0.0
    made_of: Mapping[str, float] = field(default_factory=dict)
    buy_length: float = 0.0
    price: float | None = None
    price_per: str = "m"
    step: float = 0.0
    cost: Decimal | None = None
    currency: str = ""
    used: float = 0.0
    proven_minimum: float = 0.0
    leftover: tuple[float, float] | None = None
    joins: int = 0
    other_way: WhatIf | None = None
    narrower: WhatIf | None = None
    repeat_along: float = 0.0
    reason: str = ""
    same_as: float | None = None
    same_cloth: str = ""
    early: bool = False
    seconds: float = 0.0

    @property
    def fits(self) -> bool:
        """True where the layer can be cut from it."""
        return self.status != "does not fit"


@dataclass(frozen=True, slots=True)
class Comparison:
    """All candidates that were finished, by layer and then from the cheapest to the dearest.

    Candidates of unknown price stand after the priced ones, those that do not fit last.
    ``unfinished`` names candidates that an interruption left out.
    """

    title: str
    units: str
    rows: tuple[ComparedRow, ...]
    layers: tuple[str, ...]
    seed: int = 0
    seconds: float = 0.0
    version: str = ""
    unfinished: tuple[str, ...] = ()

    def rows_of(self, layer: str) -> tuple[ComparedRow, ...]:
        """Return the candidates of one layer, cheapest first."""
        return tuple(row for row in self.rows if row.layer == layer)

    def layers_by_width(self) -> tuple[str, ...]:
        """Return the layers compared on more than one width: there a width goes with a cloth."""
        return tuple(
            layer
            for layer in self.layers
            if len({round(row.width, 1) for row in self.rows_of(layer)}) > 1
        )

    def layers_to_plot(self) -> tuple[str, ...]:
        """Return the layers of which more than one candidate fits: of one there is no curve."""
        return tuple(
            layer for layer in self.layers if sum(row.fits for row in self.rows_of(layer)) > 1
        )
