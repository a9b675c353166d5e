"""What an earlier comparison of the same plan says, for the report page."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from nesting.model.plan import Plan
    from nesting.report.page import PageTable

COMPARISON: Final = "comparison.json"


def compared_tables(folder: Path, plan: Plan) -> tuple[PageTable, ...]:
    """Return the tables that ``yardage compare`` left in a folder for the report page.

    None where there are none, where they are of another plan or of the plan as it was before, and
    where the file cannot be read: the page is whole without them.
    """
    from pydantic import TypeAdapter, ValidationError  # noqa: PLC0415 - help must not wait

    from nesting.model.resume import fingerprint  # noqa: PLC0415
    from nesting.report.comparison_report import SCHEMA  # noqa: PLC0415
    from nesting.report.page import PageTable  # noqa: PLC0415

    try:
        data = json.loads((folder / COMPARISON).read_text("utf-8"))
        if (data["schema"], data["plan"]) != (SCHEMA, fingerprint(plan)):
            return ()
        tables = TypeAdapter(tuple[PageTable, ...]).validate_python(data["report_page"])
    except (OSError, ValueError, KeyError, TypeError, RecursionError, ValidationError):
        return ()
    whole = all(len(row) == len(table.columns) for table in tables for row in table.rows)
    return tables if whole else ()
