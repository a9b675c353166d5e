"""The plan file: what the maker asks for, read, judged and put in millimetres."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from ..errors import InputError, InputFileError, one_line, shown_path
from ..model.breadths import with_breadths
from ..model.plan import Plan
from ..model.reading_order import one_form
from ..tolerances import LARGEST_FILE_BYTES
from .plan_breadths import read_breadths
from .plan_cloth import read_cloth
from .plan_costing import read_layers, read_money, read_trim
from .plan_design import read_design
from .plan_errors import parse_plan_table
from .plan_fold import judge_on_fold
from .plan_piece import PatternFiles, read_piece
from .plan_values import Item


def read_plan(path: Path, *, units: str | None = None) -> Plan:
    """Read a plan file and every pattern file it names.

    Parameters
    ----------
    path
        A TOML file; the paths in it are relative to its folder.
    units
        One of ``mm cm m in yd``, for pattern files (and a plan) that do not state their own.

    Returns
    -------
    Plan
        Validated, in millimetres. Its notes hold what the readers of the pattern files assumed,
        repaired or left unread, then what was assumed of the plan itself.

    Raises
    ------
    InputFileError
        If a file is missing or is not what it should be.
    InputError
        If a key or a value is wrong: file, item, value and remedy on one line.
    NotBuiltError
        If the plan asks for something this version does not do.
    """
    table = parse_plan_table(_load(path), path)
    unit = table.units or units
    if unit is None:
        raise InputError(
            "'units' is missing",
            remedy='add units = "cm" (or mm, m, in, yd) at the top',
            file=path,
        )
    names = [piece.named or piece.name for piece in table.piece]
    joined = [breadths.name for breadths in table.breadths]
    _check_names([cloth.name for cloth in table.cloth], "cloth", "rename one of them", path)
    if names or not joined:
        _check_names(names, "piece", 'give one a name of its own with as = "..."', path)
    if joined:
        _check_names([*names, *joined], "breadths", "rename one of them", path)
    files = PatternFiles(path, units)
    cloths = tuple(
        read_cloth(cloth, Item(path, f"cloth {cloth.name!r}", unit), files, table.currency)
        for cloth in table.cloth
    )
    known = [cloth.name for cloth in cloths]
    pieces = tuple(
        read_piece(written, Item(path, f"piece {name!r}", unit), known, files)
        for name, written in zip(names, table.piece, strict=True)
    )
    by_name = {cloth.name: cloth for cloth in cloths}
    for piece in pieces:
        for name in piece.cloths or (piece.cloth,):
            judge_on_fold(piece, by_name[name], Item(path, f"piece {piece.name!r}", unit))
    pieces, matches, lines = read_design(table, pieces, cloths, Item(path, "", unit))
    by_name = {cloth.name: cloth for cloth in cloths}
    breadths = tuple(
        read_breadths(one, Item(path, f"breadths {one.name!r}", unit), by_name)
        for one in table.breadths
    )
    return with_breadths(Plan(
        table.title or one_line(shown_path(path.stem)), unit, cloths, pieces, path,
        (*files.notes(), *lines), matches, breadths,
        trims=tuple(
            read_trim(trim, Item(path, f"trim {trim.name!r}", unit), pieces, table.currency)
            for trim in table.trim
        ),
        layers=read_layers(table.layer, path, unit, known, pieces),
        currency=table.currency,
        budget=read_money("budget", table.budget, path),
        use=table.use or "",
    ))  # fmt: skip


def _load(path: Path) -> dict[str, Any]:
    """Return the tables of a TOML file, its texts in one form and its lines ended in any way."""
    try:
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise InputFileError(
                f"the file is {size / 1e6:.0f} MB large; a plan is a few lines of text",
                remedy="name the plan file, not a drawing",
                file=path,
            )
        text = path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
        return {one_form(key): _in_one_form(value) for key, value in tomllib.loads(text).items()}
    except FileNotFoundError:
        raise InputFileError("there is no such file", remedy="check its name", file=path) from None
    except tomllib.TOMLDecodeError as error:
        raise InputFileError(
            f"it is not a plan in TOML: {error}", remedy="mend that line", file=path
        ) from None
    except UnicodeDecodeError:
        raise InputFileError(
            "it is not a text file in UTF-8",
            remedy="name the plan file, or save it as UTF-8",
            file=path,
        ) from None
    except InputFileError:
        raise
    except OSError as error:
        raise InputFileError(
            f"it cannot be read: {error.strerror or error}", remedy="check the name", file=path
        ) from None


def _in_one_form(value: Any) -> Any:  # noqa: ANN401 - whatever TOML can hold
    """Return a value with every text and key in it in the form in which names are compared."""
    if isinstance(value, str):
        return one_form(value)
    if isinstance(value, list):
        return [_in_one_form(one) for one in value]
    if isinstance(value, dict):
        return {one_form(key): _in_one_form(one) for key, one in value.items()}
    return value


def _check_names(names: Sequence[str], table: str, remedy: str, path: Path) -> None:
    """Refuse a plan without such a table, or with two of one name."""
    if not names:
        raise InputError(f"there is no [[{table}]]", remedy=f"add a [[{table}]]", file=path)
    for name in names:
        if names.count(name) > 1:
            raise InputError(
                f"{names.count(name)} [[{table}]] tables have this name",
                remedy=remedy,
                file=path,
                item=f"{table} {name!r}",
            )
