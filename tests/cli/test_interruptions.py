"""Whatever ends a run, files are whole or absent, and the best checked layout survives."""

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from nesting_cli.interrupt import graceful_stop

from nesting import atomic
from nesting.readers.layout import read_layout
from nesting.readers.plan import read_plan
from nesting.verify.check import check_layout

from .conftest import one_line
from .test_failures import altered

LONG = ("--seconds", "600", "--out", "kept", "--workers", "1")


@pytest.fixture
def hard_plan(plan):
    """Return a plan with so many copies that nothing is proven best within the test."""
    altered(plan, "cut = 2", "cut = 11")
    altered(plan, 'cut = "pair"', "cut = 3")
    return plan


@pytest.fixture
def start(tmp_path):
    """Return a function that runs the command as a process of its own, from this very source."""
    processes = []

    def run(*arguments, before=""):
        code = f"import sys\n{before}\nfrom nesting_cli.main import run\nrun()"
        process = subprocess.Popen(
            [sys.executable, "-c", code, *map(str, arguments)],
            cwd=tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        processes.append(process)
        return process

    yield run
    for process in processes:
        process.kill()
        process.communicate()


def wait_for(path, process):
    """Wait until a file is there."""
    until = time.monotonic() + 120
    while not path.exists():
        assert process.poll() is None, process.stderr.read()
        assert time.monotonic() < until
        time.sleep(0.05)


def sound(path, plan):
    """Return a layout that reads back whole and that the independent check accepts."""
    layout = read_layout(path)
    assert check_layout(read_plan(plan), layout) == ()
    return layout


def test_kill_9_then_resume(start, hard_plan, tmp_path):
    """Killed outright the best layout so far is whole and sound; --resume is never worse."""
    process = start("lay", hard_plan, *LONG)
    kept = tmp_path / "kept" / "best-so-far.json"
    wait_for(kept, process)
    process.kill()
    process.communicate()
    before = sound(kept, hard_plan)
    assert {path.name for path in kept.parent.iterdir()} >= {kept.name}
    assert not (kept.parent / "layout.json").exists()
    done = start("lay", hard_plan, "--resume", "--seconds", "0.5", "--out", "kept")
    _, err = done.communicate(timeout=120)
    assert done.returncode == 0, err
    assert not kept.exists()
    after = sound(kept.with_name("layout.json"), hard_plan)
    assert after.lays[0].length <= before.lays[0].length + 1e-6
    assert (kept.parent / "report.html").exists()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_asked_twice_to_end(number, start, hard_plan, tmp_path):
    """A second signal ends the program at once with 130, and says where the layout is."""
    process = start("lay", hard_plan, *LONG)
    kept = tmp_path / "kept" / "best-so-far.json"
    wait_for(kept, process)
    process.send_signal(number)
    time.sleep(0.05)
    process.send_signal(number)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 130, err
    assert "Traceback" not in err
    named = kept if kept.exists() else kept.with_name("layout.json")
    sound(named, hard_plan)


def test_asked_twice_while_a_library_loads():
    """What a library makes of a second signal is still that signal; other errors stay theirs."""

    def load():
        """Turn an interruption into an error, as loading a module written in C does."""
        try:
            signal.raise_signal(signal.SIGINT)
        except KeyboardInterrupt:
            raise ImportError("initialization failed") from None

    def ask_and_load():
        with graceful_stop(quiet=True) as asked:
            signal.raise_signal(signal.SIGTERM)
            assert asked()
            load()

    def ask_and_miss():
        with graceful_stop(quiet=True):
            signal.raise_signal(signal.SIGTERM)
            raise ImportError("missing")

    with pytest.raises(KeyboardInterrupt):
        ask_and_load()
    with pytest.raises(ImportError, match="missing"):
        ask_and_miss()


def test_a_request_to_end_while_reading(start, tmp_path):
    """SIGTERM before there is anything to keep ends like Ctrl-C: 130, one line, no file."""
    (tmp_path / "plan.toml").touch()
    slow = (
        "import sys, time, pathlib\n"
        "def wait(*_): print('reading', flush=True); time.sleep(60)\n"
        "pathlib.Path.read_bytes = wait"
    )
    process = start("lay", "plan.toml", *LONG, before=slow)
    assert process.stdout.readline() == "reading\n"
    process.send_signal(signal.SIGTERM)
    _, err = process.communicate(timeout=30)
    assert process.returncode == 130, err
    assert err.count("\n") == 1
    assert not (tmp_path / "kept").exists()


@pytest.mark.slow
def test_a_full_disk_while_solving(start, hard_plan, tmp_path):
    """When nothing more can be written that is said once; the run ends with 1, nothing half."""
    full = (
        "import os, errno\n"
        "def full(_): raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))\n"
        "os.fsync = full"
    )
    process = start("lay", hard_plan, "--seconds", "3", "--out", "kept", before=full)
    _, err = process.communicate(timeout=120)
    assert process.returncode == 1, err
    assert err.count("could not be kept") == 1
    assert "No space left" in err.splitlines()[-1]
    assert "Traceback" not in err
    assert not list(tmp_path.glob("kept/*"))
    assert not [path for path in tmp_path.iterdir() if path.name.startswith(".")]


def test_a_full_disk_spares_what_was_there(tmp_path, monkeypatch):
    """A write that fails at any step leaves the old file as it was, and no other beside it."""
    target = tmp_path / "layout.json"
    target.write_bytes(b"old")

    def full(*_):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    for owner, name in ((os, "fsync"), (Path, "replace"), (Path, "chmod")):
        with monkeypatch.context() as patch:
            patch.setattr(owner, name, full)
            with pytest.raises(OSError, match="No space left"):
                atomic.write_atomic(target, b"new")
        assert target.read_bytes() == b"old"
        assert list(tmp_path.iterdir()) == [target]


@pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="there is no /proc here")
def test_a_folder_that_takes_no_files(plan, run):
    """A folder in which nothing can be made ends in one line and exit code 1."""
    result = run("lay", plan, "--seconds", "0.3", "--quiet", "--out", "/proc/self/kept")
    assert result.exit_code == 1
    assert "--out" in one_line(result)


@pytest.mark.slow
def test_resume_refuses_another_plan(plan, run, tmp_path):
    """A count, a point of a pattern or no layout at all: one line each, and nothing is touched."""
    result = run("lay", plan, "--resume", "--out", "out")
    assert result.exit_code == 1
    assert "no layout to go on from" in one_line(result)
    assert run("lay", plan, "--seconds", "0.3", "--quiet", "--out", "out").exit_code == 0
    made = (tmp_path / "here" / "out" / "layout.json").read_bytes()
    altered(plan, "cut = 2", "cut = 3")
    result = run("lay", plan, "--resume", "--out", "out")
    assert result.exit_code == 1
    assert "have changed" in one_line(result)
    altered(plan, "cut = 3", "cut = 2")
    altered(plan.with_name("pieces.svg"), "L 300 120", "L 300 121")
    result = run("lay", plan, "--resume", "--out", "out")
    assert "have changed" in one_line(result)
    altered(plan.with_name("pieces.svg"), "L 300 121", "L 300 120")
    assert (tmp_path / "here" / "out" / "layout.json").read_bytes() == made
    assert run("lay", plan, "--resume", "--seconds", "0.3", "--out", "out").exit_code == 0


def test_resume_survives_kept_positions_that_are_none(plan, run, tmp_path):
    """Positions in the file that overlap or name no shape are dropped, and the plan laid anew."""
    assert run("lay", plan, "--seconds", "0.3", "--quiet", "--out", "out").exit_code == 0
    path = tmp_path / "here" / "out" / "layout.json"
    whole = path.read_text("utf-8")
    layout = read_layout(path)
    assert layout.resume.starts
    for old, new in (('"length": 300', '"length": 3'), ('"shapes": [', '"shapes": [\n 99,')):
        path.write_text(whole, encoding="utf-8")
        altered(path, old, new)
        result = run("lay", plan, "--resume", "--seconds", "0.3", "--quiet", "--out", "out")
        assert "Traceback" not in result.output
        if new.endswith("99,"):
            assert result.exit_code == 1
            assert "of one length" in one_line(result)
        else:
            assert result.exit_code == 0
            assert read_layout(path).lays[0].length == pytest.approx(300.0, abs=0.01)
