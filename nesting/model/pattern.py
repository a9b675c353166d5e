"""A pattern piece as it stands in a file, in millimetres, before any plan touches it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from ..geometry.rings import FloatArray, Point

NoteKind = Literal["assumed", "repaired", "unread"]


@dataclass(frozen=True, slots=True)
class ReadNote:
    """One thing a reader assumed, repaired or left unread, for the maker to see.

    ``item`` names the piece or entity; ``text`` is one plain sentence without a full stop.
    """

    kind: NoteKind
    file: str
    item: str
    text: str

    def __str__(self) -> str:
        """Return the note on one line."""
        place = f"{self.file}: {self.item}" if self.item else self.file
        return f"{place}: {self.kind}: {self.text}"


@dataclass(frozen=True, slots=True)
class Notch:
    """A mark on the edge of a piece.

    ``at`` lies on the outline; ``angle`` is the direction of the cut in degrees counter-clockwise
    from +x (into the piece), or None where the file does not say; ``depth`` and ``width`` are in
    millimetres, 0 where the file does not say. ``kind`` is one of slit, T, castle, check, U.
    """

    at: Point
    angle: float | None = None
    depth: float = 0.0
    width: float = 0.0
    kind: str = "slit"


@dataclass(frozen=True, slots=True)
class Annotation:
    """A text written on a piece."""

    at: Point
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class PatternPiece:
    """One piece of a pattern, right side up, as its file draws it.

    Attributes
    ----------
    name
        The piece's name in the file.
    file
        The file it was read from.
    outline
        Ring, shape (n, 2), millimetres, counter-clockwise, simple. It is the cut line, or the
        stitching line where the plan gives an allowance.
    cutouts
        Rings inside the outline that are cut away, clockwise.
    grain
        First and second end of the grain line; the second lies towards the top of the garment.
        None when the file draws none.
    mirror
        Both ends of the edge about which a half is completed, or None.
    sew_lines, internal_lines, stripe_lines, plaid_lines
        Paths drawn on the piece; never cut.
    quantity
        Copies as drawn and mirrored, as the file says; None when it is silent.
    may_fold
        True where the file says that the piece may be laid on a fold.
    system_text
        The file's ``Key: value`` texts for this piece and its style, keys in lower case.
    """

    name: str
    file: str
    outline: FloatArray
    cutouts: tuple[FloatArray, ...] = ()
    grain: tuple[Point, Point] | None = None
    mirror: tuple[Point, Point] | None = None
    sew_lines: tuple[FloatArray, ...] = ()
    internal_lines: tuple[FloatArray, ...] = ()
    stripe_lines: tuple[FloatArray, ...] = ()
    plaid_lines: tuple[FloatArray, ...] = ()
    notches: tuple[Notch, ...] = ()
    drill_holes: tuple[Point, ...] = ()
    annotations: tuple[Annotation, ...] = ()
    quantity: tuple[int, int] | None = None
    may_fold: bool = False
    material: str = ""
    system_text: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PatternFile:
    """All pieces of one file and everything its reader has to say about them."""

    file: str
    pieces: tuple[PatternPiece, ...]
    notes: tuple[ReadNote, ...] = ()
