"""Whether a file can be read at all, asked before anything is read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .. import tolerances
from ..errors import InputFileError

if TYPE_CHECKING:
    from pathlib import Path


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
