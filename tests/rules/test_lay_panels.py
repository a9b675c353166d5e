"""Which panels are tried, with how much of the time, and what the lays of panels say."""

from dataclasses import replace

import pytest

from nesting.errors import NoLayoutError
from nesting.geometry.rings import as_points
from nesting.model.plan import Cloth, Flaw, Panel, Plan
from nesting.rules.lay_panels import lay_panels

from .garments import cuffs_on_panels, piece, rectangle
from .plain_cutter import PlainCutter


def lays_of(plan, cutter=None):
    """Return the lays of a plan's panels, as a plain cutter lays them."""
    return lay_panels(plan, plan.cloths[0], cutter or PlainCutter()).lays


def test_the_fewest_panels_take_all_and_that_is_proven():
    """500 long panels hold two cuffs of 200 each one behind the other: three take two panels."""
    cutter = PlainCutter()
    one, two = lays_of(cuffs_on_panels((500, 400), (500, 400), (500, 400)), cutter)
    assert [(lay.panel, lay.panel_name, len(lay.placements)) for lay in (one, two)] == [
        (1, "p1", 1), (2, "p2", 2),
    ]  # fmt: skip
    assert (one.remarks, two.remarks) == (
        (), ("2 of the 3 panels are used; no fewer can hold the pieces: proven",),
    )  # fmt: skip
    assert (one.status, two.status, two.reason) == ("found", "found", "")
    assert (one.length, two.length) == (pytest.approx(200), pytest.approx(400))
    assert two.placements[1].outline.min(axis=0) == pytest.approx([200, 0])
    assert one.panel_outline.max(axis=0) == pytest.approx([500, 400])
    # What is left is sought on all of the panel.
    assert one.leftover == pytest.approx((200, 0, 500, 400))
    assert two.usable_width == 400.0
    # The choice is tried with 12 % of the time; half of the rest improves it, half tightens it.
    (first, target, useful, start), (second, *_, given), (third, *_, last) = cutter.asked
    assert (first, second, third) == (0.12, pytest.approx(0.44), pytest.approx(0.44))
    assert (target, useful, start) == (pytest.approx(1030), pytest.approx(1020), None)
    assert [round(at.x) for at in given] == [0, 200, 520]
    assert last is None


def test_with_a_gap_the_end_of_the_panels_is_no_proof():
    """The engine's shapes are then larger than the pieces: a target, and no useful length."""
    cutter = PlainCutter()
    lays_of(cuffs_on_panels((500, 400), (500, 400), gap=4.0), cutter)
    (_, target, useful, _), *_ = cutter.asked
    assert target == pytest.approx(500 + 4 + 20 + 500 + 4 + 10)
    assert useful is None


def test_one_panel_of_several_is_said_to_be_enough():
    """Of one panel no proof is needed; of an only panel nothing is said."""
    (lay,) = lays_of(cuffs_on_panels((500, 400), (500, 400), count=2))
    assert lay.remarks == ("1 of the 2 panels is used",)
    (lay,) = lays_of(cuffs_on_panels((500, 400), count=2))
    assert lay.remarks == ()
    (lay,) = lays_of(cuffs_on_panels((500, 400), count=2, extra="buy"))
    assert lay.remarks == ()


def test_what_finds_no_room_is_named_and_measured():
    """Three cuffs on panels for one each: the third would take another 20 cm, 30 wide."""
    plan = cuffs_on_panels((300, 400), (300, 400))
    one, two = lays_of(plan)
    assert (one.status, two.status) == ("found", "does not fit")
    assert (one.reason, one.remarks, two.remarks) == ("", (), ())
    assert two.reason == (
        "1 of cuff found no room on the panels of calico: another 20.0 cm of cloth 30.0 cm wide "
        "would hold them; proven: these panels cannot hold all pieces"
    )
    assert sum(len(lay.placements) for lay in (one, two)) == 2


def test_several_pieces_left_out_are_counted():
    """Two cuffs and a band are out, in the order of the plan; a gap is no part of the length."""
    plan = cuffs_on_panels((300, 400), (300, 400), count=4, gap=4.0)
    band = piece(rectangle(310, 250), name="band")
    *_, last = lays_of(replace(plan, pieces=(*plan.pieces, band)))
    assert last.reason.startswith(
        "2 of cuff, 1 of band found no room on the panels of calico: another 65.8 cm of cloth "
        "31.0 cm wide would hold them; "
    )


class Longer(PlainCutter):
    """Leaves so much cloth before the first piece: too much for the first of the trials."""

    def __init__(self, *skips, **fields):
        """Take the cloth to skip in one call after the other; None for no layout at all."""
        super().__init__(**fields)
        self.skips = list(skips)

    def __call__(self, compiled, share, **asked):
        """Return the layout of the plain cutter, made worse."""
        found = super().__call__(compiled, share, **asked)
        by = self.skips.pop(0) if self.skips else 0.0
        if by is None:
            raise NoLayoutError("no layout")
        layout = tuple(replace(at, x=at.x + by) for at in found.layout)
        longer = found.length + by
        return replace(found, layout=layout, length=longer, minimum=self.minimum * longer)


def test_a_choice_that_was_not_found_to_do_is_not_proven_to_fail():
    """Two panels could hold the cuffs, but no such lay was found; three are taken instead."""
    lays = lays_of(
        cuffs_on_panels((500, 400), (500, 400), (500, 400)), Longer(2000.0, 2000.0, 2000.0)
    )
    assert lays[-1].remarks == (
        "2 of the 3 panels are used; fewer may do, but no such lay was found",
    )
    lays = lays_of(cuffs_on_panels((500, 400), (500, 400), (500, 400)), Longer(None, None, None))
    assert lays[-1].remarks == (
        "2 of the 3 panels are used; fewer may do, but no such lay was found",
    )


def test_a_choice_proven_too_small_leaves_the_proof_whole():
    """Where even the least length is longer than the panels, the next choice is the fewest."""
    plan = cuffs_on_panels((500, 400), (500, 400), (500, 400))
    lays = lays_of(plan, Longer(2000.0, 2000.0, 2000.0, minimum=0.99))
    assert lays[-1].remarks == (
        "2 of the 3 panels are used; no fewer can hold the pieces: proven",
    )


def test_not_enough_and_not_proven():
    """The search broke off: a longer one may find room, and all panels were laid."""
    cutter = Longer(700.0, 700.0, 700.0, stop_reason="interrupted")
    lays = lays_of(cuffs_on_panels((500, 400), (500, 400)), cutter)
    assert len(cutter.asked) == 3
    assert lays[-1].status == "does not fit"
    assert "it is not proven that they do not fit" in lays[-1].reason
    plan = cuffs_on_panels((500, 400), (500, 400), (500, 400), count=4)
    broken = Longer(3000.0, stop_reason="interrupted")
    found = lays_of(plan, broken)
    shares = [share for share, *_ in broken.asked]
    # One trial, all panels at once, then what is left in halves.
    assert shares[:3] == pytest.approx([0.12, 0.12, 0.38])
    assert sum(shares) == pytest.approx(1.0)
    assert found[-1].remarks == (
        "2 of the 3 panels are used; fewer may do, but no such lay was found",
    )


class Behind(PlainCutter):
    """Puts all pieces behind the panels."""

    def __call__(self, compiled, share, **asked):
        """Return the layout of the plain cutter behind all obstacles."""
        problem = compiled.problem
        end = max(obstacle.shape.box[2] for obstacle in problem.obstacles)
        found = super().__call__(
            replace(compiled, problem=replace(problem, obstacles=())), share, **asked
        )
        layout = tuple(replace(at, x=at.x + end) for at in found.layout)
        return replace(found, problem=problem, layout=layout, length=found.length + end)


def test_where_nothing_was_laid_on_a_panel_the_first_one_tells():
    """No piece on any panel: an empty lay of the first carries the reason."""
    plan = cuffs_on_panels((500, 400), (600, 400), count=2, selvage=5.0, flaws=(
        Flaw(as_points([(0, 0), (5, 0), (5, 5)]), 1, "no", "tear"),))  # fmt: skip
    (lay,) = lays_of(plan, Behind())
    assert (lay.status, lay.placements, lay.length, lay.layers) == ("does not fit", (), 0.0, 1)
    assert (lay.panel, lay.panel_name, lay.cloth, lay.usable_width) == (1, "p1", "calico", 390.0)
    assert (lay.cloth_width, lay.selvage, lay.nap) == (400.0, 5.0, "none")
    assert (lay.proven_minimum, lay.utilisation) == (0.0, 0.0)
    assert lay.buy.length == 0.0
    assert lay.panel_outline.max(axis=0) == pytest.approx([500, 390])
    assert [flaw.kind for flaw in lay.flaws] == ["tear"]
    assert lay.reason.endswith(
        "it is not proven that they do not fit, so a longer search may find room"
    )
    assert lay.reason.startswith("2 of cuff found no room")


def test_cloth_bought_to_match_takes_the_rest():
    """Three cuffs on panels for one each: the third on 20 cm off the bolt, as wide as that is."""
    plan = cuffs_on_panels(
        (300, 400), (300, 400), extra="buy", width=450.0, price=10.0, step=100.0
    )
    one, two, bought = lays_of(plan, PlainCutter(minimum=1.0))
    assert (one.panel, two.panel, bought.panel) == (1, 2, None)
    assert (bought.usable_width, bought.length) == (450.0, pytest.approx(200))
    assert (bought.buy.length, bought.buy.cost) == (pytest.approx(200), 2.0)
    assert one.buy.cost == 0.0
    assert bought.proven_minimum == pytest.approx(200)
    assert bought.status == "proven best"
    assert bought.remarks == (
        "the panels cannot hold all pieces: proven, so cloth is bought to match",
    )
    assert (bought.panel_name, bought.panel_outline) == ("", None)
    open_ = lays_of(plan, PlainCutter())[-1]
    assert (open_.status, open_.proven_minimum) == ("found", 0.0)
    half = lays_of(plan, PlainCutter(minimum=0.9))[-1]
    assert (half.status, half.proven_minimum) == ("found", pytest.approx(0.9 * 840 - 640))
    gapped = replace(plan, cloths=(replace(plan.cloths[0], gap=4.0),))
    assert lays_of(gapped, PlainCutter(minimum=1.0))[-1].proven_minimum == 0.0


def test_bought_where_no_lay_on_the_panels_was_found():
    """Nothing proves that the panels are too small."""
    plan = cuffs_on_panels((500, 400), (500, 400), extra="buy")
    last = lays_of(plan, Behind())[-1]
    assert last.remarks == ("no lay on the panels alone was found, so cloth is bought to match",)
    assert (last.length, len(last.placements)) == (pytest.approx(600), 3)


class Scattered(PlainCutter):
    """Leaves 30 before every piece of the whole strip; lays a single panel without any."""

    def __call__(self, compiled, share, **asked):
        """Return the layout of the plain cutter, made worse."""
        found = super().__call__(compiled, share, **asked)
        if len(compiled.problem.items) < 4:
            return found
        layout = tuple(
            replace(at, x=at.x + (60.0 if k % 2 else 30.0)) for k, at in enumerate(found.layout)
        )
        return replace(found, layout=layout, length=found.length + 60.0)


def test_pieces_of_each_panel_but_the_last_are_drawn_together():
    """Two cuffs to a panel, laid 30 apart on both: on the first they are laid afresh."""
    cutter = Scattered()
    one, two = lays_of(cuffs_on_panels((500, 400), (500, 400), count=4), cutter)
    starts = [[round(p.outline[:, 0].min()) for p in lay.placements] for lay in (one, two)]
    # Panel 2 comes first on the strip, so that panel 1 is the last.
    assert starts == [[30, 260], [0, 200]]
    assert two.length == pytest.approx(400)
    assert len(cutter.asked) == 3


def test_a_panel_without_a_layout_of_its_own_stays_as_it_was():
    """No layout was found when its pieces were to be drawn together."""

    class Stuck(Scattered):
        def __call__(self, compiled, share, **asked):
            if len(compiled.problem.items) < 4:
                raise NoLayoutError("no layout")
            return super().__call__(compiled, share, **asked)

    _, two = lays_of(cuffs_on_panels((500, 400), (500, 400), count=4), Stuck())
    assert [round(p.outline[:, 0].min()) for p in two.placements] == [30, 260]


def test_improving_never_loses_the_layout_of_the_trial():
    """The second run found something longer: the first layout is laid."""
    lays = lays_of(cuffs_on_panels((900, 400), (900, 400), count=3), Longer(0.0, 100.0))
    assert lays[0].placements[0].outline[:, 0].min() == pytest.approx(0)
    lays = lays_of(cuffs_on_panels((900, 400), (900, 400), count=3), Longer(100.0, 50.0))
    assert lays[0].placements[0].outline[:, 0].min() == pytest.approx(50)


def test_the_largest_panel_is_laid_last():
    """So that what is left over is left of that one."""
    plan = cuffs_on_panels((650, 400), (450, 400), count=4)
    one, two = lays_of(plan)
    assert [len(lay.placements) for lay in (one, two)] == [2, 2]
    assert two.placements[0].copy == 1  # the first piece lies on the first panel of the strip


def test_what_is_left_of_a_drawn_panel_keeps_to_its_edge_and_flaws():
    """A triangle of 400 by 300 cut off, and a spot: the rectangle lies within what is there."""
    edge = as_points([(0, 0), (800, 0), (800, 100), (400, 400), (0, 400)])
    spot = Flaw(as_points([(300, 250), (320, 250), (320, 400), (300, 400)]))
    cloth = Cloth("calico", 400.0, panels=(Panel("a", 800, 400, edge),), flaws=(spot,))
    plan = Plan("test", "cm", (cloth,), (piece(rectangle(300, 200), name="cuff"),))
    (lay,) = lays_of(plan)
    assert lay.leftover == pytest.approx((200, 0, 600, 250))
    whole = cuffs_on_panels((200, 300), count=1)
    assert lays_of(whole)[0].leftover is None


def test_what_is_found_can_be_shown_before_anything_is_proven():
    """Trial, improvement and all panels at once as lays of the panels; a single panel as none."""
    cutter = PlainCutter()
    lays_of(cuffs_on_panels((500, 400), (500, 400), (500, 400)), cutter)
    trial, better, alone = cutter.shown
    for lays in (trial, better):
        assert [(lay.panel, len(lay.placements)) for lay in lays] == [(1, 1), (2, 2)]
        assert lays[-1].remarks == (
            "2 of the 3 panels are used; fewer may do, but no such lay was found",
        )
    assert alone is None
    cutter = PlainCutter()
    lays_of(cuffs_on_panels((300, 400), (300, 400)), cutter)
    every, better, *_ = cutter.shown
    assert "it is not proven" in every[-1].reason
    assert [lay.panel for lay in every] == [1, 2]
    assert "it is not proven" in better[-1].reason


@pytest.mark.parametrize(("over", "trials"), [(9.9, 1), (10.1, 2)])
def test_pieces_lie_on_owned_panels_up_to_half_a_wall(over, trials):
    """So that no rounding puts them behind; farther on the choice is refused."""
    cutter = Longer(100.0 + over)
    lays_of(cuffs_on_panels((500, 400), (900, 400), count=2), cutter)
    tries = [share for share, *_ in cutter.asked if share == 0.12]
    assert len(tries) == trials


def test_of_three_panels_the_first_two_are_drawn_together():
    """Where the first finds no layout of its own, the second still does."""

    class StuckOnce(PlainCutter):
        """Leaves 30 before every piece of all; finds nothing for the first panel by itself."""

        def __call__(self, compiled, share, **asked):
            """Return the layout, or none for the first panel."""
            found = super().__call__(compiled, share, **asked)
            if len(compiled.problem.items) == 3:
                layout = tuple(replace(at, x=at.x + 30.0) for at in found.layout)
                return replace(found, layout=layout, length=found.length + 30.0)
            if len(self.asked) == 3:
                raise NoLayoutError("no layout")
            return found

    cutter = StuckOnce()
    lays = lays_of(cuffs_on_panels((300, 400), (300, 400), (300, 400)), cutter)
    starts = {lay.panel: round(lay.placements[0].outline[:, 0].min()) for lay in lays}
    assert starts == {3: 30, 2: 0, 1: 30}
    assert [share for share, *_ in cutter.asked] == pytest.approx([0.12, 0.44, 0.22, 0.22])


def test_pieces_drawn_together_for_nothing_stay_where_they_were():
    """Laid by themselves they would take more of their panel, on the first one and the second."""

    class Worse(PlainCutter):
        """Leaves 70 before the pieces of a single panel, and 30 before those of all."""

        def __call__(self, compiled, share, **asked):
            """Return the layout, moved."""
            found = super().__call__(compiled, share, **asked)
            by = 30.0 if len(compiled.problem.items) == 3 else 70.0
            layout = tuple(replace(at, x=at.x + by) for at in found.layout)
            return replace(found, layout=layout, length=found.length + by)

    lays = lays_of(cuffs_on_panels((300, 400), (300, 400), (300, 400)), Worse())
    assert [round(lay.placements[0].outline[:, 0].min()) for lay in lays] == [30, 30, 30]
