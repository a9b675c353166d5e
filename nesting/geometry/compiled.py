"""The one decorator for compiled kernels, and what is known of their cache.

Kernels see arrays and numbers only, hold no lock of the interpreter (so that workers run side by
side in threads), and are cached on disk: next to the module where that can be written, else in
numba's cache folder of the user. Set ``NUMBA_DISABLE_JIT=1`` to run them as plain Python.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])

_PACKAGE = Path(__file__).parent.parent


def kernel(function: F) -> F:
    """Compile a function of arrays and numbers when it is first called."""
    return cast(F, numba.njit(cache=True, nogil=True, error_model="numpy")(function))


def needs_compiling(function: Callable[..., object]) -> bool:
    """Tell whether calling a kernel will compile it, which takes many seconds the first time."""
    cache = getattr(function, "_cache", None)
    folder = getattr(cache, "cache_path", None)
    if folder is None or getattr(function, "signatures", None):
        return False  # compilation is switched off, or has happened
    return not any(Path(folder).glob(f"*.{function.__name__}-*.nbi"))


def _drop_stale_caches() -> None:
    """Remove compiled kernels older than any kernel's source.

    A cached kernel has the kernels it calls compiled into it, but is only renewed when its own
    file changes; after an edit or an update it would go on with the old ones.
    """
    folders = (_PACKAGE / "geometry", _PACKAGE / "engine")
    newest = max(path.stat().st_mtime for folder in folders for path in folder.glob("*.py"))
    for folder in folders:
        for cached in folder.glob("__pycache__/*.nb[ic]"):
            if cached.stat().st_mtime < newest:
                cached.unlink()


# A folder that cannot be read or written has nothing stale of ours in it.
with contextlib.suppress(OSError):
    _drop_stale_caches()
