"""Yardage: how little cloth to buy for a costume, and exactly how to cut it.

The public names, from a plan file to a checked layout::

    from pathlib import Path
    import nesting

    plan = nesting.read_plan(Path("gown.toml"))
    layout = nesting.lay_plan(plan, stop=nesting.Stop(seconds=20))
    print(nesting.summarise(plan, layout))
    nesting.write_markers(layout, Path("."))

Each is imported when it is first used, so that importing the package costs next to nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .comparing.run import compare
    from .engine.solve import solve
    from .errors import YardageError
    from .model.events import Progress
    from .model.layout import Layout
    from .model.plan import Plan
    from .model.problem import PlacementProblem
    from .model.result import Result
    from .model.stop import Stop
    from .planning import lay_plan
    from .plot.marker import write_markers
    from .readers.benchmark import read_benchmark
    from .readers.layout import read_layout
    from .readers.pattern import read_pattern
    from .readers.plan import read_plan
    from .report.layout_file import write_layout
    from .report.summary import summarise
    from .verify.check import check_layout, check_result

    __version__: str

__all__ = [
    "Layout",
    "PlacementProblem",
    "Plan",
    "Progress",
    "Result",
    "Stop",
    "YardageError",
    "__version__",
    "check_layout",
    "check_result",
    "compare",
    "lay_plan",
    "read_benchmark",
    "read_layout",
    "read_pattern",
    "read_plan",
    "solve",
    "summarise",
    "write_layout",
    "write_markers",
]

_HOME = {
    "Layout": "model.layout",
    "PlacementProblem": "model.problem",
    "Plan": "model.plan",
    "Progress": "model.events",
    "Result": "model.result",
    "Stop": "model.stop",
    "YardageError": "errors",
    "check_layout": "verify.check",
    "check_result": "verify.check",
    "compare": "comparing.run",
    "lay_plan": "planning",
    "read_benchmark": "readers.benchmark",
    "read_layout": "readers.layout",
    "read_pattern": "readers.pattern",
    "read_plan": "readers.plan",
    "solve": "engine.solve",
    "summarise": "report.summary",
    "write_layout": "report.layout_file",
    "write_markers": "plot.marker",
}


def _imported(name: str) -> object:
    """Import a public name where it lives, and keep it."""
    found: object
    if name == "__version__":
        found = import_module("importlib.metadata").version("yardage")
    elif name in _HOME:
        found = getattr(import_module(f".{_HOME[name]}", __name__), name)
    else:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    globals()[name] = found
    return found


if not TYPE_CHECKING:  # a type checker reads the imports above, and so still finds a slip
    __getattr__ = _imported  # PEP 562


def __dir__() -> list[str]:
    """Return the public names, imported or not, with all that is here already."""
    return sorted({*globals(), *__all__})
