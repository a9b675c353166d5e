"""The cutting list on paper, read back by another library."""

from __future__ import annotations

import io
import math

import pypdf
import pytest

from nesting.model.cutting_list import CuttingList, CuttingStep, Slip
from nesting.plot.cutting_list import cutting_list_pdf
from nesting.plot.paper import paper_of


def made_list(pieces=3, name="side gore"):
    """Return a cutting list of so many pieces."""
    return CuttingList(
        "storm queen", "damask", ("One end squared",), "Stop. Count first.",
        tuple(f"{name} {n}: 1" for n in range(pieces)),
        tuple(
            CuttingStep(n + 1, "cut", f"{name} {n}", ("Top to the far end",), n)
            for n in range(pieces)
        ),
        ("A scrap",),
        tuple(Slip(f"{name} {n}", "right", "", "damask", n + 1, n + 1) for n in range(pieces)),
    )  # fmt: skip


def read(data):
    """Return the pages of a PDF as words."""
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(data)).pages]


def test_all_of_it_is_there_in_order():
    """Ready, stop, count, steps, scraps, then the slips on a page of their own."""
    first, slips = read(cutting_list_pdf([made_list()], paper_of("A4"), "storm queen"))
    places = [first.index(w) for w in ("Before you begin", "Stop.", "Cut, in this order", "Keep")]
    assert places == sorted(places)
    assert "page 1 of 2" in first
    assert slips.count("RIGHT") == slips.count("this face: right side of the cloth") == 3


@pytest.mark.parametrize("paper", ["A4", "Letter", "A3"])
def test_pages_have_the_size_of_the_paper(paper):
    """Width and height of every page, in points of 1/72 in."""
    sheet = paper_of(paper)
    data = cutting_list_pdf([made_list()], sheet)
    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        assert float(page.mediabox.width) == pytest.approx(sheet.width * 72 / 25.4, abs=0.5)
        assert float(page.mediabox.height) == pytest.approx(sheet.height * 72 / 25.4, abs=0.5)


def test_a_long_list_goes_on_over_pages_and_loses_nothing():
    """Of sixty pieces every step and every slip is printed, and no page but says its number."""
    pages = read(cutting_list_pdf([made_list(60), made_list(2)], paper_of("A4")))
    words = " ".join(pages)
    for n in range(1, 61):
        assert f"{n}. Cut side gore {n - 1}" in words
    assert words.count("right side of the cloth") == 62
    assert all(f"page {n} of {len(pages)}" in page for n, page in enumerate(pages, start=1))
    assert len(pages) >= 2 + math.ceil(60 / 18)


def test_nothing_to_cut_is_said():
    """Without lists the one page says so."""
    [page] = read(cutting_list_pdf([], paper_of("A4"), "storm queen"))
    assert "Nothing is to be cut." in page


def test_names_are_taken_as_they_are():
    """Dollars and braces are no formula, and a name too long for a line goes on to the next."""
    name = "$x^2$ {a} gore of the long, long overskirt with the storm-cloud embroidery"
    words = " ".join(read(cutting_list_pdf([made_list(1, name)], paper_of("A4"))))
    assert "$x^2$ {a} gore" in words
