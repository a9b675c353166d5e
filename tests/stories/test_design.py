"""Pieces on the design of their cloth: stories by closed form, from plan files to proven bests."""

from dataclasses import replace
from functools import cache
from math import ceil
from pathlib import Path

import numpy as np
import pytest
from nesting_cli.main import app
from typer.testing import CliRunner

from nesting.engine.solve import solve
from nesting.model.plan import Cloth, Motif, Plan, PlanPiece, Repeat
from nesting.model.problem import Domain
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.layout import read_layout
from nesting.readers.plan import read_plan
from nesting.rules.compile import compile_lay
from nesting.verify.check import check_layout

from ..handmade import pattern, rectangle

HERE = Path(__file__).parent
ENOUGH = Stop(seconds=60)


@cache
def laid(story):
    """Return the only lay of a story, laid once."""
    (lay,) = lay_plan(read_plan(HERE / f"{story}.toml"), stop=ENOUGH).lays
    return lay


def starts(lay):
    """Return where the pieces begin along the cloth, in centimetres, in order."""
    return sorted(round(float(p.outline[:, 0].min()) / 10, 3) + 0.0 for p in lay.placements)


@pytest.mark.parametrize(
    ("story", "length", "without"),
    [
        ("half_drop", 6300, {"matching the design": 6000}),
        ("half_drop_straight", 7260, {"matching the design": 6000}),
        ("plaid", 2140, {"matching the design": 2080}),
        ("border", 2000, {"following the border": 1000}),
        ("axis", 2000, {"matching the design": 1000}),
        ("columns", 700, {"matching the design": 500}),
    ],
)
def test_stories_are_proven_bests(story, length, without):
    """Every length follows by closed form, and so does that of the same lay without the design.

    Half drop: 150 long on places 32 apart leaves 160 from a place to the next of the other kind,
    3 x 160 + 150; all on the repeat, 3 x 192 + 150. Plaid: the front's start s behind the back
    has s + 100 = 98 modulo 16 and s >= 104, so s = 110. Border: 60 wide, yet both hems at one
    selvage. Axis: middles 30, 50 and 70 from the selvage, so two of 30 side by side, not three.
    Columns: neighbours of a half drop of 40 lie 20 apart.
    """
    lay = laid(story)
    assert lay.status == "proven best"
    assert lay.length == pytest.approx(length, abs=0.01)
    assert lay.without == pytest.approx(without, abs=0.01)


def test_lengths_on_a_half_drop_begin_by_turns():
    """Places of either kind follow each other: 0, 160, 320, 480."""
    lay = laid("half_drop")
    assert starts(lay) == [0, 160, 320, 480]
    order = sorted(lay.placements, key=lambda p: float(p.outline[:, 0].min()))
    assert order[0].piece == order[2].piece != order[1].piece == order[3].piece
    assert starts(laid("half_drop_straight")) == [0, 192, 384, 576]


def test_a_plaid_met_in_the_other_order():
    """With the front first: 98 + s = 100 modulo 16 and s >= 104, so s = 114 and the end 218."""
    plan = read_plan(HERE / "plaid.toml")
    job = compile_lay(plan, plan.cloths[0])
    front = job.problem.items[0]
    first = tuple(Domain((0.0, 0.0), d.y, d.lattice) for d in front.domains)
    items = (replace(front, domains=first), *job.problem.items[1:])
    found = solve(replace(job.problem, items=items), stop=ENOUGH)
    assert found.status == "proven best"
    assert found.length == pytest.approx(2180, abs=0.01)


def test_a_match_alone_starts_anywhere():
    """Nothing is bought to reach a place of the design, since none is asked for."""
    buy = laid("plaid").buy
    assert buy.made_of["motif_start"] == 0
    assert buy.length == pytest.approx(2140, abs=0.01)


def test_a_motif_is_started_from_the_bolt():
    """One repeat of 64 more: 726 + 64 = 790 cm, at 40 a metre 316.00."""
    buy = laid("half_drop_straight").buy
    assert buy.made_of["motif_start"] == pytest.approx(640)
    assert buy.length == pytest.approx(7900, abs=0.01)
    assert buy.cost == pytest.approx(316.0)


def hangings(cut, repeat, count=2, **cloth):
    """Return a plan of lengths as wide as their cloth, in inches, begun on the repeat."""
    inch = 25.4
    drawn = pattern("length", rectangle(54 * inch, cut * inch))
    piece = PlanPiece(
        "length", drawn, "chintz", count, points={"foot": (0.0, 0.0)},
        motif=Motif("foot", (0.0, None)),
    )  # fmt: skip
    repeats = Repeat(along=repeat * inch)
    made = Cloth("chintz", 54 * inch, nap="one-way", repeat=repeats, **cloth)
    return Plan("hangings", "in", (made,), (piece,))


@pytest.mark.parametrize(
    ("cut", "repeat", "published"),
    [(116, 25, 125), (118, 13, 130), (96, 27, 108), (114, 4.5, 117)],
)
def test_cut_lengths_of_drapery_arithmetic(cut, repeat, published):
    """From one length to the next it is the published cut length: whole repeats.

    Drapery arithmetic (read): 116 in on a repeat of 25 is cut at 125, 118 on 13 at 130, 96 on
    27 at 108, 114 on 4.5 at 117; two of these and one repeat to start make 238.5 in. The last
    length need not be cut to a whole repeat, so 3 in less are bought here.
    """
    assert ceil(cut / repeat) * repeat == published
    (lay,) = lay_plan(hangings(cut, repeat), stop=ENOUGH).lays
    assert np.diff(starts(lay)) * 10 / 25.4 == pytest.approx([published], abs=1e-2)
    assert lay.status == "proven best"
    assert lay.buy.length / 25.4 == pytest.approx(published + cut + repeat, abs=1e-2)
    if cut == 114:
        assert lay.buy.length / 25.4 == pytest.approx(238.5 - (published - cut), abs=1e-2)


def test_side_by_side_a_repeat_costs_nothing():
    """Only lengths stacked along the cloth cost repeats (drapery arithmetic, read)."""
    plan = hangings(96, 27)
    wide = replace(plan, cloths=(replace(plan.cloths[0], width=2 * plan.cloths[0].width),))
    (lay,) = lay_plan(wide, stop=ENOUGH).lays
    assert lay.length / 25.4 == pytest.approx(96, abs=1e-3)
    assert lay.without == {}


def test_a_known_design_holds_the_lay_to_its_place():
    """It starts 10 in from the cut end, so the first of two lengths of 96 does: 10 + 108 + 96."""
    plan = hangings(96, 27, count=2)
    repeat = replace(plan.cloths[0].repeat, offset=(10 * 25.4, None))
    known = replace(plan, cloths=(replace(plan.cloths[0], repeat=repeat),))
    (lay,) = lay_plan(known, stop=ENOUGH).lays
    assert lay.length / 25.4 == pytest.approx(214, abs=1e-3)
    assert lay.buy.made_of["motif_start"] == 0


def test_the_command_lays_a_story_and_writes_it(tmp_path):
    """From the plan file to a layout file that reads back the same and passes the check."""
    out = tmp_path / "out"
    path = HERE / "half_drop.toml"
    done = CliRunner().invoke(app, ["lay", str(path), "--seconds", "20", "--out", str(out)])
    assert done.exit_code == 0, done.output
    assert "matching the design: 600.0 cm, so that costs 30.0 cm" in done.stdout
    assert "64.0 cm to start on the design" in done.stdout
    layout = read_layout(out / "layout.json")
    assert check_layout(read_plan(path), layout) == ()
    (lay,) = layout.lays
    assert (lay.repeat.along, lay.repeat.across, lay.repeat.drop) == (640, 600, "half")
    assert {p.held for p in lay.placements} == {("foot",)}
    assert (out / "marker-damask.png").is_file()
