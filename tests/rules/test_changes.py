"""Which single change to a flaw would help, and how it is said."""

from types import SimpleNamespace

import numpy as np
import pytest

from nesting.geometry.rings import as_points
from nesting.model.plan import Cloth, EdgeAllowance, Flaw, Plan
from nesting.rules.changes import best_change, helpful_changes

from .garments import piece, rectangle


def spot(start, length=20.0, **fields):
    """Return a flaw that begins at a place along."""
    box = [(start, 30), (start + length, 30), (start + length, 60), (start, 60)]
    return Flaw(as_points(box), **fields)


def changes(*flaws, lay=400.0, hem=0.0, **cloth):
    """Return the changes for a plan of one panel, by their words, as starts and hiding."""
    edge = EdgeAllowance("hem", (0, 0), (100, 0), hem)
    other = Cloth("silk", 900.0, flaws=(spot(1.0),))
    calico = Cloth("calico", 300.0, flaws=flaws, **cloth)
    made = piece(rectangle(100, 200), edges=(edge,) if hem else ())
    plan = Plan("test", "cm", (other, calico), (made,))
    found = helpful_changes(plan, calico, lay)
    for changed in found.values():
        assert changed.cloths[0] is other
        assert changed.pieces is plan.pieces
    return {
        words: [(float(f.outline[:, 0].min()), f.hide) for f in changed.cloths[1].flaws]
        for words, changed in found.items()
    }


def test_a_flaw_five_centimetres_further_on():
    """Where it begins is told as on the cloth bought; the others stay where they are."""
    found = changes(spot(100.0, kind="old seam"), spot(250.0))
    assert found == {
        "the old seam that begins 10.0 cm along lay 5.0 cm further on": [
            (150.0, "no"), (250.0, "no"),
        ],
        "the flaw that begins 25.0 cm along lay 5.0 cm further on": [
            (100.0, "no"), (300.0, "no"),
        ],
    }  # fmt: skip


def test_only_an_allowance_can_hide_a_flaw():
    """With a hem the flaw may be hidden; one that may be hidden already is not asked again."""
    name = "the flaw that begins 10.0 cm along"
    found = changes(spot(100.0), hem=30.0)
    assert found == {
        f"{name} lay 5.0 cm further on": [(150.0, "no")],
        f"an allowance might hide {name}": [(100.0, "allowance")],
    }
    assert list(changes(spot(100.0, hide="allowance"), hem=30.0).values()) == [
        [(150.0, "allowance")]
    ]


def test_flaws_beyond_the_lay_change_nothing():
    """Nor does one that begins just where the lay ends."""
    assert changes(spot(400.0)) == {}
    assert len(changes(spot(399.0), spot(500.0))) == 1


def test_a_flaw_is_not_moved_off_owned_cloth():
    """170 along it ends at 190 and then at 240: on cloth of 240 it may lie there, not on 239."""
    assert changes(spot(170.0), length=239.0) == {}
    assert len(changes(spot(170.0), length=240.0)) == 1


def test_places_count_as_bought():
    """On cloth that shrinks by a fifth a flaw at 80 was bought at 100, and moves by 40."""
    found = changes(spot(80.0), shrink_along=0.2)
    assert found == {
        "the flaw that begins 10.0 cm along lay 5.0 cm further on": [(pytest.approx(120.0), "no")]
    }
    # It ends at 140 then; owned cloth of 175 is 140 long once shrunk.
    assert len(changes(spot(80.0), shrink_along=0.2, length=175.1)) == 1
    assert changes(spot(80.0), shrink_along=0.2, length=174.9) == {}


def test_the_nearest_flaws_are_tried_and_no_more():
    """Six of eight, the nearest to the cut end first, whatever their order in the plan."""
    found = changes(*(spot(at) for at in (300.0, 10.0, 20.0, 70.0, 60.0, 50.0, 40.0, 30.0)))
    assert [words.split(" cm")[0].split()[-1] for words in found] == [
        "1.0", "2.0", "3.0", "4.0", "5.0", "6.0",
    ]  # fmt: skip


def test_the_shape_of_a_moved_flaw_is_kept():
    """Only along, all of its points."""
    flaw = spot(100.0)
    calico = Cloth("calico", 300.0, flaws=(flaw,))
    plan = Plan("test", "cm", (calico,), (piece(rectangle(100, 200)),))
    (changed,) = helpful_changes(plan, calico, 400.0).values()
    assert np.array_equal(changed.cloths[0].flaws[0].outline - flaw.outline, [[50.0, 0.0]] * 4)


def test_the_change_that_helps_most_is_told():
    """Of several the one with the shortest lay; of none nothing."""
    lay = SimpleNamespace(length=500.0)
    assert best_change(lay, {"one": 450.0, "other": 400.0}, "cm") == (
        "what would help most: if other, the lay would take 40.0 cm instead of 50.0 cm",
    )
    assert best_change(lay, {}, "cm") == ()
