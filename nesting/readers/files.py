"""Whether a file can be read at all, asked before anything is read."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from .. import tolerances
from ..errors import InputFileError, shown_path
from ..model.reading_order import one_form


def as_spelled(folder: Path, written: str) -> Path:
    """Return the path of a file that a plan names, as this system spells it.

    Systems differ in how they keep accents (composed or not), and some part folders by
    backslashes; a plan made on one of them finds its files on every other. The file need not be
    there: then the path is as written.
    """
    for text in (written, written.replace("\\", "/")):
        path = folder
        for part in Path(text).parts:
            path = _step(path, part)
        if os.path.lexists(path):
            return path
    return folder / written


def _step(folder: Path, part: str) -> Path:
    """Return a folder's entry of this name, though it may be spelled in other letters."""
    step = folder / part
    if os.path.lexists(step):
        return step
    with suppress(OSError, ValueError):  # no folder, or none that may be looked into
        for name in sorted(os.listdir(folder)):  # noqa: PTH208 - names as the system spells them
            if one_form(shown_path(name)) == one_form(part):
                return folder / name
    return step


def refuse_unreadable(path: Path) -> None:
    """Refuse a path that is no file, an empty file, or one over 50 MB.

    Raises
    ------
    InputFileError
        Naming the file, what is wrong and what to do.
    """
    try:
        size = path.stat().st_size
        folder = path.is_dir()
        if not folder:
            with path.open("rb"):
                pass
    except FileNotFoundError:
        raise InputFileError(
            "there is no such file", remedy="check the name and the folder", file=path
        ) from None
    except OSError as error:
        raise InputFileError(
            f"it cannot be read ({error.strerror or error})",
            remedy="check the name and that you may read it",
            file=path,
        ) from None
    if folder:
        raise InputFileError("it is a folder", remedy="name the file inside it", file=path)
    if size == 0:
        raise InputFileError("it is empty (0 bytes)", remedy="export it again", file=path)
    if size > tolerances.LARGEST_FILE_BYTES:
        raise InputFileError(
            f"it is {size / 1e6:.0f} MB, over the "
            f"{tolerances.LARGEST_FILE_BYTES / 1e6:.0f} MB allowed",
            remedy="export the pattern pieces alone, without pictures",
            file=path,
        )
