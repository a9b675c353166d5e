"""The decorators for compiled kernels, what spares them counting, and their cache.

Kernels see arrays and numbers only, hold no lock of the interpreter (so that workers run side by
side in threads), and are cached on disk: next to the module where that can be written, else in
numba's cache folder of the user. Set ``NUMBA_DISABLE_JIT=1`` to run them as plain Python.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
from numba.extending import intrinsic

F = TypeVar("F", bound=Callable[..., object])
A = TypeVar("A")

_PACKAGE = Path(__file__).parent.parent


def kernel(function: F) -> F:
    """Compile a function of arrays and numbers when it is first called."""
    return cast(F, numba.njit(cache=True, nogil=True, error_model="numpy")(function))


def inner_kernel(function: F) -> F:
    """Compile a function into each kernel that calls it.

    A call hands over every array field by field, which costs more than a short function does.
    """
    compiled = numba.njit(cache=True, nogil=True, error_model="numpy", forceinline=True)(function)
    return cast(F, compiled)


@intrinsic
def _lent(_context: Any, array: Any) -> Any:  # noqa: ANN401 - the library keeps its types private
    def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:  # noqa: ANN401
        same = context.make_array(signature.return_type)(context, builder, arguments[0])
        same.meminfo = same.meminfo.type(None)
        return same._getvalue()

    return array(array), code


def _itself(array: A) -> A:
    return array


lent = (
    _itself if os.environ.get("NUMBA_DISABLE_JIT", "0") != "0" else cast("Callable[[A], A]", _lent)
)
"""In a kernel, the same array without an owner; it must not outlive the kernel that lends it.

Kernels count who holds an array, at each call and across threads: without this that is half of
the search's time.
"""


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
