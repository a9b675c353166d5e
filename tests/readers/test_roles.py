"""The words that tell what a line is."""

from __future__ import annotations

import pytest

from nesting.readers.roles import notch_kind_of, role_of


@pytest.mark.parametrize(
    ("names", "role"),
    [
        (("grain",), "grain"),
        (("Grain line 2",), "grain"),
        (("path12", "", None, "notch-3"), "notch"),
        (("notch3_x",), "notch"),
        (("Notches",), "notch"),
        (("sew_line", "cutout"), "sew"),
        (("front grain",), None),
        (("grainy",), None),
        (("12", ""), None),
    ],
)
def test_the_first_word_tells_the_role(names, role):
    """In any case, with figures or dashes behind it; a longer word is another word."""
    assert role_of(*names) == role


@pytest.mark.parametrize(
    ("name", "kind"),
    [("notch", "slit"), ("notch-T", "T"), ("notch castle 2", "castle"), ("Notch_U", "U"),
     ("notch check", "check"), ("notch shoulder", "slit"), ("T", "slit")],
)  # fmt: skip
def test_the_second_word_tells_the_kind_of_notch(name, kind):
    """A slit where none is told."""
    assert notch_kind_of(name) == kind
