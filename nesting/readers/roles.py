"""The words that tell what a line is, in the ids, labels, classes and layers of a drawing."""

from __future__ import annotations

import re
from typing import Final, Literal, get_args

Role = Literal[
    "grain", "top", "fold", "notch", "drill", "sew", "internal", "cutout", "stripe", "plaid"
]

_FIRST_WORD = re.compile(r"[^\W\d_]+")
_PLURALS: Final[dict[str, Role]] = {
    "notches": "notch", "drills": "drill", "cutouts": "cutout", "stripes": "stripe",
    "plaids": "plaid",
}  # fmt: skip
_BY_WORD: Final[dict[str, Role]] = {role: role for role in get_args(Role)} | _PLURALS
_NOTCH_KINDS: Final = {"t": "T", "castle": "castle", "check": "check", "u": "U"}


def role_of(*names: str | None) -> Role | None:
    """Return the role the first word of any of the names tells, the first name first.

    >>> role_of("path12", "Notch-3 shoulder")
    'notch'
    """
    for name in names:
        word = _FIRST_WORD.search(name or "")
        role = _BY_WORD.get(word.group().lower()) if word else None
        if role is not None:
            return role
    return None


def notch_kind_of(*names: str | None) -> str:
    """Return the kind of a notch by the second word of its name; a slit where none is told.

    >>> notch_kind_of("notch-castle-2")
    'castle'
    """
    for name in names:
        words = [word.lower() for word in _FIRST_WORD.findall(name or "")]
        if len(words) > 1 and words[0] in {"notch", "notches"} and words[1] in _NOTCH_KINDS:
            return _NOTCH_KINDS[words[1]]
    return "slit"
