"""The plan file: what it may say, and what becomes of it."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.readers import plan_piece
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan
from nesting.units import MM_PER

SKIRT = """<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm"
 viewBox="0 0 1000 1000">
<g id="gore"><path d="M 100 100 L 300 100 L 400 900 L 50 900 Z"/>
 <line id="grain" x1="200" y1="800" x2="200" y2="200"/></g>
<g id="waistband"><path d="M 500 100 L 900 100 L 900 180 L 500 180 Z"/></g>
</svg>"""

PLAN = """title = "Petticoat"
units = "cm"

[[cloth]]
name = "calico"
width = "112 cm"

[[piece]]
name = "gore"
file = "skirt.svg"
cloth = "calico"
"""

FULL = """title = "Court dress"
units = "in"

[[cloth]]
name = "figured damask"
width = 44
selvage = "1/2 in"
nap = "one-way"
sides = "alike"
fold = "open"
shrink = { along = 3, across = 1.5 }
end_trim = "5 cm"
gap = "2 mm"
price = 38
price_per = "m"
step = "10 cm"
length = "4.2 m"

[[piece]]
name = "gore"
file = "skirt.svg"
cloth = ["figured damask"]
as = "side gore"
cut = { as_drawn = 2, mirrored = 1 }
grain = "bias"
top = "reverse"
tilt = 0
turn = false
allowance = "15 mm"
edges = { hem = { from = ["5 cm", "90 cm"], to = ["400 mm", "0,9 m"], allowance = "6 cm" } }
points = { hip = ["20 cm", "300 mm"] }

[[piece]]
name = "gore"
file = "./skirt.svg"
cloth = "figured damask"
cut = "pair"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a pattern file in it."""
    (tmp_path / "skirt.svg").write_text(SKIRT, encoding="utf-8")
    return tmp_path


def written(folder: Path, text: str) -> Path:
    """Write a plan file."""
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("off", [1e-6, 0.05])
def test_an_edge_ends_at_the_corner_it_nearly_reaches(off, tmp_path):
    """Ends within a millimetre of a corner are that corner, so no hem turns up the next edge."""
    (tmp_path / "skirt.svg").write_text(SKIRT)
    plan = tmp_path / "plan.toml"
    ends = f"from = [{5 + off}, 90], to = [40, {90 - off}]"
    plan.write_text(f"{PLAN}edges = {{ hem = {{ {ends}, allowance = 6 }} }}")
    (edge,) = read_plan(plan).pieces[0].edges
    assert edge.start == pytest.approx((50.0, -900.0), abs=1e-9)
    assert edge.end == pytest.approx((400.0, -900.0), abs=1e-9)


def test_a_short_plan_takes_its_defaults(folder):
    """What is left unsaid is the plainest case: one copy, lengthwise, cut line as drawn."""
    plan = read_plan(written(folder, PLAN))
    (cloth,), (piece,) = plan.cloths, plan.pieces
    assert (plan.title, plan.units, plan.path) == ("Petticoat", "cm", folder / "plan.toml")
    assert (cloth.width, cloth.usable_width) == (1120.0, 1120.0)
    assert (cloth.nap, cloth.sides, cloth.step, cloth.price, cloth.length) == (
        "none", "differ", 0.0, None, None,
    )  # fmt: skip
    assert (piece.name, piece.cloth, piece.as_drawn, piece.mirrored) == ("gore", "calico", 1, 0)
    assert (piece.grain, piece.top, piece.turn, piece.allowance) == (
        "lengthwise", "as drawn", True, 0.0,
    )  # fmt: skip
    assert piece.pattern.name == "gore"


def test_a_full_plan_is_read_to_the_last_key(folder):
    """Every key of the contract that is built, in mixed units, by hand in millimetres."""
    plan = read_plan(written(folder, FULL))
    (cloth,), (side, gore) = plan.cloths, plan.pieces
    assert cloth.width == pytest.approx(44 * 25.4)
    assert cloth.selvage == pytest.approx(12.7)
    assert (cloth.nap, cloth.sides) == ("one-way", "alike")
    assert (cloth.shrink_along, cloth.shrink_across) == (0.03, 0.015)
    assert (cloth.end_trim, cloth.gap, cloth.step, cloth.length) == (50, 2, 100, 4200)
    assert (cloth.price, cloth.price_per) == (38.0, "m")
    assert (side.name, side.pattern.name) == ("side gore", "gore")
    assert (side.as_drawn, side.mirrored, side.copies) == (2, 1, 3)
    assert (side.grain, side.top, side.turn, side.allowance) == ("bias", "reverse", False, 15.0)
    # An SVG page counts downwards; a piece counts upwards.
    (hem,) = side.edges
    assert (hem.name, hem.allowance) == ("hem", 60.0)
    assert hem.start == pytest.approx((50.0, -900.0), abs=1e-9)
    assert hem.end == pytest.approx((400.0, -900.0), abs=1e-9)
    assert side.points == {"hip": (200.0, -300.0)}
    assert (gore.name, gore.as_drawn, gore.mirrored) == ("gore", 1, 1)


def test_each_pattern_file_is_read_once(folder, monkeypatch):
    """However the path is spelt, one file is opened once per plan."""
    seen = []
    monkeypatch.setattr(
        plan_piece,
        "read_pattern",
        lambda path, units: seen.append((path, units)) or read_pattern(path, units=units),
    )
    plan = read_plan(written(folder, FULL), units="mm")
    assert seen == [((folder / "skirt.svg").resolve(), "mm")]
    assert plan.pieces[0].pattern is plan.pieces[1].pattern


def test_what_was_assumed_or_left_out_is_noted(folder):
    """A quantity nobody gave, and a piece of the file that the plan does not use."""
    notes = [str(note) for note in read_plan(written(folder, PLAN)).notes]
    assert any("piece 'gore'" in note and "one is cut" in note for note in notes)
    assert any("unread" in note and "not in the plan: waistband" in note for note in notes)


@pytest.mark.parametrize(
    ("units", "price_per"), [("cm", "m"), ("mm", "m"), ("m", "m"), ("in", "yd"), ("yd", "yd")]
)
def test_the_shop_sells_by_the_makers_own_measure(folder, units, price_per):
    """Without price_per, one who measures in inches pays by the yard."""
    text = PLAN.replace('units = "cm"', f'units = "{units}"') + "cut = 1"
    (cloth,) = read_plan(written(folder, text)).cloths
    assert cloth.price_per == price_per


def test_units_may_come_from_outside(folder):
    """A plan without units takes those of the command line; its own win."""
    bare = PLAN.replace('units = "cm"\n', "").replace('"112 cm"', "50")
    assert read_plan(written(folder, bare), units="in").cloths[0].width == pytest.approx(1270)
    own = PLAN.replace('"112 cm"', "112")
    assert read_plan(written(folder, own), units="in").cloths[0].width == 1120.0


def test_the_title_may_be_left_out(folder):
    """Then the file's name stands for it."""
    assert read_plan(written(folder, PLAN.replace('title = "Petticoat"', ""))).title == "plan"


def test_a_byte_order_mark_does_no_harm(folder):
    """Some editors write one before the first line."""
    path = folder / "plan.toml"
    path.write_bytes(b"\xef\xbb\xbf" + PLAN.encode())
    assert read_plan(path).title == "Petticoat"


def test_a_path_outside_the_folder_may_be_named_plainly(folder):
    """With leading dots or as an absolute path; both are what the plan says."""
    inner = folder / "plans"
    inner.mkdir()
    for name in ("../skirt.svg", str(folder / "skirt.svg")):
        plan = read_plan(written(inner, PLAN.replace('"skirt.svg"', f"'{name}'")))
        assert plan.pieces[0].name == "gore"


def test_a_link_that_stays_inside_the_folder_is_followed(folder):
    """Only a link that leads out is hidden from the reader of the plan."""
    (folder / "link.svg").symlink_to(folder / "skirt.svg")
    assert read_plan(written(folder, PLAN.replace("skirt.svg", "link.svg"))).pieces


@given(
    width=st.floats(20, 300),
    unit=st.sampled_from(["mm", "cm", "in"]),
    bare=st.booleans(),
)
def test_any_sensible_width_is_read_in_any_unit(tmp_path_factory, width, unit, bare):
    """Bare or with its unit, a width means the same."""
    folder = tmp_path_factory.mktemp("plans")
    (folder / "skirt.svg").write_text(SKIRT, encoding="utf-8")
    value = f"{width:.3f}" if bare else f'"{width:.3f} {unit}"'
    text = PLAN.replace('units = "cm"', f'units = "{unit}"').replace('"112 cm"', value)
    (cloth,) = read_plan(written(folder, text)).cloths
    assert cloth.width == pytest.approx(round(width, 3) * MM_PER[unit], abs=1e-9)
