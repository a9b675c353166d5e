"""Which ways to fold are tried, and how the one taken is explained."""

from dataclasses import replace
from types import SimpleNamespace

import pytest

from nesting.model.plan import Cloth
from nesting.rules.compile import compile_lay
from nesting.rules.fold import Folding, FoldLine, folds_allowed
from nesting.rules.fold_choice import AMONG_EQUALS, explained, folded_lays, never_folded
from nesting.rules.orientation import Way
from nesting.rules.to_layout import lay_from

from .garments import piece, plan_of, rectangle, result_of

PAIR = {"as_drawn": 1, "mirrored": 1}
GORE = [(0, 0), (240, 0), (120, 400), (0, 400)]


def opened(*pieces, **cloth):
    """Return the lay of pieces on a cloth laid open, 1000 wide."""
    plan = plan_of(*pieces, **cloth)
    return compile_lay(plan, plan.cloths[0])


def wedge(name, width, **fields):
    """Return a piece of a width, without symmetry, as a pair unless told otherwise."""
    outline = [(0, 0), (width, 0), (width / 2, 400), (0, 400)]
    return piece(outline, name=name, **(PAIR | fields))


def back(width=150, **fields):
    """Return a rectangle drawn as half of a piece, its fold edge upright."""
    return piece(rectangle(width, 500), name="back", mirror=((0, 0), (0, 500)), **fields)


def tried(*pieces, **cloth):
    """Return kind, depth, cut, and how many items lie double, on the fold, single and behind."""
    found = []
    for job in folded_lays(opened(*pieces, **cloth)):
        tickets = job.folded.tickets
        double = sum(t.layers == 2 and not t.on_fold for t in tickets)
        halves = sum(t.on_fold for t in tickets)
        behind = 0 if job.opened is None else len(job.opened.tickets)
        folding = job.folding
        single = len(tickets) - double - halves
        found.append((folding.kind, folding.depth, folding.cut, (double, halves, single, behind)))
    return found


@pytest.mark.parametrize(
    ("fold", "nap", "cut", "folds"),
    [
        ("open", "none", False, ()),
        ("middle", "none", False, ("middle",)),
        ("crosswise", "one-way", True, ("crosswise",)),
        ("best", "none", False, ("lengthwise", "crosswise", "partial", "middle")),
        ("best", "one-way", False, ("lengthwise", "partial", "middle")),
        ("best", "one-way", True, ("lengthwise", "crosswise", "partial", "middle")),
    ],
)
def test_which_folds_are_tried(fold, nap, cut, folds):
    """One-way cloth is folded crosswise only where its layers may be cut apart."""
    cloth = Cloth("calico", 1000.0, fold=fold, nap=nap, fold_cut=cut)
    assert folds_allowed(cloth) == folds


def test_the_geometry_of_every_fold():
    """Room, folds and what a length takes, on cloth 1000 wide; a partial fold of 300."""
    lengthwise, crosswise = Folding("lengthwise", 1000.0), Folding("crosswise", 1000.0)
    partial, middle = Folding("partial", 1000.0, 300.0), Folding("middle", 1000.0)
    assert [f.room for f in (lengthwise, crosswise, partial, middle)] == [500, 1000, 300, 250]
    assert [f.takes for f in (lengthwise, crosswise, partial, middle)] == [1, 2, 1, 1]
    assert lengthwise.lines == (FoldLine(500.0, (0.0, -1.0)),)
    assert crosswise.lines == (FoldLine(0.0, (1.0, 0.0)),)
    assert partial.lines == (FoldLine(700.0, (0.0, -1.0)),)
    assert middle.lines == (FoldLine(0.0, (0.0, 1.0)), FoldLine(500.0, (0.0, -1.0)))
    assert Folding("crosswise", 1000.0, cut=True).lines == ()
    assert Folding("partial", 1000.0, 500.0).single is None
    assert middle.single is None
    assert crosswise.upper(Way(True, 30.0)) == Way(False, 150.0)
    assert crosswise.upper(Way(True, 200.0)) == Way(False, 340.0)
    assert [f.words for f in (lengthwise, crosswise, partial, middle)] == [
        "folded lengthwise", "folded crosswise", "with one selvage folded in",
        "with both selvages folded to the middle",
    ]  # fmt: skip
    assert AMONG_EQUALS == ("lengthwise", "crosswise", "open", "partial", "middle")


def test_nothing_to_fold_nothing_to_try():
    """Nor is open cloth ever folded."""
    assert tried(wedge("gore", 240)) == []
    assert tried(wedge("gore", 240, as_drawn=1, mirrored=0), fold="best") == []


def test_all_folds_are_tried_in_their_order():
    """A pair of 240 fits 500 and, its halves 250, the middle; a partial fold as deep as it."""
    assert tried(wedge("gore", 240), fold="best") == [
        ("lengthwise", 0.0, False, (1, 0, 0, 0)),
        ("crosswise", 0.0, False, (1, 0, 0, 0)),
        ("partial", 240.0, False, (1, 0, 0, 0)),
        ("middle", 0.0, False, (1, 0, 0, 0)),
    ]


@pytest.mark.parametrize(
    ("nap", "fold_cut", "cut"),
    [
        ("none", False, False),
        ("none", True, True),
        ("one-way", False, True),
        ("one-way", True, True),
    ],
)
def test_layers_are_cut_apart_where_they_may_or_must(nap, fold_cut, cut):
    """On one-way cloth a crosswise fold is always cut."""
    found = tried(wedge("gore", 240), fold="crosswise", nap=nap, fold_cut=fold_cut)
    assert found == [("crosswise", 0.0, cut, (1, 0, 0, 0))]
    assert tried(wedge("gore", 240), fold="lengthwise", nap=nap, fold_cut=fold_cut)[0][2] is False


def test_a_partial_fold_is_as_deep_as_some_piece_needs():
    """A pair of 200 with its gap from the fold, a half of 150 on it: 202, then 150."""
    found = tried(wedge("gore", 200), back(), fold="partial", gap=4.0)
    assert [(depth, counts) for _, depth, _, counts in found] == [
        (pytest.approx(202.0), (1, 1, 0, 0)), (pytest.approx(150.0), (0, 1, 2, 0)),
    ]  # fmt: skip
    given = tried(wedge("gore", 200), fold="partial", fold_depth=260.0)
    assert given == [("partial", 260.0, False, (1, 0, 0, 0))]


def test_few_depths_are_tried_and_none_of_half_the_cloth():
    """Of seven pairs of different width every second depth; 500 of 1000 is a lengthwise fold."""
    pairs = [wedge(f"gore {n}", 100.0 + 20 * n) for n in range(7)]
    depths = [depth for _, depth, *_ in tried(*pairs, fold="partial")]
    assert list(dict.fromkeys(depths)) == [220.0, 180.0, 140.0, 100.0]
    four = [wedge(f"gore {n}", 100.0 + 20 * n) for n in range(4)]
    depths = [depth for _, depth, *_ in tried(*four, fold="partial")]
    assert list(dict.fromkeys(depths)) == [160.0, 140.0, 120.0, 100.0]
    assert tried(wedge("gore", 500), fold="partial") == []
    # An odd copy of what cannot be paired needs no depth.
    assert tried(wedge("gore", 200), wedge("odd", 300, mirrored=0), fold="partial") == [
        ("partial", 200.0, False, (1, 0, 1, 0))
    ]


def test_how_much_is_folded_in_the_order_it_is_tried():
    """All, half of several pairs, all but the widest, and two halves at one stroke."""
    three = wedge("gore", 240, as_drawn=3, mirrored=3)
    found = tried(three, wedge("slim", 100), back(as_drawn=2), fold="lengthwise")
    assert [counts for *_, counts in found] == [
        (4, 2, 0, 0),  # as much as can be
        (3, 2, 0, 2),  # two of the three pairs, and the one
        (1, 2, 0, 6),  # without the widest
        (5, 0, 0, 0),  # the two halves as a pair
    ]


def test_the_same_share_is_tried_once():
    """One pair: half of it is the pair again; without halves nothing is cut the other way."""
    assert len(tried(wedge("gore", 240), fold="lengthwise")) == 1
    two = tried(wedge("gore", 240, as_drawn=2, mirrored=2), fold="lengthwise")
    assert [counts for *_, counts in two] == [(2, 0, 0, 0), (1, 0, 0, 2)]
    both = tried(wedge("gore", 240), wedge("slim", 100), fold="lengthwise")
    assert [counts for *_, counts in both] == [(2, 0, 0, 0), (1, 0, 0, 2)]
    assert [counts for *_, counts in tried(back(), fold="lengthwise")] == [(0, 1, 0, 0)]
    pair = tried(back(as_drawn=2), fold="lengthwise")
    assert [counts for *_, counts in pair] == [(0, 2, 0, 0), (1, 0, 0, 0)]


def test_which_copies_can_never_be_folded():
    """An odd copy without its other hand; a half lies on the fold, a pair is cut double."""
    odd = wedge("odd", 240, as_drawn=2, mirrored=1)
    wide = wedge("wide", 600)
    lay = opened(wedge("gore", 240), odd, back(), wide)
    assert never_folded(lay) == ("odd", "wide")


def lay(length, fold="open"):
    """Return a lay that long; explained as if it were folded so."""
    whole = opened(piece(rectangle(100, length)))
    found = lay_from(whole, result_of(whole, [(0, 0.0, 0.0)]))
    if fold == "open":
        return found
    return replace(found, fold=fold, folding=SimpleNamespace(kind=fold), remarks=("first",))


def told(chosen, lengths, fold="best", odd=()):
    """Return what is said of a lay chosen among lengths."""
    return explained(chosen, lengths, Cloth("calico", 1000.0, fold=fold), "cm", odd)


def test_a_fold_that_saves_is_explained():
    """Every length that was found, and by how much the one taken is shorter."""
    lengths = {"open": 500.0, "lengthwise": 400.0, "middle": 450.0}
    found = told(lay(400.0, "lengthwise"), lengths)
    assert found.remarks == (
        "first",
        "Lengths found: open 50.0 cm, folded lengthwise 40.0 cm, with both selvages folded to "
        "the middle 45.0 cm. It is folded lengthwise, 10.0 cm shorter than what was found laid "
        "open.",
    )
    assert found.without == {}


def test_a_fold_that_only_saves_cutting_is_explained():
    """Within a hundredth of a millimetre, the fold is taken for its fewer outlines."""
    for open_ in (400.0, 400.01):
        found = told(lay(400.0, "crosswise"), {"open": open_, "crosswise": 400.0})
        assert found.remarks[1].endswith(
            "It is folded crosswise: no longer than open, with fewer outlines to cut."
        )


def test_open_cloth_is_explained():
    """No fold takes less: how much more each would take, and what would lie single."""
    lengths = {"open": 400.0, "lengthwise": 450.0, "crosswise": 400.0, "middle": 520.0}
    (said,) = told(lay(400.0), lengths, odd=("cuff", "yoke")).remarks
    assert said == (
        "Lengths found: open 40.0 cm, folded lengthwise 45.0 cm, folded crosswise 40.0 cm, with "
        "both selvages folded to the middle 52.0 cm. It is laid open, since no fold takes less: "
        "folded lengthwise it would take 5.0 cm more, with both selvages folded to the middle "
        "it would take 12.0 cm more; of cuff, yoke an odd copy would lie single behind the fold."
    )
    (said,) = told(lay(400.0), {"open": 400.0, "crosswise": 400.0}).remarks
    assert said.endswith("It is laid open, since no fold takes less.")


def test_where_nothing_can_be_folded_that_is_said():
    """One length only, though a fold was asked for."""
    for fold in ("lengthwise", "best"):
        assert told(lay(400.0), {"open": 400.0}, fold).remarks == (
            "Nothing can be cut on the fold: there is no pair and no half that fits it, so the "
            "cloth lies open.",
        )


def test_a_fold_asked_for_is_compared_with_open_cloth():
    """What it saves is told; what it costs is a rule's cost in cloth."""
    folded = lay(400.0, "lengthwise")
    more = told(folded, {"open": 450.0, "lengthwise": 400.0}, "lengthwise")
    assert more.remarks == ("first", "Laid open, the same pieces take 5.0 cm more.")
    assert more.without == {}
    same = told(folded, {"open": 400.0, "lengthwise": 400.0}, "lengthwise")
    assert same.remarks == ("first", "Laid open, the same pieces take just as much.")
    less = told(folded, {"open": 380.0, "lengthwise": 400.0}, "lengthwise")
    assert less.remarks == ("first",)
    assert less.without == {"the fold": 380.0}
    kept = replace(folded, without={"the nap": 300.0})
    less = told(kept, {"open": 380.0, "lengthwise": 400.0}, "lengthwise")
    assert less.without == {"the nap": 300.0, "the fold": 380.0}


def test_a_partial_fold_may_be_nearly_half_the_cloth():
    """A pair of 400 on 1000 leaves 200 single; a half of 499 leaves 2."""
    assert tried(wedge("gore", 400), fold="partial") == [("partial", 400.0, False, (1, 0, 0, 0))]
    assert tried(back(499), fold="partial") == [("partial", 499.0, False, (0, 1, 0, 0))]
    assert tried(wedge("gore", 499), fold="partial", gap=4.0) == []
