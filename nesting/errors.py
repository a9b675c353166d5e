"""What can go wrong, said so that a dressmaker can put it right.

Every error the package raises on purpose derives from :class:`YardageError` and from the
built-in exception it resembles. Its text is one line: the file, the item, what was found, and
what to do. Each kind carries the exit code the command line ends with.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final

_CONTROL: Final = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]"
)


def control_letter(text: str) -> str:
    """Return the first letter of a text that commands rather than says, as ``U+001B``.

    Those are control codes other than tab and line end, which a terminal may obey, marks that turn
    the direction of all that follows, and what is no letter at all; empty where there is none.
    """
    found = _CONTROL.search(text)
    return f"U+{ord(found.group()):04X}" if found else ""


def shown(text: str) -> str:
    """Return a text fit to be shown: each of those letters becomes U+FFFD."""
    return _CONTROL.sub("\N{REPLACEMENT CHARACTER}", text)


def one_line(text: str) -> str:
    """Return a text fit to be shown, on one line, its blanks made single."""
    return shown(" ".join(text.split()))


def shown_path(path: str | Path) -> str:
    """Return a path as it can be shown and written anywhere: with slashes, as whole Unicode.

    A name that is not valid text, or not in this system's own encoding, has replacement
    characters; such a text is to be read, not to be opened.
    """
    text = path if isinstance(path, str) else path.as_posix()
    return os.fsencode(text).decode("utf-8", "replace")


class YardageError(Exception):
    """Any error the package raises on purpose.

    Parameters
    ----------
    problem
        What was found and what is allowed, without a full stop.
    remedy
        What to do about it; empty when the problem says it already.
    file
        The file at fault, if one is.
    item
        The piece, cloth, key or entity at fault inside the file.
    """

    exit_code = 1

    def __init__(
        self, problem: str, *, remedy: str = "", file: str | Path | None = None, item: str = ""
    ) -> None:
        self.problem = problem
        self.remedy = remedy
        self.file = None if file is None else shown_path(file)
        self.item = item
        super().__init__(problem)

    def __str__(self) -> str:
        """Return the whole message on one line."""
        place = ": ".join(part for part in (self.file or "", self.item) if part)
        text = f"{place}: {self.problem}" if place else self.problem
        if self.remedy:
            text = f"{text}; {self.remedy}"
        return one_line(text)


class InputError(YardageError, ValueError):
    """A value in a plan, pattern or layout file is wrong."""


class InputFileError(YardageError, OSError):
    """A file is missing, unreadable, too large or not what its name says."""

    # OSError's own __new__/__str__ would otherwise print an errno tuple.
    __str__ = YardageError.__str__


class NotBuiltError(YardageError, NotImplementedError):
    """The plan asks for something this version does not do yet."""


class CheckRefusedError(YardageError, RuntimeError):
    """The independent check found a layout to be wrong; it must not be cut."""

    exit_code = 4


class NoLayoutError(YardageError, ValueError):
    """Something has no place at all, or none was found for everything together."""
