"""The layout file is written whole, after its contract, and read back equal."""

from __future__ import annotations

import json
import os
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.atomic import write_atomic
from nesting.errors import InputError, InputFileError, control_letter
from nesting.model.layout import Joining
from nesting.readers.layout import read_layout
from nesting.report import layout_json, layout_to_dict, write_layout

from ..handmade import two_gores

_, LAYOUT = two_gores()


def test_the_file_has_the_keys_of_the_contract(tmp_path):
    """Schema name, millimetres, and every key a receiver may rely on."""
    found = json.loads(write_layout(LAYOUT, tmp_path / "layout.json").read_text("utf-8"))
    assert found["schema"] == "yardage-layout/1"
    assert found["units"] == "mm"
    assert {"title", "lays", "warnings", "solver"} <= set(found)
    assert set(found["solver"]) == {"seconds", "seed", "version"}
    lay = found["lays"][0]
    assert {
        "cloth", "panel", "fold", "layers", "usable_width", "length", "status",
        "proven_minimum", "utilisation", "buy", "placements",
    } <= set(lay)  # fmt: skip
    assert set(lay["buy"]) == {"length", "text", "cost", "made_of"}
    assert list(lay["buy"]["made_of"]) == [
        "lay", "end_trim", "shrinkage", "motif_start", "rounding"
    ]  # fmt: skip
    placement = lay["placements"][0]
    assert {"piece", "copy", "mirrored", "turned", "outline", "grain", "points"} <= set(placement)
    assert placement["outline"] == LAYOUT.lays[0].placements[0].outline.tolist()


def test_reading_gives_back_what_was_written(tmp_path):
    """Every number, mark and word survives, to the last digit."""
    path = write_layout(LAYOUT, tmp_path / "layout.json")
    again = read_layout(path)
    assert layout_to_dict(again) == layout_to_dict(LAYOUT)
    assert layout_json(again) == path.read_text("utf-8")


def test_how_pieces_are_joined_is_written(tmp_path):
    """Parts, lines and allowance of a pieced piece come back as they were."""
    joining = Joining(
        "gore",
        ("gore, main part", "gore, wedge"),
        ((100.0, 50.0), (700.0, 20.0)),
        (((520.5, 0.0), (520.5, 2600.0)),),
        10.0,
    )
    layout = replace(LAYOUT, joinings=(joining,), remarks=("gore is pieced",))
    again = read_layout(write_layout(layout, tmp_path / "layout.json"))
    assert again.joinings == (joining,)
    assert again.remarks == layout.remarks


def test_what_is_left_over_is_written_as_its_corners(tmp_path):
    """Four numbers come back as they were; a file from elsewhere may leave the key out."""
    left = (10.0, 320.5, 490.0, 680.0)
    layout = replace(LAYOUT, lays=(replace(LAYOUT.lays[0], leftover=left),))
    path = write_layout(layout, tmp_path / "layout.json")
    found = json.loads(path.read_text("utf-8"))
    assert found["lays"][0]["leftover"] == list(left)
    assert read_layout(path).lays[0].leftover == left
    del found["lays"][0]["leftover"]
    path.write_text(json.dumps(found), "utf-8")
    assert read_layout(path).lays[0].leftover is None


@given(
    st.text().filter(lambda words: not control_letter(words)),
    st.lists(
        st.tuples(*[st.floats(allow_nan=False, allow_infinity=False)] * 2), min_size=3, max_size=5
    ),
)
def test_any_words_and_numbers_survive(tmp_path_factory, words, ring):
    """Names in any script, brackets and quotes included, and any finite coordinates."""
    lay = LAYOUT.lays[0]
    placement = replace(lay.placements[0], piece=words, outline=np.array(ring))
    layout = replace(
        LAYOUT, title=f"[\n1,\n2\n] {words}", lays=(replace(lay, placements=(placement,)),)
    )
    path = write_layout(layout, tmp_path_factory.mktemp("any") / "l.json")
    assert layout_to_dict(read_layout(path)) == layout_to_dict(layout)


def test_a_file_of_the_bare_contract_is_enough(tmp_path):
    """Without the optional keys the defaults hold."""
    plain = layout_to_dict(LAYOUT)
    del plain["read_back_in"]
    for lay in plain["lays"]:
        for key in ("cloth_width", "selvage", "nap", "reason"):
            del lay[key]
        for placement in lay["placements"]:
            for key in ("hand", "sew_lines", "notches", "cutouts", "drill_holes"):
                del placement[key]
    path = tmp_path / "l.json"
    path.write_text(json.dumps(plain))
    found = read_layout(path)
    assert found.units == "mm"
    assert found.lays[0].cloth_width == found.lays[0].usable_width
    assert found.lays[0].placements[0].hand == ""


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda d: d.update(schema="other/2"), "schema: input should be 'yardage-layout/1'"),
        (lambda d: d.pop("lays"), "lays: the key is missing"),
        (lambda d: d.update(colour=3), "colour: the key is unknown"),
        (lambda d: d["lays"][0].update(length="long"), "lays.1.length: "),
        (lambda d: d["lays"][0].update(length=-1), "not -1"),
        (lambda d: d["lays"][0]["placements"][1].update(outline=[[0, 0]]), "placements.2.outline"),
        (lambda d: d["lays"][0]["placements"][0].update(turned=float("nan")), "turned"),
        (lambda d: d["lays"][0]["placements"][0].update(mirrored=1), "mirrored"),
    ],
)
def test_a_wrong_file_is_named_in_one_line(tmp_path, change, words):
    """File, key, value and remedy, on one line."""
    data = json.loads(layout_json(LAYOUT))
    change(data)
    path = tmp_path / "l.json"
    path.write_text(json.dumps(data))
    with pytest.raises(InputError) as caught:
        read_layout(path)
    text = str(caught.value)
    assert text.startswith(str(path))
    assert words in text
    assert "\n" not in text


def test_what_is_no_layout_file_is_refused(tmp_path):
    """Missing, a folder, not JSON, not text, too large: one clear line each."""
    broken, bytes_, big = (tmp_path / name for name in ("a.json", "b.json", "c.json"))
    broken.write_text('{"schema": ')
    bytes_.write_bytes(b"\xff\xfe\x00")
    with big.open("wb") as stream:
        stream.truncate(60_000_000)
    for path, kind, words in (
        (tmp_path / "none.json", InputFileError, "there is no such file"),
        (tmp_path, InputFileError, "cannot be read"),
        (broken, InputError, "it is not JSON"),
        (bytes_, InputError, "it is not JSON"),
        (big, InputFileError, "larger than 50 MB"),
    ):
        with pytest.raises(kind) as caught:
            read_layout(path)
        assert words in str(caught.value)
        assert "\n" not in str(caught.value)


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    """When the disk refuses, the layout of yesterday still stands."""
    path = tmp_path / "layout.json"
    write_atomic(path, b"yesterday")

    def refuse(_handle):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(InputFileError, match="No space left"):
        write_layout(LAYOUT, path)
    assert path.read_bytes() == b"yesterday"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_said_plainly(tmp_path):
    """The remedy names the folder as the thing to mend."""
    with pytest.raises(InputFileError, match="name a folder that exists"):
        write_layout(LAYOUT, tmp_path / "nowhere" / "layout.json")


def test_numbers_that_are_none_are_never_written(tmp_path):
    """A length that is not a number stops the writing before anything is on disk."""
    wrong = replace(LAYOUT, lays=(replace(LAYOUT.lays[0], length=float("nan")),))
    with pytest.raises(ValueError, match="not JSON compliant"):
        write_layout(wrong, tmp_path / "layout.json")
    assert list(tmp_path.iterdir()) == []
