"""Pieces with several cloths: every combination where they are few, the likeliest where many."""

from dataclasses import replace

import pytest

from nesting.errors import InputError
from nesting.model.plan import Cloth, Plan
from nesting.rules import choose_cloth
from nesting.rules.choose_cloth import choose_cloths
from nesting.rules.compile import compile_lay
from nesting.rules.to_layout import lay_from

from .garments import piece, rectangle, result_of


def laid(plan, cloth, share):
    """Return the lay of pieces one behind the other, as a plain cutter would lay them."""
    assert share > 0
    job = compile_lay(plan, cloth)
    x, placed = 0.0, []
    for ticket in job.tickets:
        shape = min(ticket.choices)
        placed.append((shape, x, 0.0))
        x += job.problem.shapes[shape].box[2]
    return (lay_from(job, result_of(job, placed)),)


def facings(count, *cloths):
    """Return a plan of so many facings, 100 along by 80, that may be cut from any cloth."""
    names = tuple(cloth.name for cloth in cloths)
    pieces = tuple(
        piece(rectangle(80, 100), name=f"facing {n}", cloth=names[0], cloths=names)
        for n in range(count)
    )
    return Plan("test", "cm", cloths, pieces)


SILK = Cloth("silk", 100.0, price=40.0, step=100.0)
COTTON = Cloth("cotton", 100.0, price=10.0, step=100.0)


def where(plan):
    """Return the cloths chosen, one to a piece, and what is said of them."""
    chosen = choose_cloths(plan, laid)
    return [piece.cloth for piece in chosen.plan.pieces], chosen.remarks


def test_the_cheaper_cloth_is_taken_and_the_other_told():
    """A row of 100 costs 4 in silk and 1 in cotton."""
    cloths, (said,) = where(facings(1, SILK, COTTON))
    assert cloths == ["cotton"]
    assert said == "facing 0 is cut from cotton: from silk all would cost 3.00 more"


def test_the_more_liked_of_equals_is_taken():
    """Preference breaks ties, and is told."""
    cloths, (said,) = where(facings(1, SILK, replace(COTTON, price=40.0)))
    assert cloths == ["silk"]
    assert "from cotton all would cost the same" in said


def test_owned_cloth_is_free_until_it_is_full():
    """Two of three facings find room on 200 of remnant; the third goes to the cotton."""
    cloths, remarks = where(facings(3, SILK, COTTON, Cloth("remnant", 100.0, length=200.0)))
    assert sorted(cloths) == ["cotton", "remnant", "remnant"]
    assert len(remarks) == 3


def test_many_combinations_are_proposed_not_all_tried(monkeypatch):
    """Three cloths for five facings are 243 combinations; no more are laid than are likely."""
    seen = []
    real = choose_cloth._Laid.worth
    monkeypatch.setattr(
        choose_cloth._Laid, "worth", lambda self, choice: seen.append(choice) or real(self, choice)
    )
    cloths, _ = where(facings(5, SILK, COTTON, Cloth("remnant", 130.0, length=300.0)))
    assert len(seen) == choose_cloth.FEW
    assert cloths.count("remnant") == 3
    assert cloths.count("cotton") == 2


def test_a_cloth_too_narrow_is_passed_over():
    """A piece that cannot lie on a cloth goes to another; on none of them, it is refused."""
    narrow = Cloth("ribbon", 50.0, price=1.0)
    assert where(facings(1, narrow, COTTON))[0] == ["cotton"]
    with pytest.raises(InputError, match="wide"):
        where(facings(1, narrow, replace(narrow, name="braid")))


def test_without_a_price_nothing_can_be_compared():
    """Only owned cloth needs none."""
    with pytest.raises(InputError, match="'silk' has no price"):
        where(facings(1, replace(SILK, price=None), COTTON))


def test_plans_without_a_choice_stay_as_they_are():
    """Nothing is laid."""
    plan = Plan("test", "cm", (SILK,), (piece(rectangle(80, 100), cloth="silk"),))
    assert choose_cloths(plan, lambda *_: pytest.fail("laid")).plan is plan
