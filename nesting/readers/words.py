"""Words of a file are words: letters that would command a terminal or a page are refused."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from ..errors import control_letter

_Value = TypeVar("_Value")


def refuse_control_letters(value: _Value) -> _Value:
    """Return a value of a file as it is, if neither it nor what it lists holds such a letter.

    Meant as a validator: texts are looked at, and the texts in a list or among the keys of a
    table; all else is passed over.

    Raises
    ------
    ValueError
        Naming the letter.
    """
    listed: Iterable[object] = value if isinstance(value, list | tuple | dict) else (value,)
    for words in listed:
        if isinstance(words, str) and (letter := control_letter(words)):
            raise ValueError(f"take out the control letter {letter}: words have none")
    return value
