"""All that a comparison has to say: tables in words, one JSON document, CSV files."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from typing import Any, Final

from ..model.comparison import Comparison
from ..model.plan import Plan
from ..model.resume import fingerprint
from . import compare as rows_in_words
from .alternatives import (
    Alternatives,
    alternatives,
    alternatives_to_dict,
    budget_text,
    sheet_of,
    total_columns,
    total_rows,
)
from .cost import COLUMNS as COST_COLUMNS
from .cost import CostSheet, cost_rows, sheet_to_dict
from .csv_cells import plain_cell
from .page import PageTable
from .rules_of_thumb import COLUMNS as RULE_COLUMNS
from .rules_of_thumb import RuleOfThumb, rule_rows, rule_to_dict, rules_of_thumb, sources_text

SCHEMA: Final = "yardage-comparison/1"
_MOST_TOTALS = 20  # whole-dress totals shown in words; the files list more

_TO_BUY = "what to buy"
_WHOLE_DRESS = "The whole dress"

WHAT_IF_REMARK: Final = (
    "The last two columns come from searches as short as the candidate's own: small differences "
    "may be luck."
)
OFF_THE_CHART: Final = "The chart does not reach to the other widths and lengths."
RULES_REMARK: Final = (
    "Rules of thumb know nothing of the pieces; they are shown only to be compared."
)


@dataclass(frozen=True, slots=True)
class Table:
    """A table in words: its heading, columns, rows, and what is said under it.

    ``right`` names the columns of figures, which are set to the right; ``sum_last`` says that the
    last row is a sum, and ``head`` is the column that names a row.
    """

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[str, ...] = ()
    remark: str = ""
    sum_last: bool = False
    head: int = 0


@dataclass(frozen=True, slots=True)
class ComparisonReport:
    """A comparison with its whole-dress totals, the cost sheet of the proposal, and the rules.

    ``sheet`` is that of the best choice under the budget, else of the cheapest; None where no
    whole dress can be had. ``plan`` is the fingerprint of the plan compared.
    """

    comparison: Comparison
    alternatives: Alternatives
    sheet: CostSheet | None
    rules: Mapping[str, tuple[RuleOfThumb, ...]]
    plan: str


def comparison_report(
    plan: Plan, comparison: Comparison, budget: float | None = None
) -> ComparisonReport:
    """Return everything a comparison has to say; the budget is the plan's unless one is given.

    Raises
    ------
    InputError
        If two currencies would stand in one total.
    """
    found = alternatives(plan, comparison, plan.budget if budget is None else budget)
    sheet = None if found.proposed is None else sheet_of(plan, found.proposed)
    rules = {layer: rules_of_thumb(comparison, layer) for layer in comparison.layers}
    return ComparisonReport(comparison, found, sheet, rules, fingerprint(plan))


def report_tables(report: ComparisonReport) -> list[Table]:
    """Return all tables in words, in reading order; columns in which nothing is told are left out.

    For each layer what to buy, how good that is, and the rules of thumb; then the whole dress,
    and the cost sheet.
    """
    comparison, found = report.comparison, report.alternatives
    tables: list[Table] = []
    for layer in comparison.layers:
        buying = rows_in_words.buying_rows(comparison, layer)
        judging = rows_in_words.judging_rows(comparison, layer)
        tables.append(_table(f"{layer}: {_TO_BUY}", rows_in_words.BUYING_COLUMNS, buying))
        tables.append(
            _table(
                f"{layer}: how good that is",
                rows_in_words.JUDGING_COLUMNS,
                judging,
                WHAT_IF_REMARK,
            )
        )
        told = tuple(rule for rule in report.rules[layer] if rule.says is not None)
        rules = rule_rows(told or report.rules[layer], comparison.units)
        said = f"{RULES_REMARK} {sources_text(report.rules[layer])}"
        if told and len(told) < len(report.rules[layer]):
            said = f"{OFF_THE_CHART} {said}"
        tables.append(_table(f"{layer}: rules of thumb", RULE_COLUMNS, rules, said))
    totals = total_rows(found, _MOST_TOTALS)
    more = len(found.combinations) + found.left_out - len(totals)
    ends = [budget_text(found), f"{more} dearer ones are not shown." if more else ""]
    remark = " ".join(text for text in ends if text)
    tables.append(_table(_WHOLE_DRESS, total_columns(found), totals, remark))
    if report.sheet is not None:
        remarks = [text for line in report.sheet.lines for text in line.remarks]
        chosen = "best under the budget" if found.chosen is not None else "cheapest choice"
        heading = f"Cost sheet of the {chosen}"
        sheet = _table(heading, COST_COLUMNS, cost_rows(report.sheet), "; ".join(remarks))
        tables.append(replace(sheet, sum_last=True, head=COST_COLUMNS.index("what")))
    return [table for table in tables if table.rows or table.heading == _WHOLE_DRESS]


def _for_report_page(report: ComparisonReport) -> list[PageTable]:
    """Return what the report page of a layout tells of a comparison, the whole dress first."""
    tables = [table for table in report_tables(report) if table.rows]
    whole = [table for table in tables if table.heading == _WHOLE_DRESS]
    buying = [table for table in tables if table.heading.endswith(_TO_BUY)]
    return [
        PageTable(f"Compared: {table.heading[0].lower()}{table.heading[1:]}", table.columns,
                  table.rows, table.remark, table.right, table.sum_last, table.head)
        for table in (*whole, *buying)
    ]  # fmt: skip


def report_to_dict(report: ComparisonReport) -> dict[str, Any]:
    """Return the report as plain data, ready for JSON: millimetres, money as text."""
    comparison = report.comparison
    return {
        "schema": SCHEMA,
        "title": comparison.title,
        "plan": report.plan,
        "units": "mm",
        "read_back_in": comparison.units,
        "layers": list(comparison.layers),
        "rows": [rows_in_words.row_to_dict(row) for row in comparison.rows],
        "unfinished": list(comparison.unfinished),
        "whole_dress": alternatives_to_dict(report.alternatives),
        "budget_says": budget_text(report.alternatives),
        "cost_sheet": None if report.sheet is None else sheet_to_dict(report.sheet),
        "rules_of_thumb": [
            {"layer": layer, **rule_to_dict(rule)}
            for layer, rules in report.rules.items()
            for rule in rules
        ],
        "report_page": [asdict(table) for table in _for_report_page(report)],
        "solver": {
            "seconds": comparison.seconds,
            "seed": comparison.seed,
            "version": comparison.version,
        },
    }


def report_csv(report: ComparisonReport) -> dict[str, str]:
    """Return the CSV files by name: ``candidates``, ``whole-dress``, ``cost-sheet``, ``rules``.

    Lengths are in millimetres, as their columns say; money has two decimals.
    """
    data = report_to_dict(report)
    whole = data["whole_dress"]
    totals = [
        {**{f"{layer}": cloth for layer, cloth in one["cloths"].items()},
         **{f"{layer} width mm": one["widths"][layer] for layer in one["widths"]},
         "trims": whole["trims"], "total": one["total"], "currency": whole["currency"]}
        for one in whole["combinations"]
    ]  # fmt: skip
    sheet = data["cost_sheet"] or {"lines": [], "total": "", "currency": ""}
    lines = [
        {**line, "currency": sheet["currency"], "remarks": "; ".join(line["remarks"])}
        for line in sheet["lines"]
    ]
    if lines:
        lines.append({"for": "", "what": "total", "cost": sheet["total"],
                      "currency": sheet["currency"]})  # fmt: skip
    return {
        "candidates": _csv(_flat(row) for row in data["rows"]),
        "whole-dress": _csv(totals),
        "cost-sheet": _csv(lines),
        "rules": _csv(
            _in_mm(rule, ("width", "computed", "says")) for rule in data["rules_of_thumb"]
        ),
    }


def _table(
    heading: str, columns: Sequence[str], rows: Sequence[tuple[str, ...]], remark: str = ""
) -> Table:
    """Return a table without the columns in which no row has anything to tell."""
    kept = [
        k
        for k, name in enumerate(columns)
        if name in _ALWAYS or any(row[k] not in _NOTHING for row in rows)
    ]
    return Table(
        heading,
        tuple(columns[k] for k in kept),
        tuple(tuple(row[k] for k in kept) for row in rows),
        tuple(columns[k] for k in kept if columns[k] in _FIGURES),
        remark,
    )


_NOTHING: Final = frozenset({"", "-", "0", "0.0 cm", "0 in", "0.0 mm", "0.000 m"})
_ALWAYS: Final = frozenset({"cloth", "width", "lay", "buy", "cost", "joins"})
_FIGURES: Final = frozenset({
    "width", "usable", "lay", "end trim", "shrinkage", "motif start", "price", "cost", "joins",
    "whole dress", "trims",
})  # fmt: skip


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return a row without tables in it; columns of lengths say that they are millimetres."""
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if key == "made_of":
            flat |= {f"{part} mm": value.get(part) for part in _PARTS}
        elif key == "leftover":
            along, across = value or (None, None)
            flat |= {"leftover along mm": along, "leftover across mm": across}
        elif key in {"other_way", "narrower_by_20_mm"}:
            name = key.replace("_", " ")
            for part in ("case", "length", "buy_length", "cost", "reason"):
                unit = " mm" if "length" in part else ""
                flat[f"{name}: {part.replace('_', ' ')}{unit}"] = (value or {}).get(part)
        else:
            flat[f"{key} mm" if key in _LENGTHS else key] = value
    return flat


_PARTS: Final = ("lay", "end_trim", "shrinkage", "motif_start", "rounding")
_LENGTHS: Final = frozenset(
    {"width", "layout_of_width", "usable_width", "length", "buy_length", "proven_minimum"}
)


def _in_mm(row: Mapping[str, Any], lengths: Sequence[str]) -> dict[str, Any]:
    return {f"{key} mm" if key in lengths else key: value for key, value in row.items()}


def _csv(rows: Iterable[Mapping[str, Any]]) -> str:
    """Return CSV text (RFC 4180) with a heading; floats to a thousandth, no cell a formula."""
    listed = [{plain_cell(key): value for key, value in row.items()} for row in rows]
    columns = list(dict.fromkeys(key for row in listed for key in row))
    stream = io.StringIO()
    writer = csv.DictWriter(stream, columns, restval="")
    if listed:
        writer.writeheader()
    for row in listed:
        writer.writerow({key: _cell(value) for key, value in row.items()})
    return stream.getvalue()


def _cell(value: object) -> object:
    if isinstance(value, str):
        return plain_cell(value)
    return round(value, 3) if isinstance(value, float) else value
