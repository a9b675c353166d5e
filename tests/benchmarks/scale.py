"""Measure how time, memory and speed grow with the number of pieces and of vertices.

Every lay is solved in a process of its own, so that its memory is its own and the peak of one
does not hide in that of another. Run by ``run.py``; ``python -m tests.benchmarks.scale CASE``
is one such process, its case and its answer in JSON.
"""

import json
import subprocess
import sys
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from .machine import ROOT, date, refuse_other_code
from .records import FOLDER, Scale, append, read

SIMPLIFIED = "simplified"


@dataclass(frozen=True)
class Case:
    """A lay to measure: how many pieces of how many drafts, of how many vertices each."""

    pieces: int
    drafted: int
    vertices: int
    simplified: str = ""
    seed: int = 0
    workers: int = 2
    seconds: float = 120.0

    def key(self, commit):
        """Return the key of the row that would come of it."""
        return (
            commit, self.pieces, self.drafted, self.vertices, self.simplified,
            self.seed, self.workers, self.seconds,
        )  # fmt: skip


def _drafts(pieces):
    """Return how many different pieces: four copies of each, as in two pairs."""
    return max(1, pieces // 4)


USUAL_PIECES, USUAL_VERTICES = 50, 60
FEW_PIECES = 12
"""So few that even unsimplified outlines of thousands of vertices are compacted in minutes."""
CASES = (
    *(Case(n, _drafts(n), USUAL_VERTICES) for n in (25, 50, 100, 200, 400)),
    *(Case(USUAL_PIECES, _drafts(USUAL_PIECES), v) for v in (10, 30, 100, 300)),
    Case(USUAL_PIECES, _drafts(USUAL_PIECES), 2000, SIMPLIFIED),
    Case(FEW_PIECES, _drafts(FEW_PIECES), 2000, SIMPLIFIED, seconds=20.0),
)
QUICK = (Case(20, 5, 12, seconds=3.0), Case(20, 5, 300, SIMPLIFIED, seconds=3.0))


def measure_missing(cases, now, folder=FOLDER):
    """Measure the cases without a row for this state of the code, appending each as it comes."""
    from rich.console import Console  # noqa: PLC0415 - the measured process stays without it

    screen = Console(stderr=True)
    done = {row.key for row in read(Scale, folder)}
    missing = [case for case in cases if case.key(now["commit"]) not in done]
    if missing:
        # Compiling kernels takes memory that laying does not: let another process do it.
        _in_a_process(Case(4, 2, 12, seconds=0.1))
    for case in missing:
        words = f"{case.pieces} pieces of {case.vertices} vertices {case.simplified}".strip()
        with screen.status(words):
            found = _in_a_process(case)
        refuse_other_code(now["commit"])
        append([Scale(**asdict(case), **found, **now, date=date())], folder)
        screen.print(f"{words}: {found['density']:.2f} %, {found['memory']:.0f} MB")


def _in_a_process(case):
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.scale", json.dumps(asdict(case))],
        cwd=ROOT,
        check=False,
        stdout=subprocess.PIPE,
        text=True,
    )
    if done.returncode == 130:
        raise KeyboardInterrupt
    done.check_returncode()
    return json.loads(done.stdout)


def measure(case):
    """Solve one lay in this process; return the measured columns of its row."""
    from nesting.engine.scaled import scale_problem  # noqa: PLC0415
    from nesting.engine.solve import solve  # noqa: PLC0415
    from nesting.engine.tables import build_tables  # noqa: PLC0415
    from nesting.model.stop import Stop  # noqa: PLC0415

    from .pieces import drafted_lay  # noqa: PLC0415

    true = drafted_lay(case.pieces, case.drafted, case.vertices, case.seed)
    problem = _simplified(true) if case.simplified else true
    solve(drafted_lay(6, 3, 12, seed=0), stop=Stop(iterations=1))
    sweeps, filled = _count_sweeps(), []
    target = problem.area / (0.85 * problem.width)
    result = solve(
        problem,
        stop=Stop(seconds=case.seconds, target=target),
        seed=case.seed,
        workers=case.workers,
        on_event=lambda step: filled.append(step.seconds) if step.phase == "first" else None,
    )
    if result.stop_reason == "interrupted":
        sys.exit(130)
    memory = peak_memory()
    began = time.monotonic()
    tables = build_tables(scale_problem(problem), workers=case.workers)
    spent = time.monotonic() - began
    return {
        "kept": round(sum(len(s.outer) for s in problem.shapes) / len(problem.shapes), 1),
        "growth": round(100.0 * (problem.area / true.area - 1.0), 4),
        "longer": _longer(true, result) if _comparable(case) else None,
        "tables": round(spent, 3),
        "shown": round(result.history[0][0], 3),
        "preparing": round(filled[0], 3) if filled else None,
        "to_80": _reached(result, 0.80),
        "to_85": _reached(result, 0.85),
        "density": round(100.0 * result.utilisation, 4),
        "sweeps_per_second": round(sum(sweeps) / (result.seconds - filled[-1]), 1)
        if sum(sweeps)
        else None,
        "evaluations_per_second": round(_evaluations_per_second(result, tables)),
        "memory": round(memory, 1),
        "checked": _verdict(true, result),
    }


def _simplified(problem):
    """Return the problem with every outline simplified outward as it is for a garment."""
    from nesting.geometry.simplify import simplify_outward  # noqa: PLC0415
    from nesting.model.problem import PlacementProblem, Shape  # noqa: PLC0415
    from nesting.tolerances import SIMPLIFY_OUTWARD  # noqa: PLC0415

    shapes = tuple(Shape(simplify_outward(s.outer, SIMPLIFY_OUTWARD)) for s in problem.shapes)
    return PlacementProblem(shapes, problem.items, problem.width)


def _comparable(case):
    return bool(case.simplified) and case.pieces <= FEW_PIECES


def _longer(true, result):
    """Return by how many per cent a layout is longer than the same with the true outlines.

    Both are compacted in the same way, with no search, before they are compared.
    """
    from nesting.engine.solve import solve  # noqa: PLC0415
    from nesting.model.stop import Stop  # noqa: PLC0415

    at_once = Stop(iterations=1, target=2.0 * result.length)
    simplified, exact = (
        solve(problem, stop=at_once, start=result.layout).length
        for problem in (result.problem, true)
    )
    return round(100.0 * (simplified / exact - 1.0), 4)


def _count_sweeps():
    """Count the sweeps of all workers from here on, in the list that is returned."""
    from nesting.engine import search  # noqa: PLC0415

    counted, kernel = [], search.sweeps

    def sweeps(*arguments):
        done = kernel(*arguments)
        counted.append(done)
        return done

    search.sweeps = sweeps
    return counted


def _evaluations_per_second(result, tables):
    """Time the overlap of a piece at random places with all others, none left out early."""
    import numpy as np  # noqa: PLC0415

    from nesting.engine.scaled import scale_problem  # noqa: PLC0415

    scaled = scale_problem(result.problem)
    shape, x, y = scaled.centres(result.layout)
    length = float((x + tables.half[shape, 0]).max())
    rng = np.random.default_rng(0)
    count = 2_000
    moving = rng.integers(0, len(shape), count)
    half = tables.half[shape[moving]]
    at = half + rng.random((count, 2)) * (np.array([length, scaled.width]) - 2.0 * half)
    evaluate = _evaluation_loop()
    arguments = (tables, shape, x, y, np.ones(len(shape)), moving, at)
    evaluate(*arguments)
    begun, rounds = time.perf_counter(), 0
    while time.perf_counter() - begun < 0.5:
        evaluate(*arguments)
        rounds += 1
    return rounds * count / (time.perf_counter() - begun)


def _evaluation_loop():
    """Return the compiled loop over ``cost_at``; not cached, so that it is never out of date."""
    import numba  # noqa: PLC0415
    import numpy as np  # noqa: PLC0415

    from nesting.engine.kernels import cost_at  # noqa: PLC0415

    @numba.njit(nogil=True, error_model="numpy")
    def evaluate(tables, shape, x, y, ones, moving, at):
        others = np.empty(len(shape), dtype=np.int64)
        total = 0.0
        for k in range(len(moving)):
            count = 0
            for j in range(len(shape)):
                if j != moving[k]:
                    others[count] = j
                    count += 1
            total += cost_at(
                tables, shape, x, y, ones, others, 0, count, shape[moving[k]],
                at[k, 0], at[k, 1], np.inf,
            )  # fmt: skip
        return total

    return evaluate


def _reached(result, density):
    """Return the seconds until the search had a layout of this density, or None."""
    area = result.utilisation * result.length
    for when, length in result.history:
        if area / length >= density:
            return round(when, 3)
    return None


def _verdict(true, result):
    """Check the layout with the true outlines, which lie inside those that were laid."""
    from nesting.verify.check import check_result  # noqa: PLC0415

    end = max(true.shapes[p.shape].box[2] + p.x for p in result.layout)
    findings = check_result(true, result.layout, end, tolerance=1e-6 * true.width)
    sys.stderr.writelines(f"{finding}\n" for finding in findings)
    return "refused" if findings else "accepted"


def peak_memory():
    """Return the greatest resident memory of this process and of the largest one it started, MB.

    On Linux from /proc, since there the usage counter starts with the memory of the process
    that started this one.
    """
    import resource  # noqa: PLC0415 - not on every system, and needed only here

    status = Path("/proc/self/status")
    unit = 2.0**20 if sys.platform == "darwin" else 2.0**10
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit
    if status.exists():
        fields = dict(line.split(":", 1) for line in status.read_text("utf-8").splitlines())
        own = float(fields["VmHWM"].split()[0]) * 2.0**10
    return (own + resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * unit) / 1e6


if __name__ == "__main__":
    sys.stdout.write(json.dumps(measure(Case(**json.loads(sys.argv[1])))))
