"""Pieces with several cloths: every combination where they are few, the likeliest where many."""

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.errors import InputError
from nesting.model.plan import Cloth, Panel, Plan
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


def refused(plan):
    """Return what is said of a plan that is refused."""
    with pytest.raises(InputError) as caught:
        choose_cloths(plan, laid)
    return str(caught.value)


def test_a_missing_price_is_told_to_the_word():
    """Plan, piece, both cloths and the remedy; owned lengths and panels need no price."""
    bare = replace(SILK, price=None)
    plan = replace(facings(1, bare, COTTON), path=Path("storm.toml"))
    assert refused(plan) == (
        "storm.toml: piece 'facing 0': it may be cut from silk or cotton, whichever costs least, "
        "but 'silk' has no price; give the price of 'silk', or name one cloth"
    )
    panels = replace(bare, panels=(Panel("a", 500, 100),), extra="buy")
    assert "no price" in refused(facings(1, panels, COTTON))
    assert where(facings(1, replace(bare, length=500.0), COTTON))[0] == ["silk"]
    chosen = choose_cloths(
        replace(facings(1, SILK, COTTON), cloths=(SILK, COTTON, Cloth("linen", 100.0))), laid
    )
    assert chosen.plan.pieces[0].cloth == "cotton"


def test_shares_of_the_effort_add_up_to_all_of_it():
    """Two choices of one cloth each have half; of two cloths in use each a half of that."""
    shares = []

    def looking(plan, cloth, share):
        shares.append((cloth.name, share))
        return laid(plan, cloth, share)

    choose_cloths(facings(1, SILK, COTTON), looking)
    assert shares == [("silk", 0.5), ("cotton", 0.5)]
    shares.clear()
    choose_cloths(facings(2, SILK, COTTON), looking)
    # Both in silk, one in each (the other way round too), both in cotton; none is laid twice.
    assert shares == [
        ("silk", 0.25), ("silk", 0.125), ("cotton", 0.125), ("silk", 0.125), ("cotton", 0.125),
        ("cotton", 0.25),
    ]  # fmt: skip


def test_a_cloth_without_room_is_told():
    """What does not fit comes after all that does, whatever it costs."""
    cloths, (said,) = where(facings(1, Cloth("remnant", 100.0, length=50.0), SILK))
    assert cloths == ["silk"]
    assert said == "facing 0 is cut from silk: on remnant there was not room enough"
    cloths, (said,) = where(facings(1, Cloth("ribbon", 50.0, price=1.0), SILK))
    assert said == (
        "facing 0 is cut from silk: from ribbon it cannot be cut, or was not among the likeliest"
    )


def test_what_a_piece_must_be_cut_from_counts_too():
    """A lining of 50 leaves half of the metre that is bought anyway: the facing is free there."""
    plan = facings(1, SILK, replace(COTTON, step=1000.0, price=100.0))
    lining = piece(rectangle(80, 500), name="lining", cloth="cotton")
    chosen = choose_cloths(replace(plan, pieces=(*plan.pieces, lining)), laid)
    assert chosen.plan.pieces[0].cloth == "cotton"
    assert chosen.plan.pieces[1] is not None
    assert chosen.remarks == ("facing 0 is cut from cotton: from silk all would cost 4.00 more",)
    assert choose_cloths(plan, laid).plan.pieces[0].cloth == "silk"


def test_costs_are_compared_to_the_hundredth():
    """A thousandth of a coin decides nothing: the cloth liked more is taken."""
    assert where(facings(1, SILK, replace(COTTON, price=39.96)))[0] == ["silk"]
    assert where(facings(1, SILK, replace(COTTON, price=39.8)))[0] == ["cotton"]


def proposals(count, *cloths, fixed=()):
    """Return the combinations proposed for many facings, the likeliest first."""
    plan = facings(count, *cloths)
    plan = replace(plan, pieces=(*plan.pieces, *fixed))
    open_ = [p for p in plan.pieces if len(p.cloths) > 1]
    return list(choose_cloth._choices(plan, open_))


@pytest.mark.parametrize(
    ("silk", "cotton", "first"),
    [
        ({"price": 40.0}, {"price": 10.0}, "cotton"),
        ({"price": 9.5}, {"price": 10.0}, "silk"),
        # 9.2 a yard are 10.06 a metre.
        ({"price": 9.2, "price_per": "yd"}, {"price": 10.0}, "cotton"),
        ({"price": 9.0, "price_per": "yd"}, {"price": 10.0}, "silk"),
        # Any length is sold: in steps of a centimetre.
        ({"price": 8.0, "step": 0.0}, {"price": 10.0, "step": 0.0}, "silk"),
        # Twice as wide and not twice as dear.
        ({"price": 18.0, "width": 200.0}, {"price": 10.0}, "silk"),
        # Owned: free as long as it holds them, at four fifths filled.
        ({"price": None, "length": 900.0}, {"price": 10.0}, "silk"),
    ],
)
def test_the_likeliest_choice_comes_first(silk, cotton, first):
    """Eight facings of 100 by 80 on cloth 100 wide: all in the cloth that costs less by area."""
    found = proposals(8, replace(SILK, **silk), replace(COTTON, **cotton))
    assert len(found) == choose_cloth.FEW
    assert len(set(found)) == choose_cloth.FEW
    assert set(found[0]) == {first}


def test_owned_cloth_is_filled_as_far_as_it_mostly_is():
    """A remnant of 1000 by 100 holds ten of twelve facings at four fifths; panels alike."""
    for owned in ({"length": 1000.0}, {"panels": (Panel("a", 600, 100), Panel("b", 400, 100))}):
        remnant = Cloth("remnant", 100.0, **owned)
        (first, *_) = proposals(12, SILK, remnant)
        assert first.count("remnant") == 10
        band = piece(rectangle(80, 200), name="band", cloth="remnant")
        (first, *_) = proposals(12, SILK, remnant, fixed=(band,))
        assert first.count("remnant") == 8


def test_bought_besides_panels_is_priced():
    """What the panels hold is free, what goes beyond costs as the other cloth does."""
    more = replace(SILK, panels=(Panel("a", 500, 100),), extra="buy", price=40.0)
    (first, *_) = proposals(8, more, COTTON)
    assert first.count("silk") == 5
    (first, *_) = proposals(8, replace(more, price=9.0), COTTON)
    assert first.count("silk") == 8


def test_a_piece_counts_with_all_its_copies():
    """Three facings of two copies fill a remnant of six."""
    plan = facings(5, SILK, Cloth("remnant", 100.0, length=600.0))
    twice = tuple(replace(p, as_drawn=2) for p in plan.pieces)
    (first, *_) = choose_cloth._choices(replace(plan, pieces=twice), twice)
    assert first.count("remnant") == 3
