"""The one decorator for compiled kernels.

Kernels see arrays and numbers only, hold no lock of the interpreter (so that workers run side by
side in threads), and are cached on disk: next to the module where that can be written, else in
numba's cache folder of the user. Set ``NUMBA_DISABLE_JIT=1`` to run them as plain Python.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

import numba

F = TypeVar("F", bound=Callable[..., object])


def kernel(function: F) -> F:
    """Compile a function of arrays and numbers when it is first called."""
    return cast(F, numba.njit(cache=True, nogil=True, error_model="numpy")(function))
