"""What is said on standard error: errors, notices, and how the solver is getting on."""

from __future__ import annotations

import sys
import threading
from collections.abc import Container, Iterable, Sequence
from typing import TYPE_CHECKING, Literal

import typer

from nesting.errors import one_line, shown
from nesting.model.reading_order import in_order
from nesting.units import metres_text, yards_text

if TYPE_CHECKING:
    from rich.live import Live
    from rich.table import Table

    from nesting.model.events import Progress

_SECONDS_BETWEEN_LINES = 5.0
_WIDE = 160
_WIDEST = 400
_MOST_LETTERS = 12


def say_error(text: str) -> None:
    """Say one line that begins with the program's name."""
    typer.echo(f"yardage: {in_order(one_line(text))}", err=True)


def say(text: str) -> None:
    """Say something that is not the result."""
    typer.echo(in_order(shown(text)), err=True)


def show(text: str) -> None:
    """Print words of the result; no name in them can command the terminal."""
    typer.echo(in_order(shown(text)))


def say_missing_letters(words: Iterable[str]) -> None:
    """Say which letters of these words are drawn as boxes, because no font here has them."""
    from nesting.plot.fonts import letters_without_font  # noqa: PLC0415 - imports matplotlib

    missing = letters_without_font(words)
    if missing:
        more = " and others" if len(missing) > _MOST_LETTERS else ""
        say(
            f"no font on this computer has {' '.join(missing[:_MOST_LETTERS])}{more}; drawings "
            "show a box for each: install a font for that script, then draw again"
        )


def print_table(
    columns: Sequence[str], rows: Iterable[Sequence[str]], *, right: Container[str] = ()
) -> None:
    """Print a table to standard output, as wide as it needs to be where that is not a terminal."""
    from rich.console import Console  # noqa: PLC0415 - slow to import, and help must not wait

    table = _table(columns, rows, right, overflow="fold")
    Console(width=None if sys.stdout.isatty() else _WIDE, highlight=False).print(table)


def table_text(
    columns: Sequence[str], rows: Iterable[Sequence[str]], *, right: Container[str] = ()
) -> str:
    """Return a table as text, as wide as it needs to be, without blank lines around it."""
    from io import StringIO  # noqa: PLC0415

    from rich.console import Console  # noqa: PLC0415 - slow to import, and help must not wait

    stream = StringIO()
    table = _table(columns, rows, right, no_wrap=True)
    Console(file=stream, width=_WIDEST, highlight=False).print(table)
    return "\n".join(line.rstrip() for line in stream.getvalue().splitlines() if line.strip())


def _table(
    columns: Sequence[str],
    rows: Iterable[Sequence[str]],
    right: Container[str],
    *,
    overflow: Literal["fold", "ellipsis"] = "ellipsis",
    no_wrap: bool = False,
) -> Table:
    from rich import box  # noqa: PLC0415 - slow to import, and help must not wait for it
    from rich.table import Table  # noqa: PLC0415
    from rich.text import Text  # noqa: PLC0415

    table = Table(box=box.ASCII2 if _plain() else box.SIMPLE_HEAD, pad_edge=False)
    for column in columns:
        justify: Literal["left", "right"] = "right" if column in right else "left"
        table.add_column(column, justify=justify, overflow=overflow, no_wrap=no_wrap)
    for row in rows:
        table.add_row(*(Text(shown(cell) if _plain() else in_order(shown(cell))) for cell in row))
    return table


def _plain() -> bool:
    return not (sys.stdout.encoding or "").lower().startswith("utf")


class ProgressWatch:
    """Shows the best length so far of whatever is being solved; a context manager.

    On a terminal one line is kept up to date; elsewhere a line is written when the first layout is
    there, then at most every five seconds when it has become shorter, and when it is done.

    Parameters
    ----------
    quiet
        Show nothing at all.
    garment
        Lengths are millimetres of cloth; otherwise numbers without a unit.
    """

    def __init__(self, *, quiet: bool, garment: bool = True) -> None:
        self._quiet = quiet
        self._garment = garment
        self._live: Live | None = None
        self._said: dict[str, tuple[float, float]] = {}
        self._compiling_said = False
        # The solver's threads tell of their steps themselves.
        self._lock = threading.Lock()

    def __enter__(self) -> ProgressWatch:
        """Start the live line where there is a terminal to show it."""
        if not self._quiet and sys.stderr.isatty():
            from rich.console import Console  # noqa: PLC0415 - slow to import, needed only here
            from rich.live import Live  # noqa: PLC0415

            # Transient, so that what is left on the screen is the result.
            self._live = Live(console=Console(stderr=True), transient=True, refresh_per_second=8)
            self._live.start()
        return self

    def __exit__(self, *_error: object) -> None:
        """Take the live line away."""
        if self._live is not None:
            self._live.stop()

    def __call__(self, name: str, step: Progress) -> None:
        """Take one event of the solver on the cloth or instance of that name."""
        if not self._quiet:
            with self._lock:
                self._show(name, step)

    def _show(self, name: str, step: Progress) -> None:
        if step.phase == "compiling":
            self._say_compiling()
        elif self._live is not None:
            from rich.text import Text  # noqa: PLC0415 - already imported by Live

            line = in_order(shown(self._line(name, step)))
            self._live.update(Text(line, overflow="ellipsis", no_wrap=True))
        elif self._worth_a_line(name, step):
            say(self._line(name, step))

    def _say_compiling(self) -> None:
        if self._compiling_said:
            return
        self._compiling_said = True
        text = "preparing the solver for this computer: first run only, up to a minute or two"
        if self._live is not None:
            self._live.console.print(text)
        else:
            say(text)

    def _worth_a_line(self, name: str, step: Progress) -> bool:
        if step.length is None:
            return False
        known = self._said.get(name)
        due = known is None or (
            step.length < known[1] and step.seconds - known[0] >= _SECONDS_BETWEEN_LINES
        )
        if due or step.phase == "done":
            self._said[name] = (step.seconds, step.length)
            return True
        return False

    def _line(self, name: str, step: Progress) -> str:
        if step.length is None:
            return f"{name}: {step.phase} …"
        best = self._length(step.length)
        least = f", cannot be under {self._length(step.minimum)}" if step.minimum else ""
        word = "done" if step.phase == "done" else "best so far"
        return f"{name}: {word} {best}{least} ({step.seconds:.0f} s)"

    def _length(self, length: float) -> str:
        if self._garment:
            return f"{metres_text(length)} ({yards_text(length)})"
        return f"{length:.6g}"
