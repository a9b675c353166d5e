"""The shape of a plan file: which keys it may have and what kind of value each takes.

The models hold what the file says, word for word; lengths are still numbers or texts. What the
values mean, and whether they make sense together, is judged in :mod:`nesting.readers.plan`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, field_validator

from ..units import Unit
from .words import refuse_control_letters


def _length(value: object) -> object:
    right = isinstance(value, (int, float, str)) and not isinstance(value, bool)
    if not right:
        # pydantic turns a ValueError, and no TypeError, into a fault of the file.
        raise ValueError('write a length: a number, or text with a unit such as "54 in"')
    return value


def _lengths(value: object) -> object:
    if isinstance(value, list):
        if not value:
            raise ValueError("write one length, or a list of lengths")
        return [_length(one) for one in value]
    return value if value is None else _length(value)


def _pair_of_lengths(value: object) -> object:
    if not isinstance(value, list) or len(value) != 2:
        raise ValueError("write two lengths in brackets, such as [12.0, 34.5]")
    return tuple(value)


def _cut(value: object) -> object:
    right = isinstance(value, (int, dict)) and not isinstance(value, bool)
    if not (right or value == "pair"):
        raise ValueError(_CUT_HELP)
    return value


def _names(value: object) -> object:
    if isinstance(value, str):
        return [value]
    if isinstance(value, list) and value and all(isinstance(name, str) for name in value):
        return value
    raise ValueError("write the name of a cloth, or a list of names")


_CUT_HELP = 'write a number, "pair", or { as_drawn = 1, mirrored = 1 }'

Length = Annotated[float | str, BeforeValidator(_length)]
Place = Annotated[tuple[Length, Length], BeforeValidator(_pair_of_lengths)]


class _Table(BaseModel):
    """A table of the file: unknown keys refused, nothing converted."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)
    _words = field_validator("*", mode="before")(refuse_control_letters)


class ShrinkTable(_Table):
    """Shrinkage in per cent."""

    along: float = 0.0
    across: float = 0.0


class RepeatTable(_Table):
    """A motif's repeat, where it lies on the cloth, and what stripe and plaid lines mean there."""

    along: Length | None = None
    across: Length | None = None
    drop: Literal["none", "half"] = "none"
    offset: Place | None = None
    lines: Literal["match", "ignore"] = "match"


class PanelTable(_Table):
    """One of several owned pieces of a cloth: its size, or a file that draws its edge."""

    name: str = ""
    length: Length | None = None
    width: Length | None = None
    file: str | None = None
    piece: str | None = None


class FlawTable(_Table):
    """A place of the cloth that must not be used: a box, or an outline."""

    along: Place | None = None
    across: Place | None = None
    outline: list[Place] | None = None
    panel: int = 1
    hide: Literal["no", "allowance"] = "no"
    kind: str = ""


class ClothTable(_Table):
    """A ``[[cloth]]`` table."""

    name: str
    width: Length | None = None
    widths: list[Length] = Field(default_factory=list)
    selvage: Length = 0.0
    nap: Literal["none", "one-way"] = "none"
    sides: Literal["differ", "alike"] = "differ"
    fold: Literal["open", "lengthwise", "crosswise", "partial", "middle", "best"] = "open"
    fold_depth: Length | None = None
    fold_cut: bool = False
    shrink: ShrinkTable = ShrinkTable()
    end_trim: Length = 0.0
    gap: Length = 0.0
    repeat: RepeatTable | None = None
    price: float | None = None
    price_per: Literal["m", "yd", "piece"] | None = None
    currency: str | None = None
    step: Length = 0.0
    length: Length | None = None
    panels: list[PanelTable] | None = None
    extra: Literal["none", "buy"] = "none"
    flaws: list[FlawTable] | None = None
    fibre: Literal["cotton", "linen", "wool", "silk", "synthetic", "net"] | None = None
    age: Literal["new", "antique"] = "new"
    colour: str = ""


class CutTable(_Table):
    """Copies of either hand."""

    as_drawn: int = 0
    mirrored: int = 0


class EdgeTable(_Table):
    """A stretch of the outline with an allowance of its own."""

    start: Place = Field(alias="from")
    end: Place = Field(alias="to")
    allowance: Length | None = None


class MotifTable(_Table):
    """A point of the piece that falls on a place of the repeat."""

    point: str
    on: Place


class PiecingTable(_Table):
    """Where and how a piece may be made of parts."""

    within: Length | None = None
    of: str | None = None
    below: tuple[Place, Place] | None = None
    zones: list[list[Place]] | None = None
    most: int = 1
    allowance: Length = "1 cm"
    worth: Length = 0.0
    match: bool = False
    line: tuple[Place, Place] | None = None

    @field_validator("below", "line", mode="before")
    @classmethod
    def _two_places(cls, value: object) -> object:
        if value is None:
            return None
        if not isinstance(value, list) or len(value) != 2:
            raise ValueError("write two points, such as [[0, 60], [80, 60]]")
        return tuple(value)


class BorderTable(_Table):
    """An edge of the piece that lies along a selvage."""

    edge: str
    distance: Length = 0.0
    selvage: Literal["near", "far", "either"] = "either"


class PieceTable(_Table):
    """A ``[[piece]]`` table."""

    name: str
    file: str
    cloth: Annotated[list[str], BeforeValidator(_names)]
    named: str | None = Field(default=None, alias="as")
    cut: Annotated[int | Literal["pair"] | CutTable | None, BeforeValidator(_cut)] = None
    grain: Literal["lengthwise", "crosswise", "bias", "any"] = "lengthwise"
    top: Literal["as drawn", "reverse"] = "as drawn"
    tilt: float = 0.0
    turn: bool = True
    allowance: Length = 0.0
    edges: dict[str, EdgeTable] = {}
    points: dict[str, Place] = {}
    motif: MotifTable | None = None
    piecing: PiecingTable | None = None
    border: BorderTable | None = None
    train: bool = False


class BreadthsTable(_Table):
    """A ``[[breadths]]`` table: full widths joined."""

    name: str
    cloth: str
    length: Length
    hem: Length = 0.0
    top: Length = 0.0
    round: Length | None = None
    count: int | None = None
    ratio: float = 1.0
    seam: Length = 0.0


class MatchTable(_Table):
    """A ``[[match]]`` table: points that must meet the design alike."""

    points: list[str]
    axis: Literal["along", "across", "both"] = "along"


class TrimTable(_Table):
    """A ``[[trim]]`` table: a trim or notion."""

    name: str
    count: int | None = None
    edges: list[str] = []
    lines: list[str] = []
    length: Annotated[Length | list[Length] | None, BeforeValidator(_lengths)] = None
    strips: Literal["one", "each"] | None = None
    less: Length = 0.0
    turn_back: Length = 0.0
    fullness: float = 1.0
    joins: int = 0
    overlap: Length = 0.0
    step: Length = 0.0
    price: float | None = None
    price_per: Literal["m", "yd", "each", "pack"] | None = None
    pack: int = 1
    owned: bool = False
    currency: str | None = None


class LayerTable(_Table):
    """A ``[[layer]]`` table: the cloths it may be cut from, the best liked first."""

    name: str
    cloth: Annotated[list[str], BeforeValidator(_names)]


class PlanTable(_Table):
    """A whole plan file."""

    title: str = ""
    units: Unit | None = None
    currency: str = ""
    budget: float | None = None
    trim: list[TrimTable] = []
    layer: list[LayerTable] = []
    use: Literal["stage"] | None = None
    cloth: list[ClothTable] = []
    piece: list[PieceTable] = []
    breadths: list[BreadthsTable] = []
    match: list[MatchTable] = []
