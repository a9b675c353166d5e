"""What each file of the folder of results is for, in a line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fnmatch import fnmatch
from typing import Final

_PURPOSES: Final = (
    ("report.html", "everything on one page, to read, tap and print"),
    ("summary.txt", "what to buy, and why, in words"),
    ("cutting-list.pdf", "the steps at the table to tick off, and label slips, to print"),
    ("cutting-list.txt", "the same as text"),
    ("plan-*.pdf", "the cutting plan to scale, with every measure, to print"),
    ("marker-*.png", "the marker as a picture"),
    ("marker-*.svg", "the marker as a drawing to enlarge"),
    ("chalk-*.txt", "where to chalk each point, to print"),
    ("chalk-*.csv", "the same as a table"),
    ("lay-*.dxf", "the lay at exact size, for cutting rooms and pattern programs"),
    ("train*.png", "the length a train needs on cloth of every width"),
    ("layout.json", "everything for other programs, and for yardage draw"),
)
"""Patterns of names and what such a file is for, in the order in which they are told."""


def told_files(names: Iterable[str]) -> Iterator[str]:
    """Yield a line for each file, the first to open first: its name and what it is for."""
    ranked = sorted(((*_purpose(name), name) for name in names), key=lambda item: item[::2])
    width = max((len(name) for _, _, name in ranked), default=0)
    for _, purpose, name in ranked:
        yield f"  {name.ljust(width)}  {purpose}".rstrip()


def _purpose(name: str) -> tuple[int, str]:
    for rank, (pattern, purpose) in enumerate(_PURPOSES):
        if fnmatch(name, pattern):
            return rank, purpose
    return len(_PURPOSES), ""
