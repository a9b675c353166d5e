"""The public names: the documented ones and no more, each described, and cheap to import."""

import re
import subprocess
import sys
import tomllib
from importlib.metadata import PackageNotFoundError, metadata, version
from pathlib import Path

import pytest

import nesting

DEVELOPERS = Path(__file__).parent.parent / "DEVELOPERS.md"
NAMES = sorted(nesting.__all__)
HEAVY = {"ezdxf", "matplotlib", "numba", "numpy", "ortools", "pydantic", "shapely"}


def documented():
    """Return the names in the first column of the table under "Public names"."""
    section = DEVELOPERS.read_text("utf-8").split("\n## Public names\n", 1)[1].split("\n## ", 1)[0]
    return sorted(re.findall(r"^\| `(\w+)", section, flags=re.MULTILINE))


def in_a_fresh_python(code):
    """Return what a program prints in a Python of its own."""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_the_documented_names_are_the_public_names():
    """DEVELOPERS.md lists exactly what ``__all__`` gives, and there are few of them."""
    assert documented() == NAMES
    assert len(NAMES) == len(set(NAMES)) <= 20


@pytest.mark.parametrize("name", NAMES)
def test_every_name_is_there_and_described(name):
    """Each name can be imported and has a docstring of its own that ends its first line well."""
    found = getattr(nesting, name)
    assert name in dir(nesting)
    if name == "__version__":
        assert found == version("yardage")
        return
    assert found.__module__.startswith("nesting.")
    # Not inherited: a class without one would else show its parent's.
    described = found.__dict__.get("__doc__") if isinstance(found, type) else found.__doc__
    assert described
    assert described.strip().splitlines()[0].endswith((".", ":"))


def test_an_unknown_name_is_an_attribute_error():
    """A slip in a name says so, as with any module."""
    with pytest.raises(AttributeError, match="'read_pln'"):
        _ = nesting.read_pln


def test_importing_loads_nothing_heavy():
    """``import nesting`` loads neither the solver, the readers nor the plots, nor does dir()."""
    code = f"import sys, nesting; dir(nesting); print(sorted({HEAVY!r} & set(sys.modules)))"
    assert in_a_fresh_python(code) == "[]"


def test_a_name_loads_only_what_it_needs():
    """Reading a layout needs no compiled kernels and no plots."""
    code = (
        "import sys; from nesting import read_layout;"
        "print(sorted({'numba', 'matplotlib', 'ortools', 'ezdxf'} & set(sys.modules)))"
    )
    assert in_a_fresh_python(code) == "[]"


def test_the_map_names_every_module():
    """Each module of the two packages has its place in the map, and the map names no other."""
    text = DEVELOPERS.read_text("utf-8").split("\n## Map of the code\n", 1)[1].split("\n## ", 1)[0]
    named = re.findall(r"`((?:nesting|cli)/[\w/]+\.py)`", text)
    root = DEVELOPERS.parent
    modules = {
        path.relative_to(root).as_posix()
        for folder in ("nesting", "cli")
        for path in (root / folder).rglob("*.py")
        if path.name != "__init__.py"
    }
    assert sorted(named) == sorted(modules | {"nesting/__init__.py"})


def dependencies():
    """Return {package: (lower bound, licence)} of the table under "Dependencies"."""
    rows = DEVELOPERS.read_text("utf-8").split("\n## Dependencies\n", 1)[1].splitlines()
    table = {}
    for row in rows:
        if row.startswith("| ") and not row.startswith(("| package", "| ---")):
            packages, bounds, licences, _ = [cell.strip() for cell in row.strip("|").split(" | ")]
            names = packages.split(", ")
            told = licences.split(", ") if licences.count(",") == len(names) - 1 else [licences]
            told *= len(names) if len(told) < len(names) else 1
            table |= dict(zip(names, zip(bounds.split(", "), told, strict=True), strict=True))
    return table


@pytest.mark.parametrize("group", ["dependencies", "cluster", "browser", "test", "dev"])
def test_every_dependency_is_explained(group):
    """Each requirement of the project stands in the table with its lower bound."""
    project = tomllib.loads((DEVELOPERS.parent / "pyproject.toml").read_text("utf-8"))["project"]
    needed = project if group == "dependencies" else project["optional-dependencies"]
    for requirement in needed[group]:
        name, _, bound = requirement.partition(">=")
        if not name.startswith("yardage"):
            assert dependencies()[name][0] == bound


FAMILIES = {
    "BSD": ("BSD",), "MIT": ("MIT",), "Apache": ("Apache",), "MPL": ("MPL", "Mozilla"),
    "PSF": ("PSF", "Python Software Foundation"),
}  # fmt: skip


def test_licences_are_those_the_packages_state():
    """The table's licence is of the family that the installed package's own metadata name."""
    compared = 0
    for name, (_, told) in dependencies().items():
        try:
            found = metadata(name)
        except PackageNotFoundError:
            continue  # an extra that need not be here
        stated = [found.get("License-Expression") or "", (found.get("License") or "")[:60]]
        stated += [one for one in found.get_all("Classifier") or [] if one.startswith("License")]
        family = next(family for family in FAMILIES if family in told)
        assert any(word in one for word in FAMILIES[family] for one in stated), (name, stated)
        compared += 1
    assert compared >= 15


@pytest.mark.parametrize("words", ["--help", "--version", "lay --help"])
def test_help_loads_nothing_heavy(words):
    """Help and version wait for neither solver, readers nor plots (typer itself asks pydantic)."""
    code = (
        "import sys; sys.argv = ['yardage', *" + repr(words.split()) + "]\n"
        "from nesting_cli.main import run\n"
        "try:\n    run()\nexcept SystemExit:\n    pass\n"
        f"print(sorted({HEAVY - {'pydantic'}!r} & set(sys.modules)))"
    )
    assert in_a_fresh_python(code).splitlines()[-1] == "[]"
