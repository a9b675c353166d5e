"""What a result depends on besides the instance: processor, versions, state of the code."""

import hashlib
import os
import platform
import subprocess
from datetime import UTC, datetime
from importlib import metadata
from pathlib import Path

ROOT = Path(__file__).parents[2]

LAYOUT_CODE = ("nesting/engine", "nesting/geometry", "nesting/model")
"""All that a layout of an instance depends on; a commit that leaves these alone changes none."""


class CodeChangedError(RuntimeError):
    """The layout code is no longer the one that the rows so far were measured with."""


def circumstances():
    """Return the columns that say where and with what rows are measured."""
    return {
        "cpu": _processor(),
        "cores": os.cpu_count() or 1,
        "python": platform.python_version(),
        "numba": metadata.version("numba"),
        "version": metadata.version("yardage"),
        "commit": layout_commit(),
    }


def date():
    """Return the present moment for the column of that name."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def layout_commit():
    """Return the last commit that touched the layout code.

    Where the code has been edited since, a plus and a digest of its files follow, so that rows of
    different edits are never taken for the same.
    """
    try:
        commit = _git("log", "-1", "--abbrev=10", "--format=%h", "--", *LAYOUT_CODE)
        if not _git("status", "--porcelain", "--", *LAYOUT_CODE):
            return commit
    except (OSError, subprocess.CalledProcessError):
        commit = "unversioned"
    files = sorted(path for folder in LAYOUT_CODE for path in (ROOT / folder).rglob("*.py"))
    edited = hashlib.sha256(b"\0".join(path.read_bytes() for path in files))
    return f"{commit}+{edited.hexdigest()[:6]}"


def refuse_other_code(commit):
    """Refuse a row of a new process if the layout code, which it has loaded, is another by now."""
    if layout_commit() != commit:
        raise CodeChangedError("the layout code was changed meanwhile: start again")


def _git(*arguments):
    command = ["git", "-C", str(ROOT), *arguments]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()


def _processor():
    try:
        lines = Path("/proc/cpuinfo").read_text("utf-8").splitlines()
    except OSError:
        return platform.processor() or platform.machine()
    names = [line.partition(":")[2].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.machine()
