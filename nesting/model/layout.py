"""The cutting layout in garment terms: what leaves the program, in millimetres.

x runs along the cloth from the squared cut end, y across it from the inner edge of the near
selvage; the right side of the cloth faces up.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Literal

from ..geometry.rings import FloatArray, Point
from .pattern import Notch
from .resume import Resume
from .strip_svg import StripShape, strip_svg
from .train import TrainStudy

LayStatus = Literal["found", "proven best", "does not fit"]
Hand = Literal["R", "L", ""]


@dataclass(frozen=True, slots=True, eq=False)
class Placement:
    """One cut piece where it lies.

    Attributes
    ----------
    piece, copy
        The plan's name for the piece and the number of this copy, from 1.
    mirrored
        True where the piece lies as the reflection of its drawing.
    turned
        Degrees counter-clockwise from +x in which the grain arrow points to the top.
    outline
        The true cut line as placed, counter-clockwise ring; of a piece on the fold, its half.
    held
        Names of the points by which it is placed on the design of its cloth.
    layers
        2 where it is cut through two layers at once: one as drawn and one mirrored.
    on_fold
        True where an edge lies on a fold of the cloth, so that the piece opens out to the whole.
    grain
        Grain line as placed, the second end towards the top.
    hand
        Which one of a pair this is: "R" as drawn, "L" mirrored; empty where the plan asks for
        one hand only.
    """

    piece: str
    copy: int
    mirrored: bool
    turned: float
    outline: FloatArray
    grain: tuple[Point, Point]
    points: Mapping[str, Point] = field(default_factory=dict)
    hand: Hand = ""
    cutouts: tuple[FloatArray, ...] = ()
    sew_lines: tuple[FloatArray, ...] = ()
    internal_lines: tuple[FloatArray, ...] = ()
    stripe_lines: tuple[FloatArray, ...] = ()
    plaid_lines: tuple[FloatArray, ...] = ()
    notches: tuple[Notch, ...] = ()
    drill_holes: tuple[Point, ...] = ()
    layers: int = 1
    on_fold: bool = False
    held: tuple[str, ...] = ()

    @property
    def cuts(self) -> int:
        """How many cut pieces it gives: two where it is cut double, one on a fold."""
        return 1 if self.on_fold else self.layers


@dataclass(frozen=True, slots=True)
class LaidFlaw:
    """A flaw of the cloth where it lies: ring, the maker's word for it, and what may hide it."""

    outline: FloatArray
    kind: str = ""
    hide: Literal["no", "allowance"] = "no"


@dataclass(frozen=True, slots=True)
class LaidRepeat:
    """A motif's repeat as it lies on the cloth, millimetres; ``offset`` as chosen or known."""

    along: float
    across: float
    drop: Literal["none", "half"]
    offset: Point


@dataclass(frozen=True, slots=True)
class LaidFold:
    """How the cloth is folded.

    ``kind`` is the plan's word. ``edges`` are the fold lines ((x, y), (x, y)); ``double`` are the
    rectangles (x0, y0, x1, y1) where the cloth lies double; ``end`` is the x at which the folded
    stretch ends and the cloth is opened out, or None where it stays folded.
    """

    kind: str
    edges: tuple[tuple[Point, Point], ...] = ()
    double: tuple[tuple[float, float, float, float], ...] = ()
    end: float | None = None


@dataclass(frozen=True, slots=True)
class Buy:
    """What to buy of one cloth: millimetres, words and cost.

    ``length`` is the sum of ``made_of``, whose keys are lay, end_trim, shrinkage, motif_start
    and rounding, in that order. ``cost`` is None when the plan gives no price, and 0 for cloth
    already owned.
    """

    length: float
    text: str
    cost: float | None
    made_of: Mapping[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Lay:
    """The layout on one cloth.

    ``reason`` says why, where the status is "does not fit"; ``cloth_width`` and ``selvage`` are
    those of the cloth as cut, after shrinking, so that usable_width + 2 selvage = cloth_width.
    ``utilisation`` is the share of usable width times length that the pieces cover. ``leftover``
    is the largest rectangle found within the lay that no piece enters: least x and y, greatest x
    and y; None where there is none or nothing is to be cut.

    ``length`` is the length of cloth the lay takes: on cloth folded crosswise that of both
    layers. ``panel`` numbers the owned piece, from 1, where there are several, and
    ``panel_outline`` is the edge of what can be used of it. ``without`` gives for a rule, in the
    trade's words, the length of the same lay without it. ``remarks`` are sentences to be read
    with this lay.
    """

    cloth: str
    usable_width: float
    length: float
    status: LayStatus
    proven_minimum: float
    utilisation: float
    buy: Buy
    placements: tuple[Placement, ...]
    cloth_width: float
    selvage: float = 0.0
    nap: str = "none"
    panel: int | None = None
    fold: str = "open"
    layers: int = 1
    reason: str = ""
    folding: LaidFold | None = None
    repeat: LaidRepeat | None = None
    flaws: tuple[LaidFlaw, ...] = ()
    panel_name: str = ""
    panel_outline: FloatArray | None = None
    without: Mapping[str, float] = field(default_factory=dict)
    remarks: tuple[str, ...] = ()
    leftover: tuple[float, float, float, float] | None = None

    @property
    def reach(self) -> float:
        """How far along x the cloth lies: its length, less the upper layer of a crosswise fold."""
        if self.folding is None or self.folding.kind != "crosswise":
            return self.length
        end = self.folding.end
        return self.length / 2 if end is None else self.length - end

    def _repr_svg_(self) -> str | None:
        """Draw the lay for a notebook, pieces numbered as on every plan."""
        if not self.placements:
            return None
        return strip_svg(
            self.length,
            self.usable_width,
            (
                StripShape(
                    (placement.outline, *placement.cutouts),
                    placement.piece,
                    (f"{n} {placement.piece} {placement.hand}".strip(), str(n)),
                )
                for n, placement in enumerate(self.placements, start=1)
            ),
        )

    def _repr_html_(self) -> str:
        """Tell and draw the lay in a notebook."""
        words = f"{self.cloth}: {self.buy.text}, {100 * self.utilisation:.1f} % of the cloth used"
        if self.status == "does not fit":
            words = f"{self.cloth}: does not fit: {self.reason}"
        key = "; ".join(
            f"{n} {placement.piece} {placement.hand}".strip()
            for n, placement in enumerate(self.placements, start=1)
        )
        return f"<p>{escape(words)}</p>{self._repr_svg_() or ''}<p>{escape(key)}</p>"


@dataclass(frozen=True, slots=True)
class Joining:
    """How a piece of the plan is made of parts: every copy alike.

    Attributes
    ----------
    piece
        The plan's name for the whole.
    parts
        Names of the parts, the main part first; placements bear these.
    inside
        A point well inside each part, in the coordinates of the pattern file.
    lines
        The straight lines along which the whole is divided, each by two of its points, in the
        coordinates of the pattern file (mm). They run on beyond the piece.
    allowance
        Added to both sides of every join, mm.
    """

    piece: str
    parts: tuple[str, ...]
    inside: tuple[Point, ...]
    lines: tuple[tuple[Point, Point], ...]
    allowance: float


@dataclass(frozen=True, slots=True)
class SolverRun:
    """How the layout was computed."""

    seconds: float
    seed: int
    version: str


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """All lays of a plan; schema ``yardage-layout/1`` when written.

    ``resume`` is what a later run needs to go on from it.
    """

    title: str
    units: str
    lays: tuple[Lay, ...]
    warnings: tuple[str, ...]
    solver: SolverRun
    joinings: tuple[Joining, ...] = ()
    remarks: tuple[str, ...] = ()
    trains: tuple[TrainStudy, ...] = ()
    resume: Resume | None = None

    def _repr_html_(self) -> str:
        """Tell and draw every lay in a notebook, warnings first."""
        warned = "".join(f"<li>{escape(text)}</li>" for text in self.warnings)
        lays = "".join(lay._repr_html_() for lay in self.lays)
        return f"<h3>{escape(self.title)}</h3>{f'<ul>{warned}</ul>' if warned else ''}{lays}"
