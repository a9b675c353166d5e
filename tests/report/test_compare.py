"""The comparison in rows, tables, JSON and CSV."""

import csv
import io
import json
from dataclasses import replace
from decimal import Decimal

from nesting.model.comparison import ComparedRow, Comparison, WhatIf
from nesting.model.plan import Plan
from nesting.report.compare import (
    BUYING_COLUMNS,
    JUDGING_COLUMNS,
    buy_text,
    buying_rows,
    judging_rows,
    price_text,
    row_to_dict,
    what_if_text,
)
from nesting.report.comparison_report import (
    comparison_report,
    report_csv,
    report_tables,
    report_to_dict,
)

PARTS = {"lay": 2000.0, "end_trim": 30.0, "shrinkage": 0.0, "motif_start": 0.0, "rounding": 70.0}
SILK = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=1400.0, usable_width=1380.0,
    status="found", length=2000.0, made_of=PARTS, buy_length=2100.0, price=32.0,
    cost=Decimal("67.20"), currency="EUR", used=0.8123, proven_minimum=1900.0,
    leftover=(500.0, 200.0), other_way=WhatIf("one-way", 2300.0, 2400.0, Decimal("76.80")),
    narrower=WhatIf("narrower", 2000.2, 2100.0, Decimal("67.20")),
)  # fmt: skip
COTTON = replace(
    SILK, number=1, cloth="cotton", rank=1, status="proven best", price=10.0,
    cost=Decimal("21.00"), leftover=(900.0, 30.0), other_way=None,
    narrower=WhatIf("narrower", reason="piece 'gore': it is too wide"),
)  # fmt: skip
NARROW = ComparedRow(
    number=2, layer="outer", cloth="ribbon", rank=2, width=100.0, usable_width=90.0,
    status="does not fit", reason="piece 'gore': it is too wide",
)  # fmt: skip
UNPRICED = replace(SILK, number=3, cloth="remnant", price=None, cost=None)
ROWS = (COTTON, SILK, UNPRICED, NARROW)
COMPARED = Comparison(
    "Gown", "cm", ROWS, ("outer",), seed=3, unfinished=("velvet, 150.0 cm wide",)
)
PLAN = Plan("Gown", "cm", (), ())


def test_the_cheapest_is_marked_in_words():
    """And what the others are, in words too."""
    rows = buying_rows(COMPARED, "outer")
    assert [row[-1] for row in rows] == [
        "cheapest", "46.20 dearer", "no price given", "does not fit: piece 'gore': it is too wide"
    ]  # fmt: skip
    assert all(len(row) == len(BUYING_COLUMNS) for row in rows)
    assert rows[1][:10] == (
        "silk", "140.0 cm", "138.0 cm", "200.0 cm", "3.0 cm", "0.0 cm", "0.0 cm",
        "2.10 m (2 3/8 yd)", "32.00 /m", "67.20 EUR",
    )  # fmt: skip


def test_how_good_each_is():
    """Candidates with a lay only; a sliver left over is not told."""
    rows = judging_rows(COMPARED, "outer")
    assert [row[0] for row in rows] == ["cotton", "silk", "remnant"]
    assert all(len(row) == len(JUDGING_COLUMNS) for row in rows)
    assert rows[0][2:] == (
        "81.2 %", "proven best", "0", "-", "-", "does not fit"
    )  # fmt: skip
    assert rows[1][2:] == (
        "81.2 %", "190.0 cm", "0", "50.0 cm x 20.0 cm",
        "one-way 230.0 cm, buy 0.30 m more", "the same",
    )  # fmt: skip


def test_what_changes_in_words():
    """Longer lays within the same step cost nothing more; shorter ones save."""
    same = WhatIf("turned", 2010.0, 2100.0)
    assert what_if_text(same, SILK, "cm") == "turned 201.0 cm, buy the same"
    less = WhatIf("turned", 1800.0, 1900.0)
    assert what_if_text(less, SILK, "cm") == "turned 180.0 cm, buy 0.20 m less"
    assert what_if_text(WhatIf("one-way"), SILK, "cm") == "one-way does not fit"


def test_prices_and_lengths_in_words():
    """The shop's own unit stands first."""
    assert buy_text(1828.8, "yd") == "2 yd (1.83 m)"
    assert price_text(replace(SILK, owned=True, price=None)) == "owned"
    assert price_text(replace(SILK, price_per="piece")) == "32.00 the piece"
    assert price_text(UNPRICED) == "?"


def test_tables_leave_out_what_tells_nothing():
    """No shrinkage and no motif here, so no columns for them; the dress has its total."""
    tables = {t.heading: t for t in report_tables(comparison_report(PLAN, COMPARED, 30.0))}
    buying = tables["outer: what to buy"]
    assert "end trim" in buying.columns
    assert not {"shrinkage", "motif start"} & set(buying.columns)
    assert all(len(row) == len(buying.columns) for t in [buying] for row in t.rows)
    assert tables["The whole dress"].rows[0][-1] == "cheapest, best under the budget"
    assert "Best under 30.00 EUR" in tables["The whole dress"].remark
    assert tables["Cost sheet of the best under the budget"].rows[-1][-1] == "21.00 EUR"
    assert "Rules of thumb know nothing" in tables["outer: rules of thumb"].remark


def test_the_plans_budget_counts_unless_another_is_given():
    """Given 10 in the plan nothing can be had; 30 given by hand buys the cotton."""
    plan = replace(PLAN, budget=10.0)
    assert comparison_report(plan, COMPARED).alternatives.chosen is None
    assert comparison_report(plan, COMPARED, 30.0).alternatives.chosen is not None


def test_json_holds_everything():
    """It can be written, money stays text with two decimals, what is unfinished is named."""
    data = json.loads(json.dumps(report_to_dict(comparison_report(PLAN, COMPARED))))
    assert data["schema"] == "yardage-comparison/1"
    assert [row["cost"] for row in data["rows"]] == ["21.00", "67.20", None, None]
    assert data["rows"][1] == row_to_dict(SILK)
    assert data["unfinished"] == ["velvet, 150.0 cm wide"]
    assert data["whole_dress"]["cheapest"]["total"] == "21.00"
    assert data["cost_sheet"]["total"] == "21.00"
    assert data["solver"]["seed"] == 3


def test_csv_is_read_back():
    """By Python's own reader: as many lines as rows, lengths in millimetres."""
    files = report_csv(comparison_report(PLAN, COMPARED))
    rows = list(csv.DictReader(io.StringIO(files["candidates"])))
    assert [row["cloth"] for row in rows] == ["cotton", "silk", "remnant", "ribbon"]
    assert rows[1]["buy_length mm"] == "2100.0"
    assert rows[1]["end_trim mm"] == "30.0"
    assert rows[1]["other way: length mm"] == "2300.0"
    assert rows[3]["reason"] == "piece 'gore': it is too wide"
    totals = list(csv.DictReader(io.StringIO(files["whole-dress"])))
    assert [row["total"] for row in totals] == ["21.00", "67.20"]
    sheet = list(csv.DictReader(io.StringIO(files["cost-sheet"])))
    assert sheet[-1]["what"] == "total"
    assert sheet[-1]["cost"] == "21.00"
    assert list(csv.DictReader(io.StringIO(files["rules"])))


def test_nothing_fits():
    """Tables and files still come, with the reason."""
    report = comparison_report(PLAN, Comparison("Gown", "cm", (NARROW,), ("outer",)))
    text = " ".join(table.remark for table in report_tables(report))
    assert "no cloth of known price fits for outer" in text
    assert report_csv(report)["cost-sheet"] == ""
