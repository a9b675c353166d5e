"""The report page: one HTML file with everything in it, to read, to tap and to print."""

from __future__ import annotations

import base64
import hashlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from ..model.cutting_list import SEW, CuttingList
from ..model.layout import Lay, Layout
from ..model.plan import Plan
from ..units import metres_text, tape_unit, yards_text
from .breadths import breadth_lines
from .cautions import cautions
from .cost import COLUMNS, FIGURES, cost_rows, layout_sheets
from .cutting_list import cutting_lists
from .cutting_order import cutting_order, lies_double
from .cutting_words import (
    face_words,
    grain_words,
    lay_title,
    measured_from,
    place_words,
    placement_title,
    size_words,
    top_words,
)
from .html import asset, style, template
from .page_drawing import LayDrawing, lay_drawing
from .page_joins import joined_pieces
from .summary import lay_facts
from .train import train_lines


@dataclass(frozen=True, slots=True)
class PageTable:
    """A table of words for the page, such as a comparison of cloths or a cost sheet.

    Every row has as many cells as there are columns; ``note`` stands under the table. ``right``
    names columns of figures, ``sum_last`` says that the last row is a sum, and ``head`` is the
    column that names a row. Nothing in it is taken for HTML.
    """

    heading: str
    columns: Sequence[str]
    rows: Sequence[Sequence[str]]
    note: str = ""
    right: Sequence[str] = ()
    sum_last: bool = False
    head: int = 0


@dataclass(frozen=True, slots=True)
class _Facts:
    """What a tap on a piece shows."""

    id: str
    title: str
    facts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Section:
    """Everything the page tells of one lay; ``drawing`` and ``cutting`` need pieces laid."""

    id: str
    title: str
    facts: tuple[tuple[str, str], ...]
    drawing: LayDrawing | None
    pieces: tuple[_Facts, ...]
    cutting: CuttingList | None


@dataclass(frozen=True, slots=True)
class _Train:
    """What the page tells of a train: sentences, and a chart as SVG in base64, or ""."""

    piece: str
    told: tuple[str, ...]
    chart: str


def report_page(
    layout: Layout,
    *,
    plan: Plan | None = None,
    tables: Sequence[PageTable] = (),
    charts: Sequence[bytes] = (),
) -> str:
    """Return the report of a layout as one HTML file that needs nothing else.

    It holds the yardage, the cost sheet of cloths and trims where the plan has prices, each lay
    as a drawing whose pieces can be tapped or reached by keyboard, how pieced pieces go together,
    the studies of trains, the tables given, the cautions that apply, and a cutting list with
    slips for every lay. No word of the maker's is ever taken
    for HTML; the page loads nothing and sends nothing, and says so to the browser. Without
    scripting all of it can still be read.

    Parameters
    ----------
    layout
        Checked; told in its own units.
    plan
        Adds what the layout does not carry: cloth owned, prices of trims, currency, and cautions
        on the cloth.
    tables
        Shown after the lays, in this order.
    charts
        SVG files, one for each of ``layout.trains``; shown with what the study says.

    Raises
    ------
    ValueError
        If a row of a table has not as many cells as the table has columns.
    """
    for table in tables:
        if any(len(row) != len(table.columns) for row in table.rows):
            raise ValueError(f"table {table.heading!r}: a row has not {len(table.columns)} cells")
    script = asset("page.js")
    return template("page.html").render(
        title=layout.title,
        sections=list(_sections(layout, plan)),
        overview=list(_overview(layout, plan)),
        total=_total(layout, plan),
        remarks=(*([] if plan is None else breadth_lines(plan)), *layout.remarks),
        joined=list(joined_pieces(layout, plan)),
        sew_heading=SEW,
        trains=list(_trains(layout, charts)),
        warnings=layout.warnings,
        cautions=list(cautions(layout, layout.units, plan)),
        costs=[] if plan is None else _cost_sheets(plan, layout),
        tables=tables,
        run=layout.solver,
        unit_of_tape={"in": "inches", "cm": "centimetres"}[tape_unit(layout.units)],
        style=style(),
        script=Markup(script),  # noqa: S704 - a file of this package, nothing read in
        script_hash=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        fingerprint=_fingerprint(layout),
    )


def _sections(layout: Layout, plan: Plan | None) -> Iterator[_Section]:
    """Yield every lay in its order; those with nothing to cut have no cutting list."""
    lists = iter(cutting_lists(layout, plan))
    for number, lay in enumerate(layout.lays, start=1):
        cutting = next(lists) if lay.placements else None
        yield _section(lay, number, layout.units, plan, cutting)


def _section(
    lay: Lay, number: int, units: str, plan: Plan | None, cutting: CuttingList | None
) -> _Section:
    cloths = {} if plan is None else {cloth.name: cloth for cloth in plan.cloths}
    prefix = f"lay{number}"
    return _Section(
        id=prefix,
        title=lay_title(lay),
        facts=tuple(lay_facts(lay, units, cloths.get(lay.cloth))),
        drawing=lay_drawing(lay, units, prefix) if lay.placements else None,
        pieces=tuple(_pieces(lay, units, prefix)),
        cutting=cutting,
    )


def _pieces(lay: Lay, units: str, prefix: str) -> Iterator[_Facts]:
    """Yield the facts of every piece, in the order of their numbers on the plan."""
    turn = {index: place for place, index in enumerate(cutting_order(lay), start=1)}
    for index, placement in enumerate(lay.placements):
        along, across = measured_from(lay, double=lies_double(placement))
        size = placement.outline.max(axis=0) - placement.outline.min(axis=0)
        facts = [
            ("Lies", place_words(placement, units)),
            ("Size", f"{size_words(size[0], size[1], units)}, along by across"),
            ("Top", top_words(placement)),
            ("Grain line", f"{grain_words(placement, units)}, from {across}"),
            ("Pattern", face_words(placement).removeprefix("pattern ")),
            ("Cut", f"{_nth(turn[index])} of {len(turn)}"),
        ]
        if (along, across) != ("the squared end", "the near selvage"):
            facts.insert(1, ("Measured", f"along from {along}, across from {across}"))
        if placement.on_fold:
            facts.append(("Fold", "one edge lies on the fold and is not cut"))
        elif placement.layers > 1:
            facts.append(("Layers", f"{placement.layers}, cut together"))
        number = index + 1
        yield _Facts(f"{prefix}-{number}", f"{number}. {placement_title(placement)}", tuple(facts))


def _trains(layout: Layout, charts: Sequence[bytes]) -> Iterator[_Train]:
    for number, study in enumerate(layout.trains):
        chart = base64.b64encode(charts[number]).decode("ascii") if number < len(charts) else ""
        yield _Train(study.piece, tuple(train_lines(study, layout.units)), chart)


def _nth(number: int) -> str:
    ending = "th" if number % 100 in {11, 12, 13} else {1: "st", 2: "nd", 3: "rd"}.get(number % 10)
    return f"{number}{ending or 'th'}"


def _overview(layout: Layout, plan: Plan | None) -> Iterator[tuple[str, str, str, str]]:
    """Yield cloth, yards, metres and cost of every lay that needs cloth."""
    cloths = () if plan is None else plan.cloths
    owned = {c.name for c in cloths if c.length is not None or c.panels}
    for lay in layout.lays:
        if not lay.placements:
            yield lay_title(lay), "", "", "does not fit"
            continue
        cost = _money(lay.buy.cost, plan)
        if lay.status == "does not fit":
            cost = "does not fit"
        elif lay.cloth in owned:
            cost = "owned"
        yield lay_title(lay), yards_text(lay.buy.length), metres_text(lay.buy.length), cost


def _cost_sheets(plan: Plan, layout: Layout) -> list[PageTable]:
    """Return the cost sheet as a table; one for each currency where there are several."""
    sheets = layout_sheets(plan, layout)
    return [
        PageTable(
            f"Cost sheet, {sheet.currency}" if len(sheets) > 1 else "Cost sheet",
            COLUMNS,
            cost_rows(sheet),
            "; ".join(text for line in sheet.lines for text in line.remarks),
            FIGURES,
            sum_last=True,
            head=COLUMNS.index("what"),
        )
        for sheet in sheets
    ]


def _money(cost: float | None, plan: Plan | None) -> str:
    currency = "" if plan is None else plan.currency
    return "?" if cost is None else f"{cost:.2f} {currency}".rstrip()


def _total(layout: Layout, plan: Plan | None) -> str:
    """Return what all cloths cost together; empty where that is not known or there is but one."""
    costs = [lay.buy.cost for lay in layout.lays if lay.placements]
    known = [cost for cost in costs if cost is not None]
    if len(costs) < 2 or len(known) < len(costs):
        return ""
    return _money(math.fsum(known), plan)


def _fingerprint(layout: Layout) -> str:
    """Return letters that tell this layout from others, under which ticks are kept."""
    parts = [layout.title, *(f"{lay.cloth} {lay.length:.3f}" for lay in layout.lays)]
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:16]
