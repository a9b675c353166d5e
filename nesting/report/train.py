"""The study of a train in plain words."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.train import TrainCase, TrainStudy, WidthStep
from ..units import length_text

_WORTH_TELLING = 1.0  # mm
_SURE = 15.0  # mm between two widths of which the wider is told as the place of a jump


def train_lines(study: TrainStudy, units: str) -> Iterator[str]:
    """Yield what a study of a train says, one sentence each, lengths in the maker's unit.

    First what the train forces, then every way of cutting it, then the widths at which the
    length falls.
    """
    yield from _forced(study, units)
    for case in study.cases:
        yield _case(case, units)
    for step in study.steps:
        yield _step(step, units)


def _forced(study: TrainStudy, units: str) -> Iterator[str]:
    whole = next((c.length for c in study.cases if c.length is not None), None)
    if study.without is None or whole is None:
        return
    forced = whole - study.without
    if forced > _WORTH_TELLING:
        yield (
            f"{study.piece} forces the length: without it {study.cloth} would take "
            f"{length_text(study.without, units)}, {length_text(forced, units)} less"
        )
    else:
        yield f"{study.piece} does not force the length: the other pieces take as much"


def _case(case: TrainCase, units: str) -> str:
    if case.length is None:
        return f"{case.what}: not possible, {case.reason}"
    return f"{case.what}: {length_text(case.length, units)}"


def _step(step: WidthStep, units: str) -> str:
    after, width = length_text(step.after, units), length_text(step.width, units)
    since = length_text(step.since, units)
    known = step.width - step.since <= _SURE
    if step.before is None:
        until = "" if known else f" (at {since} it cannot; between the two was not tried)"
        return f"from {width} of usable width on it can be cut{until}, in {after}: {step.why}"
    before = length_text(step.before, units)
    if step.jumps:
        at = f"at {width}" if known else f"between {since} and {width}"
        return f"{at} of usable width the length falls from {before} to {after}: {step.why}"
    return (
        f"from {since} to {width} of usable width it falls little by little, {before} to {after}: "
        f"{step.why}"
    )
