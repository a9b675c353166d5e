"""Values of a plan file, judged one by one: every fault names file, item, value and remedy."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from pathlib import Path

from ..errors import InputError, NotBuiltError
from ..units import length_text, parse_length


@dataclass(frozen=True, slots=True)
class Item:
    """A cloth or piece of a plan file: where a value stands, and the unit of bare numbers."""

    file: Path
    name: str
    unit: str

    def wrong(self, problem: str, remedy: str) -> InputError:
        """Return the error for a wrong value of this item."""
        return InputError(problem, remedy=remedy, file=self.file, item=self.name)

    def not_built(self, feature: str, remedy: str) -> NotBuiltError:
        """Return the error for something asked for that this version does not do."""
        return NotBuiltError(
            f"{feature} is not built yet", remedy=remedy, file=self.file, item=self.name
        )

    def length(
        self,
        key: str,
        value: float | str,
        *,
        low: float = 0.0,
        high: float,
        above: bool = False,
    ) -> float:
        """Return a length in millimetres that makes sense.

        ``low`` and ``high`` are the bounds, in millimetres; with ``above`` the value must exceed
        ``low``, not only reach it.
        """
        try:
            found = parse_length(value, self.unit)
        except InputError as error:
            raise self.wrong(f"{key}: {error.problem}", error.remedy) from None
        if not low <= found <= high or (above and found == low):
            least = "more than 0" if above and low == 0 else length_text(low, self.unit)
            raise self.wrong(
                f"{key} = {_as_written(value, self.unit)} makes no sense",
                f"write a length from {least} to {length_text(high, self.unit)}",
            )
        return found

    def number(self, key: str, value: float, *, low: float, below: float, what: str) -> float:
        """Return a number with low <= value < below."""
        if not (isfinite(value) and low <= value < below):
            raise self.wrong(f"{key} = {value:g} makes no sense", what)
        return float(value)


def _as_written(value: float | str, unit: str) -> str:
    return repr(value) if isinstance(value, str) else f"{value:g} {unit}"
