"""What a train does to the length of a lay: cases compared, and lengths at other widths."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TrainCase:
    """The lay with the train cut in one way; ``length`` is None where that cannot be, and why."""

    what: str
    length: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class WidthLength:
    """The length a lay takes on cloth of one usable width, mm; None where it cannot be laid.

    ``whole`` with the train in one piece, ``pieced`` with joins where the plan allows them.
    """

    width: float
    whole: float | None
    pieced: float | None

    @property
    def least(self) -> float | None:
        """The shorter of the two."""
        return min((x for x in (self.whole, self.pieced) if x is not None), default=None)


@dataclass(frozen=True, slots=True)
class WidthStep:
    """Where the length falls: to ``after`` at the usable width ``width``, and why; mm.

    It jumps there where ``since`` is the width before it on the chart; else it has fallen little
    by little since that width.
    """

    since: float
    width: float
    before: float | None
    after: float
    why: str
    jumps: bool = True


@dataclass(frozen=True, slots=True)
class TrainStudy:
    """What the train of one cloth costs in length, and what would change it.

    Attributes
    ----------
    piece, cloth
        The train, and the cloth it is cut from.
    width
        That cloth's usable width, mm.
    without
        Length of the lay without the train; the rest is what the train forces.
    cases
        The train cut in several ways, all else the same.
    chart
        Lengths by usable width, widths rising; they never rise with the width, since what fits a
        narrow cloth fits a wide one.
    steps
        Where the length jumps.
    """

    piece: str
    cloth: str
    width: float
    without: float | None
    cases: tuple[TrainCase, ...]
    chart: tuple[WidthLength, ...]
    steps: tuple[WidthStep, ...]
