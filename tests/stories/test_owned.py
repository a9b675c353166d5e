"""Owned cloth, flawed or in several pieces: stories by closed form, from plan files."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from nesting_cli.main import app
from typer.testing import CliRunner

from nesting.model.layout import Layout
from nesting.model.plan import Cloth, Plan
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.layout import read_layout
from nesting.readers.plan import read_plan
from nesting.report.summary import summarise
from nesting.verify.check import check_layout

from ..verify.faults import moved

HERE = Path(__file__).parent
ENOUGH = Stop(seconds=4)


@cache
def plan_of(story) -> Plan:
    """Return the plan of a story."""
    return read_plan(HERE / f"{story}.toml")


@cache
def laid(story) -> Layout:
    """Return the layout of a story, laid once."""
    return lay_plan(plan_of(story), stop=ENOUGH)


def with_cloth(plan, **fields) -> Plan:
    """Return a plan with its only cloth changed."""
    (cloth,) = plan.cloths
    return replace(plan, cloths=(replace(cloth, **fields),))


def ends(lay):
    """Return where the pieces end along the cloth, in centimetres, in order."""
    return sorted(round(float(p.outline[:, 0].max()) / 10, 3) for p in lay.placements)


def test_a_strict_flaw_leaves_room_for_two_of_four():
    """No panel of 95 fits before the stain at 90; behind it, at 100, two do, and end at 195.

    Two rows of 65 + 65 across 140 both lie on 60 to 80. Four need 100 + 95 + 95 = 290.
    """
    (lay,) = laid("flaw_strict").lays
    assert (lay.status, lay.length) == ("does not fit", pytest.approx(2900, abs=0.01))
    assert lay.proven_minimum == pytest.approx(2900, abs=0.01)
    assert ends(lay) == [195, 195, 290, 290]
    assert dict(lay.without) == {"keeping clear of the flaws": pytest.approx(1900, abs=0.01)}
    said = " ".join(lay.remarks)
    assert "2 of panel find room on what is owned, 2 of panel not; proven: none" in said
    assert "lay 5.0 cm further on, the lay would take 200.0 cm instead of 290.0 cm" in said


def test_with_five_more_before_the_flaw_all_four_fit():
    """One row ends at 95, where the stain begins; the next begins behind it, at 105."""
    (lay,) = laid("flaw_further_on").lays
    assert (lay.status, lay.length) == ("proven best", pytest.approx(2000, abs=0.01))
    assert ends(lay) == [95, 95, 200, 200]


def test_a_hem_that_may_hide_the_flaw_saves_all_four():
    """The first row's hem, 89 to 95, lies on the stain at 90; the second row begins at 100."""
    (lay,) = laid("flaw_in_hem").lays
    assert (lay.status, lay.length) == ("proven best", pytest.approx(1950, abs=0.01))
    assert ends(lay) == [95, 95, 195, 195]


def test_the_change_that_would_help_most_is_named():
    """Where hems are there but may not hide the stain: hiding gives 195, moving it only 200."""
    plan = plan_of("flaw_in_hem")
    (flaw,) = plan.cloths[0].flaws
    (lay,) = lay_plan(with_cloth(plan, flaws=(replace(flaw, hide="no"),)), stop=ENOUGH).lays
    assert lay.length == pytest.approx(2900, abs=0.01)
    (best,) = (remark for remark in lay.remarks if remark.startswith("what would help most"))
    assert "if an allowance might hide the stain" in best
    assert "would take 195.0 cm" in best


@pytest.mark.parametrize("story", ["curtains", "curtains_oblongs"])
def test_six_gores_take_both_curtains(story):
    """Beside fading and seam 38.5 and 58.5 are left: one width of 36 each, two lengths of 96.

    So four oblongs find room on one curtain, and six on both; for gores that taper that one is
    not enough is proven of their area or their sections, or not said to be.
    """
    lays = laid(story).lays
    assert [lay.panel for lay in lays] == [1, 2]
    assert sum(len(lay.placements) for lay in lays) == 6
    assert all(lay.status != "does not fit" for lay in lays)
    if story == "curtains_oblongs":
        assert "no fewer can hold the pieces: proven" in lays[-1].remarks[-1]


@pytest.mark.parametrize("count", [4, 5])
def test_four_oblongs_fit_one_curtain_and_five_do_not(count):
    """The largest number for one curtain is four; the right one is taken, the left stays whole."""
    plan = plan_of("curtains_oblongs")
    plan = replace(plan, pieces=(replace(plan.pieces[0], as_drawn=count),))
    lays = lay_plan(plan, stop=ENOUGH).lays
    assert len(lays) == (1 if count == 4 else 2)
    panel = plan.cloths[0].panels[0]
    one = with_cloth(plan, panels=(panel,), flaws=plan.cloths[0].flaws[:2])
    (only,) = lay_plan(one, stop=ENOUGH).lays
    assert (only.status == "does not fit") == (count == 5)
    if count == 5:
        assert "1 of oblong found no room on the panels" in only.reason
        assert "another 96.0 cm of cloth 36.0 cm wide would hold" in only.reason
        assert "proven" in only.reason
        assert len(only.placements) == 4


def test_what_the_curtains_cannot_hold_is_bought_to_match():
    """Nine oblongs: eight on both curtains; one more, 96 long, is bought, a metre at 20."""
    plan = with_cloth(
        plan_of("curtains_oblongs"), width=1400.0, extra="buy", price=20.0, step=100.0
    )
    plan = replace(plan, pieces=(replace(plan.pieces[0], as_drawn=9),))
    *panels, bought = lay_plan(plan, stop=ENOUGH).lays
    assert [lay.panel for lay in panels] == [1, 2]
    assert (bought.panel, bought.length) == (None, pytest.approx(960, abs=0.01))
    assert (bought.buy.length, bought.buy.cost) == (pytest.approx(1000), pytest.approx(20.0))
    assert "bought to match" in bought.remarks[-1]


def test_a_facing_goes_where_it_costs_least():
    """On the silk it would be another row of 96; the cotton costs 10; the remnant is too short.

    With a longer remnant it costs nothing; in a wider silk it fits beside the gores for nothing.
    """
    gore = plan_of("curtains").pieces[0]
    facing = replace(gore, name="facing", as_drawn=2, cloths=("silk", "cotton", "remnant"))
    pieces = (replace(gore, cloth="silk", as_drawn=2), replace(facing, cloth="silk"))

    def laid_on(silk, remnant):
        cloths = (
            Cloth("silk", silk, price=40.0, step=100.0),
            Cloth("cotton", 1000.0, price=10.0, step=100.0),
            Cloth("remnant", 1000.0, length=remnant),
        )
        layout = lay_plan(Plan("test", "cm", cloths, pieces), stop=Stop(seconds=6))
        (where,) = {
            lay.cloth for lay in layout.lays for p in lay.placements if p.piece == "facing"
        }
        return where, " ".join(layout.remarks)

    where, said = laid_on(1000.0, 600.0)
    assert where == "cotton"
    assert "from silk all would cost" in said
    assert "on remnant there was not room enough" in said
    assert laid_on(1000.0, 1000.0)[0] == "remnant"
    assert laid_on(1450.0, 1000.0)[0] == "silk"


@pytest.mark.parametrize("story", ["flaw_in_hem", "curtains"])
def test_the_command_line_writes_what_can_be_read_and_drawn_again(tmp_path, story):
    """The layout file keeps flaws, panels and remarks; every panel has a marker of its own."""
    out = tmp_path / "out"
    run = CliRunner().invoke(
        app, ["lay", str(HERE / f"{story}.toml"), "--seconds", "3", "--out", str(out)]
    )
    assert run.exit_code == 0, run.stderr
    layout = read_layout(out / "layout.json")
    assert check_layout(plan_of(story), layout) == ()
    assert len(list(out.glob("marker-*.png"))) == len(layout.lays)
    assert "ASTM D5430" in summarise(None, layout)


def test_a_piece_over_the_edge_of_its_panel_is_refused():
    """The last piece of a panel, moved beyond its end; and one moved on to the old seam."""
    plan, layout = plan_of("curtains_oblongs"), laid("curtains_oblongs")
    lay = layout.lays[-1]
    last = max(lay.placements, key=lambda p: float(p.outline[:, 0].max()))
    over = 1980.0 - float(last.outline[:, 0].max())
    across = 600.0 - float(last.outline[:, 1].min())
    for by, kind in (((over + 1.0, 0.0), "edge"), ((0.0, across), "flaw")):
        placements = tuple(moved(p, *by) if p is last else p for p in lay.placements)
        wrong = replace(lay, placements=placements)
        found = check_layout(plan, replace(layout, lays=(*layout.lays[:-1], wrong)))
        assert any(f.kind == kind and f.piece == "oblong" for f in found), kind


def test_panels_must_be_those_of_the_plan():
    """A number, a name or an edge that is not the plan's, and a panel laid twice, are refused."""
    plan, layout = plan_of("curtains_oblongs"), laid("curtains_oblongs")
    first, last = layout.lays
    for wrong in (
        replace(last, panel=3),
        replace(last, panel=None),
        replace(last, panel_name="hall curtain"),
        replace(last, panel_outline=last.panel_outline * np.array([1.01, 1.0])),
        replace(last, panel=1),
    ):
        assert check_layout(plan, replace(layout, lays=(first, wrong)))
