"""A Dask cluster as the place where candidates are solved."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import Final

from ..errors import InputError, InputFileError

_PATIENCE: Final = "10s"  # to reach the scheduler
_RETRIES: Final = 3  # a candidate is begun anew so often when its computer is lost


@contextmanager
def on_cluster(address: str) -> Iterator[tuple[Executor, int]]:
    """Give an executor on a cluster, and how many candidates it solves at the same time.

    A candidate whose computer is lost is begun anew on another; each is still finished once.

    Raises
    ------
    InputError
        If Dask is not installed.
    InputFileError
        If there is no cluster, or it has no computer to work on.
    """
    try:
        from distributed import Client  # noqa: PLC0415 - an extra, and slow to import
    except ImportError:
        raise InputError(
            "clusters need Dask, which is not installed",
            remedy="install it with: pip install 'yardage[cluster]'",
            item="--cluster",
        ) from None
    try:
        client = Client(address, timeout=_PATIENCE, set_as_default=False)
    except (OSError, ValueError, TimeoutError) as error:
        raise InputFileError(
            f"no cluster answers there: {error}",
            remedy="give the scheduler's address, such as tcp://10.0.0.5:8786",
            file=address,
        ) from error
    with client:
        threads = sum(client.ncores().values())
        if threads == 0:
            raise InputFileError("the cluster has no workers", remedy="start some", file=address)
        executor = client.get_executor(pure=False, retries=_RETRIES)
        try:
            yield executor, threads
        finally:
            executor.shutdown(wait=False)
