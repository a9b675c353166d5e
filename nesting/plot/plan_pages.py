"""The cutting plan as PDF: a lay reduced to a stated scale, with every measure she needs.

One cloth to a page, or split over rows and pages that overlap.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from ..model.facing import side_up
from ..model.layout import Lay
from ..units import length_text, tape_unit
from .cloth import shown_length
from .drawing import draw_marker
from .fit import extent
from .fonts import drawing_with, in_reading_order, words_on
from .join_marks import JOIN_SIGN, Join
from .paper import Paper
from .plan_scale import Reduction, Room, reduction
from .plan_table import HEAD, LINE, TableRow, draw_table, table_rows
from .sheet import legend_of
from .sheet_marks import page_axes
from .style import FAINT, INK, KEY_SIZE, SMALL
from .turned_over import turned_over

_EDGE = 10.0  # mm of paper left white all round
_LEFT, _RIGHT = 13.0, 15.0  # mm beside a row for its ruler and the names of the selvages
_TITLE, _ABOVE, _BELOW = 15.0, 9.0, 12.0  # mm of a page's title; above and below each row
_FOOT, _SIGNS = 9.0, 3.0  # mm at the foot, at least; from line to line of the signs there
_LOSS = 1.35  # how much smaller a plan may be drawn to have its table on the same page
_OVERLAP = {"cm": 100.0, "in": 101.6}  # mm of cloth that neighbouring rows show alike
_BAR = {"cm": (50.0, "5 cm"), "in": (50.8, "2 in")}


@dataclass(frozen=True, slots=True, eq=False)
class CuttingPlan:
    """One lay to be drawn as a cutting plan.

    ``steps`` tell by the index of each placement which step of the cutting list cuts it;
    ``title`` names the garment; ``times`` is how many times smaller, None to fit one page;
    ``wrong_side`` shows it with the wrong side of the cloth up; ``joins`` are those of pieced
    pieces, by the index of the placement.
    """

    lay: Lay
    title: str
    units: str
    steps: Mapping[int, int]
    times: float | None = None
    wrong_side: bool = False
    joins: Mapping[int, Sequence[Join]] = field(default_factory=dict)


def plan_pdf(plans: Sequence[CuttingPlan], paper: Paper, title: str) -> bytes:
    """Return a PDF of cutting plans, each lay on pages of its own, the table after the drawing.

    Raises
    ------
    InputError
        If a cloth is too wide for the paper at the scale asked for.
    """
    buffer = io.BytesIO()
    metadata = {"CreationDate": None, "Title": title}
    words = words_on([plan.lay for plan in plans], title, *(plan.title for plan in plans))
    with drawing_with(words), PdfPages(buffer, metadata=metadata) as pdf:
        for plan in plans:
            for figure in _figures(plan, paper):
                pdf.savefig(in_reading_order(figure))
    return buffer.getvalue()


def _figures(plan: CuttingPlan, paper: Paper) -> list[Figure]:
    lay = turned_over(plan.lay) if plan.wrong_side else plan.lay
    signs = _signs(lay, paper, plan)
    foot = max(_FOOT, _SIGNS * len(signs))
    room = Room(
        along=paper.width - 2 * _EDGE - _LEFT - _RIGHT,
        up=paper.height - 2 * _EDGE - _TITLE - foot,
        row=_ABOVE + _BELOW,
        overlap=_OVERLAP[tape_unit(plan.units)],
    )
    rows = table_rows(lay, plan.units, plan.steps, wrong_side=plan.wrong_side)
    reduced = _reduced(lay, plan.times, room, HEAD + LINE * len(rows))
    drawn = [_Page(plan, lay, paper, reduced, windows, signs) for windows in reduced.pages()]
    last = drawn[-1]
    if last.free() >= HEAD + LINE * len(rows):
        last.table = rows
        tables = []
    else:
        fit = int((room.up + foot - HEAD) / LINE)
        tables = [rows[k : k + fit] for k in range(0, len(rows), fit)]
    count = len(drawn) + len(tables)
    figures = [page.figure(f"page {n} of {count}") for n, page in enumerate(drawn, start=1)]
    for n, part in enumerate(tables, start=len(drawn) + 1):
        figures.append(_table_page(plan, paper, reduced, part, f"page {n} of {count}"))
    return figures


def _reduced(lay: Lay, times: float | None, room: Room, table: float) -> Reduction:
    """Return how a lay is reduced; if fitted, with its table on the page where little is lost."""
    length, width = shown_length(lay), lay.cloth_width
    found = reduction(length, width, room, times)
    left = room.up - table
    if times is not None or left <= room.row:
        return found
    beside = reduction(length, width, replace(room, up=left), None)
    return beside if beside.times <= _LOSS * found.times else found


@dataclass(slots=True)
class _Page:
    """One page: rows of cloth, and the table where there is room."""

    plan: CuttingPlan
    lay: Lay
    paper: Paper
    reduced: Reduction
    windows: tuple[tuple[float, float], ...]
    signs: tuple[str, ...]
    table: tuple[TableRow, ...] = ()

    @property
    def row_height(self) -> float:
        """Millimetres of paper from row to row."""
        return self.lay.cloth_width / self.reduced.times + _ABOVE + _BELOW

    def free(self) -> float:
        """Millimetres left below the rows."""
        foot = max(_FOOT, _SIGNS * len(self.signs))
        used = _TITLE + len(self.windows) * self.row_height + foot
        return self.paper.height - 2 * _EDGE - used

    def figure(self, which: str) -> Figure:
        """Return the page drawn."""
        figure, axes = page_axes(self.paper)
        figure.patch.set_alpha(1.0)
        _head(axes, self.plan, self.paper, self.reduced, which)
        top = self.paper.height - _EDGE - _TITLE
        key: dict[int, str] = {}
        for window in self.windows:
            key |= self._row(figure, window, top)
            top -= self.row_height
        if self.table:
            width = self.paper.width - 2 * _EDGE
            draw_table(axes, self.table, self.plan.units, _EDGE, top, width)
        _foot(axes, self.signs, self.paper, self.plan.units)
        return figure

    def _row(self, figure: Figure, window: tuple[float, float], top: float) -> dict[int, str]:
        paper, times = self.paper, self.reduced.times
        width = (window[1] - window[0]) / times
        height = self.lay.cloth_width / times
        foot = top - _ABOVE - height
        place = (
            (_EDGE + _LEFT) / paper.width, foot / paper.height, width / paper.width,
            height / paper.height,
        )  # fmt: skip
        return dict(
            draw_marker(
                self.lay, figure.add_axes(place), units=self.plan.units, window=window,
                steps=self.plan.steps, joins=self.plan.joins, wrong_side=self.plan.wrong_side,
            )
        )  # fmt: skip


def _table_page(
    plan: CuttingPlan, paper: Paper, reduced: Reduction, rows: Sequence[TableRow], which: str
) -> Figure:
    figure, axes = page_axes(paper)
    _head(axes, plan, paper, reduced, which)
    top = paper.height - _EDGE - _TITLE
    draw_table(axes, rows, plan.units, _EDGE, top, paper.width - 2 * _EDGE)
    return figure


def _head(axes: Axes, plan: CuttingPlan, paper: Paper, reduced: Reduction, which: str) -> None:
    """Write whose plan this is, how it is seen and at which scale."""
    lay, units = plan.lay, plan.units
    name = lay.cloth if lay.panel is None else f"{lay.cloth}, {lay.panel_name or lay.panel}"
    top = paper.height - _EDGE
    axes.text(_EDGE, top, name, fontsize=12.0, va="top", parse_math=False)
    parts = [
        f"scale {reduced.told}",
        side_up(lay, wrong_side=plan.wrong_side),
        f"lay {length_text(lay.length, units)}",
        f"usable width {length_text(lay.usable_width, units)}",
        f"{len(lay.placements)} to cut",
    ]
    axes.text(_EDGE, top - 6.5, "  \N{MIDDLE DOT}  ".join(parts), fontsize=SMALL + 0.5, va="top")
    right = paper.width - _EDGE
    axes.text(right, top, plan.title, fontsize=KEY_SIZE, va="top", ha="right", parse_math=False)
    axes.text(right, top - 6.5, which, fontsize=SMALL + 0.5, va="top", ha="right", color=FAINT)


def _foot(axes: Axes, signs: Sequence[str], paper: Paper, units: str) -> None:
    """Explain the signs, line by line, and draw a bar that proves the print."""
    length, told = _BAR[tape_unit(units)]
    right, y = paper.width - _EDGE, _EDGE + 4.0
    axes.plot([right - length, right], [y, y], color=INK, lw=0.8)
    for x in (right - length, right):
        axes.plot([x, x], [y - 1.0, y + 1.0], color=INK, lw=0.8)
    axes.text(
        right - length / 2, y - 1.2, f"{told} on paper, if printed at 100 %", fontsize=SMALL - 0.5,
        va="top", ha="center", color=FAINT,
    )  # fmt: skip
    top = _EDGE + max(_SIGNS * len(signs), 2 * _SIGNS) + 0.4
    for n, line in enumerate(signs):
        axes.text(_EDGE, top - _SIGNS * n, line, fontsize=SMALL - 0.5, va="top", color=FAINT)


def _signs(lay: Lay, paper: Paper, plan: CuttingPlan) -> tuple[str, ...]:
    """Return what the signs of a plan mean, in lines that leave room for the bar beside them."""
    units = plan.units
    signs = [
        f"figures at an arrow: {tape_unit(units)} from the near selvage to that end of the grain",
        "in a circle or in brackets: step of the cutting list, the order of cutting",
        *([JOIN_SIGN] if plan.joins else []),
        *legend_of([lay]).split("    "),
    ]
    room = (paper.width - 2 * _EDGE - _BAR[tape_unit(units)][0] - 6.0) * 72 / 25.4
    lines: list[str] = [""]
    for sign in signs:
        longer = f"{lines[-1]}    {sign}" if lines[-1] else sign
        if extent([longer], SMALL - 0.5)[0] > room and lines[-1]:
            lines.append(sign)
        else:
            lines[-1] = longer
    return tuple(lines)
