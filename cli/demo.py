"""``yardage demo``: the whole job on the costume that comes with the program."""

from __future__ import annotations

from importlib.resources import as_file, files

from .lay import run_lay
from .options import DEFAULT_SECONDS, PROCESSORS, Json, Out, Quiet, Seconds, Seed, Workers


def demo(
    *,
    seconds: Seconds = DEFAULT_SECONDS,
    seed: Seed = 0,
    workers: Workers = PROCESSORS,
    out: Out = None,
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Lay the storm queen's costume: a boned bodice, a trained skirt, a cape, on several cloths.

    Needs no files: the pattern pieces come with the program. Everything in them is invented.

    Example: **yardage demo --out storm-queen**
    """
    with as_file(files(f"{__package__}.sample_pieces")) as folder:
        run_lay(
            folder / "storm_queen.toml", seconds=seconds, seed=seed, workers=workers, out=out,
            units=None, as_json=as_json, quiet=quiet,
        )  # fmt: skip
