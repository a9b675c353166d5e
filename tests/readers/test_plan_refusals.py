"""Everything wrong a plan can say: one clear line, naming file, item, value and remedy."""

from dataclasses import replace
from pathlib import Path

import pytest

from nesting.errors import InputError, InputFileError, NotBuiltError, YardageError
from nesting.readers import plan_piece
from nesting.readers.pattern import read_pattern
from nesting.readers.plan import read_plan

from .test_plan import FULL, PLAN, SKIRT

CLOTH, PIECE = 'name = "calico"', 'name = "gore"'


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with a pattern file in it."""
    (tmp_path / "skirt.svg").write_text(SKIRT, encoding="utf-8")
    return tmp_path


def refused(folder: Path, text: str, kind: type[YardageError] = InputError) -> str:
    """Return what is said of a plan that must be refused."""
    path = folder / "plan.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(YardageError) as caught:
        read_plan(path)
    assert type(caught.value) is kind
    said = str(caught.value)
    assert "\n" not in said
    assert "plan.toml" in said
    assert caught.value.exit_code == 1
    return said


def with_cloth(line: str) -> str:
    """Return the plan with a line more in its cloth."""
    return PLAN.replace(CLOTH, f"{CLOTH}\n{line}")


def with_piece(line: str) -> str:
    """Return the plan with a line more in its piece."""
    return PLAN.replace(PIECE, f"{PIECE}\n{line}")


def test_the_plan_these_tests_spoil_is_right(folder):
    """What is refused below is refused for the line that was spoilt."""
    for text in (PLAN, FULL):
        path = folder / "plan.toml"
        path.write_text(text, encoding="utf-8")
        assert read_plan(path).pieces


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (with_cloth("selvedge = 1"), ["cloth 'calico'", "unknown key 'selvedge'", "'selvage'"]),
        (with_piece("grian = 'bias'"), ["piece 'gore'", "unknown key 'grian'", "'grain'"]),
        (with_piece("alowance = 1"), ["unknown key 'alowance'", "mean 'allowance'"]),
        (with_piece("qqq = 1"), ["unknown key 'qqq'", "known here", "'allowance'"]),
        (f"clot = 1\n{PLAN}", ["unknown key 'clot'", "'cloth'"]),
        (with_cloth("shrink = { allong = 3 }"), ["unknown key 'allong'", "mean 'along'"]),
        (with_piece("cut = { as_drawn = 1, mirrord = 1 }"), ["'mirrord'", "mean 'mirrored'"]),
        (with_piece("edges = { hem = { form = [0, 0] } }"), ["unknown key 'form'", "'from'"]),
        (with_piece("edges = { hem = { from = [0, 0], allowance = 1 } }"),
         ["'edges.hem.to' is missing"]),
        (PLAN.replace('width = "112 cm"', ""), ["cloth 'calico'", "'width' is missing", "112 cm"]),
        (PLAN.replace('file = "skirt.svg"', ""), ["piece 'gore'", "'file' is missing"]),
        (PLAN.replace(PIECE, ""), ["piece 1", "'name' is missing"]),
        (PLAN.replace('units = "cm"', ""), ["'units' is missing", 'units = "cm"']),
        (PLAN.replace('units = "cm"', 'units = "ell"'), ['units = "ell" is not known', "'yd'"]),
        (PLAN[: PLAN.index("[[piece]]")], ["no [[piece]]", "add"]),
        ('units = "cm"', ["no [[cloth]]"]),
        (with_cloth('nap = "oneway"'), ['nap = "oneway" is not known', "'one-way'"]),
        (with_piece('grain = "sideways"'), ['"sideways"', "'crosswise'"]),
        (with_piece('turn = "no"'), ["turn", "true or false"]),
        (PLAN.replace('cloth = "calico"', "cloth = 3"), ["cloth = 3", "name of a cloth"]),
        (PLAN.replace(CLOTH, "name = 3"), ["name = 3", "text in quotes"]),
        (PLAN.replace('"112 cm"', "true"), ["width", "write a length"]),
        (with_piece("points = { bust = [1] }"), ["points.bust", "two lengths"]),
        ('cloth = "silk"\nunits = "cm"', ["cloth", "list in brackets"]),
        (PLAN.replace(CLOTH, 'name = " "'), ["name is empty"]),
    ],
)  # fmt: skip
def test_the_shape_of_the_file(folder, text, parts):
    """Unknown, missing and mistaken keys; the nearest known key or value is named."""
    said = refused(folder, text)
    assert [part for part in parts if part not in said] == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (PLAN.replace('"112 cm"', '"-112 cm"'), ["width", "'-112 cm'", "makes no sense"]),
        (PLAN.replace('"112 cm"', "0"), ["width = 0 cm makes no sense", "from 0.5 cm"]),
        (PLAN.replace('"112 cm"', '"112 m"'), ["'112 m'", "to 2000.0 cm"]),
        (PLAN.replace('"112 cm"', '"wide"'), ["width", "'wide' is not a length"]),
        (PLAN.replace('"112 cm"', '"3 ells"'), ["unknown unit 'ells'", "use mm, cm, m, in or yd"]),
        (PLAN.replace('"112 cm"', '"1/0 yd"'), ["width", "divides by zero"]),
        (PLAN.replace('"112 cm"', "nan"), ["width", "not a length"]),
        (PLAN.replace('"112 cm"', "inf"), ["width", "not a length"]),
        (with_cloth('selvage = "-1 cm"'), ["cloth 'calico'", "selvage", "makes no sense"]),
        (with_cloth('selvage = "56 cm"'), ["two selvages of 56.0 cm", "112.0 cm"]),
        (with_cloth('selvage = "55 cm"\nshrink = { across = 5 }'), ["two selvages", "106.4 cm"]),
        (with_cloth("shrink = { along = 100 }"), ["shrink.along = 100", "under 100"]),
        (with_cloth("shrink = { across = -1 }"), ["shrink.across = -1", "per cent"]),
        (with_cloth("shrink = { across = nan }"), ["shrink.across = nan"]),
        (with_cloth("price = -3"), ["price = -3 makes no sense", "price of one metre"]),
        (with_cloth("price = inf"), ["price = inf"]),
        (with_cloth("price = 3"), ["cloth 'calico'", "price = 3 has no unit", "price_per"]),
        (with_cloth("price = 3\nprice_per = 'piece'"), ["no length is given", '"4.2 m"']),
        (with_cloth("length = 0"), ["length = 0 cm makes no sense", "more than 0"]),
        (with_cloth("gap = -1"), ["gap = -1 cm"]),
        (with_cloth("step = '-1/8 yd'"), ["step = '-1/8 yd'"]),
        (with_cloth("end_trim = '60 m'"), ["end_trim = '60 m'", "500.0 cm"]),
        (with_piece("allowance = -1"), ["piece 'gore'", "allowance = -1 cm"]),
        (with_piece("cut = 0"), ["cut = 0 makes no sense", "at least one"]),
        (with_piece("cut = -2"), ["cut = -2 makes no sense"]),
        (with_piece("cut = 100000"), ["cut = 100000", "at most 1000"]),
        (with_piece("cut = true"), ["cut", '"pair"']),
        (with_piece('cut = "two"'), ["cut", '"two"', '"pair"']),
        (with_piece("cut = 1.5"), ["cut", "1.5"]),
        (with_piece("cut = { as_drawn = 0, mirrored = 0 }"), ["as_drawn = 0, mirrored = 0"]),
        (with_piece("cut = { as_drawn = 2, mirrored = -1 }"), ["mirrored = -1"]),
        (with_piece("points = { hip = [2000, 30] }"), ["points.hip", "outside the piece", "40.0"]),
        (with_piece("points = { hip = ['1e9 cm', 3] }"), ["points.hip (x)"]),
        (with_piece("edges = { hem = { from = [5, 90], to = [40, 93], allowance = 6 } }"),
         ["edges.hem.to = [40.0, 93.0]", "3.0 cm from the outline", "down the page"]),
        (with_piece("edges = { hem = { from = [5, 90], to = [40, 90], allowance = -6 } }"),
         ["edges.hem.allowance = -6 cm"]),
    ],
)  # fmt: skip
def test_values_that_make_no_sense(folder, text, parts):
    """Negative, nonsense and impossible values, with what is allowed."""
    said = refused(folder, text)
    assert [part for part in parts if part not in said] == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (PLAN.replace('cloth = "calico"', 'cloth = "callico"'),
         ["piece 'gore'", "no cloth 'callico'", "mean 'calico'"]),
        (PLAN.replace('cloth = "calico"', 'cloth = ["calico", "silk"]'), ["no cloth 'silk'"]),
        (PLAN.replace(PIECE, 'name = "Gor"'),
         ["piece 'Gor'", "no piece 'Gor' in skirt.svg", "mean 'gore'", "gore, waistband"]),
        (PLAN.replace(PIECE, 'name = "sleeve"'), ["the file has gore, waistband"]),
        (PLAN + PLAN[PLAN.index("[[piece]]"):], ["piece 'gore'", "2 [[piece]]", 'as = "..."']),
        (FULL + FULL[FULL.rindex("[[piece]]"):], ["piece 'gore'", "2 [[piece]]"]),
        (PLAN + '[[cloth]]\nname = "calico"\nwidth = 90', ["cloth 'calico'", "2 [[cloth]]"]),
    ],
)  # fmt: skip
def test_names_that_do_not_meet(folder, text, parts):
    """Unknown cloths and pieces with the nearest known one; the same name twice."""
    said = refused(folder, text)
    assert [part for part in parts if part not in said] == []


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        (with_cloth('fold = "lengthwise"\nrepeat = { along = 30 }'),
         ["cloth 'calico'", 'fold = "lengthwise" on cloth with a repeat', 'fold = "open"']),
        (with_cloth('fold = "best"\nflaws = [ { along = [1, 2], across = [1, 2] } ]'),
         ['fold = "best" on cloth with flaws is not built yet']),
    ],
)  # fmt: skip
def test_what_is_not_built_is_refused_by_name(folder, text, parts):
    """Later features have their shape checked, and are then refused, never passed over."""
    said = refused(folder, text, NotBuiltError)
    assert [part for part in parts if part not in said] == []


@pytest.mark.parametrize(
    ("text", "part"),
    [
        (with_cloth("repeat = { allong = 3 }"), "mean 'along'"),
        (PLAN.replace('cloth = "calico"', 'cloth = ["calico", "calico"]'), "a cloth twice"),
        (with_cloth("panels = [ { length = 3 } ]"), "panel 1: 'width' is missing"),
        (with_cloth("flaws = [ { along = [1, 2], acros = [1, 2] } ]"), "mean 'across'"),
        (with_piece("motif = { point = 'bust', at = [0, 0] }"), "unknown key 'at'"),
        (PLAN + '[[match]]\npoints = ["a:b"]\naxes = "both"', "mean 'axis'"),
    ],
)
def test_even_what_is_not_built_must_be_well_written(folder, text, part):
    """A slip in a later feature is told as a slip."""
    assert part in refused(folder, text)


def test_a_name_that_no_file_can_have(folder):
    """Longer than file systems allow: refused like one that is not there."""
    said = refused(folder, PLAN.replace("skirt.svg", "é" * 300 + ".svg"), InputFileError)
    assert "does not exist" in said


def test_a_missing_pattern_file(folder):
    """The plan, the piece and the folder looked in are named."""
    said = refused(folder, PLAN.replace("skirt.svg", "skrit.svg"), InputFileError)
    for part in ("piece 'gore'", "'skrit.svg' does not exist", str(folder)):
        assert part in said


def test_a_folder_for_a_pattern_file(folder):
    """A folder is not a file."""
    (folder / "pieces").mkdir()
    said = refused(folder, PLAN.replace("skirt.svg", "pieces"), InputFileError)
    assert "'pieces' is not a file" in said


def test_an_empty_file_name(folder):
    """An empty name would mean the folder itself."""
    assert "name is empty" in refused(folder, PLAN.replace("skirt.svg", ""))


@pytest.mark.parametrize("name", ["link.svg", "pieces/../../other/skirt.svg", "inner/skirt.svg"])
def test_a_way_out_of_the_folder_that_is_not_plain(folder, name):
    """Through a link, or by dots in the middle of a path: the place it leads to is told."""
    inner, other = folder / "plans", folder / "other"
    inner.mkdir()
    other.mkdir()
    (inner / "pieces").mkdir()
    (other / "skirt.svg").write_text(SKIRT, encoding="utf-8")
    (inner / "link.svg").symlink_to(other / "skirt.svg")
    (inner / "inner").symlink_to(other)
    said = refused(inner, PLAN.replace("skirt.svg", name))
    assert "leads out of the plan's folder" in said
    assert str(other / "skirt.svg") in said


def test_a_quantity_of_nothing_in_the_file(folder):
    """A file may say 0,0; then the plan has to say how many."""

    def silent(path, units):
        found = read_pattern(path, units=units)
        return replace(found, pieces=tuple(replace(p, quantity=(0, 0)) for p in found.pieces))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(plan_piece, "read_pattern", silent)
        assert "quantity (0, 0) makes no sense" in refused(folder, PLAN)


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\xff", "not a text file in UTF-8"),
        (b"0\nSECTION\n2\nHEADER\n", "not a plan in TOML"),
        (PLAN.encode() + b'\nfile = "twice.svg"', "not a plan in TOML"),
        (b"", "'units' is missing"),
    ],
)
def test_files_that_are_no_plan(tmp_path, content, part):
    """A picture, a drawing, a key given twice, nothing at all."""
    path = tmp_path / "plan.toml"
    path.write_bytes(content)
    with pytest.raises(YardageError) as caught:
        read_plan(path)
    assert part in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_plan_and_a_folder_as_plan(tmp_path):
    """No such file; a folder."""
    with pytest.raises(InputFileError, match="there is no such file"):
        read_plan(tmp_path / "none.toml")
    with pytest.raises(InputFileError, match="cannot be read"):
        read_plan(tmp_path)


def test_a_plan_of_200_megabytes(tmp_path):
    """It is refused by its size, before it is read."""
    path = tmp_path / "plan.toml"
    with path.open("wb") as file:
        file.truncate(200_000_000)
    with pytest.raises(InputFileError, match="200 MB"):
        read_plan(path)
