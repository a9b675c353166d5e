"""One run of mutmut, in a process of its own that has imported nothing of the project.

Started by :mod:`tests.trust.mutants` with the package, the share to try, the seed, a file for
the results, and where only some mutants are wanted, patterns of their names.
"""

import ast
import json
import os
import random
import re
import sys
from fnmatch import fnmatch
from pathlib import Path

import mutmut.__main__ as mutmut
from hypothesis import settings
from mutmut.configuration import config
from mutmut.mutation.diff_apply import get_diff_for_mutant
from mutmut.state import state
from mutmut.stats import status_by_exit_code
from mutmut.utils.format_utils import orig_function_and_class_names_from_key

TESTS = {
    "verify": ["tests/verify", "tests/trust/test_random_plans.py"],
    "rules": ["tests/rules", "tests/test_breadths.py", "tests/trust/test_random_plans.py"],
}
"""Where the tests of each package are; which of them cover a function is found by running them."""

MOST = 12.0
"""Seconds of tests for one mutant: the quickest that cover its function, up to so much in all."""


def quickest(tests, seconds):
    """Return the quickest tests up to a time in all, and always one."""
    chosen, spent = set(), 0.0
    for test in sorted(tests, key=lambda test: (seconds[test], test)):
        if chosen and spent + seconds[test] > MOST:
            break
        chosen.add(test)
        spent += seconds[test]
    return chosen


def prepare(package):
    """Set what of the configuration depends on the package."""
    config().source_paths = [Path("nesting") / package]
    config().pytest_add_cli_args_test_selection = TESTS[package]
    # The same examples for every mutant, and none learnt from another one.
    settings.register_profile("mutants", deadline=None, database=None, derandomize=True)


def choose_tests(collect):
    """Return mutmut's collection of tests per function, cut down to the quickest."""

    def collected(*args, **kwargs):
        collect(*args, **kwargs)
        covering = state().tests_by_mangled_function_name
        for name, tests in covering.items():
            covering[name] = quickest(tests, state().duration_by_test)

    return collected


def choose_mutants(collect, share, seed, only):
    """Return mutmut's list of mutants, cut down to the sample; ``made`` gets them all."""
    made = []

    def collected(*, mutant_names):
        mutants, by_path = collect(mutant_names=mutant_names)
        made.extend(mutants)
        wanted = [
            one for one in mutants if not only or any(fnmatch(one[1], name) for name in only)
        ]
        draw = random.Random(seed)  # noqa: S311 - to repeat itself
        if share < 1.0:
            wanted = draw.sample(wanted, round(share * len(wanted)))
        chosen.extend(name for _, name, _ in wanted)
        return wanted, by_path

    chosen = []
    return collected, made, chosen


def place(path, name):
    """Return where in its file the function of a mutant begins, comments above it included."""
    function, owner = orig_function_and_class_names_from_key(name)
    lines = path.read_text(encoding="utf-8").splitlines()
    body = ast.parse("\n".join(lines)).body
    if owner:
        body = next(n for n in body if isinstance(n, ast.ClassDef) and n.name == owner).body
    node = next(n for n in body if isinstance(n, ast.FunctionDef) and n.name == function)
    first = above = min([node.lineno, *(d.lineno for d in node.decorator_list)])
    while above > 1 and (not lines[above - 2].strip() or lines[above - 2].startswith("#")):
        above -= 1
        if lines[above - 1].strip():
            first = above
    return first


def change(path, name):
    """Return the line of the file that a mutant changes, and the lines before and after."""
    diff = get_diff_for_mutant(name, path=path).splitlines()[2:]
    at, line, before, after = None, 0, [], []
    for text in diff:
        hunk = re.match(r"@@ -(\d+)", text)
        if hunk:
            line = int(hunk[1])
        elif text.startswith("+"):
            after.append(text[1:].strip())
        else:
            if text.startswith("-"):
                at = at or line
                before.append(text[1:].strip())
            line += 1
    return place(path, name) + (at or line) - 1, " ".join(before), " ".join(after)


def main():
    """Make the mutants, try those of the sample, and write what became of each."""
    package, share, seed, out, *only = sys.argv[1:]
    prepare(package)
    sampled, made, chosen = choose_mutants(
        mutmut.collect_source_file_mutation_data, float(share), seed, only
    )
    mutmut.collect_source_file_mutation_data = sampled
    mutmut.collect_or_load_stats = choose_tests(mutmut.collect_or_load_stats)
    # What is run once more without any mutant is what will be run with one.
    mutmut.tests_for_mutant_names = lambda names: set().union(
        *state().tests_by_mangled_function_name.values()
    )
    mutmut._run((), os.cpu_count() or 1)
    where = {name: data for data, name, _ in made}
    results = []
    for name in chosen:
        status = status_by_exit_code[where[name].exit_code_by_key[name]]
        line, before, after = change(Path(where[name].path), name)
        results.append(
            {"name": name, "status": status, "file": str(where[name].path), "line": line,
             "before": before, "after": after}
        )  # fmt: skip
    Path(out).write_text(json.dumps({"made": len(made), "tried": results}), encoding="utf-8")


if __name__ == "__main__":
    main()
