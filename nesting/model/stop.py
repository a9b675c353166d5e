"""When to stop solving: values only; what has been counted lives in the run."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stop:
    """Stop at whichever limit comes first; at least one must be given.

    Attributes
    ----------
    seconds
        Wall-clock time from entering ``solve``. Runs under a time limit are not repeatable.
    iterations
        Attempts to separate the pieces at a fixed length. The same seed and number of
        iterations gives the same layout on one worker.
    without_gain
        Attempts in a row that found nothing shorter.
    target
        A length to be content with.
    useful
        A length beyond which no layout is of use, such as that of the cloth there is; shorter
        ones are still sought.

    A proof that the length is least always stops the run, and so does one that ``target`` or
    ``useful`` is out of reach.
    """

    seconds: float | None = None
    iterations: int | None = None
    without_gain: int | None = None
    target: float | None = None
    useful: float | None = None

    def __post_init__(self) -> None:
        """Refuse limits that would never or at once stop the run."""
        given = (self.seconds, self.iterations, self.without_gain)
        if all(limit is None for limit in given):
            raise ValueError("give seconds, iterations or without_gain, or the run never ends")
        for limit in (*given, self.target, self.useful):
            if limit is not None and not limit > 0:
                raise ValueError(f"a limit must be positive, not {limit}")

    def out_of_reach(self, minimum: float) -> bool:
        """Tell whether layouts of at least this length are all too long, by more than rounding."""
        wanted = min((x for x in (self.target, self.useful) if x is not None), default=None)
        return wanted is not None and minimum > wanted * (1.0 + 1e-9)
