"""The best layout so far, kept in the folder of results while solving; and going on from it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

import typer

from nesting.errors import InputError, InputFileError

from .console import say, say_error
from .failures import INTERRUPTED

if TYPE_CHECKING:
    from nesting.model.layout import Layout
    from nesting.model.plan import Plan

BEST_SO_FAR: Final = "best-so-far.json"
"""An ordinary layout file; it goes when the results are there."""

_LAYOUT: Final = "layout.json"
_WITHOUT: Final = "lay it without --resume"


class BestSoFar:
    """Writes each layout it is given to the folder of results, whole or not at all.

    A disk that is full does not end the search: it is said once, and the next layout is tried
    again.

    Parameters
    ----------
    folder
        The folder of results; made when first needed.
    quiet
        Say nothing.
    """

    def __init__(self, folder: Path, *, quiet: bool) -> None:
        self.path = folder / BEST_SO_FAR
        self.written = False
        self._quiet = quiet
        self._told = False

    def __call__(self, layout: Layout) -> None:
        """Write a layout."""
        from nesting.report.layout_file import write_layout  # noqa: PLC0415 - imports numpy

        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            write_layout(layout, self.path)
            self.written = True
        except OSError as error:
            if not (self._told or self._quiet):
                say(f"the best layout so far could not be kept: {error}")
            self._told = True

    @contextmanager
    def told_when_given_up(self) -> Iterator[None]:
        """Say where the best layout so far is, when the search is given up at once.

        Raises
        ------
        typer.Exit
            With 130.
        """
        try:
            yield
        except KeyboardInterrupt:
            if not self.written:
                raise
            say_error(f"given up; the best layout so far is {self.path}, to draw or --resume")
            raise typer.Exit(INTERRUPTED) from None


def layouts_to_resume(folder: Path, plan: Plan) -> tuple[Layout, ...]:
    """Return the layouts of a folder of results that belong to this very plan, newest first.

    Raises
    ------
    InputFileError
        If there is no layout in the folder, or it cannot be read.
    InputError
        If the layouts are of another plan or of other pieces, or say not of which.
    """
    from nesting.model.resume import fingerprint  # noqa: PLC0415 - imports numpy
    from nesting.readers.layout import read_layout  # noqa: PLC0415

    paths = [path for path in (folder / BEST_SO_FAR, folder / _LAYOUT) if path.exists()]
    if not paths:
        raise InputFileError(
            "there is no layout to go on from",
            remedy=f"name its folder with --out, or {_WITHOUT}",
            file=folder,
        )
    layouts = [read_layout(path) for path in paths]
    mark = fingerprint(plan)
    own = tuple(old for old in layouts if old.resume is not None and old.resume.plan == mark)
    if not own:
        raise InputError(
            "the plan or its pattern pieces have changed since this layout was made",
            remedy=_WITHOUT,
            file=paths[0],
        )
    return own
