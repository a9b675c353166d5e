"""Folded cloth: what lies double, halves on the fold, tilt, and random plans of everything."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.errors import InputError, NotBuiltError
from nesting.geometry.rings import as_points, signed_area
from nesting.model.plan import EdgeAllowance, PlanPiece
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.plan_fold import fold_cloth, judge_on_fold, read_tilt
from nesting.readers.plan_schema import ClothTable
from nesting.readers.plan_values import Item
from nesting.rules.compile import compile_lay
from nesting.rules.fold import Folding
from nesting.rules.fold_half import half_piece
from nesting.rules.fold_pairs import is_own_reflection, pieces_on_fold
from nesting.rules.orientation import Way, ways
from nesting.rules.tilt import leans
from nesting.rules.true_piece import cut_piece
from nesting.verify.check import check_layout

from .garments import piece, plan_of, rectangle

BRIEF = Stop(iterations=2)
GORE = [(0, 0), (240, 0), (120, 400), (0, 400)]
HALF = [(0, 0), (150, 0), (120, 500), (0, 480)]
FOLDS = ("lengthwise", "crosswise", "partial", "middle")


def half(name="back", **fields):
    """Return a piece drawn as a half, its fold edge upright at x = 0."""
    return piece(HALF, name=name, mirror=((0, 0), (0, 480)), **fields)


def laid_on(fold, *pieces, **cloth):
    """Return the only lay of some pieces on folded cloth, 140 cm wide."""
    cloth.setdefault("width", 1400.0)
    plan = plan_of(*pieces, fold=fold, **cloth)
    layout = lay_plan(plan, stop=BRIEF)
    return layout.lays[0]


@pytest.mark.parametrize(
    ("fold", "strip", "bands"),
    [
        ("lengthwise", 700, [(0, 700)]),
        ("crosswise", 1400, [(0, 1400)]),
        ("partial", 1100, [(800, 1100)]),
        ("middle", 700, [(0, 350), (350, 700)]),
    ],
)
def test_where_folded_cloth_lies_double(fold, strip, bands):
    """By the geometry of the fold: 140 wide, folded in by 30 on a partial fold."""
    folding = Folding(fold, 1400.0, 300.0 if fold == "partial" else 0.0)
    assert folding.width == strip
    assert list(folding.double) == bands
    assert folding.single == ((0.0, 800.0) if fold == "partial" else None)


def test_how_the_upper_layer_lies():
    """A reflection: the top stays on a lengthwise fold and is turned round on a crosswise one."""
    assert Folding("lengthwise", 1400.0).upper(Way(False, 45.0)) == Way(True, 315.0)
    assert Folding("crosswise", 1400.0).upper(Way(False, 0.0)) == Way(True, 180.0)
    assert Folding("crosswise", 1400.0, cut=True).upper(Way(False, 0.0)) == Way(True, 0.0)


def test_a_half_has_no_allowance_along_the_fold():
    """Half of the whole's cloth; its fold edge straight, its sew line open there."""
    back = half(allowance=10.0, drill_holes=((60.0, 200.0),))
    whole = cut_piece(back)
    found = half_piece(back, whole)
    assert signed_area(found.piece.outline) == pytest.approx(whole.area / 2)
    assert abs(found.inward[1]) == 1.0
    assert len(found.piece.drill_holes) == 1
    (sewn,) = found.piece.sew_lines
    assert not np.allclose(sewn[0], sewn[-1])
    assert half_piece(piece(GORE), cut_piece(piece(GORE))) is None


def test_a_piece_that_is_its_own_reflection():
    """A rectangle and a completed half are; a gore is not, nor is one marked on one side."""
    assert is_own_reflection(cut_piece(piece(rectangle(100, 300))))
    assert is_own_reflection(cut_piece(half()))
    assert not is_own_reflection(cut_piece(piece(GORE)))
    marked = piece(rectangle(100, 300), drill_holes=((20.0, 30.0),))
    assert not is_own_reflection(cut_piece(marked))


@pytest.mark.parametrize(
    ("cut", "sides", "pairs"),
    [((2, 1), "differ", 1), ((3, 0), "differ", 0), ((3, 0), "alike", 1), ((2, 2), "alike", 2)],
)
def test_how_many_pairs_lie_double(cut, sides, pairs):
    """A left and a right at a time; any two where the sides of the cloth are alike."""
    gore = piece(GORE, as_drawn=cut[0], mirrored=cut[1])
    compiled = compile_lay(*_one(plan_of(gore, width=1400.0, sides=sides)))
    (found,) = pieces_on_fold(compiled, Folding("lengthwise", 1400.0))
    assert len(found.pairs) == pairs


def _one(plan):
    return plan, plan.cloths[0]


def test_lengthwise_pair_and_half():
    """A pair gives one outline for two pieces, a half one for a whole, its edge on the fold."""
    lay = laid_on("lengthwise", half(), piece(GORE, name="gore", as_drawn=1, mirrored=1))
    assert (lay.fold, lay.layers, lay.folding.end) == ("lengthwise", 2, None)
    by_name = {p.piece: p for p in lay.placements}
    assert by_name["back"].on_fold
    assert by_name["back"].cuts == 1
    assert by_name["back"].outline[:, 1].max() == pytest.approx(700)
    assert by_name["gore"].cuts == 2
    assert lay.length == pytest.approx(500, abs=0.01)


def test_crosswise_counts_both_layers():
    """Two gores of 40 on 25 wide lie double over 40: the cloth taken is 80."""
    lay = laid_on("crosswise", piece(GORE, as_drawn=1, mirrored=1), width=250.0)
    assert lay.length == pytest.approx(800, abs=0.01)
    assert lay.reach == pytest.approx(400, abs=0.01)
    assert lay.folding.edges == (((0.0, 0.0), (0.0, 250.0)),)


def test_one_way_cloth_is_cut_apart_and_turned():
    """With fold_cut the layers of a crosswise fold are parted: there is no fold any more."""
    gores = piece(GORE, as_drawn=1, mirrored=1)
    lay = laid_on("crosswise", gores, width=250.0, nap="one-way", fold_cut=True)
    assert lay.folding.edges == ()
    assert lay.length == pytest.approx(800, abs=0.01)


def test_layers_cut_apart_keep_no_gap_across_the_cut():
    """Two pairs side by side, both from the very edge of the cut: 40 long, twice, and no gap."""
    pair = {"as_drawn": 1, "mirrored": 1}
    panels = [piece(rectangle(100, 400), name=f"panel {n}", **pair) for n in (1, 2)]
    asked = {"width": 220.0, "nap": "one-way", "fold_cut": True, "gap": 4.0}
    assert laid_on("crosswise", *panels, **asked).length == pytest.approx(800, abs=0.01)


def test_a_partial_fold_is_as_deep_as_its_pieces():
    """A half of 15 on the fold and a gore of 24 beside it, on 54: folded in by 15, one length."""
    lay = laid_on("partial", half(), piece(GORE, name="gore"), width=540.0)
    assert lay.folding.double[0] == pytest.approx((0.0, 240.0, 500.0, 390.0), abs=0.01)
    assert lay.length == pytest.approx(500, abs=0.01)


def test_nothing_to_fold_lies_open():
    """One piece needed once: the cloth lies open, and that is said."""
    lay = laid_on("lengthwise", piece(GORE))
    assert lay.fold == "open"
    assert "Nothing can be cut on the fold" in lay.remarks[0]


def test_leans_are_few_and_within_the_tilt():
    """A rectangle drawn 2 degrees off its grain lies straight at minus 2; 0 comes first."""
    angle = np.radians(2.0)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    crooked = piece(as_points(rectangle(100, 300) @ turn), tilt=5.0)
    found = leans(cut_piece(crooked), crooked)
    assert found[:3] == (0.0, -5.0, 5.0)
    assert len(found) == 4
    assert abs(found[3]) == pytest.approx(2.0, abs=1e-6)
    assert leans(cut_piece(piece(GORE)), piece(GORE)) == (0.0,)


def test_mirrored_copies_lean_the_other_way():
    """So that a pair leans alike in the garment."""
    plan = plan_of(piece(GORE))
    found = ways(piece(GORE), plan.cloths[0], mirrored=True, leans=(0.0, 3.0))
    assert {way.turned for way in found} == {0.0, 180.0, 357.0, 177.0}


def test_a_tilt_saves_cloth():
    """A strip drawn 2 degrees off its grain fits the width it has only when it may lean."""
    angle = np.radians(2.0)
    turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    strip = piece(as_points(rectangle(100, 300) @ turn), as_drawn=2)
    straight = laid_on("open", strip, width=200.0).length
    leaning = laid_on("open", replace(strip, tilt=3.0), width=200.0).length
    assert straight > 500
    assert leaning == pytest.approx(300, abs=0.01)


def judged(**keys):
    """Return what reading a cloth table with these keys says of its fold."""
    plan = plan_of(piece(GORE), nap=keys.pop("nap", "none"))
    table = ClothTable(name="calico", width=100, **keys)
    return fold_cloth(table, plan.cloths[0], Item("plan.toml", "cloth 'calico'", "cm"))


@pytest.mark.parametrize(
    ("keys", "part"),
    [
        ({"fold": "crosswise", "nap": "one-way"}, "fold_cut = true"),
        ({"fold": "lengthwise", "fold_depth": 20}, "fold_depth is given"),
        ({"fold": "lengthwise", "fold_cut": True}, "fold_cut is given"),
        ({"fold": "partial", "fold_depth": 60}, "fold_depth = 60"),
    ],
)
def test_folds_that_contradict_are_refused(keys, part):
    """Nap and depth against the fold: one line that names the key and the remedy."""
    with pytest.raises(InputError, match=part):
        judged(**keys)


@pytest.mark.parametrize("fold", ["lengthwise", "best"])
def test_designs_panels_and_flaws_are_not_folded(fold):
    """What must be seen in both layers is refused by name."""
    flaw = {"along": [1, 2], "across": [1, 2]}
    for keys in ({"repeat": {"along": 3}}, {"flaws": [flaw]}):
        with pytest.raises(NotBuiltError, match="not built yet"):
            judged(fold=fold, **keys)


def test_halves_that_cannot_lie_on_the_fold_are_refused():
    """A half on the bias; a half where the fold is cut apart."""
    item = Item("plan.toml", "piece 'back'", "cm")
    cloth = plan_of(piece(GORE), fold="lengthwise").cloths[0]
    with pytest.raises(InputError, match="cannot lie on the fold"):
        judge_on_fold(half(grain="bias"), cloth, item)
    apart = replace(cloth, fold="crosswise", fold_cut=True, nap="one-way")
    with pytest.raises(InputError, match="no fold to lie on"):
        judge_on_fold(half(), apart, item)
    judge_on_fold(half(grain="bias"), replace(cloth, fold="best"), item)
    with pytest.raises(InputError, match="tilt"):
        read_tilt(50.0, "lengthwise", item)
    with pytest.raises(InputError, match="any"):
        read_tilt(3.0, "any", item)


@st.composite
def garments(draw) -> list[PlanPiece]:
    """Draw a few pieces that mix halves, pairs, odd counts, grains, tilt and hems."""
    pieces = []
    for k in range(draw(st.integers(1, 3))):
        width, height = draw(st.integers(60, 260)), draw(st.integers(80, 400))
        slant = draw(st.integers(0, width // 2))
        outline = [(0, 0), (width, 0), (width - slant, height), (0, height)]
        fields = {
            "name": f"piece {k}",
            "as_drawn": draw(st.integers(1, 3)),
            "mirrored": draw(st.integers(0, 2)),
            "grain": draw(st.sampled_from(["lengthwise", "lengthwise", "crosswise", "bias"])),
            "tilt": draw(st.sampled_from([0.0, 0.0, 3.0])),
            "turn": draw(st.booleans()),
            "allowance": draw(st.sampled_from([0.0, 10.0])),
        }
        if draw(st.booleans()):
            fields |= {"mirror": ((0, 0), (0, height)), "mirrored": 0}
        if fields["allowance"]:
            fields["edges"] = (EdgeAllowance("hem", (0, 0), (width, 0), 25.0),)
        pieces.append(piece(outline, **fields))
    return pieces


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    garments(),
    st.sampled_from([*FOLDS, "best"]),
    st.sampled_from(["none", "one-way"]),
    st.sampled_from(["differ", "alike"]),
    st.sampled_from([0.0, 4.0]),
)
def test_any_garment_on_any_fold_passes_the_check(pieces, fold, nap, sides, gap):
    """Halves, pairs, odd counts, nap, tilt and gap mixed: spread out flat, nothing is wrong."""
    plan = plan_of(
        *pieces, width=1200.0, selvage=10.0, fold=fold, nap=nap, sides=sides, gap=gap,
        fold_cut=nap == "one-way" and fold == "crosswise",
    )  # fmt: skip
    layout = lay_plan(plan, stop=Stop(iterations=1))
    assert check_layout(plan, layout) == ()
    (lay,) = layout.lays
    assert sum(p.cuts for p in lay.placements) == sum(p.copies for p in pieces)


def test_halves_that_find_no_room_on_a_crosswise_fold_are_opened_out():
    """Three halves of 394 side by side need 1182 of a fold 1180 long: two lie on it."""
    halves = piece(
        [(0, 0), (60, 0), (60, 394), (0, 394)],
        mirror=((0, 0), (0, 394)), grain="crosswise", as_drawn=3,
    )  # fmt: skip
    plan = plan_of(halves, width=1200.0, selvage=10.0, fold="crosswise", fold_cut=False)
    layout = lay_plan(plan, stop=Stop(iterations=5))
    assert check_layout(plan, layout) == ()
    (lay,) = layout.lays
    assert sorted(p.on_fold for p in lay.placements) == [False, True, True]
    assert lay.length == pytest.approx(240.0, abs=0.01)
