"""Letters that DejaVu Sans lacks are drawn with another font where the machine has one."""

from dataclasses import replace

import pypdf
from matplotlib import font_manager
from matplotlib.figure import Figure

from nesting.plot import fonts
from nesting.plot.fonts import in_reading_order, letters_without_font, settings_for
from nesting.plot.marker import write_marker

from ..handmade import two_gores

SCRIPT_A = "\N{MATHEMATICAL SCRIPT CAPITAL A}"
"""A letter that DejaVu Sans does not have and STIXGeneral does: both come with matplotlib."""
NOWHERE = "\U000e0fff"
"""Not assigned in Unicode, so no font has it."""


def test_plain_words_take_the_one_font_everybody_has():
    """Files come out the same on every machine as long as no letter is missing."""
    assert settings_for(["g\u00f6re \u0440\u0443\u043a\u0430\u0432"])["font.family"] == [
        "DejaVu Sans"
    ]


def test_a_missing_letter_brings_a_font_that_has_it():
    """The font follows the default, so that only the missing letters are drawn with it."""
    families = settings_for([f"robe {SCRIPT_A}"])["font.family"]
    assert families[0] == "DejaVu Sans"
    assert len(families) == 2


def test_what_no_font_has_brings_none():
    """Nothing is added in vain."""
    assert settings_for([NOWHERE])["font.family"] == ["DejaVu Sans"]


def test_the_letter_is_in_the_file(tmp_path):
    """A PDF of a piece so named has the letter as text, not as an empty box."""
    _, layout = two_gores()
    (lay,) = layout.lays
    named = replace(
        lay, placements=tuple(replace(p, piece=f"robe {SCRIPT_A}") for p in lay.placements)
    )
    path = write_marker(replace(layout, lays=(named,)), tmp_path / "m.pdf")
    (page,) = pypdf.PdfReader(path).pages
    assert SCRIPT_A in page.extract_text()
    fonts = {str(f.get_object()["/BaseFont"]) for f in page["/Resources"]["/Font"].values()}
    assert any(not name.endswith("DejaVuSans") for name in fonts)


def test_letters_that_no_font_has_are_told(monkeypatch):
    """On a machine with no other font, what DejaVu Sans lacks is told, each letter once."""
    assert letters_without_font(["g\u00f6re", "\u0440\u0443\u043a\u0430\u0432"]) == ""
    assert letters_without_font([SCRIPT_A]) == ""
    fonts._fallbacks.cache_clear()
    monkeypatch.setattr(font_manager.fontManager, "ttflist", [])
    assert letters_without_font([SCRIPT_A, f"{SCRIPT_A} robe"]) == SCRIPT_A
    fonts._fallbacks.cache_clear()


def test_a_figure_after_a_name_stays_after_it():
    """Words that run right to left are marked off in a drawing; all others stay as they are."""
    figure = Figure()
    gown = figure.text(0, 0, "\u062b\u0648\u0628: 2 right")
    plain = figure.text(0, 0, "gown: 2 right")
    assert in_reading_order(figure) is figure
    mark = "\N{LEFT-TO-RIGHT MARK}"
    assert gown.get_text() == f"{mark}\u062b\u0648\u0628{mark}: 2 right"
    assert plain.get_text() == "gown: 2 right"
