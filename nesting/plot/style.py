"""How a marker looks: black lines on white, with tints so light that they vanish in print.

Nothing is told by colour alone: cut lines are solid, sew lines dashed, internal lines dotted,
and every piece carries its name.
"""

from __future__ import annotations

from typing import Any, Final

INK: Final = "#000000"
FAINT: Final = "#767676"
PAPER: Final = "#ffffff"
DESIGN: Final = "#8f9db3"
"""The repeat's lines: pale, since they are under everything else."""

TINTS: Final = (
    "#f3efe3",
    "#e3ecf0",
    "#f1e6e2",
    "#e8efe1",
    "#ece6f0",
    "#f6f3d6",
    "#e2e2e2",
    "#dfeeea",
)
"""Paper tints, one to a piece's name; all lighter than 85 per cent, so black reads on any."""

CUT_WIDTH: Final = 0.9
SEW: Final = (0, (4.0, 2.0))
INTERNAL: Final = (0, (1.0, 1.6))
FOLD: Final = (0, (9.0, 2.5, 2.0, 2.5))
CONTINUED: Final = (0, (8.0, 2.0, 1.0, 2.0))
SELVAGE_HATCH: Final = "/////"
ABSENT: Final = "#d9d9d9"
FLAW_HATCH: Final = "xxxxx"

LABEL_SIZES: Final = (8.0, 7.0, 6.0, 5.2)
"""Sizes tried for a piece's label, in points, largest first."""
KEY_SIZE: Final = 7.0
NUMBER_SIZE: Final = 6.0
SMALL: Final = 6.5
TITLE_SIZE: Final = 11.0

RC: Final[dict[Any, Any]] = {
    "font.family": ["DejaVu Sans"],
    "hatch.linewidth": 0.4,
    "svg.fonttype": "path",
    "svg.hashsalt": "yardage",
    "pdf.fonttype": 42,
    "path.simplify": False,
    "axes.unicode_minus": False,
}
"""Settings that must not depend on the machine, so that files come out the same everywhere."""


def tint_of(names: list[str]) -> dict[str, str]:
    """Return a tint for every piece name, in the order in which the names first appear."""
    return {name: TINTS[n % len(TINTS)] for n, name in enumerate(dict.fromkeys(names))}
