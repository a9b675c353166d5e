"""Comparisons as they run: rows, order, time, interruption, and processes."""

import pickle
from concurrent.futures import Executor, Future
from dataclasses import replace
from decimal import Decimal

import pytest

from nesting.comparing import one as one_module
from nesting.comparing.run import compare, fair_seconds
from nesting.engine import tables
from nesting.errors import CheckRefusedError, NoLayoutError, YardageError
from nesting.geometry.nofit import no_fit_polygon
from nesting.model.comparison import ComparedRow
from nesting.model.costing import Layer
from nesting.model.plan import Cloth, Plan, PlanPiece
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from tests.handmade import pattern, rectangle

BRIEF = Stop(iterations=10, without_gain=5)
BAND = PlanPiece("band", pattern("band", rectangle(300, 500)), "silk", 3, 0)
SILK = Cloth("silk", 920.0, 10.0, price=20.0, step=100.0, end_trim=30.0)
PLAN = Plan("test", "cm", (SILK,), (BAND,))


def gore(name="gore", **fields):
    """Return a plan piece that is wide below: two fit together only end for end."""
    shape = pattern("gore", [(0, 0), (600, 0), (300, 1000), (0, 1000)])
    return PlanPiece(name, shape, "silk", 2, 0, **fields)


def test_a_row_by_hand():
    """Three bands of 300 x 500 on 900: side by side, 500 + 30 to square, bought as 600 at 20.00.

    Derived: 2 cm less leave 880, so two rows: 1000 + 30, bought as 1100; one-way changes nothing.
    """
    (row,) = compare(PLAN, stop=BRIEF).rows
    assert (row.layer, row.cloth, row.status) == ("silk", "silk", "proven best")
    assert (row.usable_width, row.length) == (pytest.approx(900.0), pytest.approx(500.0))
    assert dict(row.made_of) == pytest.approx(
        {"lay": 500, "end_trim": 30, "shrinkage": 0, "motif_start": 0, "rounding": 70}
    )
    assert (row.buy_length, row.cost) == (pytest.approx(600.0), Decimal("12.00"))
    assert (row.used, row.joins) == (pytest.approx(1.0), 0)
    assert row.narrower.length == pytest.approx(1000.0)
    assert (row.narrower.buy_length, row.narrower.cost) == (pytest.approx(1100), Decimal("22.00"))
    assert (row.other_way.case, row.other_way.length) == ("one-way", pytest.approx(500.0))


@pytest.mark.parametrize("nap", ["none", "one-way"])
def test_one_way_against_turned(nap):
    """Two gores of 600 below and 300 above on 900: 1000 long turned, 2000 one-way.

    Derived as for two gores from one length (household texts, c. 1915, read): at every level the
    two widths sum to 900 end for end, and to more one-way up to half the height.
    """
    plan = Plan("test", "cm", (replace(SILK, nap=nap),), (gore(),))
    (row,) = compare(plan, stop=Stop(iterations=60)).rows
    lengths = {"none": row.length, "one-way": row.other_way.length}
    if nap == "one-way":
        lengths = {"one-way": row.length, "none": row.other_way.length}
        assert row.other_way.case == "turned"
    assert lengths["none"] == pytest.approx(1000.0, abs=0.1)
    assert 1400.0 < lengths["one-way"] <= 2000.1


def test_rows_stand_by_cost_then_unknown_then_what_does_not_fit():
    """Cheapest first within each layer, and the layers in the plan's order."""
    dear, free = replace(SILK, name="dear", price=90.0), replace(SILK, name="gift", price=None)
    owned = replace(SILK, name="owned", length=2000.0)
    short = replace(SILK, name="scrap", length=100.0)
    narrow = replace(SILK, name="ribbon", width=200.0)
    whole = replace(SILK, name="curtain", price=9.0, price_per="piece", length=3000.0)
    layer = Layer("outer", ("dear", "gift", "owned", "scrap", "ribbon", "silk", "curtain"))
    cloths = (dear, free, owned, short, narrow, SILK, whole)
    seen = []
    found = compare(
        Plan("test", "cm", cloths, (BAND,), layers=(layer,)), stop=BRIEF, on_row=seen.append
    )
    assert [row.cloth for row in found.rows] == [
        "owned", "curtain", "silk", "dear", "gift", "ribbon", "scrap"
    ]  # fmt: skip
    assert [row.cost for row in found.rows[:4]] == [
        Decimal(text) for text in ("0", "9.0", "12.0", "54.0")
    ]
    assert "20.0 cm" in found.rows[5].reason or "18.0 cm" in found.rows[5].reason
    assert "too short" in found.rows[6].reason
    assert {row.number for row in seen} == set(range(7))
    assert found.layers == ("outer",)
    assert not found.unfinished


def test_an_interruption_keeps_the_finished():
    """After two rows it is asked to stop: two are kept, the others are named, none twice."""
    seen = []
    found = compare(
        PLAN,
        stop=BRIEF,
        widths=(1000.0, 1100.0, 1200.0),
        on_row=seen.append,
        interrupted=lambda: len(seen) >= 2,
    )
    assert len(found.rows) == 2
    assert found.unfinished == ("silk, 110.0 cm wide", "silk, 120.0 cm wide")


def test_two_processes_give_the_same_rows():
    """The same seed and iterations: each candidate once, as in one process."""
    widths = (1000.0, 640.0)
    alone = compare(PLAN, stop=BRIEF, widths=widths, seed=2)
    together = compare(PLAN, stop=BRIEF, widths=widths, seed=2, workers=2)
    assert [replace(row, seconds=0.0) for row in together.rows] == [
        replace(row, seconds=0.0) for row in alone.rows
    ]


class _Kept(Executor):
    """Keeps the stop rule of everything submitted, and answers at once."""

    def __init__(self):
        self.seconds = []

    def submit(self, fn, /, candidate, stop, seed):
        """Answer with an empty row."""
        self.seconds.append(stop.seconds)
        future = Future()
        cloth = candidate.cloth
        future.set_result(
            ComparedRow(
                candidate.number, candidate.layer, cloth.name, 0, cloth.width, 1.0, "does not fit"
            )
        )
        return future


def test_time_is_shared_by_the_pieces():
    """One slot: nine copies get nine times what one gets, and all is given away at the end."""
    pool = _Kept()
    layers = (Layer("outer", ("silk",)), Layer("inner", ("lawn",)))
    pieces = (replace(BAND, as_drawn=9), replace(BAND, name="strap", as_drawn=1, cloth="lawn"))
    plan = Plan("t", "cm", (SILK, replace(SILK, name="lawn")), pieces, layers=layers)
    compare(plan, stop=Stop(seconds=100.0), executor=pool)
    first, second = pool.seconds
    assert first == pytest.approx(90.0, abs=1.0)
    assert second > 10.0


def test_candidates_and_errors_can_be_sent_to_another_computer():
    """Pickled and back, an error still says file, item and remedy."""
    error = YardageError("wrong", remedy="mend it", file="gown.toml", item="piece 'gore'")
    assert str(pickle.loads(pickle.dumps(error))) == str(error)  # noqa: S301


def test_a_refused_layout_stops_everything(monkeypatch):
    """What the independent check refuses is never shown as a row."""

    def refuse(*args, **kwargs):
        raise CheckRefusedError("the independent check refuses the layout")

    monkeypatch.setattr(one_module, "lay_plan", refuse)
    with pytest.raises(CheckRefusedError):
        compare(PLAN, stop=BRIEF)


def test_where_no_layout_is_found_more_time_is_taken(monkeypatch):
    """Refused twice for want of time, the third try has sixteen times as much."""
    given = []

    def hurried(plan, *, stop, **kwargs):
        given.append(stop.seconds)
        if len(given) < 3:
            raise NoLayoutError("no layout was found")
        return lay_plan(plan, stop=BRIEF, **kwargs)

    monkeypatch.setattr(one_module, "lay_plan", hurried)
    (row,) = compare(PLAN, stop=Stop(seconds=2.0)).rows
    assert row.status == "proven best"
    assert given[1:3] == pytest.approx([4 * given[0], 16 * given[0]])


def test_what_finds_no_layout_is_not_finished_and_loses_no_row(monkeypatch):
    """Neither called too narrow nor passed over: named, and the others are compared."""

    def hurried(plan, **kwargs):
        if plan.cloths[0].name == "wool":
            raise NoLayoutError("no layout was found")
        return lay_plan(plan, **kwargs)

    monkeypatch.setattr(one_module, "lay_plan", hurried)
    found = compare(replace(PLAN, cloths=(SILK, replace(SILK, name="wool"))), stop=BRIEF)
    assert [row.cloth for row in found.rows] == ["silk"]
    assert found.unfinished == ("wool, 92.0 cm wide",)


def test_a_shorter_layout_of_narrower_cloth_is_taken_over(monkeypatch):
    """The main run finds 1500, that on 2 cm less 1000: the row is never the longer one."""

    def unlucky(plan, **kwargs):
        if plan.cloths[0].width == SILK.width:
            plan = replace(plan, cloths=(replace(SILK, width=500.0),))
        return lay_plan(plan, **kwargs)

    monkeypatch.setattr(one_module, "lay_plan", unlucky)
    (row,) = compare(PLAN, stop=BRIEF).rows
    assert row.length == row.narrower.length == pytest.approx(1000.0)
    assert row.buy_length == pytest.approx(1100.0)
    assert row.same_as == pytest.approx(900.0)


def test_no_fit_polygons_are_worked_out_once_for_all_widths(monkeypatch):
    """The second candidate has the same shapes: not one more polygon than the first alone."""
    made = []
    monkeypatch.setattr(
        tables, "no_fit_polygon", lambda *pair: made.append(1) or no_fit_polygon(*pair)
    )
    counts = []
    for widths in ((), (1000.0,)):
        monkeypatch.setattr(one_module, "_known", tables.KnownPairs())
        compare(replace(PLAN, pieces=(gore(),)), stop=BRIEF, widths=widths)
        counts.append(len(made))
        made.clear()
    assert counts[0] == counts[1] > 0


def test_ten_candidates_of_twenty_pieces_have_a_minute_on_two_processors():
    """The time asked for grows with pieces and candidates, and falls with processors."""
    twenty = replace(PLAN, pieces=(replace(BAND, as_drawn=20),))
    widths = [1000.0 + 50 * k for k in range(9)]
    assert fair_seconds(twenty, widths, 2) == pytest.approx(60.0)
    assert fair_seconds(twenty, widths, 4) == pytest.approx(30.0)
    assert fair_seconds(PLAN) == 5.0
