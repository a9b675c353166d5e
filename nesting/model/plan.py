"""What the maker asks for: her cloths and the pieces to be cut from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from ..geometry.rings import FloatArray, Point
from .costing import Layer, Trim
from .pattern import PatternPiece, ReadNote

Nap = Literal["none", "one-way"]
Sides = Literal["differ", "alike"]
Grain = Literal["lengthwise", "crosswise", "bias", "any"]
Fold = Literal["open", "lengthwise", "crosswise", "partial", "middle", "best"]
Hide = Literal["no", "allowance"]
Axis = Literal["along", "across", "both"]
Fibre = Literal["", "cotton", "linen", "wool", "silk", "synthetic", "net"]
Age = Literal["new", "antique"]
Use = Literal["", "stage"]


@dataclass(frozen=True, slots=True)
class Repeat:
    """A motif's repeat on a cloth as cut (shrunk): millimetres, 0 where it does not repeat.

    With the drop "half" each column of the motif lies half a repeat along from its neighbours,
    ``across`` being the distance of the columns. ``offset`` is the motif's place (along, across)
    on the cloth, measured from the squared cut end and the inner edge of the near selvage; None
    where it is unknown, as on the bolt.
    """

    along: float = 0.0
    across: float = 0.0
    drop: Literal["none", "half"] = "none"
    offset: tuple[float | None, float | None] = (None, None)


@dataclass(frozen=True, slots=True, eq=False)
class Flaw:
    """A place of the cloth that must not be used: ring in millimetres, counter-clockwise.

    Measured like placements, on panel number ``panel`` (from 1) where there are several. With
    ``hide`` "allowance" a seam or hem allowance may cover it. ``kind`` is the maker's word for
    it, such as "old seam".

    The ring lies where the flaw lies on the cloth as cut, after shrinking.
    """

    outline: FloatArray
    panel: int = 1
    hide: Hide = "no"
    kind: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Panel:
    """One of several owned pieces of a cloth, as measured before it shrinks: millimetres.

    A rectangle loses selvages and end trim like any cloth. ``outline`` is the true edge where the
    panel is no rectangle, all of it usable: its warp lies along x, its box starts at the origin
    and measures ``length`` by ``width``.
    """

    name: str
    length: float
    width: float
    outline: FloatArray | None = None


@dataclass(frozen=True, slots=True)
class Motif:
    """A named point of the piece that falls on a place of the repeat, millimetres from its start.

    None leaves an axis free. With ``centred`` the point lies on an axis of the design: across,
    the place may also be half a repeat farther (on a half drop, the axis of any column).
    """

    point: str
    on: tuple[float | None, float | None]
    centred: bool = False


@dataclass(frozen=True, slots=True)
class Border:
    """A named edge of the piece laid at a distance (mm) from a selvage."""

    edge: str
    distance: float = 0.0
    selvage: Literal["near", "far", "either"] = "either"


@dataclass(frozen=True, slots=True)
class Match:
    """Named points of pieces, as (piece, point), that must meet the design alike."""

    points: tuple[tuple[str, str], ...]
    axis: Axis = "along"


@dataclass(frozen=True, slots=True)
class Cloth:
    """One cloth; every length in millimetres, every share a fraction of one.

    ``width`` is edge to edge as measured, ``selvage`` is lost at each edge. ``shrink_along`` and
    ``shrink_across`` are what washing or steaming takes before cutting, 0 <= share < 1.
    ``length`` is None for cloth to be bought and the one piece's length for cloth owned.
    ``price`` is per metre, per yard or for the one piece there is (``price_per``), in the coin
    ``currency`` names, None when unknown; ``step`` is 0 when the
    shop cuts any length. ``fold_depth`` is how far one selvage is folded in on a "partial" fold
    (None: as deep as serves best); with ``fold_cut`` the layers of a crosswise fold are cut apart
    and the upper one turned, so that the nap runs one way in both. ``panels`` are several owned
    pieces, instead of ``length``; ``width`` is then that of the widest, or of what is bought to
    match where ``extra`` is "buy". ``fibre``, ``age`` and ``colour`` decide which cautions apply
    and nothing else; ``fibre`` "net" stands for any open net whatever it is made of. ``widths``
    are others in which the same cloth is sold at the same price; only comparisons use them.
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
    price_per: Literal["m", "yd", "piece"] = "m"
    step: float = 0.0
    length: float | None = None
    fold: Fold = "open"
    fold_depth: float | None = None
    fold_cut: bool = False
    repeat: Repeat | None = None
    panels: tuple[Panel, ...] = ()
    extra: Literal["none", "buy"] = "none"
    flaws: tuple[Flaw, ...] = ()
    currency: str = ""
    fibre: Fibre = ""
    age: Age = "new"
    colour: str = ""
    widths: tuple[float, ...] = ()

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
class Piecing:
    """Where and how a piece may be made of parts sewn together, in millimetres.

    Attributes
    ----------
    zones
        Rings in the file's coordinates; a join lies wholly within their union. Empty: anywhere.
    most
        Joins of one copy, at least 1.
    allowance
        Added to both sides of a join.
    worth
        Length of cloth below which one join is not worth making.
    match
        True where the motif must run on across the join.
    line
        The line of the one join allowed, in the file's coordinates; None: along the warp.
    """

    zones: tuple[FloatArray, ...] = ()
    most: int = 1
    allowance: float = 10.0
    worth: float = 0.0
    match: bool = False
    line: tuple[Point, Point] | None = None


@dataclass(frozen=True, slots=True)
class Breadths:
    """Full widths of a cloth joined selvage to selvage: a petticoat, an apron, a curtain.

    Attributes
    ----------
    round
        Finished measure across all breadths, mm; 0 where ``count`` is given.
    ratio
        Fullness: the breadths come to this many times the finished measure before they are
        pleated or gathered.
    seam
        Taken at both edges of every breadth, mm.
    cut_length
        Of one breadth, hem and turnings included, mm.
    count
        How many, where the maker knows; 0 where that follows from ``round``.
    """

    name: str
    cloth: str
    cut_length: float
    round: float = 0.0
    ratio: float = 1.0
    seam: float = 0.0
    count: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class PlanPiece:
    """One piece of the plan: a pattern piece, the cloth it is cut from, and how.

    ``as_drawn`` and ``mirrored`` are the copies to cut of either hand, together at least one.
    When the pattern is drawn as a half (``pattern.mirror``), a copy is the whole piece. ``top``
    is "reverse" when the top of the garment lies at the first end of the grain line.
    ``allowance`` (mm) is added all round the outline, except on the stretches in ``edges``.
    ``points`` are in millimetres in the file's coordinates. ``tilt`` is how many degrees the
    grain may lean either way. ``cloths`` are all cloths it may be cut from, in order of
    preference; ``cloth`` is the one chosen, at first the preferred one. ``train`` asks what the
    piece does to the length of its cloth. ``breadths`` is what a piece stands for that no file
    draws.
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
    tilt: float = 0.0
    motif: Motif | None = None
    border: Border | None = None
    cloths: tuple[str, ...] = ()
    piecing: Piecing | None = None
    train: bool = False
    breadths: Breadths | None = None

    @property
    def copies(self) -> int:
        """All copies to cut, of either hand."""
        return self.as_drawn + self.mirrored


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """A whole plan: validated, with every pattern piece read.

    Piece names and cloth names are unique; every piece's cloth is one of ``cloths``. ``units`` is
    the maker's own unit, used for reading back to her; everything here is in millimetres.
    ``trims`` and ``layers`` count for what the dress costs; ``budget`` is what it may cost, None
    where that is not said; ``currency`` is a label. ``breadths`` are full widths to be joined, for
    which pieces of their own stand among ``pieces``. ``use`` "stage" adds a caution and nothing
    else.
    """

    title: str
    units: str
    cloths: tuple[Cloth, ...]
    pieces: tuple[PlanPiece, ...]
    path: Path | None = None
    notes: tuple[ReadNote, ...] = ()
    matches: tuple[Match, ...] = ()
    breadths: tuple[Breadths, ...] = ()
    trims: tuple[Trim, ...] = ()
    layers: tuple[Layer, ...] = ()
    currency: str = ""
    budget: float | None = None
    use: Use = ""

    def pieces_on(self, cloth: str) -> tuple[PlanPiece, ...]:
        """Return the pieces cut from one cloth, in the plan's order."""
        return tuple(piece for piece in self.pieces if piece.cloth == cloth)
