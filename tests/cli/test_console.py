"""Progress: sparse lines away from a terminal, one live line on one, none when quiet."""

import io
import sys

from nesting_cli.console import ProgressWatch, say_missing_letters

from nesting.model.events import Progress


def steps():
    """Return a run as the engine tells of it."""
    return [
        Progress("compiling", 0.0),
        Progress("compiling", 0.1),
        Progress("preparing", 0.2),
        Progress("first", 1.0, length=5000.0, minimum=4000.0),
        *(Progress("searching", 1.0 + k, length=5000.0 - 10 * k) for k in range(1, 13)),
        Progress("done", 14.0, length=4880.0, minimum=4000.0),
    ]


def test_sparse_lines(capsys):
    """Compiling is said once, then the first layout, then at most a line every five seconds."""
    with ProgressWatch(quiet=False) as watch:
        for step in steps():
            watch("silk", step)
    captured = capsys.readouterr()
    assert not captured.out
    lines = captured.err.splitlines()
    assert "first run only" in lines[0]
    assert lines[1] == (
        "silk: best so far 5.00 m (5 1/2 yd), cannot be under 4.00 m (4 3/8 yd) (1 s)"
    )
    assert [line.rpartition("(")[2] for line in lines[2:]] == ["6 s)", "11 s)", "14 s)"]
    assert lines[-1].startswith("silk: done 4.88 m")


def test_quiet(capsys):
    """Nothing is said."""
    with ProgressWatch(quiet=True) as watch:
        for step in steps():
            watch("silk", step)
    captured = capsys.readouterr()
    assert not captured.out + captured.err


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self):
        """Return True."""
        return True


def test_live_line(monkeypatch):
    """On a terminal the best length is kept in one place and taken away at the end."""
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("COLUMNS", "100")
    with ProgressWatch(quiet=False, garment=False) as watch:
        for step in steps():
            watch("swim", step)
    shown = terminal.getvalue()
    assert "swim: done 4880" in shown
    assert "first run only" in shown
    assert "\x1b[2K" in shown[shown.rindex("done 4880") :]


def test_letters_without_a_font_are_told_once(capsys, monkeypatch):
    """One line names them, a dozen at most; nothing is said where every letter has a font."""
    monkeypatch.setattr("nesting.plot.fonts.letters_without_font", "".join)
    say_missing_letters([])
    assert capsys.readouterr().err == ""
    say_missing_letters(["\u7d79", "\u8896"])
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("no font on this computer has \u7d79 \u8896; drawings show a box")
    say_missing_letters(["abcdefghijklmnop"])
    assert "j k l and others;" in capsys.readouterr().err
