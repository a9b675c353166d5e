"""The cutting list as text, with tick boxes and label slips to cut out."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from ..model.cutting_list import SEW, CuttingList, CuttingStep, Slip
from ..model.layout import Layout
from ..model.plan import Plan
from ..model.reading_order import in_order
from .cutting_list import cutting_lists

_WIDTH = 88
_SLIP = 40  # letters inside a slip; two stand side by side


def cutting_list_text(layout: Layout, plan: Plan | None = None) -> str:
    """Return the cutting lists of all lays as one text, as :func:`lists_text` does.

    Parameters are those of :func:`nesting.report.cutting_list.cutting_lists`.
    """
    return lists_text(cutting_lists(layout, plan))


def lists_text(lists: Iterable[CuttingList]) -> str:
    """Return cutting lists as one text, lines of at most 88 letters.

    Ends in a line end; empty where there is no list.
    """
    return in_order("\n\n".join("\n".join(_one(found)) for found in lists))


def _one(found: CuttingList) -> Iterator[str]:
    heading = " · ".join(part for part in ("Cutting list", found.title, found.cloth) if part)
    yield from (heading, "=" * len(heading), "", "Before you begin")
    for text in found.ready:
        yield _box(text)
    yield from ("", "#" * _WIDTH)
    yield textwrap.fill(found.stop, _WIDTH)
    for text in found.counted:
        yield _box(text)
    yield from ("#" * _WIDTH, "", "Cut, in this order")
    for step in found.steps:
        yield from _step(step)
    if found.sew:
        yield from ("", SEW)
        for text in found.sew:
            yield _box(text)
    yield from ("", "Keep of the scraps")
    for text in found.keep:
        yield _box(text)
    yield from ("", "Label slips: cut out, and pin one to every piece before it leaves the table")
    for row in range(0, len(found.slips), 2):
        yield from _slips(found.slips[row : row + 2])
    yield ""


def _box(text: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent="[ ] ", subsequent_indent="    ")


def _step(step: CuttingStep) -> Iterator[str]:
    text = step.text if step.placement is None else f"Cut {step.text}"
    yield textwrap.fill(
        text, _WIDTH, initial_indent=f"[ ] {step.number:>3}. ", subsequent_indent=" " * 9
    )
    for note in step.notes:
        yield textwrap.fill(note, _WIDTH, initial_indent=" " * 9, subsequent_indent=" " * 9)


def _slips(pair: tuple[Slip, ...]) -> Iterator[str]:
    columns = [_slip(slip) for slip in pair]
    edge = "+" + "- " * (_SLIP // 2) + "-+"
    yield "  ".join([edge] * len(pair))
    height = max(map(len, columns))
    for n in range(height):
        cells = [column[n] if n < len(column) else "" for column in columns]
        yield "  ".join(f"| {cell:<{_SLIP - 1}} |" for cell in cells)
    yield "  ".join([edge] * len(pair))


def _slip(slip: Slip) -> list[str]:
    hand = " ".join(part for part in (slip.hand.upper(), slip.which) if part)
    name = textwrap.wrap(slip.piece, _SLIP - 6) or [""]
    lines = [f"{line:<{_SLIP - 6}}" + ("  ^" if n == 0 else "") for n, line in enumerate(name)]
    rest = [
        f"{hand or ' ':<{_SLIP - 6}} top",
        f"{slip.cloth}",
        "this face: right side of the cloth",
    ]
    rest.append(f"step {slip.step}, number {slip.plan_number} on the plan")
    return [*lines, *(line for text in rest for line in textwrap.wrap(text, _SLIP - 1) or [""])]
