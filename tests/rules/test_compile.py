"""From a plan to the placement problem."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from nesting.errors import InputError
from nesting.geometry.rings import as_points
from nesting.model.plan import EdgeAllowance, Flaw, Motif, Repeat
from nesting.rules.compile import compile_lay

from .garments import piece, plan_of, rectangle

GORE = as_points([(0, 0), (60, 0), (0, 100)])
KITE = as_points([(0, 0), (30, 60), (0, 100), (-30, 60)])


def compiled(*pieces, **cloth):
    """Compile the one cloth of a plan."""
    plan = plan_of(*pieces, **cloth)
    return compile_lay(plan, plan.cloths[0])


def ways_of(ticket):
    """Return the ways of a ticket as plain pairs."""
    return [tuple(choice.way) for choice in ticket.choices.values()]


def test_a_cloth_without_pieces_is_no_problem():
    """The caller leaves such a cloth out."""
    plan = plan_of(piece(GORE, cloth="silk"))
    with pytest.raises(ValueError, match="no piece is cut from calico"):
        compile_lay(plan, plan.cloths[0])


def test_copies_of_one_hand_share_their_shapes():
    """Four gores, free to turn end for end: four items, two shapes."""
    lay = compiled(piece(GORE, as_drawn=4))
    assert len(lay.problem.shapes) == 2
    assert {item.shapes for item in lay.problem.items} == {(0, 1)}
    assert [ticket.copy for ticket in lay.tickets] == [1, 2, 3, 4]
    assert {ticket.hand for ticket in lay.tickets} == {""}


def test_a_pair_has_hands_and_shapes_of_its_own():
    """One left and one right gore on cloth with a right side: four different shapes."""
    lay = compiled(piece(GORE, as_drawn=1, mirrored=1))
    assert [(t.copy, t.hand, ways_of(t)) for t in lay.tickets] == [
        (1, "R", [(False, 0), (False, 180)]),
        (2, "L", [(True, 0), (True, 180)]),
    ]
    assert len(lay.problem.shapes) == 4
    assert [item.name for item in lay.problem.items] == ["piece 1 R", "piece 2 L"]


def test_mirrored_copies_alone_have_no_hand():
    """Hands are told apart only where there are two."""
    (ticket,) = compiled(piece(GORE, as_drawn=0, mirrored=1)).tickets
    assert (ticket.copy, ticket.hand) == (1, "")
    assert all(mirrored for mirrored, _ in ways_of(ticket))


def test_on_alike_cloth_the_copies_of_a_pair_are_interchangeable():
    """Either copy may take any of the four shapes."""
    lay = compiled(piece(GORE, as_drawn=1, mirrored=1), sides="alike")
    assert [set(item.shapes) for item in lay.problem.items] == [{0, 1, 2, 3}] * 2


def test_a_piece_that_is_its_own_reflection_needs_no_second_shape():
    """A kite's pair takes the same two shapes; a rectangle's four ways are one shape."""
    assert len(compiled(piece(KITE, as_drawn=1, mirrored=1)).problem.shapes) == 2
    assert len(compiled(piece(rectangle(30, 60), as_drawn=2, mirrored=2)).problem.shapes) == 1


def test_two_pieces_of_one_outline_share_shapes():
    """Outer silk and a second piece of the same outline are one shape to the engine."""
    lay = compiled(piece(GORE, name="gore"), piece(GORE, name="godet"))
    assert len(lay.problem.shapes) == 2
    assert [item.name for item in lay.problem.items] == ["gore 1", "godet 1"]


def test_the_strip_is_the_usable_width():
    """Shrunken width less both selvages (derived): 1500 x 0.97 - 2 x 15 = 1425."""
    lay = compiled(piece(GORE), width=1500.0, selvage=15.0, shrink_across=0.03)
    assert lay.problem.width == pytest.approx(1425.0)


def test_shapes_lie_as_their_choices_say():
    """Without a gap and on straight edges every shape is its piece to the last point."""
    lay = compiled(piece(GORE, as_drawn=1, mirrored=1, grain="bias"))
    assert lay.exact
    for ticket in lay.tickets:
        for index, choice in ticket.choices.items():
            shape = shapely.Polygon(lay.problem.shapes[index].outer)
            assert shape.symmetric_difference(shapely.Polygon(choice.piece.outline)).area < 1e-6


def test_the_engine_outline_contains_the_true_one_and_is_never_wider():
    """A round piece is simplified outward, but a disc as wide as the cloth still fits."""
    angles = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    disc = as_points(np.column_stack([500 * np.cos(angles), 500 * np.sin(angles)]))
    lay = compiled(piece(disc, turn=False), width=1000.0)
    shape, true = lay.problem.shapes[0], lay.tickets[0].choices[0].piece.outline
    assert len(shape.outer) < 150
    assert not lay.exact
    assert shape.box == pytest.approx((0, 0, 1000, 1000), abs=1e-6)
    assert shapely.Polygon(shape.outer).buffer(1e-6).covers(shapely.Polygon(true))


def test_a_gap_grows_shapes_and_strip_alike():
    """Half a gap round every piece and a whole one across the strip: nothing is lost."""
    lay = compiled(piece(rectangle(1000, 60), turn=False), gap=10.0)
    assert lay.problem.width == 1010.0
    assert lay.problem.shapes[0].box == pytest.approx((-5, -5, 65, 1005))
    assert not lay.exact


def test_a_piece_exactly_as_wide_as_the_cloth_fits():
    """Float noise of unit conversion never makes a fitting piece too wide."""
    lay = compiled(piece(rectangle(100.0 * 3 * 1.1, 50)), width=330.0)
    assert len(lay.tickets) == 1


def test_only_the_ways_that_fit_are_kept():
    """A long piece of any grain may lie only along the cloth."""
    lay = compiled(piece(rectangle(60, 400), grain="any"), width=100.0)
    assert set(ways_of(lay.tickets[0])) == {(False, 0.0)}


def test_a_piece_wider_than_the_cloth_is_refused_with_both_numbers():
    """Both widths in the plan's unit, the width it would need, the grain that would do."""
    with pytest.raises(InputError) as caught:
        compiled(piece(rectangle(1230.4, 400)), width=1120.0, selvage=10.0, shrink_across=0.01)
    said = str(caught.value)
    assert "piece 'piece'" in said
    assert "it is 123.1 cm wide as laid" in said
    assert "only 108.8 cm of usable width" in said
    assert "at least 126.4 cm wide" in said  # (1230.4 + 20) / 0.99
    assert "on the crosswise grain" in said
    assert "bias" not in said
    assert caught.value.exit_code == 1
    assert "\n" not in said


def test_the_widths_are_told_in_inches_to_one_who_works_in_inches():
    """A plan in yards speaks of inches across the cloth."""
    plan = plan_of(piece(rectangle(40 * 25.4, 50 * 25.4)), units="yd", width=36 * 25.4)
    with pytest.raises(InputError, match=r"it is 40 in wide.*only 36 in of usable"):
        compile_lay(plan, plan.cloths[0])


def test_an_error_of_a_rule_names_the_piece():
    """What the allowance cannot do is told of the piece by name."""
    hem = EdgeAllowance("hem", (0, -50), (60, 0), 20.0)
    with pytest.raises(InputError, match=r"piece 'back gore': edge 'hem'"):
        compiled(piece(GORE, name="back gore", edges=(hem,)))


def test_a_tilted_piece_may_lean_and_a_mirrored_one_the_other_way():
    """The ways of either hand, the straight one first."""
    lay = compiled(piece(GORE, as_drawn=1, mirrored=1, tilt=2.0, turn=False))
    assert [ways_of(ticket)[:3] for ticket in lay.tickets] == [
        [(False, 0.0), (False, 358.0), (False, 2.0)], [(True, 0.0), (True, 2.0), (True, 358.0)],
    ]  # fmt: skip


def test_what_is_too_wide_is_told_to_the_word():
    """Plan, piece, both widths, and every grain on which it would fit."""
    plan = plan_of(piece(rectangle(1230.4, 400), name="cape"), width=1120.0, selvage=10.0)
    with pytest.raises(InputError) as caught:
        compile_lay(replace(plan, path=Path("storm.toml")), plan.cloths[0])
    assert str(caught.value) == (
        "storm.toml: piece 'cape': it is 123.1 cm wide as laid, but 'calico' has only 110.0 cm of "
        "usable width; take cloth at least 125.1 cm wide, or cut it on the crosswise grain, where "
        "it would fit, or divide the piece by a seam"
    )
    disc = piece(rectangle(330, 120), name="belt")
    with pytest.raises(InputError, match=r"crosswise grain, .*, or cut it on the bias, where it"):
        compiled(disc, width=325.0)
    long = piece(rectangle(120, 330), name="belt", grain="crosswise")
    with pytest.raises(InputError, match=r"or cut it on the lengthwise grain, where"):
        compiled(long, width=325.0)
    with pytest.raises(InputError, match=r"take cloth at least 33\.0 cm wide, or divide"):
        compiled(piece(rectangle(330, 330)), width=325.0)


def test_pieces_by_points_of_their_own_have_shapes_of_their_own():
    """One outline placed by two points is two shapes; by the same point, one."""

    def held(name, at):
        return piece(
            rectangle(60, 100), name=name, points={"rose": at}, motif=Motif("rose", (0.0, None)),
            turn=False,
        )  # fmt: skip

    repeat = Repeat(64.0)
    apart = compiled(held("a", (0.0, 10.0)), held("b", (0.0, 20.0)), repeat=repeat)
    assert len(apart.problem.shapes) == 2
    alike = compiled(held("a", (0.0, 10.0)), held("b", (0.0, 10.0)), repeat=repeat)
    assert len(alike.problem.shapes) == 1
    free = piece(rectangle(60, 100), name="c", turn=False)
    assert len(compiled(held("a", (0.0, 10.0)), free, repeat=repeat).problem.shapes) == 2


def test_shapes_differ_by_their_cutouts():
    """The same outline with a hole, or with it elsewhere, is another shape."""
    hole = as_points([(10, 10), (10, 20), (20, 20), (20, 10)])
    plain = piece(rectangle(60, 100), name="a", turn=False)
    holed = piece(rectangle(60, 100), name="b", turn=False, cutouts=(hole,))
    other = piece(rectangle(60, 100), name="c", turn=False, cutouts=(as_points(hole + 30),))
    again = piece(rectangle(60, 100), name="d", turn=False, cutouts=(hole,))
    lay = compiled(plain, holed, other, again)
    assert [item.shapes for item in lay.problem.items] == [(0,), (1,), (2,), (1,)]
    assert lay.problem.shapes[1].area == pytest.approx(6000 - 100)


def test_what_an_allowance_may_hide_counts_for_the_shape():
    """Of two pieces alike in their cut line, each with its own stitching line inside."""
    flaw = Flaw(rectangle(5, 5), hide="allowance")
    hems = [
        piece(rectangle(60, 100 - deep), name=f"hem {deep}", turn=False,
              edges=(EdgeAllowance("hem", (0, 0), (60, 0), deep),))
        for deep in (20.0, 30.0)
    ]  # fmt: skip
    lay = compiled(*hems, flaws=(flaw,))
    assert [shape.inner.area for shape in lay.problem.shapes] == pytest.approx([4800, 4200])
    assert len(compiled(*hems).problem.shapes) == 1
    assert lay.exact


def test_inches_are_rounded_to_the_sixteenth_that_tells_them_apart():
    """A hair wider than 40 in needs 40 1/16; a hair narrower than 36 in has 35 15/16."""
    plan = plan_of(piece(rectangle(1016.1, 1200.0)), units="in", width=36 * 25.4 - 0.1)
    with pytest.raises(InputError, match=r"it is 40 1/16 in wide.*only 35 15/16 in of usable"):
        compile_lay(plan, plan.cloths[0])
