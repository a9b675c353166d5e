"""The plot of length and cost against width: points, steps, words, files."""

import io
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pypdf
import pytest
from matplotlib.image import imread

from nesting.errors import InputError
from nesting.model.comparison import ComparedRow, Comparison, WhatIf
from nesting.plot.comparison import FORMATS, comparison_figure, draw_comparison

SILK = ComparedRow(
    number=0, layer="outer", cloth="silk", rank=0, width=1400.0, usable_width=1380.0,
    status="found", length=2050.0, buy_length=2100.0, price=32.0, step=100.0,
    cost=Decimal("67.20"), currency="EUR",
    narrower=WhatIf("narrower", 2290.0, 2300.0, Decimal("73.60")),
)  # fmt: skip
WIDE = replace(
    SILK, number=1, width=1500.0, length=1850.0, buy_length=1900.0, cost=Decimal("60.80"),
    narrower=WhatIf("narrower", reason="too wide"),
)  # fmt: skip
LAWN = replace(SILK, number=2, layer="lining", cloth="lawn", cost=None, price=None)
MUSLIN = replace(LAWN, number=4, cloth="muslin", width=1500.0)
BAND = replace(SILK, number=5, layer="band", cloth="ribbed silk")
NONE = replace(SILK, number=3, cloth="ribbon", status="does not fit", length=0.0)
COMPARED = Comparison("Gown", "cm", (WIDE, SILK, NONE, LAWN, MUSLIN), ("outer", "lining"))


def lines(axes):
    """Return the points of every line by its label."""
    return {line.get_label(): np.c_[line.get_xdata(), line.get_ydata()] for line in axes.lines}


def test_the_points_are_the_candidates_and_those_2_cm_narrower():
    """Widths in cm, lengths in metres, drawn as steps: each holds up to the next width."""
    length, cost, *_ = comparison_figure(COMPARED).axes
    drawn = lines(length)["silk"]
    assert drawn == pytest.approx(np.array([(138, 2.3), (140, 2.1), (150, 1.9)]))
    assert lines(cost)["silk"][:, 1] == pytest.approx([73.6, 67.2, 60.8])
    silk = next(line for line in length.lines if line.get_label() == "silk")
    assert silk.get_drawstyle() == "steps-post"
    assert lines(length)["the lay alone"][:, 1] == pytest.approx([2.29, 2.05, 1.85])


def test_a_maker_in_yards_sees_inches_and_yards():
    """55 1/8 in of width, 2.297 yd of length."""
    length = comparison_figure(replace(COMPARED, units="in")).axes[0]
    assert lines(length)["silk"][1] == pytest.approx((1400 / 25.4, 2100 / 914.4))
    assert length.get_ylabel() == "length [yd]"


def test_the_words_on_it():
    """The cheapest in words, the currency, and what has no price."""
    axes = comparison_figure(COMPARED).axes
    assert [text.get_text() for text in axes[1].texts] == ["cheapest: 60.80"]
    assert axes[1].get_ylabel() == "cost [EUR]"
    assert [text.get_text() for text in axes[3].texts] == ["no price is given"]
    assert axes[2].get_title("left") == "lining: length to buy"


def test_the_steps_of_the_shop_are_drawn():
    """One faint line for every 10 cm."""
    ticks = comparison_figure(COMPARED).axes[0].yaxis.get_minorticklocs()
    assert np.diff(ticks) == pytest.approx(0.1, abs=0.101)


@pytest.mark.parametrize("ending", FORMATS)
def test_files_are_what_they_say_and_always_the_same(ending):
    """Read back: a picture with ink on it, one page, or XML."""
    data = draw_comparison(COMPARED, ending)
    if ending == "png":
        assert imread(io.BytesIO(data), format="png")[..., :3].min() < 0.1
    elif ending == "pdf":
        assert "Gown" in pypdf.PdfReader(io.BytesIO(data)).pages[0].extract_text()
    else:
        assert data.startswith(b"<?xml")
    if ending != "png":
        assert draw_comparison(COMPARED, ending) == data


def test_nothing_to_draw():
    """Where no layer has two candidates that fit, that is said."""
    with pytest.raises(InputError, match="no layer has two"):
        comparison_figure(Comparison("Gown", "cm", (NONE, BAND), ("outer", "band")))


def test_a_layer_without_a_choice_is_named_and_not_drawn():
    """Its one width makes no curve."""
    rows = (*COMPARED.rows, BAND)
    figure = comparison_figure(replace(COMPARED, rows=rows, layers=("outer", "lining", "band")))
    assert len(figure.axes) == 4
    assert "band" in figure.get_supxlabel()
    assert "Not drawn" not in comparison_figure(COMPARED).get_supxlabel()


@pytest.mark.parametrize("cost", ["0.00", "60.80"])
def test_the_cheapest_is_marked_within_the_axes(cost):
    """Neither over the axes nor beyond them, be the cheapest at the end or a gift."""
    figure = comparison_figure(
        replace(COMPARED, rows=(replace(WIDE, cost=Decimal(cost)), *COMPARED.rows[1:]))
    )
    figure.draw_without_rendering()
    (words,) = figure.axes[1].texts
    box, panel = words.get_window_extent(), figure.axes[1].get_window_extent()
    assert panel.x0 < box.x0 < box.x1 < panel.x1
    assert panel.y0 < box.y0 < box.y1 < panel.y1
