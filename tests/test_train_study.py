"""Trains: gores turned and staggered, and what the width of the cloth does to the length."""

import matplotlib.image
import numpy as np
import pytest

from nesting import Stop, lay_plan
from nesting.errors import InputError
from nesting.model.plan import Piecing
from nesting.plot.train import write_train_chart
from nesting.report.summary import summarise
from nesting.report.train import train_lines
from tests.rules.garments import piece, plan_of
from tests.test_joining import GORE, gore

# A straight edge on the grain, top 25, hem 95, length 260. Turned end for end, moved on by t and
# slants together, two gores are 120 - 70 t / 260 wide; both tops the same way, 190 - 70 t / 260.
TURNED_112 = 2600.0 + 2600.0 * (120.0 - 112.0) / 70.0
ONE_WAY_147 = 2600.0 + 2600.0 * (190.0 - 147.0) / 70.0


@pytest.mark.parametrize(
    ("width", "fields", "cloth", "length"),
    [
        (1120.0, {}, {"nap": "one-way"}, 5200.0),
        (1120.0, {"as_drawn": 2, "mirrored": 0}, {}, TURNED_112),
        (1120.0, {}, {"sides": "alike"}, TURNED_112),
        (1470.0, {"as_drawn": 2, "mirrored": 0}, {}, 2600.0),
        (1470.0, {}, {"nap": "one-way"}, ONE_WAY_147),
        # A left and a right on cloth with a right side: turning both ends never brings a slant
        # to face the other the right way round, so that turning wins nothing.
        (1120.0, {}, {}, 5200.0),
        (1470.0, {}, {}, ONE_WAY_147),
    ],
)
def test_gores_turn_and_stagger_by_themselves(width, fields, cloth, length):
    """The closed forms come out of the search, and are proven (to a tenth of a millimetre)."""
    plan = plan_of(gore(piecing=None, **fields), width=width, **cloth)
    lay = lay_plan(plan, stop=Stop(iterations=200)).lays[0]
    assert lay.length == pytest.approx(length, abs=0.1)
    assert lay.status == "proven best"


def test_across_the_cloth_a_train_is_too_long():
    """260 cm laid across 112 is refused, with both numbers."""
    plan = plan_of(gore(piecing=None, grain="crosswise"), width=1120.0)
    with pytest.raises(InputError, match=r"260\.0 cm wide as laid.*112\.0 cm"):
        lay_plan(plan, stop=Stop(iterations=1))


@pytest.fixture(scope="module")
def studied():
    """Return a plan with a train and its layout."""
    zone = np.array([[0, 0], [950, 0], [950, 1400], [0, 1400]], dtype=float)
    plan = plan_of(gore(train=True, piecing=Piecing(zones=(zone,), worth=50.0)), width=1120.0)
    return plan, lay_plan(plan, stop=Stop(iterations=30))


def test_every_way_of_cutting_is_compared(studied):
    """Whole 520, staggered 289.7, across impossible; pieced is never longer than whole."""
    study = studied[1].trains[0]
    lengths = {case.what: case.length for case in study.cases}
    assert lengths["whole"] == pytest.approx(5200.0, abs=0.1)
    turned = "whole, turned and staggered, on cloth alike on both sides"
    assert lengths[turned] == pytest.approx(TURNED_112, abs=0.1)
    assert lengths["cut across the cloth"] is None
    assert lengths["pieced where it saves most"] <= lengths["pieced at the selvage"] + 0.1
    assert lengths["pieced at the selvage"] < lengths["whole"]


def test_the_chart_never_rises_and_starts_where_the_gore_fits(studied):
    """Whole from 95 cm on, to the millimetre; wider cloth never takes more."""
    chart = studied[1].trains[0].chart
    for which in ("whole", "pieced"):
        lengths = [x for x in (getattr(point, which) for point in chart) if x is not None]
        assert lengths == sorted(lengths, reverse=True)
    assert min(point.width for point in chart if point.whole is not None) == 950.0
    assert (chart[0].width, chart[-1].width) == (400.0, 1600.0)
    at_148 = next(point for point in chart if point.width == 1480.0)
    assert at_148.whole == pytest.approx(2600.0 + 2600.0 * (190.0 - 148.0) / 70.0, abs=1.0)


def test_it_is_told_in_words_and_drawn(studied, tmp_path):
    """The summary has a paragraph on the train; the chart is a picture of some size."""
    plan, layout = studied
    text = summarise(plan, layout)
    assert "The train: gore" in text
    assert "520.0 cm" in text
    assert any("of usable width" in line for line in train_lines(layout.trains[0], "in"))
    picture = write_train_chart(layout.trains[0], "cm", tmp_path / "train.png")
    assert matplotlib.image.imread(picture).shape[0] > 400


def test_on_a_fold_gores_stagger_in_the_half_of_the_cloth():
    """Two pairs of gores of half the size, cut double on 147 cm, share 73.5 cm (closed form).

    Of a pair either hand may lie below, so the slants of two can face each other, both tops one
    way or turned.
    """
    small = piece(GORE / 2, "gore", as_drawn=2, mirrored=2, train=True)
    plan = plan_of(small, width=1470.0, nap="one-way", fold="lengthwise")
    layout = lay_plan(plan, stop=Stop(iterations=3))
    assert [p.layers for p in layout.lays[0].placements] == [2, 2]
    lengths = {case.what: case.length for case in layout.trains[0].cases}
    assert lengths["whole"] == pytest.approx(ONE_WAY_147 / 2, abs=0.1)
    assert lengths["whole, turned end for end"] == pytest.approx(1300.0, abs=0.1)


def test_a_train_on_any_grain_is_studied_without_joins():
    """Where no one direction is the warp's no join along it can be tried, and that is told."""
    plan = plan_of(gore(train=True, piecing=None, grain="any"), width=1120.0)
    (study,) = lay_plan(plan, stop=Stop(iterations=2)).trains
    (told,) = [case for case in study.cases if case.what == "pieced at the selvage"]
    assert told.length is None
    assert "no join along the warp" in told.reason
