"""What a run of the engine found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from html import escape
from typing import Any, Literal

import numpy as np

from .problem import PlacementProblem, Position
from .strip_svg import StripShape, strip_svg

Status = Literal["found", "proven best"]
StopReason = Literal["time", "iterations", "no gain", "target", "proven", "interrupted"]


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """The best layout of a placement problem, and how it was reached.

    Attributes
    ----------
    layout
        One position per item, in the order of the problem's items. No two shapes overlap.
    length
        Greatest x of any placed shape, in the problem's unit.
    minimum
        No layout is shorter than this: proven.
    leftover
        Largest rectangle (x0, y0, x1, y1) of the strip up to ``length`` that no shape enters, in
        the problem's unit; None where there is no room for any. Among layouts of this length the
        engine looks for one that leaves much, and proves nothing of it.
    history
        (seconds, length) at each improvement, lengths falling.
    """

    problem: PlacementProblem
    layout: tuple[Position, ...]
    status: Status
    length: float
    minimum: float
    seed: int
    seconds: float
    iterations: int
    stop_reason: StopReason
    history: tuple[tuple[float, float], ...] = ()
    versions: Mapping[str, str] = field(default_factory=dict)
    leftover: tuple[float, float, float, float] | None = None

    @property
    def gap(self) -> float:
        """Share by which the length may still exceed the least possible one."""
        return max(0.0, self.length - self.minimum) / self.length

    @property
    def utilisation(self) -> float:
        """Share of the strip's length times width that the items cover."""
        area = sum(self.problem.shapes[p.shape].area for p in self.layout)
        return area / (self.length * self.problem.width)

    def summary(self) -> str:
        """Return the run on one line."""
        return (
            f"length {self.length:.3f} ({self.status}), {100 * self.utilisation:.2f} % used, "
            f"at least {self.minimum:.3f}, {self.iterations} attempts in {self.seconds:.1f} s, "
            f"stopped by {self.stop_reason}{self._left_over()}"
        )

    def _left_over(self) -> str:
        if self.leftover is None:
            return ""
        x0, y0, x1, y1 = self.leftover
        return f"; {x1 - x0:.3f} x {y1 - y0:.3f} left over from {x0:.3f} along, {y0:.3f} across"

    def to_dict(self) -> dict[str, Any]:
        """Return the run as plain data, ready for JSON."""
        return {
            "status": self.status,
            "length": self.length,
            "minimum": self.minimum,
            "gap": self.gap,
            "utilisation": self.utilisation,
            "seed": self.seed,
            "seconds": self.seconds,
            "iterations": self.iterations,
            "stop_reason": self.stop_reason,
            "versions": dict(self.versions),
            "history": [list(step) for step in self.history],
            "leftover": None if self.leftover is None else list(self.leftover),
            "layout": [
                {"item": item.name, "shape": p.shape, "x": p.x, "y": p.y}
                for item, p in zip(self.problem.items, self.layout, strict=True)
            ],
        }

    def _repr_svg_(self) -> str:
        """Draw the strip for a notebook."""
        placed = zip(self.problem.items, self.layout, strict=True)
        return strip_svg(
            self.length,
            self.problem.width,
            (self._drawn(item.name, position) for item, position in placed),
        )

    def _drawn(self, name: str, position: Position) -> StripShape:
        shape = self.problem.shapes[position.shape]
        at = np.array([position.x, position.y])
        return StripShape([ring + at for ring in (shape.outer, *shape.holes)], name)

    def _repr_html_(self) -> str:
        """Show the summary above the drawing in a notebook."""
        return f"<p>{escape(self.summary())}</p>{self._repr_svg_()}"
