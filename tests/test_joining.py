"""Piecing, from the plan to the checked layout: where a join is made, and what it saves."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import Stop, lay_plan, read_layout, write_layout
from nesting.errors import InputError
from nesting.joining import join_pieces
from nesting.model.plan import Piecing, Repeat
from nesting.needs import piece_needs
from nesting.rules.joins import ways_to_join
from nesting.rules.piecing import divide, pieced
from nesting.verify.check import check_layout
from tests.rules.garments import piece, plan_of, rectangle
from tests.trust.wrong_layouts import flipped

GORE = np.array([[0, 0], [950, 0], [250, 2600], [0, 2600]], dtype=float)
"""A train's back gore: 25 cm at the top, 95 at the hem, 260 long, straight edge on the grain."""


def gore(**fields):
    """Return a pair of train gores that may be pieced anywhere, unless told otherwise."""
    fields = {"piecing": Piecing(), "as_drawn": 1, "mirrored": 1} | fields
    return piece(GORE, "gore", **fields)


def test_parts_add_up_to_the_whole_and_the_allowances():
    """A join 1500 mm long with 10 mm to either side adds 2 x 10 x 1500 (closed form)."""
    whole = shapely.Polygon([(0, 0), (2600, 0), (2600, 250), (0, 950)])
    # At y = 250 + t the gore is left of x = 2600 (700 - t) / 700.
    level = 250 + 700 * (1 - 1500 / 2600)
    parts = divide(whole, [((0.0, level), (1.0, level))], 10.0)
    assert len(parts) == 2
    assert sum(part.region.area for part in parts) == pytest.approx(whole.area, rel=1e-9)
    added = sum(part.cut.area - part.region.area for part in parts)
    assert added == pytest.approx(2 * 10.0 * 1500.0, rel=1e-6)
    again = shapely.union_all([part.region for part in parts], grid_size=1e-6)
    assert shapely.hausdorff_distance(again.exterior, whole.exterior) < 0.01


def test_a_gore_too_wide_for_old_silk_is_pieced_at_the_selvage():
    """On silk 54 cm wide a gore of 95 takes a join; every part is checked, the whole rebuilt."""
    plan = plan_of(gore(), width=540.0, nap="one-way")
    layout = lay_plan(plan, stop=Stop(iterations=40))
    (joining,) = layout.joinings
    assert joining.parts == ("gore, main part", "gore, wedge")
    assert len(layout.lays[0].placements) == 4
    assert check_layout(plan, layout) == ()


def test_joined_only_where_it_saves_enough():
    """A pair of gores, one-way on 112 cm: whole 520 cm; pieced shorter unless joins are dear."""
    plan = plan_of(gore(), width=1120.0, nap="one-way")
    cheap = lay_plan(plan, stop=Stop(iterations=60))
    assert cheap.joinings
    assert cheap.lays[0].length < 5200.0 - 100.0
    dear = plan_of(gore(piecing=Piecing(worth=3000.0)), width=1120.0, nap="one-way")
    whole = lay_plan(dear, stop=Stop(iterations=60))
    assert not whole.joinings
    assert whole.lays[0].length == pytest.approx(5200.0, abs=1.0)


def test_joins_only_where_they_are_allowed():
    """Joins within 60 cm of the hem: every join line within the gore lies there."""
    zone = np.array([[0, 0], [950, 0], [950, 600], [0, 600]], dtype=float)
    allowed = gore(piecing=Piecing(zones=(zone,), allowance=10.0))
    plan = plan_of(allowed, width=900.0)
    for way in ways_to_join(allowed, plan.cloths[0]):
        (start, _end), *_ = way
        inside = shapely.LineString([(start[0], -1), (start[0], 3000)]).intersection(
            shapely.Polygon(GORE)
        )
        assert inside.bounds[3] <= 600.0 + 0.1


def test_no_join_that_helps_is_said():
    """Where joins are allowed only near the narrow top, nothing can make the gore fit 54 cm."""
    zone = np.array([[0, 2400], [300, 2400], [300, 2600], [0, 2600]], dtype=float)
    plan = plan_of(gore(piecing=Piecing(zones=(zone,))), width=540.0)
    with pytest.raises(InputError, match="no join that its piecing allows"):
        join_pieces(plan, lambda *_: (1.0, 1.0), piece_needs)


@pytest.mark.parametrize("grain", ["bias", "any"])
def test_a_join_along_no_warp_is_refused_by_plan_and_piece(grain, tmp_path):
    """Off the straight grain a join needs its line; the error names the plan's file."""
    plan = replace(plan_of(gore(grain=grain), width=3000.0), path=tmp_path / "plan.toml")
    with pytest.raises(InputError, match=r"plan\.toml: piece 'gore': .* has no join along"):
        lay_plan(plan, stop=Stop(iterations=1))


def test_two_joins_save_where_neither_does_by_itself():
    """Beside panels 60 wide on cloth of 100 lie 22 + 18: halves of a 43 and a 35, 0.5 allowed.

    All are 100 long. Whole, or with one of the two joined, three stand one behind the other (the
    43 beside nothing, the halves of the 35 beside the 43 only): 300. With both joined, two: 200.
    """

    def halved(name, width):
        line = ((width / 2, 0.0), (width / 2, 1000.0))
        how = Piecing(line=line, allowance=5.0, worth=100.0)
        return piece(rectangle(width, 1000.0), name, piecing=how)

    panels = piece(rectangle(600.0, 1000.0), "panel", as_drawn=2)
    # Too wide whole: in halves of the full width it adds 200, whatever the others do.
    banner = halved("banner", 1990.0)
    plan = plan_of(panels, banner, halved("wide", 430.0), halved("narrow", 350.0), width=1000.0)
    layout = lay_plan(plan, stop=Stop(iterations=20))
    assert layout.lays[0].length == pytest.approx(4000.0, abs=0.1)
    assert {joining.piece for joining in layout.joinings} == {"banner", "wide", "narrow"}
    (said,) = [remark for remark in layout.remarks if "together" in remark]
    assert "(proven)" in said
    # The two save 100 together, but have to save 50.1 each.
    dear = [replace(p, piecing=p.piecing and replace(p.piecing, worth=501.0)) for p in plan.pieces]
    layout = lay_plan(replace(plan, pieces=tuple(dear)), stop=Stop(iterations=20))
    assert [joining.piece for joining in layout.joinings] == ["banner"]
    assert layout.lays[0].length == pytest.approx(5000.0, abs=0.1)


@pytest.mark.parametrize(("fold", "joined"), [("open", []), ("lengthwise", ["panel"])])
def test_on_a_fold_joins_are_compared_as_it_is_folded(fold, joined):
    """Pairs 56 and 40 wide, 100 long, on cloth of 100: open, 56 lies beside 40, in 200.

    Folded to 50, the 40 goes double and the two of 56 are opened out behind, in 300; in parts of
    46 and 10 they go double too, 10 beside 40, again in 200, so that the join is worth making.
    """
    join = Piecing(line=((100.0, 0.0), (100.0, 1000.0)), allowance=0.0, worth=1.0)
    wide = piece(rectangle(560.0, 1000.0), "panel", as_drawn=1, mirrored=1, piecing=join)
    narrow = piece(rectangle(400.0, 1000.0), "narrow", as_drawn=1, mirrored=1)
    plan = plan_of(wide, narrow, width=1000.0, fold=fold)
    layout = lay_plan(plan, stop=Stop(iterations=5))
    assert [joining.piece for joining in layout.joinings] == joined
    assert layout.lays[0].length == pytest.approx(2000.0, abs=0.1)


@pytest.fixture(scope="module")
def pieced_layout():
    """Return a plan with a pieced pair and its layout."""
    plan = plan_of(gore(), width=540.0, nap="one-way")
    return plan, lay_plan(plan, stop=Stop(iterations=10))


def test_a_pieced_layout_is_accepted_as_it_was_written(pieced_layout, tmp_path):
    """Read back from its file, every part still stands the independent check."""
    plan, layout = pieced_layout
    write_layout(layout, tmp_path / "layout.json")
    again = read_layout(tmp_path / "layout.json")
    assert [joining.piece for joining in again.joinings] == ["gore"]
    assert check_layout(plan, again) == ()
    moved = replace(again, joinings=())
    assert check_layout(plan, moved)


def notch_offsets(placement, join):
    """Return how far from a join's middle towards the top a part's notches on it lie."""
    start, end = np.array(placement.grain)
    up = (end - start) / np.linalg.norm(end - start)
    middle = np.array(placement.points[join])
    off = np.array([np.array(notch.at) - middle for notch in placement.notches])
    assert np.abs(off @ [-up[1], up[0]]).max() < 0.01  # all on the join
    return sorted(off @ up)


def test_notches_of_both_parts_meet_and_tell_top_from_bottom(pieced_layout):
    """Of a join of length L both parts have notches at -L/4 and 0 from its middle (closed form).

    The gore is 95 wide at the hem and 25 at the top: at y from the straight edge it is
    2600 (950 - y) / 700 long. Within 0.01 mm; the offsets are not symmetric.
    """
    _, layout = pieced_layout
    ((start, _end),) = layout.joinings[0].lines
    length = 2600.0 * (950.0 - start[0]) / 700.0
    wanted = [-length / 4, 0.0] if length >= 600.0 else [-length / 6]
    assert len(layout.lays[0].placements) == 4
    for placement in layout.lays[0].placements:
        assert notch_offsets(placement, "join 1") == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize(
    ("level", "shares"), [(935.0, ()), (890.0, (-1 / 6,)), (600.0, (-1 / 4, 0.0))]
)
def test_a_join_has_notches_by_its_length(level, shares):
    """Under 6 cm none, from 6 cm one, from 60 cm two; those of both parts point apart."""
    main, wedge = pieced(gore(), [((level, 0.0), (level, 1.0))])
    assert len(main.pattern.notches) == len(wedge.pattern.notches) == len(shares)
    for ours, theirs in zip(main.pattern.notches, wedge.pattern.notches, strict=True):
        assert np.hypot(*np.subtract(ours.at, theirs.at)) < 0.01
        assert abs(abs(ours.angle - theirs.angle) - 180.0) < 1e-6


@pytest.mark.parametrize("level", [300.0, 600.0, 890.0, 935.0])
def test_the_grain_line_of_a_part_lies_within_it(level):
    """However narrow the wedge, its arrow lies well inside, along the grain of the whole."""
    for part in pieced(gore(), [((level, 0.0), (level, 1.0))]):
        (x0, y0), (x1, y1) = part.pattern.grain
        assert y0 == y1
        assert x1 - x0 > 0.2 * np.ptp(part.pattern.outline[:, 0])
        inside = shapely.Polygon(part.pattern.outline).buffer(-1.0)
        assert inside.covers(shapely.LineString([(x0, y0), (x1, y1)]))


def moved(layout, part, change):
    """Return the layout with one placement of a part changed."""
    lay = layout.lays[0]
    k = next(k for k, p in enumerate(lay.placements) if p.piece.endswith(part))
    placements = (*lay.placements[:k], change(lay.placements[k]), *lay.placements[k + 1 :])
    return replace(layout, lays=(replace(lay, placements=placements),))


def test_the_check_refuses_what_would_not_join(pieced_layout):
    """A part cut narrower by a millimetre, a part left out, a join moved or not allowed."""
    plan, layout = pieced_layout
    assert check_layout(plan, layout) == ()

    def narrower(placement):
        outline = placement.outline.copy()
        outline[:, 1] *= 1 - 1.0 / np.ptp(outline[:, 1])
        return replace(placement, outline=outline)

    assert check_layout(plan, moved(layout, "wedge", narrower))
    bare = moved(layout, "wedge", lambda placement: replace(placement, notches=()))
    assert any("notches" in str(finding) for finding in check_layout(plan, bare))
    (start, end) = next(p.grain for p in layout.lays[0].placements if p.piece.endswith("wedge"))
    longer = (2 * start[0] - end[0], start[1]), (2 * end[0] - start[0], end[1])
    astray = moved(layout, "wedge", lambda placement: replace(placement, grain=longer))
    assert any("grain line runs out" in str(f) for f in check_layout(plan, astray))
    lay = layout.lays[0]
    fewer = replace(lay, placements=lay.placements[:-1])
    assert check_layout(plan, replace(layout, lays=(fewer,)))
    joining = layout.joinings[0]
    off = tuple(((x0 + 5.0, y0), (x1 + 5.0, y1)) for (x0, y0), (x1, y1) in joining.lines)
    assert check_layout(plan, replace(layout, joinings=(replace(joining, lines=off),)))
    assert check_layout(plan, replace(layout, joinings=()))
    plain = replace(plan, pieces=(replace(plan.pieces[0], piecing=None),))
    assert check_layout(plain, layout)
    elsewhere = Piecing(zones=(rectangle(100.0, 100.0),))
    zoned = replace(plan, pieces=(replace(plan.pieces[0], piecing=elsewhere),))
    assert any("outside where joins" in str(f) for f in check_layout(zoned, layout))


def test_the_design_runs_on_across_a_join():
    """Parts lie whole repeats of 64 cm apart at their join; moved by 5 mm they are refused."""
    asked = gore(piecing=Piecing(match=True), as_drawn=1, mirrored=0)
    plan = plan_of(asked, width=540.0, nap="one-way", repeat=Repeat(640.0, offset=(0.0, None)))
    layout = lay_plan(plan, stop=Stop(iterations=5))
    apart = np.subtract(*(p.points["join 1"][0] for p in layout.lays[0].placements))
    assert abs(apart / 640.0 - round(apart / 640.0)) < 1e-6

    def along(placement):
        return replace(
            placement,
            outline=placement.outline + np.array([5.0, 0.0]),
            points={name: (x + 5.0, y) for name, (x, y) in placement.points.items()},
        )

    assert any("design" in str(f) for f in check_layout(plan, moved(layout, "wedge", along)))


@settings(max_examples=12)
@given(st.integers(300, 900), st.integers(200, 1200), st.integers(1, 2), st.integers(0, 25))
def test_random_gores_are_pieced_soundly(hem, top, most, allowance):
    """Random trapezoids on random widths: the check, with its own code, accepts every layout."""
    outline = np.array([[0, 0], [hem, 0], [top, 1500], [0, 1500]], dtype=float)
    asked = piece(outline, "panel", piecing=Piecing(most=most, allowance=float(allowance)))
    plan = plan_of(asked, width=0.7 * max(hem, top))
    try:
        layout = lay_plan(plan, stop=Stop(iterations=3))
    except InputError:
        return
    assert check_layout(plan, layout) == ()
    assert len(layout.joinings) == 1


@pytest.mark.parametrize("level", [155.89659, 158.5])
def test_rounding_at_the_end_of_a_join_is_no_fault(level):
    """A wedge that ends in a point leaves hairs of rounding where its allowance ended."""
    outline = np.array([[50, -50], [50, -420.2], [192, -420.2], [129.52, -50]])
    piecing = Piecing(allowance=6.35, line=((level, -427.1), (level, -43.1)))
    asked = piece(outline, "panel", allowance=6.9, tilt=5.0, piecing=piecing, as_drawn=2)
    layout = lay_plan(plan_of(asked, width=140.0), stop=Stop(iterations=1))
    assert len(layout.joinings[0].parts) == 2


@pytest.mark.parametrize("sides", ["alike", "differ"])
def test_a_part_may_lie_turned_over_where_both_sides_are_alike(sides):
    """It is sewn the other way up then; on cloth with a right side it is of the wrong hand."""
    plan = plan_of(gore(as_drawn=1, mirrored=0), width=540.0, sides=sides)
    layout = lay_plan(plan, stop=Stop(iterations=5))
    (lay,) = layout.lays
    *others, last = lay.placements
    over = replace(flipped(last, 1.0, -1.0), mirrored=not last.mirrored)
    turned = replace(layout, lays=(replace(lay, placements=(*others, over)),))
    told = [str(finding) for finding in check_layout(plan, turned)]
    assert any("not all of one hand" in text for text in told) == (sides == "differ")
    assert not any("joined again" in text for text in told)
