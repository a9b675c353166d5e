"""What a later run needs to go on from a layout: of which plan it is, and where things lay."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass

import numpy as np

from .problem import Position

_NOT_OF_THE_JOB = frozenset({"path", "notes", "file"})
"""Fields that say where something was read, not what it is: a folder may be moved."""


@dataclass(frozen=True, slots=True)
class Start:
    """The best positions found for one placement problem.

    ``problem`` is its :func:`fingerprint`; ``length`` what they take, in the problem's unit.
    """

    problem: str
    length: float
    positions: tuple[Position, ...]


@dataclass(frozen=True, slots=True)
class Resume:
    """Where to go on: the :func:`fingerprint` of the plan as it was read, and what was found."""

    plan: str
    starts: tuple[Start, ...] = ()


def fingerprint(value: object) -> str:
    """Return a text that is the same for two plans, or two problems, just where they are the same.

    Every number counts to its last digit. Names of files, the folder they lie in and what was
    noted while reading them do not count.
    """
    digest = hashlib.blake2b(digest_size=16)
    _add(digest, value)
    return digest.hexdigest()


def _add(digest: hashlib.blake2b, value: object) -> None:
    if isinstance(value, np.generic):
        value = value.item()  # how numpy writes its numbers has changed
    if isinstance(value, np.ndarray):
        digest.update(repr(value.shape).encode() + value.tobytes())
    elif is_dataclass(value) and not isinstance(value, type):
        digest.update(type(value).__name__.encode() + b"(")
        for field in fields(value):
            if field.name not in _NOT_OF_THE_JOB:
                digest.update(field.name.encode() + b"=")
                _add(digest, getattr(value, field.name))
        digest.update(b")")
    elif isinstance(value, Mapping):
        _add(digest, sorted(value.items()))
    elif isinstance(value, frozenset):
        _add(digest, sorted(value))
    elif isinstance(value, tuple | list):
        digest.update(b"[")
        for one in value:
            _add(digest, one)
        digest.update(b"]")
    else:
        digest.update(repr(value).encode() + b",")
