"""Trims, layers, currency and budget of a plan file, and every refusal of them."""

import pytest

from nesting.errors import InputError
from nesting.model.costing import Layer, Trim
from nesting.readers.plan import read_plan

SVG = """\
<svg xmlns="http://www.w3.org/2000/svg" width="500mm" height="400mm" viewBox="0 0 500 400">
  <g id="gore"><path d="M 0 0 H 200 V 300 H 0 Z"/>
    <line class="grain" x1="100" y1="250" x2="100" y2="50"/>
    <path class="internal" d="M 50 50 V 250"/><path class="internal" d="M 150 50 V 250"/></g>
  <g id="cuff"><path d="M 250 0 H 350 V 120 H 250 Z"/>
    <line class="grain" x1="300" y1="100" x2="300" y2="10"/></g>
</svg>
"""
PLAN = """\
title = "Gown"
units = "cm"
currency = "EUR"
{top}
[[cloth]]
name = "silk"
width = 90
price = 30
price_per = "m"

[[cloth]]
name = "cotton"
width = 90
currency = "GBP"

[[cloth]]
name = "lawn"
width = 90

[[piece]]
name = "gore"
file = "pieces.svg"
cloth = "silk"
cut = "pair"
allowance = 1
edges = {{ hem = {{ from = [0, 30], to = [20, 30] }} }}

[[piece]]
name = "cuff"
file = "pieces.svg"
cloth = "lawn"
cut = 2
{more}
"""


@pytest.fixture
def read(tmp_path):
    """Return a function that reads the plan with more lines at its top and its end."""

    def call(more="", top=""):
        (tmp_path / "pieces.svg").write_text(SVG, encoding="utf-8")
        path = tmp_path / "gown.toml"
        path.write_text(PLAN.format(top=top, more=more), encoding="utf-8")
        return read_plan(path)

    return call


def trim(text):
    """Return a trim table with these lines."""
    return f'[[trim]]\nname = "braid"\n{text}\n'


def layer(text):
    """Return a layer table with these lines."""
    return f'[[layer]]\nname = "outer"\n{text}\n'


def test_every_key_of_a_trim(read):
    """Lengths come in millimetres, whatever unit they are written in."""
    plan = read(
        trim(
            'edges = ["gore:hem"]\nlines = ["gore", "gore:2"]\nlength = ["1 in", 3]\n'
            'strips = "each"\nless = "5 mm"\nturn_back = 1\nfullness = 1.5\njoins = 2\n'
            'overlap = "2 cm"\nstep = "1/8 yd"\nprice = 2.4\nprice_per = "yd"\nowned = true\n'
            'currency = "GBP"'
        )
    )
    (found,) = plan.trims
    assert found == Trim(
        "braid", edges=(("gore", "hem"),), lines=(("gore", None), ("gore", 2)),
        lengths=(25.4, 30.0), strips="each", less=5.0, turn_back=10.0, fullness=1.5, joins=2,
        overlap=20.0, step=pytest.approx(114.3), price=2.4, per="yd", owned=True, currency="GBP",
    )  # fmt: skip


def test_what_is_left_out(read):
    """One strip along edges, one for each line or length; the plan's currency; any length."""
    along, each, hooks = read(
        trim('edges = ["gore:hem"]')
        + trim('lines = ["gore"]')
        + trim('count = 24\nprice = 2\nprice_per = "pack"\npack = 12')
    ).trims
    assert (along.strips, each.strips, along.step, along.currency) == ("one", "each", 0.0, "EUR")
    assert (hooks.count, hooks.pack, hooks.measured) == (24, 12, False)


def test_an_edge_without_an_allowance_has_the_pieces_own(read):
    """It is named only to be measured."""
    (edge,) = read().pieces[0].edges
    assert edge.allowance == 10.0


def test_layers_currency_and_budget(read):
    """The cloths stand in the order of liking; a cloth may be priced in a currency of its own."""
    plan = read(layer('cloth = ["silk", "cotton"]'), top="budget = 120.5")
    assert plan.layers == (Layer("outer", ("silk", "cotton")),)
    assert (plan.currency, plan.budget) == ("EUR", 120.5)
    assert [cloth.currency for cloth in plan.cloths] == ["EUR", "GBP", "EUR"]


@pytest.mark.parametrize(
    ("more", "parts"),
    [
        (trim(""), ["trim 'braid'", "neither counted nor measured", "count = 12"]),
        (trim('edges = ["gore:him"]'), ["piece 'gore' has no edge 'him'", "'hem'"]),
        (trim('edges = ["cuff:hem"]'), ["piece 'cuff' has no edge 'hem'", "name the stretch"]),
        (trim('edges = ["gor:hem"]'), ["there is no piece 'gor'", "'gore'"]),
        (trim('edges = ["gore"]'), ["'gore' names no edge", '"side gore:hem"']),
        (trim('lines = ["cuff"]'), ["piece 'cuff' has no internal line", "pieces.svg"]),
        (trim('lines = ["gore:3"]'), ["no internal line '3'", "from 1 to 2"]),
        (trim("count = 0"), ["count = 0 makes no sense", "from 1"]),
        (trim("count = 3\nedges = ['gore:hem']"), ["counted and measured", "leave count out"]),
        (trim("count = 3\nprice = 2"), ["price = 2 has no unit", '"pack"']),
        (trim("count = 3\nprice = 2\nprice_per = 'm'"), ["counted in pieces", '"each"']),
        (trim("length = 3\nprice = 2\nprice_per = 'each'"), ["it is measured", '"yd"']),
        (trim("length = 3\nprice = -2\nprice_per = 'm'"), ["price = -2 makes no sense"]),
        (trim("length = 0"), ["length = 0 cm makes no sense"]),
        (trim("length = []"), ["length", "a list of lengths"]),
        (trim("length = 3\nfullness = 0.5"), ["fullness = 0.5", "such as 1.5"]),
        (trim("length = 3\noverlap = 1"), ["overlap is given, but no joins"]),
        (trim("count = 3\npack = 12"), ["pack is given without", '"pack"']),
        (trim("count = 3\njoin = 12"), ["trim 'braid'", "unknown key 'join'", "'joins'"]),
        ('[[trim]]\nname = " "\ncount = 2', ["the name is empty"]),
        (layer('cloth = ["slik"]'), ["layer 'outer'", "no cloth 'slik'", "'silk'"]),
        (layer('cloth = ["silk"]') * 2, ["two [[layer]] tables have this name"]),
        (layer('cloth = "cotton"'), ["no piece is cut from cotton"]),
        (
            layer('cloth = "silk"') + '[[layer]]\nname = "more"\ncloth = ["silk", "lawn"]',
            ["layer 'more'", "stands in layer 'outer' already"],
        ),
    ],
)
def test_refusals_name_item_value_and_remedy(read, more, parts):
    """One line each, with the file first."""
    with pytest.raises(InputError) as caught:
        read(more)
    text = str(caught.value)
    assert "\n" not in text
    assert "gown.toml" in text
    for part in parts:
        assert part in text


@pytest.mark.parametrize("budget", ["-1", "nan", "1e9"])
def test_a_budget_that_makes_no_sense(read, budget):
    """Told with the value and how to write it."""
    with pytest.raises(InputError, match=r"budget = .* makes no sense; write budget = 120\.00"):
        read(top=f"budget = {budget}")


def test_the_other_widths_of_a_cloth(read, tmp_path):
    """In millimetres; refused for cloth that is there already, and where no width can be meant."""
    read()
    path = tmp_path / "gown.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace("width = 90", 'width = 90\nwidths = ["44 in", 140]', 1), "utf-8")
    assert read_plan(path).cloths[0].widths == pytest.approx((1117.6, 1400.0))
    owned = "width = 90\nlength = 300\nwidths = [140]"
    path.write_text(text.replace("width = 90", owned, 1), "utf-8")
    with pytest.raises(InputError, match="this cloth is there already, in one width"):
        read_plan(path)
    path.write_text(text.replace("width = 90", "width = 90\nwidths = [0]", 1), "utf-8")
    with pytest.raises(InputError, match="widths"):
        read_plan(path)
