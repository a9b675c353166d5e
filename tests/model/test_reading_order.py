"""Names in one form, and lines in which words run both ways."""

import unicodedata
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.model.reading_order import in_order, one_form

MARK = "\N{LEFT-TO-RIGHT MARK}"
SKIRT, LEFT = "\u05d7\u05e6\u05d0\u05d9\u05ea", "\u05e9\u05de\u05d0\u05dc"  # Hebrew
GOWN = "\u062b\u0648\u0628"  # Arabic
WORDS = st.text(st.sampled_from([*SKIRT, *GOWN, "\u05b8", *"ab 12,.:()\n", "\u7d79", MARK]))


def test_both_forms_of_an_accent_are_one():
    """A name typed composed and one saved decomposed are the same name (Unicode, NFC)."""
    assert one_form("Ga\u0308nsebauch") == one_form("G\u00e4nsebauch") == "G\u00e4nsebauch"


@pytest.mark.parametrize("control", "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2069")
def test_no_name_turns_what_follows(control):
    """Marks and controls of direction (UAX 9, table of formatting characters) are left out."""
    assert one_form(f"re{control}vers{control}") == "revers"
    assert one_form(f"Ga{control}\u0308nse") == "G\u00e4nse"


@given(st.text())
def test_one_form_is_reached_at_once(text):
    """A name in its one form stays, and is as Unicode composes it."""
    once = one_form(text)
    assert one_form(once) == once
    assert unicodedata.is_normalized("NFC", once)


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("gown: 1 right", "gown: 1 right"),
        (f"{SKIRT}: 1 right", f"{MARK}{SKIRT}{MARK}: 1 right"),
        (f"Cut {SKIRT} {LEFT}, 2 of 4", f"Cut {MARK}{SKIRT} {LEFT}{MARK}, 2 of 4"),
        (f"{GOWN} 112.5 cm", f"{MARK}{GOWN}{MARK} 112.5 cm"),
        (f"{GOWN}\n{SKIRT}", f"{MARK}{GOWN}{MARK}\n{MARK}{SKIRT}{MARK}"),
    ],
)
def test_words_and_figures_stay_in_their_order(written, shown):
    """Words right to left are marked off, so that no figure after them changes sides."""
    assert in_order(written) == shown


def strong(text):
    """Return what decides the order of a text after UAX 9: its strong letters and figures."""
    kinds = (unicodedata.bidirectional(c) for c in text)
    return [kind for kind in kinds if kind in {"L", "R", "AL", "EN", "AN", "B"}]


@given(WORDS)
def test_no_figure_follows_words_right_to_left(text):
    """Between a letter that runs right to left and a figure there always is a mark (rule W2)."""
    ordered = in_order(text)
    assert ordered.replace(MARK, "") == text.replace(MARK, "")
    kinds = strong(ordered)
    assert not any(
        one in {"R", "AL"} and next_one in {"EN", "AN"} for one, next_one in pairwise(kinds)
    )
    assert in_order(ordered) == ordered


@given(WORDS)
def test_every_line_runs_left_to_right(text):
    """The first strong letter decides the direction of a line (rule P2): it is never a name's."""
    for line in in_order(text).split("\n"):
        assert [kind for kind in strong(line) if kind not in {"EN", "AN"}][:1] in ([], ["L"])
