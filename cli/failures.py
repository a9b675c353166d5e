"""Every failure ends in one line on standard error and the exit code of the contract."""

from __future__ import annotations

import os
from typing import Any, Final

import typer
from typer.core import TyperGroup

from nesting.errors import YardageError

from .console import say_error

DOES_NOT_FIT: Final = 3
INTERRUPTED: Final = 130
_TRACEBACK: Final = "YARDAGE_TRACEBACK"


class ReportingGroup(TyperGroup):
    """The commands, with every exception they raise turned into one line and an exit code."""

    def invoke(self, ctx: Any) -> Any:  # noqa: ANN401 - the library keeps its types private
        """Run the chosen command.

        Raises
        ------
        typer.Exit
            With the error's own code; 1 for an error nobody foresaw; 130 when interrupted.
        """
        try:
            return super().invoke(ctx)
        except YardageError as error:
            _show_traceback_if_asked()
            say_error(str(error))
            raise typer.Exit(error.exit_code) from None
        except KeyboardInterrupt:
            say_error("interrupted before there was a checked layout; nothing was written")
            raise typer.Exit(INTERRUPTED) from None
        except BrokenPipeError:
            # Whoever read our output has had enough; the library ends quietly on this.
            raise
        except Exception as error:
            if _is_the_librarys(error):
                raise
            _show_traceback_if_asked()
            say_error(
                f"internal error: {type(error).__name__}: {error}; this is a fault of the "
                f"program, not of your files: please report it with your plan, and with what "
                f"is shown when {_TRACEBACK}=1 is set in the environment"
            )
            raise typer.Exit(1) from None


def _is_the_librarys(error: Exception) -> bool:
    """Tell whether the command line library raises this to end or to explain wrong usage."""
    return isinstance(error, typer.Exit | typer.Abort) or hasattr(error, "exit_code")


def _show_traceback_if_asked() -> None:
    if os.environ.get(_TRACEBACK):
        import traceback  # noqa: PLC0415 - only when asked

        typer.echo(traceback.format_exc(), err=True)
