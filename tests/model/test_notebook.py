"""What a notebook shows of a lay and a layout: pictures and words, all escaped."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import html5lib
import shapely

from nesting.model.layout import Layout

from ..handmade import layout_of, two_gores

SVG = "{http://www.w3.org/2000/svg}"


def test_a_lay_is_drawn_with_every_piece():
    """The picture is well-formed, as large as the lay, and names and numbers both gores."""
    lay = two_gores()[1].lays[0]
    picture = ET.fromstring(lay._repr_svg_())  # noqa: S314 - our own text
    assert picture.get("viewBox") == f"0 0 {lay.length:g} {lay.usable_width:g}"
    assert [title.text for title in picture.iter(f"{SVG}title")] == ["gore", "gore"]
    assert [text.text[0] for text in picture.iter(f"{SVG}text")] == ["1", "2"]
    for text, placement in zip(picture.iter(f"{SVG}text"), lay.placements, strict=True):
        at = shapely.Point(float(text.get("x")), lay.usable_width - float(text.get("y")))
        assert shapely.Polygon(placement.outline).contains(at)


def test_a_layout_tells_every_lay():
    """Title, warnings and lays stand there; one that does not fit says why and is not drawn."""
    lay = two_gores()[1].lays[0]
    none = replace(lay, status="does not fit", reason="20 cm short", placements=())
    shown = layout_of(lay, none, warnings=("look at the grain",))._repr_html_()
    for words in ("storm queen", "look at the grain", "0.60 m", "20 cm short"):
        assert words in shown
    assert shown.count("<svg") == 1
    assert none._repr_svg_() is None


def test_no_name_becomes_html():
    """Names full of HTML are shown as they are."""
    evil = "<script>alert(1)</script>&\"'"
    layout = two_gores()[1]
    lay = layout.lays[0]
    lay = replace(
        lay, cloth=evil, placements=tuple(replace(p, piece=evil) for p in lay.placements)
    )
    shown = replace(layout, title=evil, lays=(lay,), warnings=(evil,))
    assert isinstance(shown, Layout)
    tree = html5lib.parseFragment(shown._repr_html_(), namespaceHTMLElements=False)
    assert not list(tree.iter("script"))
    assert not list(tree.iter(f"{SVG}script"))
    assert "".join(tree.itertext()).count(evil) >= 4
