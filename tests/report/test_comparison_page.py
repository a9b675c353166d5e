"""The comparison as a page for the shop: strict XML but for its doctype, nothing loaded."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

from nesting.model.plan import Plan
from nesting.report.comparison_page import comparison_page
from nesting.report.comparison_report import comparison_report
from tests.report.test_compare import COMPARED

PLAN = Plan("Gown", "cm", (), ())


def test_what_to_buy_stands_first():
    """The cost sheet, then the totals, then the layers; what is unfinished is named."""
    page = comparison_page(comparison_report(PLAN, COMPARED, 30.0), b"\x89PNG")
    places = [
        page.index(text)
        for text in (">Cost sheet of the best under the budget</h2>", ">The whole dress</h2>",
                     ">outer: what to buy</h2>", "data:image/png;base64,iVBORw==",
                     "velvet, 150.0 cm wide")
    ]  # fmt: skip
    assert places == sorted(places)
    assert "21.00 EUR" in page


def test_names_are_words_and_nothing_else():
    """A cloth called by a tag shows as written; nothing outside the page is loaded."""
    rows = tuple(replace(row, cloth=f"<b>{row.cloth}") for row in COMPARED.rows)
    page = comparison_page(comparison_report(PLAN, replace(COMPARED, rows=rows)))
    assert "<b>" not in page
    assert "&lt;b&gt;silk" in page
    assert "default-src 'none'" in page
    assert "http" not in page.split("</style>")[1]
    assert "<img" not in page


def test_every_tag_is_closed():
    """The body is well-formed: read back by an XML parser."""
    page = comparison_page(comparison_report(PLAN, COMPARED), b"\x89PNG")
    body = page[page.index("<body>") : page.index("</body>") + 7]
    body = re.sub(r"(<img[^>]*)>", r"\1/>", body)
    assert len(list(ET.fromstring(body).iter("table"))) == 5  # noqa: S314


def test_nothing_to_draw_is_said():
    """One sentence stands where the picture would."""
    one = replace(COMPARED, rows=COMPARED.rows[:1])
    assert "nothing is drawn by width" in comparison_page(comparison_report(PLAN, one))
    assert "nothing is drawn" not in comparison_page(comparison_report(PLAN, COMPARED), b"PNG")
