"""Files appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from .errors import InputFileError


def write_atomic(path: str | Path, content: bytes) -> Path:
    """Write a file so that no reader ever sees a part of it.

    The bytes go to a temporary file in the same folder, reach the disk, and take the name in one
    step; a file of that name is replaced. When anything fails the old file stands untouched and
    nothing is left behind.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    InputFileError
        If the folder is missing or cannot be written to.
    """
    target = Path(path)
    try:
        handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=target.parent)
    except OSError as error:
        raise _unwritable(target, error) from error
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        _with_usual_rights(Path(name))
        Path(name).replace(target)
    except OSError as error:
        raise _unwritable(target, error) from error
    finally:
        Path(name).unlink(missing_ok=True)
    return target


def _with_usual_rights(path: Path) -> None:
    """Give a file the rights a new file has here; temporary files are private otherwise."""
    mask = os.umask(0)
    os.umask(mask)
    path.chmod(0o666 & ~mask)


def _unwritable(path: Path, error: OSError) -> InputFileError:
    return InputFileError(
        f"cannot be written: {error.strerror or error}",
        remedy="name a folder that exists and that you may write to",
        file=path,
    )
