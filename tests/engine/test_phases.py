"""Lattices of unknown offset in the search, without any exact solver."""

from __future__ import annotations

import pytest

from nesting.engine.solve import solve
from nesting.model.problem import Domain, Item, Lattice, Phase, PlacementProblem, Position
from nesting.model.stop import Stop

from .proofs import searched
from .test_rules_of_place import best, box


def pieces(*notches, phase=0):
    """Return pieces of 104 whose notches meet the same repeat of 16, on a strip for one."""
    items = tuple(
        Item(f"at {notch:g}", (0,), (Domain(lattice=Lattice(-notch, step_x=16.0, phase=phase)),))
        for notch in notches
    )
    return PlacementProblem((box(104, 60),), items, 70.0, phases=(Phase(),) * (phase + 1))


@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.parametrize("notches", [(100.0, 98.0), (98.0, 100.0)])
def test_the_search_alone_finds_the_better_order(notches, seed):
    """Whichever piece comes first at the beginning, they end at 214 and not at 218."""
    assert searched(pieces(*notches), seed=seed) == pytest.approx(214.0, rel=1e-9)


def test_a_layout_given_carries_its_own_offset():
    """A start in which the repeat is 3 off is taken as it is, and slides to the cut end."""
    problem = pieces(100.0, 98.0)
    start = [Position(0, 16.0 * 8 - 100 + 3 + 112, 0.0), Position(0, 16.0 * 7 - 98 + 3, 5.0)]
    result = solve(problem, stop=Stop(iterations=1), start=start)
    assert result.length == pytest.approx(214.0, rel=1e-9)


def test_a_start_off_its_lattice_is_no_layout():
    """Two pieces that would need two offsets are refused as a start."""
    start = [Position(0, 0.0, 0.0), Position(0, 120.0, 0.0)]
    with pytest.raises(ValueError, match="not a layout"):
        solve(pieces(100.0, 98.0), stop=Stop(iterations=1), start=start)


def test_the_polish_keeps_to_a_repeat():
    """Of two that lie beside each other the one on a repeat from 5 on ends at 45."""
    domain = Domain(lattice=Lattice(5.0, step_x=64.0))
    items = (Item("on it", (0,), (domain,)), Item("free", (0,)))
    result = best(PlacementProblem((box(40, 30),), items, 60.0))
    assert result.layout[0].x == pytest.approx(5.0, abs=1e-9)
    assert result.length == pytest.approx(45.0, rel=1e-9)
    assert result.status == "proven best"
