"""Faults in the shape of a plan file, said in one line that helps."""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from ..errors import InputError
from .plan_schema import (
    BorderTable,
    ClothTable,
    CutTable,
    EdgeTable,
    FlawTable,
    LayerTable,
    MatchTable,
    MotifTable,
    PanelTable,
    PieceTable,
    PlanTable,
    RepeatTable,
    ShrinkTable,
    TrimTable,
)

_TABLES: Final[dict[str, type[BaseModel]]] = {
    "": PlanTable, "cloth": ClothTable, "piece": PieceTable, "match": MatchTable,
    "shrink": ShrinkTable, "repeat": RepeatTable, "panels": PanelTable, "flaws": FlawTable,
    "cut": CutTable, "edges": EdgeTable, "motif": MotifTable,
    "trim": TrimTable, "layer": LayerTable,
    "border": BorderTable,
}  # fmt: skip


def parse_plan_table(data: Mapping[str, Any], path: Path) -> PlanTable:
    """Return the tables of a plan file, every key known and every value of its kind.

    Raises
    ------
    InputError
        For the first key that is unknown (the nearest known one is named), missing, or has a
        value of the wrong kind; it names the file and the cloth or piece.
    """
    try:
        return PlanTable.model_validate(dict(data))
    except ValidationError as error:
        # An unknown key is most often the cause of a missing one: name it first.
        found = min(error.errors(), key=lambda one: one["type"] != "extra_forbidden")
        raise _explained(found, data, path) from None


def _explained(found: ErrorDetails, data: Mapping[str, Any], path: Path) -> InputError:
    # Within `cut`, the place of an error also names the kind of value that was tried.
    loc = [
        part for part in found["loc"] if part not in {"int", "str", "CutTable", "literal['pair']"}
    ]
    key = _key(loc)
    kind, value = found["type"], found.get("input")
    problem, remedy = f"{key} = {_shown(value)} is not understood", found["msg"]
    if kind == "extra_forbidden":
        problem, remedy = f"unknown key {str(loc[-1])!r}", _nearest_key(loc)
    elif kind == "missing":
        problem, remedy = f"{key!r} is missing", _add(str(loc[-1]))
    elif kind == "literal_error":
        problem = f"{key} = {_shown(value)} is not known"
        remedy = f"write {found['ctx']['expected']}"
    elif kind == "value_error":
        remedy = str(found["ctx"]["error"])
    elif kind in _KINDS:
        remedy = _KINDS[kind]
    return InputError(problem, remedy=remedy, file=path, item=_item(loc, data))


_EXAMPLES: Final = {
    "name": 'name = "side gore"', "file": 'file = "pieces/skirt.svg"', "cloth": 'cloth = "damask"',
    "width": 'width = "112 cm"', "length": 'length = "4.2 m"', "from": "from = [0, 0]",
    "to": "to = [80, 0]", "allowance": 'allowance = "15 mm"',
}  # fmt: skip
_KINDS: Final = {
    "string_type": "write text in quotes",
    "bool_type": "write true or false",
    "int_type": "write a whole number",
    "float_type": "write a number",
    "list_type": "write a list in brackets, or tables in double brackets",
    "dict_type": "write a table in braces",
    "model_type": "write a table in braces",
}


def _add(key: str) -> str:
    return f"add it, such as {_EXAMPLES[key]}" if key in _EXAMPLES else "add it"


def _key(loc: Sequence[Any]) -> str:
    """Return the key at fault, with the table it stands in where that is an inner one."""
    names = [part for part in loc if isinstance(part, str)]
    if len(names) > 1 and names[0] in {"cloth", "piece", "match", "trim", "layer"}:
        names = names[1:]
    return ".".join(names)


def _item(loc: Sequence[Any], data: Mapping[str, Any]) -> str:
    """Return the cloth or piece at fault by its name, or by its number where it has none."""
    if len(loc) < 2 or not isinstance(loc[1], int):
        return ""
    table, index = str(loc[0]), loc[1]
    entry = data[table][index]
    name = (entry.get("as") or entry.get("name")) if isinstance(entry, dict) else None
    return f"{table} {name!r}" if isinstance(name, str) and name else f"{table} {index + 1}"


def _nearest_key(loc: Sequence[Any]) -> str:
    names = [part for part in loc[:-1] if isinstance(part, str) and part in _TABLES]
    table = _TABLES[names[-1] if names else ""]
    known = [field.alias or name for name, field in table.model_fields.items()]
    return did_you_mean(str(loc[-1]), known)


def did_you_mean(word: str, known: Sequence[str]) -> str:
    """Return advice naming the known word nearest to a wrong one, or all of them."""
    by_case = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(word.casefold(), list(by_case), n=1, cutoff=0.5)
    if near:
        return f"did you mean {by_case[near[0]]!r}?"
    shown = [repr(name) for name in known[:12]]
    more = f" and {len(known) - 12} more" if len(known) > 12 else ""
    return f"known here: {', '.join(shown)}{more}" if shown else "there is none here"


def _shown(value: object) -> str:
    """Write a value as the file has it, shortened where it is long."""
    if isinstance(value, bool):
        return str(value).lower()
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."
