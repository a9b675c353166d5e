"""Repeat, motif, border and match in a plan file: what becomes of them, and what is refused."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from nesting.errors import InputError, NotBuiltError, YardageError
from nesting.model.pattern import PatternPiece
from nesting.model.plan import Border, Cloth, Match, Motif, PlanPiece, Repeat
from nesting.readers.plan import read_plan
from nesting.readers.reference_lines import match_lines
from nesting.rules.compile import compile_lay

from .test_plan import SKIRT

PLAN = """units = "cm"

[[cloth]]
name = "damask"
width = 112
shrink = { along = 10, across = 5 }
repeat = { along = 64, across = 32, drop = "half", offset = ["unknown", 4] }

[[piece]]
name = "gore"
file = "skirt.svg"
cloth = "damask"
cut = "pair"
points = { hip = [20, 30], hem = [10, 90], stray = [50, 30] }
edges = { hem = { from = [5, 90], to = [40, 90], allowance = 2 } }
motif = { point = "hip", on = [10, "free"] }

[[piece]]
name = "waistband"
file = "skirt.svg"
cloth = "damask"
points = { notch = [60, 18] }

[[match]]
points = ["gore:hem", "waistband:notch"]
"""
MOTIF = 'motif = { point = "hip", on = [10, "free"] }'
REPEAT = 'repeat = { along = 64, across = 32, drop = "half", offset = ["unknown", 4] }'
POINTS = 'points = ["gore:hem", "waistband:notch"]'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a pattern file in it."""
    (tmp_path / "skirt.svg").write_text(SKIRT, encoding="utf-8")
    return tmp_path


def plan_in(folder: Path, text: str):
    """Return the plan a text describes."""
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    return read_plan(path)


def test_the_design_is_read_as_cut(folder):
    """Repeat, offset and places are measured on the cloth as bought, so they shrink with it."""
    plan = plan_in(folder, PLAN)
    (cloth,), (gore, band) = plan.cloths, plan.pieces
    assert cloth.repeat == Repeat(
        pytest.approx(576.0), pytest.approx(304.0), "half", (None, pytest.approx(38.0))
    )
    assert gore.motif == Motif("hip", (pytest.approx(90.0), None))
    assert band.motif is None
    assert plan.matches == (Match((("gore", "hem"), ("waistband", "notch")), "along"),)


def test_an_axis_of_the_design_and_the_centre_of_a_piece(folder):
    """Every piece has a centre: of this gore the middle of its box, x 5 to 40, y 10 to 90."""
    text = PLAN.replace(MOTIF, 'motif = { point = "centre", on = ["free", "axis"] }')
    gore = plan_in(folder, text).pieces[0]
    assert gore.motif == Motif("centre", (None, 0.0), centred=True)
    assert gore.points["centre"] == pytest.approx((225.0, -500.0))


def test_the_centre_of_a_half_is_on_its_fold(folder):
    """The middle of the edge about which it is completed."""
    fold = '<line id="fold" x1="500" y1="100" x2="500" y2="180"/>'
    half = SKIRT.replace('900 180 L 500 180 Z"/>', f'900 180 L 500 180 Z"/>{fold}')
    (folder / "skirt.svg").write_text(half, encoding="utf-8")
    on = 'points = { notch = [60, 18] }\nmotif = { point = "centre", on = [0, "axis"] }'
    text = PLAN.replace("points = { notch = [60, 18] }", on)
    assert plan_in(folder, text).pieces[1].points["centre"] == pytest.approx((500.0, -140.0))


def test_a_border_is_read(folder):
    """An edge of the piece, a distance and a selvage."""
    border = 'border = { edge = "hem", distance = "5 cm", selvage = "far" }'
    gore = plan_in(folder, PLAN.replace(MOTIF, border)).pieces[0]
    assert gore.border == Border("hem", 50.0, "far")


@pytest.mark.parametrize(
    ("old", "new", "parts"),
    [
        (REPEAT, "repeat = { along = 64, across = 130 }",
         ["cloth 'damask'", "repeat.across", "larger than the cloth", "106.4 cm"]),
        (REPEAT, "length = 60\nrepeat = { along = 64 }", ["repeat.along", "57.6 cm", "54.0 cm"]),
        (REPEAT, "repeat = { }", ["neither along nor across"]),
        (REPEAT, "repeat = { along = 0 }", ["repeat.along = 0 cm", "more than 0"]),
        (REPEAT, 'repeat = { along = 64, drop = "half" }', ['drop = "half"', "across"]),
        (REPEAT, "repeat = { along = 64, offset = [0, 4] }", ["place across", '"unknown"']),
        (REPEAT, "", ["piece 'gore'", "'damask' has no repeat"]),
        (REPEAT, "repeat = { across = 30 }", ["place along", "does not repeat along"]),
        (MOTIF, 'motif = { point = "hop", on = [0, 0] }',
         ["piece 'gore'", "no point 'hop'", "did you mean 'hip'?"]),
        (MOTIF, 'motif = { point = "stray", on = [0, 0] }', ["'stray'", "outside piece 'gore'"]),
        (MOTIF, 'motif = { point = "hip", on = [80, 0] }', ["80.0 cm lies beyond the repeat"]),
        (MOTIF, 'motif = { point = "hip", on = ["free", "free"] }', ["both axes free"]),
        (MOTIF, 'motif = { point = "hip", on = ["axis", 0] }', ["motif.on (along)", "'axis'"]),
        (MOTIF, 'border = { edge = "hme" }', ["no edge 'hme'", "did you mean 'hem'?"]),
        (MOTIF, 'border = { edge = "hem", distance = 1 }', ["1.0 cm is less than", "2.0 cm"]),
        (MOTIF, 'border = { edge = "hem", distance = 200 }', ["more than the usable width"]),
        (POINTS, 'points = ["gore:hem"]\naxis = "up"', ['axis = "up" is not known']),
        (POINTS, 'points = ["waistband:notch"]', ["match 1", "names 1 cut piece", "two pieces"]),
        (POINTS, 'points = ["gore:hem", "gore:hip"]', ["names piece 'gore' 2 times"]),
        (POINTS, 'points = ["gore:hem", "waistbnd:notch"]', ["'waistbnd'", "mean 'waistband'"]),
        (POINTS, 'points = ["gore:hem", "waistband"]', ["'waistband' names no point"]),
        (POINTS, 'points = ["gore:hem", "waistband:seam"]', ["'waistband' has no point 'seam'"]),
        (POINTS, 'points = ["gore:hem", "gore:stray"]', ["'stray'", "outside"]),
        ('cut = "pair"', 'cut = "pair"\ngrain = "crosswise"', ["crosswise grain", "lengthwise"]),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused_by_name(folder, old, new, parts):
    """One line: file, item, what was found, and what to do."""
    assert old in PLAN
    with pytest.raises(InputError) as caught:
        plan_in(folder, PLAN.replace(old, new))
    said = str(caught.value)
    assert [part for part in (*parts, "plan.toml") if part not in said] == []
    assert "\n" not in said
    assert caught.value.exit_code == 1


@pytest.mark.parametrize("grain", ["bias", "any"])
def test_what_cannot_meet_the_design_alike_is_refused(folder, grain):
    """On the bias a design meets alike along the cloth only, on any grain not at all."""
    text = PLAN.replace("file =", f'grain = "{grain}"\nfile =') + 'axis = "both"\n'
    with pytest.raises(InputError, match="cannot meet the design alike beyond one point"):
        plan_in(folder, text)


def test_a_match_across_two_cloths_is_refused(folder):
    """No two cloths meet in one design."""
    text = PLAN.replace('file = "skirt.svg"\ncloth = "damask"\npoints = { notch',
                        'file = "skirt.svg"\ncloth = "silk"\npoints = { notch')  # fmt: skip
    text += '\n[[cloth]]\nname = "silk"\nwidth = 90\nrepeat = { along = 64 }\n'
    with pytest.raises(InputError, match="no two cloths meet in one design"):
        plan_in(folder, text)


def test_motif_and_match_that_contradict_each_other_are_refused(folder):
    """Both on the repeat, at points that the match would have 12 cm apart along the gore.

    The gore stands on end: hip and hem are 60 cm apart along it, 2.4 cm more than the repeat as
    cut, 57.6 cm.
    """
    text = PLAN.replace(POINTS, 'points = ["gore:hem", "waistband:notch"]\n\n'
                        '[[match]]\npoints = ["gore:hip", "waistband:notch"]')  # fmt: skip
    plan = plan_in(folder, text)
    with pytest.raises(InputError) as caught:
        compile_lay(plan, plan.cloths[0])
    said = str(caught.value)
    for part in ("'notch' matches gore:hem", "matches gore:hip", "2.4 cm apart", "leave out one"):
        assert part in said


def test_a_piece_of_parts_is_not_yet_placed_on_a_design(folder):
    """It is refused by name: nothing says which part bears the point."""
    text = PLAN.replace(MOTIF, f"{MOTIF}\npiecing = {{ }}")
    with pytest.raises(NotBuiltError, match="made of parts"):
        plan_in(folder, text)


LINES = Cloth("stripe", 900.0, repeat=Repeat(along=80.0, across=30.0))


def drawn(name, stripe=(), plaid=(), **fields):
    """Return a plan piece 200 by 300 with stripe and plaid lines on it, its grain upright."""
    outline = np.array([(0.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0)])
    made = PatternPiece(
        name, "file.dxf", outline, grain=((100.0, 0.0), (100.0, 300.0)),
        stripe_lines=tuple(np.array(line, dtype=float) for line in stripe),
        plaid_lines=tuple(np.array(line, dtype=float) for line in plaid),
    )  # fmt: skip
    return PlanPiece(name, made, "stripe", **fields)


LEVEL = ((0, 120), (200, 120))
UPRIGHT = ((60, 0), (60, 300))


def test_reference_lines_become_matches():
    """A line across the grain fixes the place along, one along it the place across; it is told."""
    pieces = (drawn("front", [LEVEL], [UPRIGHT]), drawn("back", [LEVEL]), drawn("cuff"))
    found, matches, notes = match_lines(pieces, (), [LINES], "plan.toml")
    assert matches == (Match((("front", "stripe line"), ("back", "stripe line")), "along"),)
    assert found[0].points == {"stripe line": (100.0, 120.0)}
    assert found[2].points == {}
    assert "front, back" in str(notes[0])
    # One front with a line along it is matched to nothing; a pair of them is to each other.
    pair = (drawn("front", [], [UPRIGHT], mirrored=1),)
    assert match_lines(pair, (), [LINES], "plan.toml")[1] == (
        Match((("front", "plaid line"),), "across"),
    )


def test_on_the_crosswise_grain_lines_change_places():
    """There a line across the grain lies along the cloth."""
    pieces = tuple(drawn(name, [LEVEL], grain="crosswise") for name in ("yoke", "cuff"))
    assert match_lines(pieces, (), [LINES], "plan.toml")[1][0].axis == "across"


def test_the_plan_counts_before_the_drawing():
    """A piece the plan places itself is not placed by its lines too; askew lines say nothing."""
    front, back = drawn("front", [LEVEL]), drawn("back", [LEVEL])
    placed = replace(front, motif=Motif("hip", (0.0, None)), points={"hip": (0.0, 0.0)})
    assert match_lines((placed, back), (), [LINES], "f")[1] == ()
    match = (Match((("front", "a"), ("cuff", "b")), "both"),)
    assert match_lines((front, back), match, [LINES], "f")[1] == match
    askew = tuple(drawn(name, [((0, 0), (200, 300))]) for name in ("front", "back"))
    assert match_lines(askew, (), [LINES], "f") == (askew, (), ())


def test_of_several_lines_the_first_counts_and_that_is_said():
    """Nothing is dropped in silence."""
    pieces = tuple(drawn(n, [LEVEL, ((0, 200), (200, 200))]) for n in ("front", "back"))
    _, matches, notes = match_lines(pieces, (), [LINES], "f")
    assert len(matches) == 1
    assert "2 lines place it along" in str(notes[0])


def test_lines_are_left_out_where_the_plan_says_so(folder):
    """``lines = "ignore"`` in the repeat."""
    stripe = '<line id="stripe" x1="{}" y1="150" x2="{}" y2="150"/>'
    svg = SKIRT.replace('</g>\n<g id="waist', stripe.format(100, 300) + '</g>\n<g id="waist')
    svg = svg.replace('Z"/></g>\n</svg>', 'Z"/>' + stripe.format(500, 900) + "</g>\n</svg>")
    (folder / "skirt.svg").write_text(svg, encoding="utf-8")
    plain = PLAN.replace(MOTIF, "").split("[[match]]", maxsplit=1)[0]
    matches = plan_in(folder, plain).matches
    assert [match.axis for match in matches] == ["along"]
    ignored = plain.replace('drop = "half"', 'drop = "half", lines = "ignore"')
    assert plan_in(folder, ignored).matches == ()


def test_errors_are_the_packages_own(folder):
    """Whatever is wrong with a design is told as a fault of the plan."""
    with pytest.raises(YardageError):
        plan_in(folder, PLAN.replace('on = [10, "free"]', "on = [10]"))
