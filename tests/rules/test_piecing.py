"""A piece divided along straight lines: its parts, allowances, notches and marks."""

import numpy as np
import pytest
import shapely

from nesting.geometry.rings import as_points
from nesting.model.pattern import Notch
from nesting.model.plan import Border, EdgeAllowance, Motif, Piecing
from nesting.rules.piecing import (
    Part,
    count_joins,
    divide,
    inside_points,
    join_notches,
    join_point,
    part_names,
    parts_of,
    pieced,
    region_of,
)
from nesting.rules.true_piece import cut_piece

from .garments import piece, rectangle

LEVEL_80 = ((10.0, 80.0), (20.0, 80.0))
BOX = shapely.box(0, 0, 400, 200)


def shapes_equal(one, other, within=1e-5):
    """Tell whether two polygons are the same but for a hair."""
    return one.symmetric_difference(other).area < within * (1 + one.length)


def test_a_box_in_two_parts_with_their_allowances():
    """400 by 200 joined at 80: 400 x 120 and 400 x 80, each 10 deeper over the join."""
    large, small = divide(BOX, [LEVEL_80], 10.0)
    assert shapes_equal(large.region, shapely.box(0, 80, 400, 200))
    assert shapes_equal(small.region, shapely.box(0, 0, 400, 80))
    assert shapes_equal(large.cut, shapely.box(0, 70, 400, 200))
    assert shapes_equal(small.cut, shapely.box(0, 0, 400, 90))
    for part in (large, small):
        ((number, join),) = part.joins
        assert number == 1
        assert shapely.equals(join, shapely.LineString([(0, 80), (400, 80)]))


@pytest.mark.parametrize(
    ("line", "areas"),
    [
        (((50.0, -3.0), (50.0, 1.0)), [350 * 200, 50 * 200]),
        (((0.0, 0.0), (1.0, 0.5)), [400 * 200 / 2] * 2),  # from corner to corner
        (((5000.0, 60.0), (5001.0, 60.0)), [400 * 140, 400 * 60]),  # given far away
    ],
)
def test_a_line_divides_all_it_crosses_wherever_its_points_lie(line, areas):
    """Its two points give a direction and no end."""
    assert [part.region.area for part in divide(BOX, [line], 0.0)] == pytest.approx(areas)


def test_two_joins_are_numbered_and_the_middle_part_has_both():
    """Joined at 60 and 150: the parts are 90, 60 and 50 wide, the largest first."""
    lines = [((0.0, 60.0), (1.0, 60.0)), ((0.0, 150.0), (1.0, 150.0))]
    parts = divide(BOX, lines, 5.0)
    assert [part.region.bounds[1::2] for part in parts] == [(60, 150), (0, 60), (150, 200)]
    assert [[number for number, _ in part.joins] for part in parts] == [[1, 2], [1], [2]]
    assert [part.cut.bounds[1::2] for part in parts] == [(55, 155), (0, 65), (145, 200)]
    assert count_joins(BOX, lines) == 2


def test_a_line_across_two_legs_makes_two_joins():
    """A U crossed at both legs is in three parts; a line along its edge is no join."""
    legs = shapely.Polygon([(0, 0), (300, 0), (300, 200), (200, 200), (200, 50), (100, 50),
                            (100, 200), (0, 200)])  # fmt: skip
    at = [((0.0, 120.0), (1.0, 120.0))]
    assert count_joins(legs, at) == 2
    bottom, *tops = divide(legs, at, 10.0)
    assert [number for number, _ in bottom.joins] == [1, 2]
    assert sorted(part.joins[0][0] for part in tops) == [1, 2]
    assert [part.cut.area for part in tops] == pytest.approx([100 * 90] * 2)
    assert bottom.cut.area == pytest.approx(300 * 50 + 2 * 100 * 80)
    assert count_joins(legs, [((0.0, 200.0), (1.0, 200.0))]) == 0
    assert count_joins(legs, [((0.0, 50.0), (1.0, 50.0))]) == 2  # beside the crotch, not along it
    assert count_joins(BOX, [((0.0, 300.0), (1.0, 300.0))]) == 0


@pytest.mark.parametrize(("short_of_it", "joins"), [(0.9, 0), (1.1, 1)])
def test_a_line_that_only_grazes_makes_no_join(short_of_it, joins):
    """Square across the point of a right angle, 0.9 mm of a line is nothing to sew."""
    corner = shapely.Polygon([(0, 0), (100, -100), (100, 100)])
    line = ((short_of_it / 2, 0.0), (short_of_it / 2, 1.0))
    assert count_joins(corner, [line]) == joins


def test_an_allowance_stands_beyond_its_join_only():
    """Of two parts of a join before a bay each has a strip of its own; the bay stays open."""
    fork = shapely.Polygon([(0, 0), (200, 0), (200, 90), (110, 90), (110, 60), (104, 60),
                            (104, 90), (0, 90)])  # fmt: skip
    part = divide(fork, [((0.0, 80.0), (1.0, 80.0))], 10.0)[0]
    assert [number for number, _ in part.joins] == [1, 2]
    assert part.cut.bounds == (0, 0, 200, 90)
    assert shapes_equal(part.cut, fork)


def test_a_cutout_beside_a_join_stays_a_cutout():
    """The allowance adds to the part and closes nothing; a hole is no bay."""
    holed = shapely.Polygon(BOX.exterior, [[(50, 120), (50, 160), (90, 160), (90, 120)]])
    large, _ = divide(holed, [LEVEL_80], 10.0)
    assert len(large.cut.interiors) == 1
    assert large.cut.area == pytest.approx(400 * 130 - 40 * 40)


def test_names_of_parts_and_joins():
    """Two parts are the main part and the wedge; of more the wedges are counted."""
    assert part_names("gore", 2) == ("gore, main part", "gore, wedge")
    assert part_names("gore", 3) == ("gore, main part", "gore, wedge 1", "gore, wedge 2")
    assert join_point(3) == "join 3"


def joined(length, ends=None, region=None):
    """Return a part below a level join of this length."""
    join = shapely.LineString(ends or [(0, 0), (length, 0)])
    return Part(region or shapely.box(0, -50, length, 0), BOX, ((1, join),))


@pytest.mark.parametrize(
    ("length", "shares"),
    [(59.9, ()), (60.0, (1 / 3,)), (599.0, (1 / 3,)), (600.0, (1 / 4, 1 / 2))],
)
def test_how_many_notches_a_join_has(length, shares):
    """None on a short join, one from 60 mm, two from 600; counted from the foot."""
    found = join_notches(joined(length))
    assert [notch.at for notch in found] == [
        pytest.approx((share * length, 0)) for share in shares
    ]
    assert [notch.angle for notch in found] == [pytest.approx(270.0)] * len(shares)


@pytest.mark.parametrize(
    ("region", "angle"), [(shapely.box(0, 0, 90, 50), 90.0), (shapely.box(0, -50, 90, 0), 270.0)]
)
def test_a_notch_points_into_its_part(region, angle):
    """Drawn from either end of the join, counted from the end away from the top."""
    for ends in ([(0, 0), (90, 0)], [(90, 0), (0, 0)]):
        (notch,) = join_notches(joined(90.0, ends, region))
        assert notch == Notch((pytest.approx(30.0), 0.0), pytest.approx(angle))


def test_a_slanting_and_a_square_join_are_counted_from_their_foot():
    """Along the grain what lies nearer the hem; square to it the end with the smaller y."""
    slant = Part(
        shapely.box(0, 0, 300, 400), BOX, ((1, shapely.LineString([(300, 400), (0, 0)])),)
    )
    (notch,) = join_notches(slant)
    assert notch.at == pytest.approx((100, 400 / 3))
    assert notch.angle % 180 == pytest.approx(np.degrees(np.arctan2(3, -4)) % 180)
    square = Part(shapely.box(0, 0, 50, 90), BOX, ((1, shapely.LineString([(0, 90), (0, 0)])),))
    (notch,) = join_notches(square)
    assert notch == Notch((0.0, pytest.approx(30.0)), pytest.approx(0.0))


PANEL = {
    "sew_lines": (as_points([(100, 10), (100, 390)]),),
    "internal_lines": (as_points([(10, 50), (190, 50)]),),
    "stripe_lines": (as_points([(10, 60), (190, 60)]), as_points([(150, 5), (150, 395)])),
    "plaid_lines": (as_points([(5, 70), (60, 70)]),),
    "notches": (Notch((0.0, 100.0), 0.0, 4.0), Notch((200.0, 300.0), 180.0)),
    "drill_holes": ((30.0, 200.0), (150.0, 200.0)),
}


def panel(**fields):
    """Return a panel 200 wide and 400 high whose one join runs upright at x = 80."""
    fields.setdefault("piecing", Piecing(line=((80.0, 0.0), (80.0, 400.0)), allowance=10.0))
    fields.setdefault("points", {"left": (20.0, 30.0), "right": (150.0, 40.0)})
    return piece(rectangle(200, 400), "panel", **(PANEL | fields))


def parts(made):
    """Return the parts of a plan piece divided by its own line."""
    return pieced(made, [made.piecing.line])


def test_parts_are_plan_pieces_of_their_own():
    """Up the page is +x and right of it is -y: the main part lies from -200 to -80."""
    main, wedge = parts(
        panel(as_drawn=2, mirrored=1, grain="lengthwise", tilt=2.0, top="as drawn")
    )
    assert (main.name, wedge.name) == ("panel, main part", "panel, wedge")
    assert main.pattern.name == main.name
    assert main.pattern.file == "test.svg"
    assert shapes_equal(shapely.Polygon(main.pattern.outline), shapely.box(0, -200, 400, -70))
    assert shapes_equal(shapely.Polygon(wedge.pattern.outline), shapely.box(0, -90, 400, 0))
    for part in (main, wedge):
        assert shapely.LinearRing(part.pattern.outline).is_ccw
        assert (part.as_drawn, part.mirrored, part.tilt, part.cloth) == (2, 1, 2.0, "calico")
        assert (part.allowance, part.edges, part.border, part.piecing) == (0.0, (), None, None)
        assert part.top == "as drawn"


def test_marks_go_to_the_part_that_shows_them():
    """Lines are cut at the join, and each join is a sew line of both parts."""
    main, wedge = parts(panel())
    ends = lambda path: sorted(map(tuple, np.round(np.asarray(path)[[0, -1]], 3) + 0.0))  # noqa: E731
    assert [ends(line) for line in main.pattern.sew_lines] == [
        [(10, -100), (390, -100)], [(0, -80), (400, -80)],
    ]  # fmt: skip
    assert [ends(line) for line in wedge.pattern.sew_lines] == [[(0, -80), (400, -80)]]
    assert [ends(line) for line in main.pattern.internal_lines] == [[(50, -190), (50, -80)]]
    assert [ends(line) for line in wedge.pattern.internal_lines] == [[(50, -80), (50, -10)]]
    assert [ends(line) for line in main.pattern.stripe_lines] == [
        [(60, -190), (60, -80)], [(5, -150), (395, -150)],
    ]  # fmt: skip
    assert len(wedge.pattern.stripe_lines) == 1
    assert main.pattern.plaid_lines == ()
    assert [ends(line) for line in wedge.pattern.plaid_lines] == [[(70, -60), (70, -5)]]
    assert main.pattern.drill_holes == (pytest.approx((200, -150)),)
    assert wedge.pattern.drill_holes == (pytest.approx((200, -30)),)


def test_a_part_has_its_own_notches_and_those_of_its_join():
    """The join of 400 has one notch, at a third from its foot, alike in both parts."""
    main, wedge = parts(panel())
    assert [notch.at for notch in main.pattern.notches] == [
        pytest.approx((300, -200)), pytest.approx((400 / 3, -80)),
    ]  # fmt: skip
    assert [notch.at for notch in wedge.pattern.notches] == [
        pytest.approx((100, 0)), pytest.approx((400 / 3, -80)),
    ]  # fmt: skip
    assert wedge.pattern.notches[0].depth == 4.0
    assert main.pattern.notches[1].angle == pytest.approx(270.0)
    assert wedge.pattern.notches[1].angle == pytest.approx(90.0)


def test_points_and_motifs_stay_with_their_part():
    """A point lies in one part; the middle of the join is a point of both."""
    main, wedge = parts(panel(motif=Motif("right", (0.0, None))))
    assert dict(main.points) == {
        "right": pytest.approx((40, -150)), "join 1": pytest.approx((200, -80)),
    }  # fmt: skip
    assert dict(wedge.points) == {
        "left": pytest.approx((30, -20)), "join 1": pytest.approx((200, -80)),
    }  # fmt: skip
    assert main.motif == Motif("right", (0.0, None))
    assert wedge.motif is None
    assert [part.motif for part in parts(panel())] == [None, None]


def test_allowance_half_and_top_are_worked_in():
    """A half with 5 of allowance, its top at the foot of the page: parts of the finished whole."""
    made = piece(
        rectangle(100, 400), "back", mirror=((0, 0), (0, 400)), allowance=5.0, top="reverse",
        edges=(EdgeAllowance("hem", (0, 0), (100, 0), 40.0),), border=Border("hem"),
        piecing=Piecing(line=((30.0, 0.0), (30.0, 1.0)), allowance=10.0),
    )  # fmt: skip
    main, wedge = parts(made)
    # 210 wide, 445 long; turned end for end the whole lies from -400 - 5 to 40, y from -105.
    assert shapely.Polygon(main.pattern.outline).bounds == pytest.approx((-405, -105, 40, 40))
    assert shapely.Polygon(wedge.pattern.outline).bounds == pytest.approx((-405, 20, 40, 105))
    assert main.top == "as drawn"
    assert main.border is None
    assert main.allowance == 0.0
    assert cut_piece(main).area == pytest.approx(445 * 145, rel=1e-6)


def test_a_cutout_goes_along_and_runs_clockwise():
    """As every hole of a pattern piece does."""
    hole = as_points([(120, 50), (120, 90), (160, 90), (160, 50)])
    main, wedge = parts(panel(cutouts=(hole,)))
    (left,) = main.pattern.cutouts
    assert not shapely.LinearRing(left).is_ccw
    assert shapely.Polygon(left).bounds == pytest.approx((50, -160, 90, -120))
    assert wedge.pattern.cutouts == ()


def test_the_grain_line_of_a_part_lies_in_its_widest_place():
    """Three fifths of the way through it, from the foot to the top."""
    _, wedge = parts(panel())
    (x0, y0), (x1, y1) = wedge.pattern.grain
    assert (x0, x1) == pytest.approx((80, 320))
    assert y0 == y1
    assert -80 < y0 < 0
    # A bottle: 60 wide for 300, then 200 wide for 200. The grain line lies in its body.
    bottle = [(-30, 0), (30, 0), (30, 300), (100, 300), (100, 500), (-100, 500), (-100, 300),
              (-30, 300)]  # fmt: skip
    made = piece(bottle, "bottle", piecing=Piecing(line=((-90.0, 0.0), (-90.0, 1.0))))
    main, _ = parts(made)
    (x0, y0), (x1, y1) = main.pattern.grain
    assert y0 == y1
    assert (x0, x1) == (pytest.approx(100), pytest.approx(400))


def test_a_point_inside_every_part_in_the_files_coordinates():
    """So that the parts can be told apart later."""
    made = panel()
    divided = parts_of(made, [made.piecing.line])
    (x0, y0), (x1, y1) = inside_points(made, divided)
    assert 80 < x0 < 200
    assert 0 < x1 < 80
    assert 0 < y0 < 400
    assert 0 < y1 < 400
    assert region_of(cut_piece(made)).area == pytest.approx(200 * 400)


def test_copies_shrinkage_and_material_hold_for_every_part():
    """What the file says of the material goes along."""
    assert [part.pattern.material for part in parts(panel(material="silk"))] == ["silk"] * 2


def test_a_short_join_takes_no_notch_from_the_others():
    """Of two joins the first is too short for one."""
    short, long = (shapely.LineString([(0, y), (length, y)]) for y, length in ((50, 40), (0, 90)))
    found = join_notches(Part(shapely.box(0, 0, 90, 50), BOX, ((1, short), (2, long))))
    assert [notch.at for notch in found] == [pytest.approx((30, 0))]
