"""What the check has to say against a layout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal[
    "cloth",
    "count",
    "copy",
    "hand",
    "turn",
    "outline",
    "marks",
    "edge",
    "flaw",
    "overlap",
    "gap",
    "length",
    "buy",
    "share",
    "bound",
    "leftover",
    "design",
    "join",
    "fold",
    "unsupported",
]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing wrong with a layout; an empty tuple of findings means the layout is right.

    Attributes
    ----------
    kind
        What sort of fault it is, for programs.
    text
        What is wrong, with numbers, without a full stop; for people.
    cloth, piece, copy
        Where; empty and None where the fault belongs to no single cloth, piece or copy.
    """

    kind: Kind
    text: str
    cloth: str = ""
    piece: str = ""
    copy: int | None = None

    def __str__(self) -> str:
        """Return the finding on one plain line."""
        piece = f"{self.piece} (copy {self.copy})" if self.copy is not None else self.piece
        return ": ".join(part for part in (self.cloth, piece, self.text) if part)
