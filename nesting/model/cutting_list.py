"""A cutting list: what to make sure of, what to cut in which order, what to label and keep."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

SEW: Final = "Sew the parts of pieced pieces together, press, and check them on the whole pattern"
"""Heading of what is joined once everything is cut."""

StepKind = Literal["fold", "open", "cut"]


@dataclass(frozen=True, slots=True)
class CuttingStep:
    """One step at the table.

    ``number`` counts the steps from 1. ``text`` says what to do in a few words, ``notes`` where
    and how. ``placement`` is the index of the placement in its lay where one is cut, else None.
    """

    number: int
    kind: StepKind
    text: str
    notes: tuple[str, ...] = ()
    placement: int | None = None


@dataclass(frozen=True, slots=True)
class Slip:
    """A label to cut out and pin to one cut piece.

    ``hand`` is right, left, whole or empty; ``which`` tells copies apart ("2 of 4") and is empty
    where there is one; ``plan_number`` is the placement's number on the plan, from 1, and
    ``step`` that of the step that cuts it.
    """

    piece: str
    hand: str
    which: str
    cloth: str
    plan_number: int
    step: int


@dataclass(frozen=True, slots=True)
class CuttingList:
    """All steps of one lay.

    ``ready`` and ``counted`` are to be ticked off before the first cut, ``stop`` between them and
    it; ``keep`` says what to keep of the scraps, ``sew`` which parts of pieced pieces to join.
    Every cut piece has one slip.
    """

    title: str
    cloth: str
    ready: tuple[str, ...]
    stop: str
    counted: tuple[str, ...]
    steps: tuple[CuttingStep, ...]
    keep: tuple[str, ...]
    slips: tuple[Slip, ...]
    sew: tuple[str, ...] = ()
