"""Which cloths and widths are compared."""

from dataclasses import replace

import pytest

from nesting.comparing.candidates import candidates, layers_of
from nesting.errors import InputError
from nesting.model.costing import Layer
from nesting.model.plan import Cloth, Plan, PlanPiece
from tests.handmade import pattern, rectangle

SILK, COTTON, LAWN = Cloth("silk", 1400.0), Cloth("cotton", 900.0), Cloth("lawn", 1150.0)
GORE = PlanPiece("gore", pattern("gore", rectangle(300, 500)), "silk", 2, 1)
LINING = replace(GORE, name="lining", cloth="lawn")


def plan_of(*pieces, layers=(), cloths=(SILK, COTTON, LAWN)):
    """Return a plan of these pieces."""
    return Plan("test", "cm", cloths, pieces, layers=layers)


def named(found):
    """Return layer, cloth and width of candidates."""
    return [(one.layer, one.cloth.name, one.cloth.width) for one in found]


def test_all_cloths_are_alternatives_where_one_is_cut_from():
    """The one the pieces name comes first; nothing has to be said in the plan."""
    found = candidates(plan_of(GORE))
    assert named(found) == [
        ("silk", "silk", 1400.0), ("silk", "cotton", 900.0), ("silk", "lawn", 1150.0)
    ]  # fmt: skip
    assert [one.rank for one in found] == [0, 1, 2]
    assert [one.copies for one in found] == [3, 3, 3]
    assert all(one.plan.pieces[0].cloth == one.cloth.name for one in found)


def test_layers_as_the_plan_names_them():
    """A cloth that no layer lists is a layer by itself; one that nothing is cut from is none."""
    plan = plan_of(GORE, LINING, layers=(Layer("outer", ("cotton", "silk")),))
    assert [layer.name for layer in layers_of(plan)] == ["outer", "lawn"]
    assert named(candidates(plan)) == [
        ("outer", "cotton", 900.0), ("outer", "silk", 1400.0), ("lawn", "lawn", 1150.0)
    ]  # fmt: skip
    unlisted = plan_of(GORE, LINING)
    assert [layer.name for layer in layers_of(unlisted)] == ["silk", "lawn"]


def test_widths_are_added_to_cloth_still_to_be_bought():
    """Each once, after the plan's own; what is owned has the width it has."""
    owned = replace(COTTON, length=2000.0)
    found = candidates(plan_of(GORE, cloths=(SILK, owned)), [900.0, 1400.0, 900.0])
    assert named(found) == [
        ("silk", "silk", 1400.0), ("silk", "silk", 900.0), ("silk", "cotton", 900.0)
    ]  # fmt: skip
    assert [one.as_planned for one in found] == [True, False, True]
    assert [one.number for one in found] == [0, 1, 2]


def test_the_widths_a_shop_has_are_tried_too():
    """Those the plan names come before those asked for, each once."""
    sold = replace(SILK, widths=(1120.0, 1400.0))
    found = candidates(plan_of(GORE, cloths=(sold,)), [1120.0, 1500.0])
    assert [one.cloth.width for one in found] == [1400.0, 1120.0, 1500.0]


def test_no_candidate_studies_its_train():
    """The study lays the pieces many times over, and no row tells of it."""
    found = candidates(plan_of(replace(GORE, train=True)))
    assert not any(piece.train for one in found for piece in one.plan.pieces)


def test_a_width_that_the_selvages_use_up_is_refused():
    """With the cloth's name."""
    edged = replace(SILK, selvage=50.0)
    with pytest.raises(InputError, match="between the selvages of 'silk'"):
        candidates(plan_of(GORE, cloths=(edged,)), [100.0])


def test_a_faulty_piece_is_told_before_anything_is_solved():
    """A half whose fold is no edge of it fits no cloth, however wide."""
    torn = replace(GORE, pattern=replace(GORE.pattern, mirror=((50.0, 10.0), (50.0, 90.0))))
    with pytest.raises(InputError, match="gore"):
        candidates(plan_of(torn))
