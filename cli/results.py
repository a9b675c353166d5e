"""The folder of results: written beside its place first, and moved there only when complete."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from nesting.errors import InputFileError

from .best_so_far import BEST_SO_FAR
from .compared_tables import compared_tables
from .table_files import write_table_files

if TYPE_CHECKING:
    from nesting.model.layout import Layout
    from nesting.model.plan import Plan

_ELSEWHERE = "choose another folder with --out"
_FORMATS = ("png", "svg")
_NAMED_AFTER_CLOTHS = (
    "marker-*.png", "marker-*.svg", "marker-*.pdf", "plan-*.pdf", "lay-*.dxf", "chalk-*.csv",
    "chalk-*.txt",
)  # fmt: skip


def check_writable(folder: Path) -> None:
    """Refuse a folder that cannot be written, before anyone has waited for a layout.

    Raises
    ------
    InputFileError
        If the folder is a file or its name one that no folder can have, or if it or its nearest
        parent that exists cannot be written to.
    """
    existing = folder
    try:
        while not existing.exists() and existing != existing.parent:
            existing = existing.parent
    except OSError as error:
        no = f"no folder can have that name: {error.strerror}"
        raise InputFileError(no, remedy=_ELSEWHERE, file=folder) from error
    if not existing.is_dir():
        raise InputFileError("it is a file, not a folder", remedy=_ELSEWHERE, file=existing)
    if not os.access(existing, os.W_OK | os.X_OK):
        raise InputFileError("nothing may be written there", remedy=_ELSEWHERE, file=existing)


def write_results(
    folder: Path, layout: Layout, summary: str, plan: Plan | None = None
) -> list[str]:
    """Write layout.json, markers, summary and the files for the table; return their names.

    All or none are written; ``plan`` adds to the report page what the layout does not carry, and
    a comparison of it that the folder holds.

    Everything is made in a folder of its own first. A new folder is then put in place in one
    step; in one that exists, each file is replaced in one step, layout.json last.

    Raises
    ------
    InputFileError
        If the folder cannot be written.
    """
    from nesting.plot.marker import write_markers  # noqa: PLC0415 - imports matplotlib
    from nesting.plot.train import write_train_chart  # noqa: PLC0415
    from nesting.report.layout_file import write_layout  # noqa: PLC0415

    tables = () if plan is None else compared_tables(folder, plan)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".yardage-", dir=folder.parent) as temporary:
            stage = Path(temporary) / folder.name
            stage.mkdir()
            write_markers(layout, stage, formats=_FORMATS)
            _write_plans(stage, layout)
            for number, study in enumerate(layout.trains, 1):
                name = f"train-{number}.png" if number > 1 else "train.png"
                write_train_chart(study, layout.units, stage / name)
            (stage / "summary.txt").write_bytes(f"{summary.rstrip()}\n".encode())
            write_table_files(stage, layout, plan, tables)
            write_layout(layout, stage / "layout.json")
            names = sorted(
                (file.name for file in stage.iterdir()), key=lambda n: (n == "layout.json", n)
            )
            if not folder.exists():
                stage.rename(folder)
            else:
                _replace_in(folder, stage, names)
    except OSError as error:
        if isinstance(error, InputFileError):
            raise
        reason = error.strerror or type(error).__name__
        raise InputFileError(
            f"it cannot be written: {reason}", remedy=_ELSEWHERE, file=folder
        ) from error
    return names


def _write_plans(folder: Path, layout: Layout) -> None:
    """Write the cutting plan of every lay with pieces, and the lay as DXF."""
    from nesting.drawings import DrawingOptions, write_drawing  # noqa: PLC0415
    from nesting.plot.marker import lay_stems  # noqa: PLC0415

    for index, stem in lay_stems(layout):
        lay = layout.lays[index]
        options = DrawingOptions(cloth=lay.cloth, panel=lay.panel)
        write_drawing(layout, folder / f"plan-{stem}.pdf", options)
        write_drawing(layout, folder / f"lay-{stem}.dxf", options)


def _replace_in(folder: Path, stage: Path, names: list[str]) -> None:
    """Put new results over those of an earlier run, and take away markers that no longer hold.

    A marker or a chalk sheet left over from a cloth that the plan no longer has could be cut by
    mistake.
    """
    if (folder / "layout.json").exists():
        for pattern in _NAMED_AFTER_CLOTHS:
            for old in folder.glob(pattern):
                if old.name not in names:
                    old.unlink()
    for name in names:
        (stage / name).replace(folder / name)
    (folder / BEST_SO_FAR).unlink(missing_ok=True)
