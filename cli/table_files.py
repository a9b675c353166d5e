"""The files for the table: report page, cutting list, chalk coordinates."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from nesting.model.layout import Layout
    from nesting.model.plan import Plan
    from nesting.report.page import PageTable


def write_table_files(
    folder: Path, layout: Layout, plan: Plan | None = None, tables: Sequence[PageTable] = ()
) -> None:
    """Write report.html, the cutting list and the chalk coordinates of every lay with pieces.

    The cutting list is ``cutting-list.pdf`` (A4; Letter where the plan is in inches or yards) and
    ``.txt``. ``tables`` are added to the report page.
    ``chalk-red-silk.csv`` and ``.txt`` are named after the cloth, as the markers are. The folder
    must exist and is the caller's to throw away if anything goes wrong.
    """
    from nesting.plot.cutting_list import cutting_list_pdf  # noqa: PLC0415 - imports matplotlib
    from nesting.plot.marker import lay_stems  # noqa: PLC0415
    from nesting.plot.paper import paper_of  # noqa: PLC0415
    from nesting.plot.train import draw_train  # noqa: PLC0415
    from nesting.report.chalk_sheet import chalk_csv, chalk_text  # noqa: PLC0415
    from nesting.report.cutting_list import cutting_lists  # noqa: PLC0415
    from nesting.report.cutting_list_text import cutting_list_text  # noqa: PLC0415
    from nesting.report.page import report_page  # noqa: PLC0415
    from nesting.units import tape_unit  # noqa: PLC0415

    def write(name: str, text: str) -> None:
        # As bytes, so that the line ends of the table stay as they are on every system.
        (folder / name).write_bytes(text.encode("utf-8"))

    charts = [draw_train(study, layout.units, "svg") for study in layout.trains]
    write("report.html", report_page(layout, plan=plan, tables=tables, charts=charts))
    write("cutting-list.txt", cutting_list_text(layout, plan))
    paper = paper_of("Letter" if tape_unit(layout.units) == "in" else "A4")
    printed = cutting_list_pdf(cutting_lists(layout, plan), paper, layout.title)
    (folder / "cutting-list.pdf").write_bytes(printed)
    for index, stem in lay_stems(layout):
        lay = layout.lays[index]
        write(f"chalk-{stem}.csv", chalk_csv(lay, layout.units))
        write(f"chalk-{stem}.txt", chalk_text(lay, layout.units, title=layout.title))
