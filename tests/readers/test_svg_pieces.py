"""Which groups and outlines of an SVG page are pieces, and what belongs to them."""

from __future__ import annotations

import pytest

from nesting.geometry.rings import bounds, signed_area
from nesting.readers.svg import read_svg

from .drawings import refused, svg, told


def rect(name, x=0, y=0, size=100, extra=""):
    """Return a square as an element."""
    called = f'id="{name}"' if name else ""
    return f'<rect {called} x="{x}" y="{y}" width="{size}" height="{size}" {extra}/>'


def names(folder, body):
    """Return the names of the pieces of a page."""
    return [piece.name for piece in read_svg(svg(folder, body)).pieces]


def test_every_role_by_id_label_title_class_or_group(tmp_path):
    """A named group: the largest outline is cut, the rest told by its first word."""
    body = f"""
    <g id="front">
      {rect("")}
      <line id="grain-1" x1="50" y1="90" x2="50" y2="10"/>
      <path inkscape:label="Fold edge" d="M 0 0 V 100"/>
      <path d="M 100 50 h -6"><title>notch T side seam</title></path>
      <circle class="drill" cx="20" cy="30" r="1"/>
      <g id="sew"><path d="M 10 10 h 80 v 80"/></g>
      <path id="internal1" d="M 30 30 h 5"/>
      {rect("cutout", 60, 60, 10)}
      <path id="stripe" d="M 0 40 h 100"/><path id="plaid" d="M 0 45 h 100"/>
      <text x="5" y="50">cut on <tspan>the fold</tspan></text>
    </g>"""
    found = read_svg(svg(tmp_path, body))
    (piece,) = found.pieces
    assert found.notes == ()
    assert piece.name == "front"
    assert bounds(piece.outline) == pytest.approx((0, -100, 100, 0))
    assert [tuple(end) for end in piece.grain] == [
        pytest.approx((50, -90)), pytest.approx((50, -10)),
    ]  # fmt: skip
    assert {round(y) for _, y in piece.mirror} == {0, -100}
    (notch,) = piece.notches
    assert (notch.kind, notch.at) == ("T", pytest.approx((100, -50)))
    assert (notch.angle, notch.depth) == (pytest.approx(180.0), pytest.approx(6.0))
    assert piece.drill_holes[0] == pytest.approx((20, -30))
    assert len(piece.sew_lines[0]) == 3
    assert len(piece.internal_lines) == len(piece.stripe_lines) == len(piece.plaid_lines) == 1
    assert signed_area(piece.cutouts[0]) == pytest.approx(-100.0)
    assert [note.text for note in piece.annotations] == ["cut on the fold"]


def test_a_piece_lies_as_on_the_page(tmp_path):
    """Not reflected: what points right and up on the page points right and up."""
    (piece,) = read_svg(svg(tmp_path, '<path id="a" d="M 0 100 H 80 L 0 0 z"/>')).pieces
    corners = {(round(x), round(y)) for x, y in piece.outline}
    assert corners == {(0, -100), (80, -100), (0, 0)}


@pytest.mark.parametrize(
    ("attributes", "child", "name"),
    [
        ('id="g1" inkscape:label="hood"', "<title>cape</title>", "hood"),
        ('id="g1" data-name="hood"', "", "hood"),
        ('id="g1"', "<title>hood</title>", "hood"),
        ('id="hood"', "", "hood"),
    ],
)
def test_label_then_title_then_id(tmp_path, attributes, child, name):
    """The name a maker sees in her drawing program."""
    assert names(tmp_path, f"<g {attributes}>{child}{rect('')}</g>") == [name]


def test_folders_and_layers(tmp_path):
    """A group of pieces is none itself, nor a layer of several outlines; one outline is."""
    folder = f'<g id="bodice"><g id="front">{rect("p1")}</g>{rect("back", 200)}</g>'
    assert names(tmp_path, folder) == ["front", "back"]
    layer = 'inkscape:groupmode="layer" inkscape:label="Layer 1"'
    assert names(tmp_path, f"<g {layer}>{rect('front')}{rect('back', 200)}</g>") == [
        "front",
        "back",
    ]
    assert names(tmp_path, f"<g {layer}>{rect('p1')}</g>") == ["Layer 1"]
    hood = rect("p1", extra='inkscape:label="hood"')
    assert names(tmp_path, f"<g {layer}>{hood}</g>") == ["hood"]
    assert names(tmp_path, f'<g id="front"><g><g id="g12"><g>{rect("")}</g></g></g></g>') == [
        "g12"
    ]


def test_a_group_whose_name_begins_like_a_role_is_a_piece_on_the_page(tmp_path):
    """A top collar is a piece; inside a piece, a group named top would be its mark."""
    assert names(tmp_path, f'<g id="page"><g id="top collar">{rect("p1")}</g></g>') == [
        "top collar"
    ]
    found = read_svg(svg(tmp_path, rect("fold-over flap")))
    assert [piece.name for piece in found.pieces] == ["fold-over flap"]
    assert any("it lies in no other piece" in line for line in told(found, "assumed"))


def test_loose_marks_find_their_piece(tmp_path):
    """Marks outside any group belong to the outline they lie in."""
    body = (
        rect("front") + rect("back", 200)
        + '<path id="grain" d="M 250 90 V 10"/><path id="notch" d="M 0 50 h 5"/>'
        + rect("cutout", 40, 40, 10) + '<text x="250" y="50">pleat</text>'
    )  # fmt: skip
    front, back = read_svg(svg(tmp_path, body)).pieces
    assert back.grain[0] == pytest.approx((250, -90))
    assert len(front.notches) == 1
    assert len(front.cutouts) == 1
    assert [note.text for note in back.annotations] == ["pleat"]


def test_an_outline_drawn_seam_by_seam(tmp_path):
    """Open paths of a group that meet end to end are one outline."""
    body = (
        '<g id="gore"><path d="M 0 0 h 100"/><path d="M 100 100 V 0.02"/>'
        '<path d="M 100 100 q -50 20 -100 0"/><path d="M 0 0 V 100"/></g>'
    )
    (piece,) = read_svg(svg(tmp_path, body)).pieces
    # Under the parabola of height 10 (half of 20) on a base of 100: 2/3 * 100 * 10.
    assert signed_area(piece.outline) == pytest.approx(10000 + 2000 / 3, abs=10.0)


def test_holes_of_a_compound_path_are_cutouts(tmp_path):
    """One path of two outlines, one in the other; apart they are refused."""
    found = read_svg(svg(tmp_path, '<path id="a" d="M0 0h100v100h-100z M40 40v9h9z"/>'))
    assert len(found.pieces[0].cutouts) == 1
    assert any("inner lines of its path are cutouts" in line for line in told(found, "assumed"))
    refused(
        svg(tmp_path, '<path id="a" d="M0 0h100v100h-100z M200 40v9h9z"/>'),
        "<path> a: one path holds 2 outlines",
        "break the path apart",
    )


def test_what_is_not_read_is_told(tmp_path):
    """Hidden, foreign, clipped, nameless, without a role, or elsewhere."""
    body = (
        f'<g id="front">{rect("")}{rect("decoration", 40, 40, 5)}'
        '<path id="squiggle" d="M 20 20 h 5"/></g>'
        '<image href="x.png"/><use href="other.svg#a"/><use id="u" href="#nothing"/>'
        '<g display="none"><path d="M 0 0 h 9"/></g>'
        '<path style="fill:none; visibility: hidden" d="M 0 0 h 9"/>'
        + rect("", 300) + rect("clipped", 500, extra='clip-path="url(#c)"')
        + '<text x="900" y="5">storm queen</text><path id="ruler" d="M 700 0 h 50"/>'
        '<circle id="drill" cx="900" cy="900" r="1"/><path id="nil" d=""/>'
        "<style>.x { display: none }</style>"
    )  # fmt: skip
    found = read_svg(svg(tmp_path, body))
    assert [piece.name for piece in found.pieces] == ["front", "clipped"]
    unread = "\n".join(told(found, "unread"))
    for part in (
        "front: <rect> decoration is closed but its name tells no role",
        "front: <path> squiggle is open and its name tells no role",
        "<image>: <image> is not a kind", "'other.svg#a' is not in this file",
        "'#nothing' is not in this file", "<g>: it is hidden", "<path>: it is hidden",
        "<rect>: a closed outline without a name", "clipped: its clipping",
        "'storm queen' is written in no piece", "<path> ruler: a straight line in no piece",
        "<circle> drill: it lies in no piece", "<path> nil: nothing is drawn by it",
        "<style>: the style sheet hides",
    ):  # fmt: skip
        assert part in unread


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ('<g id="gore"><path id="p" d="M0 0 h100 v100 L 0 3"/></g>', "3.00 mm apart"),
        ('<path id="gore" d="M0 0 h100 v100 L 0 3"/>', "3.00 mm apart"),
        ('<path id="gore" d="M0 0 L100 100 h -100 L 100 0 z"/>', "gore: the outline crosses"),
        ('<path id="gore" d="M0 0 h 50 h 50 z"/>', "gore: the outline encloses no area"),
        (rect("gore", size=4), "gore: the outline measures 4 x 4 mm, under"),
        (rect("gore", size=30000), "gore: the outline measures 30000 x 30000 mm, over"),
        (rect("gore") + rect("gore2"), "drawn twice at the same place (<rect> gore and"),
        (rect("gore") + rect("gore", 200), "gore: two pieces of the file have this name"),
        (f'<g id="gore">{rect("")}<path id="grain" d="M5 5 h 0"/></g>', "gore: the grain line"),
        (f'<g id="gore">{rect("")}<path id="cutout" d="M5 5 h 5 v 5"/></g>', "outline is open"),
        ("", "no named group or outline"),
        ('<g id="a"><use href="#a"/></g>', "refer to each other"),
    ],
)
def test_bad_drawings_are_refused(tmp_path, body, said):
    """Each in one line with the piece, the value and what to do."""
    refused(svg(tmp_path, body), said)


def test_clones_of_clones_are_bounded(tmp_path):
    """Ten clones each of ten clones, six times over, would be a million squares."""
    body = f'<g id="c0">{rect("")}</g>'
    for level in range(1, 7):
        clones = f'<use href="#c{level - 1}"/>' * 10
        body += f'<g id="c{level}">{clones}</g>'
    refused(svg(tmp_path, body), "unfold to more than 30000")
