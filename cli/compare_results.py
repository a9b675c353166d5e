"""The files of a comparison: tables, plots and data, each whole or not at all."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from nesting.atomic import write_atomic
from nesting.errors import InputFileError

from .compared_tables import COMPARISON

if TYPE_CHECKING:
    from nesting.report.comparison_report import ComparisonReport

_PLOTS = ("png", "svg", "pdf")


def results(report: ComparisonReport, text: str) -> dict[str, bytes]:
    """Return every file of a comparison by its name, comparison.json last."""
    from nesting.plot.comparison import draw_comparison  # noqa: PLC0415 - imports matplotlib
    from nesting.report.comparison_page import comparison_page  # noqa: PLC0415
    from nesting.report.comparison_report import report_to_dict  # noqa: PLC0415

    files = {"comparison.txt": text.encode()}
    files |= {name: data for name, data in csv_files(report, "comparison.csv").items() if data}
    if report.comparison.layers_to_plot():
        for ending in _PLOTS:
            files[f"comparison.{ending}"] = draw_comparison(report.comparison, ending)
    page = comparison_page(report, files.get("comparison.png"))
    files["comparison.html"] = page.encode()
    data = json.dumps(report_to_dict(report), indent=1, ensure_ascii=False)
    return {**files, COMPARISON: f"{data}\n".encode()}


def csv_files(report: ComparisonReport, name: str) -> dict[str, bytes]:
    """Return the CSV files by name: the candidates under the name given, the others beside it."""
    from nesting.report.comparison_report import report_csv  # noqa: PLC0415 - loaded already

    path = Path(name)
    return {
        name if kind == "candidates" else f"{path.stem}-{kind}{path.suffix}": text.encode()
        for kind, text in report_csv(report).items()
    }


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[str]:
    """Write files to a folder, made if it is missing, and return their names.

    Raises
    ------
    InputFileError
        If the folder cannot be made or written to.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputFileError(
            f"it cannot be made: {error.strerror}", remedy="choose another folder", file=folder
        ) from error
    return [write_atomic(folder / name, data).name for name, data in files.items()]
