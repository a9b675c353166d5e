"""Measure how long the engine takes to start: first with no compiled kernels, then with them."""

import json
import os
import subprocess
import sys
import tempfile

from .machine import ROOT, date, refuse_other_code
from .records import FOLDER, Start, append

REPEATS = 3
"""Warm starts of which the quickest counts: the rest is what else the machine had to do."""

_CHILD = """
import json, time
begun = time.perf_counter()
import numba, numpy
from ortools.linear_solver import pywraplp
libraries = time.perf_counter()
from nesting.engine.solve import solve
from nesting.model.stop import Stop
imported = time.perf_counter()
from tests.benchmarks.pieces import drafted_lay
problem = drafted_lay(6, 3, 12, seed=0)
phases = []
def tell(step):
    phases.append((step.phase, time.perf_counter()))
laid = [time.perf_counter()]
for _ in range(2):
    solve(problem, stop=Stop(iterations=2), on_event=tell)
    laid.append(time.perf_counter())
when = dict(reversed(phases))
print(json.dumps({
    "libraries": libraries - begun,
    "imported": imported - libraries,
    "compile": when["preparing"] - when["compiling"] if "compiling" in when else 0.0,
    "first_lay": laid[1] - laid[0],
    "second_lay": laid[2] - laid[1],
}))
"""


def measure(now, folder=FOLDER):
    """Append one row: a cold start, and the quickest of a few warm ones."""
    with tempfile.TemporaryDirectory() as cache:
        cold = _start(cache)
        if cold["compile"] <= 0.0:
            raise RuntimeError("the engine found compiled kernels in an empty cache")
        warm = [_start(cache) for _ in range(REPEATS)]
    if any(one["compile"] > 0.0 for one in warm):
        raise RuntimeError("the engine compiled its kernels although the cache was full")
    refuse_other_code(now["commit"])
    seconds = {name: round(min(one[name] for one in warm), 3) for name in warm[0]}
    seconds["compile"] = round(cold["compile"], 3)
    append([Start(**seconds, **now, date=date())], folder)


def _start(cache):
    """Start a new interpreter with its own cache of kernels; return its seconds by name."""
    done = subprocess.run(
        [sys.executable, "-c", _CHILD],
        cwd=ROOT,
        env={**os.environ, "NUMBA_CACHE_DIR": cache},
        check=True,
        capture_output=True,
        text=True,
    )
    return json.loads(done.stdout)
