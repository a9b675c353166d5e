"""Data flows one way: the imports of every file against the table of who may import whom."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
LIMIT_FILE, LIMIT_FUNCTION = 400, 60

# Which parts of the package each part may import, besides itself and the three below.
FROM_ANYWHERE = {"nesting.errors", "nesting.units", "nesting.tolerances", "nesting.atomic"}
MAY_IMPORT = {
    "nesting.geometry": set(),
    "nesting.model": {"nesting.geometry"},
    "nesting.readers": {"nesting.model", "nesting.geometry"},
    "nesting.rules": {"nesting.model", "nesting.geometry"},
    "nesting.engine": {"nesting.model", "nesting.geometry"},
    "nesting.verify": {"nesting.model"},
    "nesting.report": {"nesting.model"},
    "nesting.plot": {"nesting.model"},
    # No part of the table: the wiring of the whole job, and the package's public names.
    "nesting.planning": {"*"},
    "nesting.comparing": {"*"},
    "nesting.joining": {"nesting.model", "nesting.rules"},
    "nesting.effort": {"nesting.model"},
    "nesting.needs": {"nesting.model", "nesting.rules", "nesting.engine"},
    "nesting.train_study": {"nesting.model", "nesting.rules", "nesting.joining"},
    "nesting": {"*"},
    "nesting_cli": {"*"},
    "nesting_cli.sample_pieces": {"nesting"},
}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "CHANGELOG.md",
    "LICENSE",
    "pyproject.toml",
    "nesting",
    "cli",
    "tests",
    "sample_pieces",
}
MADE_BY_TOOLS = {"mutants", "yardage.egg-info", "build", "dist"}
RESULTS = "yardage-"  # the folders the command writes to unless told otherwise

# path -> reason; path:function -> reason. Nothing is exempt without one.
LONG_FILES: dict[str, str] = {}
_KERNEL = "a compiled loop over arrays whose running state would have to be passed in and out"
LONG_FUNCTIONS: dict[str, str] = {
    "nesting/engine/separate.py:relocate": _KERNEL,
}


def modules():
    """Return the dotted name of every module of the two packages, with its file."""
    found = {}
    for folder, package in (("nesting", "nesting"), ("cli", "nesting_cli")):
        found |= _under(ROOT / folder, package)
    return found | _under(ROOT / "sample_pieces", "nesting_cli.sample_pieces")


def _under(folder, package):
    found = {}
    for path in sorted(folder.rglob("*.py")):
        parts = [package, *path.relative_to(folder).with_suffix("").parts]
        if parts[-1] == "__init__":
            parts.pop()
        found[".".join(parts)] = path
    return found


MODULES = modules()


def part_of(module):
    """Return the part of the table a module belongs to."""
    return max(
        (part for part in MAY_IMPORT if module == part or module.startswith(f"{part}.")), key=len
    )


def imports(module):
    """Return the modules of the two packages that one file imports, relative imports resolved."""
    path = MODULES[module]
    package = (module if path.name == "__init__.py" else module.rpartition(".")[0]).split(".")
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            source = ".".join([*base, *([node.module] if node.module else [])])
            # "from . import x" may name a module, or something inside the package.
            named = {f"{source}.{alias.name}" for alias in node.names}
            found |= (named & set(MODULES)) or {source}
    return {name for name in found if name.split(".")[0] in {"nesting", "nesting_cli"}}


@pytest.mark.parametrize("module", sorted(MODULES))
def test_imports_follow_the_table(module):
    """A module imports only from its own part, the parts it may know, and the three below all."""
    part = part_of(module)
    for source in imports(module):
        to = part_of(source)
        allowed = to == part or source in FROM_ANYWHERE or MAY_IMPORT[part] & {"*", to}
        assert allowed, f"{module} imports {source}"
        if not module.startswith("nesting_cli"):
            assert not source.startswith("nesting_cli"), f"{module} imports the command line"


def test_the_three_below_import_nothing_else():
    """Errors, units and tolerances stand under everything, so they import only each other."""
    for module in FROM_ANYWHERE & set(MODULES):
        for source in imports(module):
            assert source in FROM_ANYWHERE, f"{module} imports {source}"


def test_there_is_no_cycle():
    """No module reaches itself through its imports."""
    graph = {module: imports(module) for module in MODULES}
    done, path = set(), []

    def visit(module):
        assert module not in path, " -> ".join([*path[path.index(module) :], module])
        if module in done or module not in graph:
            return
        path.append(module)
        for source in sorted(graph[module] - {module}):
            visit(source)
        path.pop()
        done.add(module)

    for module in graph:
        visit(module)


def test_packages_use_relative_imports_inside():
    """Inside a package imports are relative, so that it works under any installed name."""
    for module, path in MODULES.items():
        home = module.split(".")[0]
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and not node.level:
                assert node.module.split(".")[0] != home, f"{module}: {node.module}"


def sources():
    """Return every Python file of the project."""
    folders = ("nesting", "cli", "sample_pieces", "tests")
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def name_of(path):
    """Return a file's path from the top, with forward slashes."""
    return path.relative_to(ROOT).as_posix()


def test_no_file_is_too_long():
    """At most 400 lines a file, but for named exceptions; an exception no longer needed goes."""
    long = {
        name_of(path)
        for path in sources()
        if len(path.read_text("utf-8").splitlines()) > LIMIT_FILE
    }
    assert long == set(LONG_FILES)


def test_no_function_is_too_long():
    """At most 60 lines a function, its docstring not counted, but for named exceptions."""
    long = set()
    for path in sources():
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                continue
            doc = node.body[0] if ast.get_docstring(node) else None
            described = doc.end_lineno - doc.lineno + 1 if doc else 0
            if node.end_lineno - node.lineno + 1 - described > LIMIT_FUNCTION:
                long.add(f"{name_of(path)}:{node.name}")
    assert long == set(LONG_FUNCTIONS)


def test_top_level_holds_only_what_belongs_there():
    """The top level: the named files and folders, dot-files, and what the tools make."""
    found = {
        path.name for path in ROOT.iterdir() if not path.name.startswith((".", "__", RESULTS))
    }
    assert not found - TOP_LEVEL - MADE_BY_TOOLS
