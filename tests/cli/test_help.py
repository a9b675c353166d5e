"""The help: there for every command, with an example, and quick to come."""

import re
import subprocess
import sys

import pytest

COMMANDS = ("demo", "check", "lay", "draw", "bench")


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_shows_an_example(command, run):
    """The example in the help begins with the command's own name."""
    result = run(command, "--help")
    assert result.exit_code == 0
    text = re.sub(r"\s+", " ", result.stdout)
    assert f"Example: yardage {command}" in text


def test_help_lists_commands_and_exit_codes(run):
    """The overview names every command and every exit code."""
    result = run("--help")
    assert result.exit_code == 0
    for word in (*COMMANDS, "130", "independent check"):
        assert word in result.stdout


def test_version(run):
    """The version is that of the installed package."""
    from importlib.metadata import version  # noqa: PLC0415

    assert run("--version").stdout.strip() == f"yardage {version('yardage')}"


def test_help_imports_nothing_heavy():
    """Help and completion do not wait for the solver, the readers or the plots."""
    code = (
        "import sys, nesting_cli.main;"
        "heavy = {'matplotlib', 'numba', 'ortools', 'shapely', 'ezdxf', 'numpy', 'pydantic'};"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_shell_completion_knows_the_commands(command):
    """Completion offers the command that a beginning can only mean."""
    process = command(_YARDAGE_COMPLETE="complete_bash", COMP_WORDS="yardage la", COMP_CWORD="1")
    out, _ = process.communicate(timeout=60)
    assert out.split() == ["lay"]
