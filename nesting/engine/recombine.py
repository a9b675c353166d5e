"""A layout to begin with from two others: the first part of one, and the rest as in the other.

(Combining good solutions and improving what comes out, memetic algorithms: Moscato 1989.)
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ..geometry.convex import IntArray
from ..geometry.rings import FloatArray
from .board import Found

CUTS = 40
"""Cuts drawn, of which that is taken where the two parts hold most nearly all pieces once."""

EARLIEST, LATEST = 0.3, 0.7
"""Shares of the length between which is cut."""


def recombine(
    first: Found, second: Found, like: IntArray, area: FloatArray, length: float,
    random: np.random.Generator,
) -> tuple[IntArray, FloatArray, FloatArray]:  # fmt: skip
    """Return shapes and places of all entries, which may overlap.

    What lies before a cut stays as it is in ``first``. In place of every other item stands one
    like it of ``second``, those nearest its end first, moved so that it ends at ``length``.

    Parameters
    ----------
    first, second
        Layouts of the same problem.
    like
        From ``scaled.like_items``.
    area
        Of each item.
    length
        In units.
    random
        Draws the cut.
    """
    count = len(like)
    at, other_at = first.x[:count], second.x[:count] + (length - second.length)
    cuts = first.length * random.uniform(EARLIEST, LATEST, CUTS)
    cut = min(cuts, key=lambda c: _mismatch(at < c, other_at >= c, like, area))
    shape, x, y = first.shape.copy(), first.x.copy(), first.y.copy()
    for kind in range(like.max() + 1):
        rest = np.flatnonzero((like == kind) & (at >= cut))
        own = np.flatnonzero(like == kind)
        taken = own[np.argsort(-other_at[own], kind="stable")][: len(rest)]
        shape[rest], x[rest], y[rest] = second.shape[taken], other_at[taken], second.y[taken]
    return shape, x, y


def _mismatch(
    before: npt.NDArray[np.bool_], after: npt.NDArray[np.bool_], like: IntArray, area: FloatArray
) -> float:
    """Return the area of the pieces that two parts have too many or too few of."""
    times = before.astype(np.float64) + after - 1.0
    return float(np.abs(np.bincount(like, times * area)).sum())
