"""The comparison as one HTML page, to be taken to the shop: what to buy first, then why."""

from __future__ import annotations

import base64

from .comparison_report import ComparisonReport, report_tables
from .html import style, template


def comparison_page(report: ComparisonReport, picture: bytes | None = None) -> str:
    """Return a comparison as one HTML file that needs nothing else and loads nothing.

    The cost sheet of what is proposed stands first, then the whole-dress totals, then every
    layer's tables. ``picture`` is a PNG of length and cost against width. No word of the maker's
    is ever taken for HTML.
    """
    tables = report_tables(report)
    # The sheet and the totals close the report; at the counter they are wanted first.
    last = [table for table in tables if table.heading.startswith(("Cost sheet", "The whole"))]
    ordered = [*reversed(last), *(table for table in tables if table not in last)]
    return template("comparison.html").render(
        title=report.comparison.title,
        tables=ordered,
        picture="" if picture is None else base64.b64encode(picture).decode("ascii"),
        unfinished=report.comparison.unfinished,
        run=report.comparison,
        style=style(),
    )
