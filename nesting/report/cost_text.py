"""The cost sheet as plain text: what each cloth and trim comes to, and the total."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from .cost import CostLine, CostSheet
from .money import amount_text

_BETWEEN = "   "
_LEAST_NAME = 24  # characters kept for what is bought, however long the rest is


def cost_text(sheet: CostSheet, width: int) -> str:
    """Return a cost sheet as lines of text, the total last.

    A line holds what it is, what to buy, the price and the cost; under a trim stands how its
    length came about. What had to be assumed follows the total.

    Parameters
    ----------
    sheet
        As :func:`nesting.report.cost.layout_sheets` makes it.
    width
        Greatest number of characters on a line, as far as names and figures allow.
    """
    rows = [(line.buy, line.price, amount_text(line.cost)) for line in sheet.lines]
    total = amount_text(sheet.total, sheet.currency)
    spans = [max(len(row[k]) for row in rows) for k in range(3)]
    spans[2] = max(spans[2], len(total))
    room = max(_LEAST_NAME, width - sum(spans) - 3 * len(_BETWEEN))
    lines: list[str] = []
    for line, (buy, price, cost) in zip(sheet.lines, rows, strict=True):
        figures = (f"{buy:<{spans[0]}}", f"{price:>{spans[1]}}", f"{cost:>{spans[2]}}")
        name, *rest = textwrap.wrap(line.what, room) or [""]
        lines.append(_BETWEEN.join((f"{name:<{room}}", *figures)))
        lines += [f"  {more}" for more in rest]
        lines += _worked_out(line, width)
    lines.append(f"{'Total':<{room + sum(spans) + 3 * len(_BETWEEN) - len(total)}}{total}")
    if sheet.unknown:
        without = f"without {', '.join(sheet.unknown)}, of unknown price"
        lines += textwrap.wrap(without, width, initial_indent="  ", subsequent_indent="  ")
    return "\n".join(lines)


def _worked_out(line: CostLine, width: int) -> Iterator[str]:
    """Yield how much of a trim it takes, and what was assumed; a cloth's lay has told that."""
    said = [line.working] if line.part == "trim" and line.working != f"{line.buy} pieces" else []
    for text in (*said, *line.remarks):
        yield from textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  ")
