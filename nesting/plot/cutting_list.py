"""The cutting list as PDF pages: steps with boxes to tick, and label slips to cut out."""

from __future__ import annotations

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from ..model.cutting_list import SEW, CuttingList, CuttingStep, Slip
from .fit import extent
from .fonts import drawing_with, in_reading_order
from .paper import Paper
from .style import FAINT, INK

_POINT: Final = 72.0 / 25.4  # points to the millimetre
_MARGIN: Final = 15.0  # mm
_TITLE, _HEAD, _TEXT, _SMALL = 17.0, 12.5, 10.5, 8.8  # points
_LINE: Final = 1.32
_BOX: Final = 4.2  # mm, a box to tick
_SLIP: Final = (58.0, 40.0)  # mm, a label slip, at least so wide
_DASHES: Final = (0, (5.0, 3.0))


def cutting_list_pdf(lists: Sequence[CuttingList], paper: Paper, title: str = "") -> bytes:
    """Return cutting lists as a PDF, each lay beginning a page, its slips beginning another.

    Every page bears the cloth and its number. The same lists give the same file with the same
    version of matplotlib; without any list there is one page that says so.
    """
    buffer = io.BytesIO()
    with (
        drawing_with(_words(lists, title)),
        PdfPages(buffer, metadata={"CreationDate": None, "Title": title}) as pdf,
    ):
        sheets = [sheet for found in lists for sheet in _sheets(found, paper)]
        if not sheets:
            empty = _Sheets(paper, title)
            empty.words("Nothing is to be cut.", _TEXT)
            sheets = empty.done
        for number, figure in enumerate(sheets, start=1):
            figure.text(
                1 - _MARGIN / paper.width, 8.0 / paper.height, f"page {number} of {len(sheets)}",
                fontsize=_SMALL, color=FAINT, ha="right",
            )  # fmt: skip
            pdf.savefig(in_reading_order(figure))
    return buffer.getvalue()


def _words(lists: Sequence[CuttingList], title: str) -> Iterator[str]:
    """Yield the maker's own words on these lists."""
    yield title
    for found in lists:
        yield from (found.title, found.cloth, *found.counted)
        yield from (slip.piece for slip in found.slips)


@dataclass(slots=True)
class _Sheets:
    """Pages being filled from the top; ``down`` is how far, in millimetres."""

    paper: Paper
    name: str
    done: list[Figure] = field(default_factory=list)
    down: float = 0.0

    def __post_init__(self) -> None:
        self.turn()

    @property
    def room(self) -> float:
        """Width between the margins, mm."""
        return self.paper.width - 2 * _MARGIN

    def turn(self) -> None:
        """Begin a page."""
        figure = Figure(figsize=(self.paper.width / 25.4, self.paper.height / 25.4))
        self.done.append(figure)
        self.down = _MARGIN
        self.put(_MARGIN, 10.0, self.name, _SMALL, colour=FAINT)

    def keep(self, height: float) -> None:
        """Begin a page where so much no longer fits on this one."""
        if self.down + height > self.paper.height - _MARGIN:
            self.turn()

    def put(
        self, x: float, y: float, text: str, size: float, *, bold: bool = False, colour: str = INK
    ) -> None:
        """Write one line, its foot at y from the top, mm."""
        self.done[-1].text(
            x / self.paper.width, 1 - y / self.paper.height, text, fontsize=size, color=colour,
            fontweight="bold" if bold else "normal", ha="left", va="baseline", parse_math=False,
        )  # fmt: skip

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        weight: float = 0.9,
        dashed: bool = False,
    ) -> None:
        """Draw a rectangle from its upper left corner, mm."""
        wide, high = self.paper.width, self.paper.height
        self.done[-1].add_artist(
            Rectangle(
                (x / wide, 1 - (y + height) / high), width / wide, height / high, fc="none",
                ec=FAINT if dashed else INK, lw=weight, ls=_DASHES if dashed else "-",
                transform=self.done[-1].transFigure,
            )
        )  # fmt: skip

    def words(
        self, text: str, size: float, *, indent: float = 0.0, bold: bool = False, colour: str = INK
    ) -> None:
        """Write a paragraph and move down; nothing of it goes on another page."""
        # Bold letters are wider than those that are measured; a frame needs the indent twice.
        room = (0.86 if bold else 1.0) * (self.room - 2 * indent if bold else self.room - indent)
        lines = list(_wrapped(text, size, room))
        step = size * _LINE / _POINT
        self.keep(step * len(lines))
        for line in lines:
            self.down += step
            self.put(
                _MARGIN + indent, self.down - 0.25 * step, line, size, bold=bold, colour=colour
            )

    def tick(self, text: str, *, indent: float = 0.0) -> None:
        """Write a paragraph with a box to tick before it."""
        lines = len(list(_wrapped(text, _TEXT, self.room - indent - 8.0)))
        self.keep(lines * _TEXT * _LINE / _POINT)
        self.box(_MARGIN + indent, self.down + 0.6, _BOX, _BOX)
        self.words(text, _TEXT, indent=indent + 8.0)
        self.down += 1.2


def _sheets(found: CuttingList, paper: Paper) -> list[Figure]:
    sheets = _Sheets(paper, " · ".join(part for part in (found.title, found.cloth) if part))
    sheets.words(f"Cutting list: {found.cloth}", _TITLE, bold=True)
    _head(sheets, "Before you begin")
    for text in found.ready:
        sheets.tick(text)
    _stop(sheets, found)
    _head(sheets, "Cut, in this order")
    for step in found.steps:
        _step(sheets, step)
    if found.sew:
        _head(sheets, SEW)
        for text in found.sew:
            sheets.tick(text)
    _head(sheets, "Keep of the scraps")
    for text in found.keep:
        sheets.tick(text)
    sheets.turn()
    _head(sheets, "Label slips: cut out, and pin one to every piece, arrow to the top")
    _slips(sheets, found.slips)
    return sheets.done


def _head(sheets: _Sheets, text: str) -> None:
    sheets.keep(24.0)  # with the first lines that follow
    sheets.down += 4.0
    sheets.words(text, _HEAD, bold=True)
    sheets.down += 1.5


def _stop(sheets: _Sheets, found: CuttingList) -> None:
    """Write the stop and what is counted in a strong frame, on a page of its own if need be."""
    line = _TEXT * _LINE / _POINT + 1.2
    height = 22.0 + line * sum(
        len(list(_wrapped(text, _TEXT, sheets.room - 14.0))) for text in found.counted
    )
    sheets.down += 5.0
    sheets.keep(min(height, sheets.paper.height - 2 * _MARGIN - 10.0))
    page, top = len(sheets.done), sheets.down
    sheets.down += 2.5
    sheets.words(found.stop, _HEAD, indent=4.0, bold=True)
    sheets.down += 2.0
    for text in found.counted:
        sheets.tick(text, indent=4.0)
    if len(sheets.done) == page:
        sheets.box(_MARGIN, top, sheets.room, sheets.down - top + 1.0, weight=2.4)
    sheets.down += 3.0


def _step(sheets: _Sheets, step: CuttingStep) -> None:
    notes = [line for note in step.notes for line in _wrapped(note, _SMALL, sheets.room - 8.0)]
    text = f"{step.number}. {step.text if step.placement is None else f'Cut {step.text}'}"
    lines = len(list(_wrapped(text, _TEXT, 0.86 * (sheets.room - 16.0))))
    sheets.keep((lines * _TEXT + len(notes) * _SMALL) * _LINE / _POINT + 2.0)
    sheets.box(_MARGIN, sheets.down + 0.6, _BOX, _BOX)
    sheets.words(text, _TEXT, indent=8.0, bold=True)
    for note in step.notes:
        sheets.words(note, _SMALL, indent=8.0)
    sheets.down += 2.0


def _slips(sheets: _Sheets, slips: Sequence[Slip]) -> None:
    columns = max(1, int(sheets.room / _SLIP[0]))
    width, height = sheets.room / columns, _SLIP[1]
    for first in range(0, len(slips), columns):
        sheets.keep(height)
        for column, slip in enumerate(slips[first : first + columns]):
            _slip(sheets, slip, _MARGIN + column * width, width)
        sheets.down += height


def _slip(sheets: _Sheets, slip: Slip, x: float, width: float) -> None:
    top = sheets.down
    sheets.box(x, top, width, _SLIP[1], dashed=True)
    sheets.put(x + width - 13.0, top + 7.0, "↑ top", _SMALL, bold=True)
    y = top + 7.0
    for line in list(_wrapped(slip.piece, 12.0, 0.9 * (width - 20.0)))[:2]:
        sheets.put(x + 4.0, y, line, 12.0, bold=True)
        y += 5.4
    hand = ", ".join(part for part in (slip.hand.upper(), slip.which) if part)
    if hand:
        sheets.put(x + 4.0, y + 1.0, hand, 14.0, bold=True)
    lines = [*list(_wrapped(slip.cloth, _SMALL, width - 8.0))[:1]]
    lines += ["this face: right side of the cloth"]
    lines += [f"step {slip.step}, number {slip.plan_number} on the plan"]
    for back, line in enumerate(reversed(lines)):
        sheets.put(x + 4.0, top + _SLIP[1] - 3.5 - 4.3 * back, line, _SMALL)


def _wrapped(text: str, size: float, room: float) -> Iterator[str]:
    """Yield the lines of a text that is to be no wider than ``room`` millimetres."""
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and extent([longer], size)[0] > room * _POINT:
            yield line
            longer = word
        line = longer
    yield line
