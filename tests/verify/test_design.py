"""Pieces off their place of the design are refused, however right the rest of the layout is."""

from dataclasses import replace

import pytest

from nesting.model.layout import LaidRepeat
from nesting.model.plan import Border, Cloth, EdgeAllowance, Match, Motif, Plan, PlanPiece, Repeat
from nesting.verify.check import check_layout

from ..handmade import lay_on, layout_of, pattern, put, rectangle
from .faults import only_lay, said

DAMASK = Cloth("damask", 600.0, repeat=Repeat(100.0, 60.0, "half", (None, 30.0)))
LAID = LaidRepeat(100.0, 60.0, "half", (20.0, 30.0))
PANEL = PlanPiece(
    "panel", pattern("panel", rectangle(50, 200)), "damask", 2,
    points={"rose": (25.0, 100.0)}, motif=Motif("rose", (0.0, 0.0)),
)  # fmt: skip


def panels(*corners, cloth=DAMASK, piece=PANEL, laid=LAID, matches=()):
    """Return a plan of panels, and its layout with their lower right corners at these places.

    A panel's rose then lies 100 farther along and 25 nearer the selvage.
    """
    placements = [put(piece, n, 0.0, at) for n, at in enumerate(corners, start=1)]
    plan = Plan("test", "cm", (cloth,), (piece,), matches=matches)
    lay = lay_on(cloth, placements, repeat=laid)
    need = 0.0
    if cloth.repeat.offset[0] is None and cloth.length is None and piece.motif is not None:
        need = cloth.repeat.along if piece.motif.on[0] is not None else 0.0
    parts = {**lay.buy.made_of, "motif_start": need}
    whole = sum(parts.values())
    buy = replace(lay.buy, length=whole, text=f"{whole / 1000:.4f} m", made_of=parts)
    return plan, layout_of(replace(lay, buy=buy))


def test_panels_on_the_places_of_a_half_drop_are_right():
    """Roses at (120, 90) and (170, 150): a column on, half a repeat dropped."""
    assert check_layout(*panels((70.0, 115.0), (20.0, 55.0 + 120.0))) == ()


@pytest.mark.parametrize(("dx", "dy"), [(1.0, 0.0), (0.0, -1.0), (50.0, 0.0), (0.0, 60.0)])
def test_a_panel_off_its_place_is_refused(dx, dy):
    """By a millimetre, by half a repeat, or by a column without the drop."""
    right, off = (70.0, 115.0), (20.0 + dx, 175.0 + dy)
    plan, layout = panels(right, off)
    text = said(check_layout(plan, layout), "design")
    assert "damask: panel (copy 2): its point 'rose' lies" in text
    assert "copy 1" not in text


def test_a_tenth_of_a_millimetre_passes():
    """The tolerance is that of the eye, not more."""
    assert check_layout(*panels((70.0, 115.0), (20.09, 175.0))) == ()
    assert check_layout(*panels((70.0, 115.0), (20.11, 175.0))) != ()


def test_a_known_design_cannot_be_moved():
    """What the layout says of the repeat must be what the plan says."""
    plan, layout = panels((70.0, 115.0), (20.0, 175.0))
    for laid, part in (
        (replace(LAID, offset=(20.0, 31.0)), "it starts at 30.000 mm"),
        (replace(LAID, along=50.0), "repeat along is given as 50.000"),
        (replace(LAID, drop="none"), "drop 'none'"),
        (replace(LAID, offset=(float("nan"), 30.0)), "starts at nan"),
    ):
        assert part in said(check_layout(plan, only_lay(layout, repeat=laid)), "design")
    without = check_layout(plan, only_lay(layout, repeat=None))
    assert "does not say where the design lies" in said(without, "design")


def test_a_motif_needs_its_repeat_to_start():
    """Bought from the bolt, one repeat is part of the purchase; a layout without it is refused."""
    plan, layout = panels((70.0, 115.0), (20.0, 175.0))
    buy = layout.lays[0].buy
    parts = {**buy.made_of, "motif_start": 0.0}
    less = replace(buy, length=buy.length - 100.0, made_of=parts)
    assert "motif_start" in said(check_layout(plan, only_lay(layout, buy=less)), "buy")


def test_on_an_axis_either_place_will_do():
    """Half a repeat across is an axis too, where the repeat is straight."""
    cloth = replace(DAMASK, repeat=Repeat(0.0, 60.0, "none", (None, 30.0)))
    laid = LaidRepeat(0.0, 60.0, "none", (0.0, 30.0))
    piece = replace(PANEL, motif=Motif("rose", (None, 0.0), centred=True))
    assert (
        check_layout(*panels((0.0, 55.0), (0.0, 145.0), cloth=cloth, piece=piece, laid=laid)) == ()
    )
    plain = replace(piece, motif=Motif("rose", (None, 0.0)))
    found = check_layout(*panels((0.0, 55.0), (0.0, 145.0), cloth=cloth, piece=plain, laid=laid))
    assert "30.000 mm from its place" in said(found, "design")


MATCHED = replace(PANEL, motif=None)
STRAIGHT = replace(DAMASK, repeat=Repeat(100.0, 60.0))


@pytest.mark.parametrize(
    ("axis", "cloth", "second", "right"),
    [
        ("along", STRAIGHT, (200.0, 77.0), True),
        ("along", STRAIGHT, (201.0, 77.0), False),
        ("across", STRAIGHT, (13.0, 120.0), True),
        ("across", STRAIGHT, (13.0, 121.0), False),
        ("both", STRAIGHT, (300.0, 120.0), True),
        ("both", STRAIGHT, (50.0, 120.0), False),
        ("both", DAMASK, (50.0, 120.0), True),
        ("both", DAMASK, (100.0, 120.0), False),
        ("both", DAMASK, (100.0, 180.0), True),
    ],
)
def test_matches_along_across_and_both(axis, cloth, second, right):
    """The first panel lies at (0, 60): the other whole repeats away, a column on half of one."""
    match = (Match((("panel", "rose"),), axis),)
    plan, layout = panels(
        (0.0, 60.0), second, cloth=cloth, piece=MATCHED, laid=None, matches=match
    )
    found = check_layout(plan, layout)
    if right:
        assert found == ()
    else:
        assert "meets the design" in said(found, "design")


def test_a_matched_piece_may_not_lie_against_the_design():
    """Its point may be on its place; beyond it the design would run the other way."""
    match = (Match((("panel", "rose"),), "along"),)
    placements = [put(MATCHED, 1, 0.0, (0.0, 60.0)), put(MATCHED, 2, 180.0, (200.0, 70.0))]
    plan = Plan("test", "cm", (STRAIGHT,), (MATCHED,), matches=match)
    found = check_layout(plan, layout_of(lay_on(STRAIGHT, placements)))
    assert "top points against the design" in said(found, "design")


HEM = EdgeAllowance("hem", (0.0, 0.0), (150.0, 0.0), 20.0)
SKIRT = PlanPiece(
    "breadth", pattern("breadth", rectangle(150, 80)), "calico", grain="crosswise", edges=(HEM,),
    border=Border("hem", 30.0, "near"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("turned", "y", "selvage", "part"),
    [
        (90.0, 30.0, "near", ""),
        (90.0, 31.0, "near", "1.000 mm from its place at the near selvage"),
        (270.0, 170.0, "far", ""),
        (270.0, 170.0, "either", ""),
        (270.0, 170.0, "near", "faces the far selvage"),
        (270.0, 150.0, "either", "20.000 mm from its place at the far selvage"),
    ],
)
def test_an_edge_on_its_border(turned, y, selvage, part):
    """The hem as drawn lies 30 from the selvage, its allowance of 20 beyond it."""
    piece = replace(SKIRT, border=replace(SKIRT.border, selvage=selvage))
    cut = [(0, -20), (150, -20), (150, 80), (0, 80)]
    x = 0.0 if turned == 90.0 else 150.0
    cloth = Cloth("calico", 200.0)
    plan = Plan("test", "cm", (cloth,), (piece,))
    at = (x, y)
    found = check_layout(plan, layout_of(lay_on(cloth, [put(piece, 1, turned, at, cut_line=cut)])))
    if part:
        assert part in said(found, "design")
    else:
        assert found == ()


def test_an_edge_askew_to_the_selvage_is_refused():
    """A piece lying lengthwise has its hem across the cloth."""
    piece = replace(SKIRT, grain="lengthwise", edges=(replace(HEM, allowance=0.0),))
    cloth = Cloth("calico", 200.0)
    plan = Plan("test", "cm", (cloth,), (piece,))
    found = check_layout(plan, layout_of(lay_on(cloth, [put(piece, 1, 0.0, (0.0, 150.0))])))
    assert "out of the selvage" in said(found, "design")
