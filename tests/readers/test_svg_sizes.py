"""SVG units, viewBox and transforms (CSS Values 3 section 6.2; SVG 1.1 chapters 7 and 8)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import svgelements
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.geometry.rings import bounds
from nesting.readers.svg import read_svg
from nesting.readers.svg_page import pixels, transform_of

from .drawings import apart, refused, rings, svg, told

RECT = '<rect id="patch" x="10" y="20" width="100" height="50"/>'


def box(path):
    """Return the bounds of the one piece of a page."""
    (piece,) = read_svg(path).pieces
    return bounds(piece.outline)


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [("96", 25.4), ("96px", 25.4), ("1in", 25.4), ("2.54cm", 25.4), ("25.4mm", 25.4),
     ("72pt", 25.4), ("6pc", 25.4), ("101.6Q", 25.4), (" 1e1mm ", 10.0), (".5in", 12.7)],
)  # fmt: skip
def test_absolute_units(text, millimetres):
    """CSS: 1 in = 96 px = 2.54 cm = 25.4 mm = 101.6 Q = 72 pt = 6 pc."""
    assert pixels(text, file="f", item="i") * 25.4 / 96 == pytest.approx(millimetres, rel=1e-15)


@pytest.mark.parametrize(
    ("head", "scale"),
    [
        ('width="210mm" height="297mm" viewBox="0 0 210 297"', 1.0),
        ('width="21cm" height="29.7cm" viewBox="0 0 210 297"', 1.0),
        ('width="8.5in" height="11in" viewBox="0 0 612 792"', 25.4 / 72),
        ('width="210mm" viewBox="0 0 420 594"', 0.5),
        ('height="297mm" viewBox="0 0 420 594"', 0.5),
        ('width="100mm" height="200mm"', 25.4 / 96),
        ('width="96" height="96" viewBox="0 0 48 48"', 2 * 25.4 / 96),
        ('viewBox="0 0 48 48"', 25.4 / 96),
        ('width="100%" height="100%" viewBox="0 0 48 48"', 25.4 / 96),
        ("", 25.4 / 96),
    ],
)
def test_the_page_tells_the_scale(tmp_path, head, scale):
    """Width over viewBox; without units 96 px to the inch, and that is told."""
    path = svg(tmp_path, RECT, head)
    true = np.array([10, -70, 110, -20]) * scale
    assert box(path) == pytest.approx(tuple(true), abs=1e-6)
    silent = not any(unit in head for unit in ("mm", "cm", "in"))
    said = [line for line in told(read_svg(path), "assumed") if "96 px" in line]
    assert len(said) == silent


def test_a_viewbox_moves_and_centres(tmp_path):
    """SVG 1.1, 7.8: xMidYMid meet: the smaller scale, the rest shared; none: each its own."""
    head = 'width="200mm" height="400mm" viewBox="10 20 100 100"'
    path = svg(tmp_path, RECT, head)
    # Scale 2; 400 - 200 = 200 mm to spare in height, half of it above.
    assert box(path) == pytest.approx((0, -200, 200, -100), abs=1e-6)
    assert any("unevenly" in line for line in told(read_svg(path), "assumed"))
    path = svg(tmp_path, RECT, head + ' preserveAspectRatio="none"')
    assert box(path) == pytest.approx((0, -200, 200, 0), abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(rings(), st.sampled_from(["mm", "in", "px"]))
def test_outlines_come_back_from_svg(tmp_path_factory, ring, unit):
    """Any ring written in any unit is read back within a hundredth of a millimetre."""
    to_mm = {"mm": 1.0, "in": 25.4, "px": 25.4 / 96}[unit]
    points = " ".join(f"{x / to_mm:.9g},{-y / to_mm:.9g}" for x, y in ring)
    size = f'width="1000{unit}" height="1000{unit}" viewBox="0 0 1000 1000"'
    path = svg(tmp_path_factory.mktemp("svg"), f'<polygon id="gore" points="{points}"/>', size)
    (piece,) = read_svg(path).pieces
    assert piece.name == "gore"
    assert apart(piece.outline, ring) < 0.01


TRANSFORMS = st.lists(
    st.one_of(
        st.tuples(st.just("translate"), st.tuples(st.floats(-50, 50), st.floats(-50, 50))),
        st.tuples(st.just("scale"), st.tuples(st.floats(0.5, 2), st.floats(-2, -0.5))),
        st.tuples(st.just("rotate"), st.tuples(st.floats(-360, 360))),
        st.tuples(
            st.just("rotate"),
            st.tuples(st.floats(-360, 360), st.floats(-50, 50), st.floats(-50, 50)),
        ),
        st.tuples(st.just("skewX"), st.tuples(st.floats(-60, 60))),
        st.tuples(st.just("skewY"), st.tuples(st.floats(-60, 60))),
        st.tuples(st.just("matrix"), st.just((1.0, 0.25, -0.5, 2.0, 3.0, 4.0))),
    ),
    min_size=1,
    max_size=4,
)


def matrix_of(name, values):
    """Return the matrix SVG 1.1, section 7.6, gives for a transform function."""
    match name:
        case "translate":
            return np.array([[1, 0, values[0]], [0, 1, values[1]], [0, 0, 1]])
        case "scale":
            return np.diag([values[0], values[1], 1.0])
        case "rotate":
            a = math.radians(values[0])
            turn = np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0],
                             [0, 0, 1]])  # fmt: skip
            if len(values) == 1:
                return turn
            return (
                matrix_of("translate", values[1:])
                @ turn
                @ matrix_of("translate", (-values[1], -values[2]))
            )
        case "skewX":
            return np.array([[1, math.tan(math.radians(values[0])), 0], [0, 1, 0], [0, 0, 1]])
        case "skewY":
            return np.array([[1, 0, 0], [math.tan(math.radians(values[0])), 1, 0], [0, 0, 1]])
        case _:
            a, b, c, d, e, f = values
            return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


@settings(max_examples=60, deadline=None)
@given(TRANSFORMS)
def test_transforms_are_those_of_the_standard(functions):
    """A list of functions is the product of their matrices, from left to right."""
    text = " ".join(f"{name}({','.join(map(repr, values))})" for name, values in functions)
    true = np.eye(3)
    for name, values in functions:
        true = true @ matrix_of(name, values)
    assert transform_of(text, file="f", item="i") == pytest.approx(true, abs=1e-6)


def test_transforms_nest(tmp_path):
    """The group's transform applies after the element's own: x' = 100 + 2 (x + 5)."""
    body = f'<g transform="translate(100 0) scale(2)"><g transform="translate(5)">{RECT}</g></g>'
    assert box(svg(tmp_path, body)) == pytest.approx((130, -140, 330, -40), abs=1e-6)


def test_clones_and_nested_pages(tmp_path):
    """Use moves its target by x, y and gives its own name; a nested svg has its own viewBox."""
    body = (
        f"<defs>{RECT}</defs>"
        '<use id="pocket" xlink:href="#patch" x="7" y="3"/>'
        '<use id="flap" href="#patch" transform="scale(2)"/>'
    )
    found = read_svg(svg(tmp_path, body))
    assert [piece.name for piece in found.pieces] == ["pocket", "flap"]
    assert bounds(found.pieces[0].outline) == pytest.approx((17, -73, 117, -23))
    assert bounds(found.pieces[1].outline) == pytest.approx((20, -140, 220, -40))
    nested = f'<svg x="5" y="5" width="50" height="50" viewBox="0 0 100 100">{RECT}</svg>'
    assert box(svg(tmp_path, nested)) == pytest.approx((10, -40, 60, -15), abs=1e-6)
    symbol = f'<symbol id="s">{RECT}</symbol><use id="tab" href="#s"/>'
    (piece,) = read_svg(svg(tmp_path, symbol)).pieces
    assert piece.name == "tab"


def test_svgelements_agrees_on_a_whole_page(tmp_path):
    """The library's own parser places the same path on the same page."""
    body = (
        '<g transform="rotate(30 20 10)"><path id="gore" transform="skewX(12)" '
        'd="M 10,10 h 80 l 10,120 h -100 z"/></g>'
    )
    path = svg(tmp_path, body, 'width="8.5in" height="11in" viewBox="0 0 215.9 279.4"')
    library = next(
        shape for shape in svgelements.SVG.parse(str(path)).elements()
        if isinstance(shape, svgelements.Path)
    )  # fmt: skip
    corners = np.array(
        [(s.end.x, -s.end.y) for s in library if not isinstance(s, svgelements.Close)]
    )
    (piece,) = read_svg(path).pieces
    assert apart(piece.outline, corners * 25.4 / 96) < 1e-3


@pytest.mark.parametrize(
    ("body", "head", "said"),
    [
        (RECT, 'viewBox="0 0 10"', "viewBox is '0 0 10'"),
        (RECT, 'viewBox="0 0 0 10"', "viewBox is '0 0 0 10'"),
        (RECT, 'viewBox="0 0 ten 10"', "viewBox is '0 0 ten 10'"),
        (RECT, 'width="0mm" viewBox="0 0 10 10"', "width is '0mm'"),
        (RECT, 'width="-3mm" viewBox="0 0 10 10"', "width is '-3mm'"),
        (RECT, 'width="3em" viewBox="0 0 10 10"', "'3em' is not a length"),
        ('<rect id="a" x="wide"/>', "", "<rect> a x: 'wide' is not a length"),
        ('<path id="a" d="M 0 0 L 10 q"/>', "", "<path> a: d holds 'M 0 0 L 10 q'"),
        ('<path id="a" d="L 0 0"/>', "", "<path> a: d holds 'L 0 0'"),
        ('<path id="a" d="M 0 0 L nan 3 z"/>', "", "<path> a: d holds 'M 0 0 L nan 3 z'"),
        ('<path id="a" d="M 0 0 L 10"/>', "", "<path> a: d holds 'M 0 0 L 10'"),
        ('<path id="a" d="M 0 0 L 1e400 3 z"/>', "", "too large"),
        ('<polygon id="a" points="0 0 10"/>', "", "<polygon> a: points holds '0 0 10'"),
        ('<g id="a" transform="spin(3)"/>', "", "<g> a: the transform 'spin(3)'"),
        ('<g id="a" transform="rotate(1,2)"/>', "", "the transform 'rotate(1,2)'"),
        ('<g id="a" transform="scale(0)"/>', "", "the transform 'scale(0)'"),
        ('<g id="a" transform="translate(3"/>', "", "the transform 'translate(3'"),
        ('<g id="a" style="transform: rotate(3deg)"/>', "", "moved by its style"),
    ],
)
def test_bad_numbers_are_refused(tmp_path, body, head, said):
    """What SVG does not allow is named with its element and its value."""
    refused(svg(tmp_path, body, head), said)


def test_a_long_row_of_digits_is_judged_at_once(tmp_path):
    """No exponential search: a path of a million digits and a slip at its end."""
    refused(svg(tmp_path, f'<path id="a" d="M {"1" * 1_000_000} #"/>'), "SVG does not allow")
