"""Notches as small signs on the cut edge, large enough to be seen on a reduced drawing."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
import numpy.typing as npt

from ..model.pattern import Notch

Lines = list[npt.NDArray[np.float64]]

_LEAST = 4.0  # points

# Seen from the edge: first number into the piece, second along the edge, in notch depths.
_SIGNS: Final[dict[str, tuple[tuple[tuple[float, float], ...], ...]]] = {
    "slit": (((0.0, 0.0), (1.0, 0.0)),),
    "T": (((0.0, 0.0), (1.0, 0.0)), ((1.0, -0.5), (1.0, 0.5))),
    "castle": (((0.0, -0.4), (0.8, -0.4), (0.8, 0.4), (0.0, 0.4)),),
    "check": (((0.0, -0.5), (1.0, 0.0), (0.0, 0.5)),),
    "U": (((0.0, -0.4), (0.6, -0.4), (0.9, 0.0), (0.6, 0.4), (0.0, 0.4)),),
}


def notch_lines(notch: Notch, outline: npt.NDArray[np.float64], mm_per_point: float) -> Lines:
    """Return the lines of a notch's sign in millimetres, starting at its place.

    The sign has the notch's own depth where that can be seen, and else the least visible one.
    Without an angle it stands square to the edge, into the piece.
    """
    angle = _inward(notch.at, outline) if notch.angle is None else notch.angle
    size = max(notch.depth, _LEAST * mm_per_point)
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turn = np.array([[c, s], [-s, c]])
    signs = _SIGNS.get(notch.kind, _SIGNS["slit"])
    return [np.array(line) * size @ turn + np.array(notch.at) for line in signs]


def _inward(at: tuple[float, float], outline: npt.NDArray[np.float64]) -> float:
    """Return the direction square to the nearest edge, to the left of the outline."""
    nexts = np.roll(outline, -1, axis=0)
    along = nexts - outline
    squared = np.maximum((along**2).sum(axis=1), 1e-12)
    share = np.clip(((np.array(at) - outline) * along).sum(axis=1) / squared, 0.0, 1.0)
    off = np.linalg.norm(outline + share[:, None] * along - at, axis=1)
    dx, dy = along[int(off.argmin())]
    return math.degrees(math.atan2(dx, -dy))
