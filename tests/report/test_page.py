"""The report page as a browser's parser sees it: complete, closed in itself, and escaped."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace

import html5lib
import numpy as np
import pytest

from nesting import Stop, lay_plan
from nesting.model.costing import Trim
from nesting.model.cutting_list import SEW
from nesting.model.layout import Joining, LaidFlaw, LaidFold, LaidRepeat
from nesting.model.plan import PlanPiece
from nesting.model.train import TrainCase, TrainStudy
from nesting.report.cutting_list import cutting_lists
from nesting.report.page import PageTable, report_page
from nesting.report.page_joins import joined_pieces

from ..handmade import layout_of, pattern, rectangle, two_gores
from ..rules.garments import plan_of
from ..test_joining import gore

HOSTILE = [
    "<script>alert(1)</script>",
    '" onload="alert(1)" x="',
    "'><img src=x onerror=alert(1)>",
    "</style></title></svg><script>alert(2)</script>",
    "{{ 7 * 7 }}{% raw %}",
    "<!--",
    "]]>&amp;\u202e\u0000",
]
TABLE = PageTable("Widths side by side", ("cloth", "buy"), [("damask", "6 m"), ("wool", "5 m")])


def parsed(html):
    """Return the page as a tree; the parser is strict, so any fault of the HTML is an error."""
    parser = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False)
    tree = parser.parse(html)
    for element in tree.iter():
        if isinstance(element.tag, str):
            element.tag = element.tag.rpartition("}")[2]
    return tree


def texts(element):
    """Return all words inside an element, blanks made single."""
    return " ".join("".join(element.itertext()).split())


def by_class(tree, name):
    """Return all elements of a class."""
    return [e for e in tree.iter() if name in (e.get("class") or "").split()]


def everything():
    """Return a layout that shows all that a lay can have, and one that does not fit."""
    _, layout = two_gores()
    lay = replace(
        layout.lays[0],
        nap="one-way",
        folding=LaidFold("partial", (((0, 500), (300, 500)),), ((0, 320, 300, 500),), 300.0),
        repeat=LaidRepeat(320.0, 160.0, "half", (20.0, 30.0)),
        flaws=(LaidFlaw(np.array(rectangle(40, 30), dtype=float), "moth hole"),),
        leftover=(300.0, 0.0, 500.0, 200.0),
        remarks=("Mind the seam.",),
    )
    none = replace(lay, cloth="net", status="does not fit", reason="too short", placements=())
    return layout_of(lay, none, warnings=("The file has no grain line.",))


def test_the_page_is_sound_html():
    """A strict parser finds no fault, and the page says its language, size and title."""
    plan, layout = two_gores()
    tree = parsed(report_page(layout, plan=plan, tables=[TABLE]))
    assert tree.get("lang") == "en"
    assert "storm queen" in tree.find("head/title").text
    assert any(m.get("name") == "viewport" for m in tree.iter("meta"))
    assert len(list(tree.iter("h1"))) == 1
    parsed(report_page(everything()))


def test_the_page_needs_nothing_else():
    """Nothing is loaded from anywhere, and the page forbids itself to."""
    html = report_page(everything(), tables=[TABLE])
    tree = parsed(html)
    for element in tree.iter():
        assert element.tag not in {"link", "img", "iframe", "object", "embed", "form"}
        assert element.get("src") is None
        href = element.get("href")
        assert href is None or href.startswith("#")
    assert not re.search(r"url\(|@import", html)
    [policy] = [m.get("content") for m in tree.iter("meta") if m.get("http-equiv")]
    assert policy.startswith("default-src 'none'")
    [script] = list(tree.iter("script"))
    digest = base64.b64encode(hashlib.sha256(script.text.encode()).digest()).decode()
    assert f"script-src 'sha256-{digest}'" in policy


def test_every_link_and_label_leads_somewhere():
    """Ids are there once; links within the page reach one; every box has words to it."""
    tree = parsed(report_page(everything(), tables=[TABLE]))
    ids = [e.get("id") for e in tree.iter() if e.get("id")]
    assert len(ids) == len(set(ids))
    targets = {e.get("href")[1:] for e in tree.iter("a")}
    assert targets <= set(ids)
    named = {e.get("aria-labelledby") for e in tree.iter() if e.get("aria-labelledby")}
    assert named <= set(ids)
    boxes = list(tree.iter("input"))
    labels = list(tree.iter("label"))
    assert boxes
    assert len(boxes) == len(labels)
    assert all(texts(label) for label in labels)


def test_every_piece_can_be_reached_and_tells_its_facts():
    """Each placement is a link with a name, and what it leads to says where and how it lies."""
    _, layout = two_gores()
    tree = parsed(report_page(layout))
    pieces = [a for a in tree.iter("a") if a.get("class", "").startswith("piece")]
    assert [a.get("aria-label") for a in pieces] == ["1. gore, right", "2. gore, left"]
    facts = {e.get("id"): texts(e) for e in tree.iter("article")}
    first = facts[pieces[0].get("href")[1:]]
    assert "0.0 to 50.0 cm along" in first
    assert "to the far end" in first
    assert "face up" in first
    assert "2nd of 2" in first
    assert "face down" in facts[pieces[1].get("href")[1:]]
    assert "hover" not in report_page(layout)


def test_the_page_tells_all_there_is():
    """Yardage, tables given, cautions, warnings, remarks and the cutting list all stand there."""
    plan, _ = two_gores()
    words = texts(parsed(report_page(everything(), plan=plan, tables=[TABLE])))
    for part in (
        "0.60 m", "3/4 yd", "Widths side by side", "wool", "Before you cut", "Shears",
        "The file has no grain line.", "Mind the seam.", "moth hole", "Cutting list: damask",
        "Do not cut yet", "Keep of the scraps", "side of the cloth", "too short",
    ):  # fmt: skip
        assert part in words


def test_tables_follow_the_lays_and_must_be_whole():
    """A table stands with its headings; a row with a missing cell is refused."""
    _, layout = two_gores()
    tree = parsed(report_page(layout, tables=[replace(TABLE, note="Prices of the spring.")]))
    [section] = [e for e in tree.iter("section") if e.get("id") == "table1"]
    assert [texts(th) for th in section.iter("th")] == ["cloth", "buy", "damask", "wool"]
    assert [texts(td) for td in section.iter("td")] == ["6 m", "5 m"]
    assert "Prices of the spring." in texts(section)
    with pytest.raises(ValueError, match="2 cells"):
        report_page(layout, tables=[replace(TABLE, rows=[("damask",)])])


@pytest.mark.parametrize("words", HOSTILE)
def test_no_word_of_the_makers_becomes_html(words):
    """Names, titles, cloths, flaws, warnings and cells full of HTML stay words."""
    shown = words.replace("\u0000", "")
    layout = everything()
    lay = layout.lays[0]
    lay = replace(
        lay,
        cloth=shown,
        placements=tuple(
            replace(p, piece=shown, points={shown: (1.0, 2.0)}) for p in lay.placements
        ),
        flaws=(replace(lay.flaws[0], kind=shown),),
        remarks=(shown,),
        panel=1,
        panel_name=shown,
    )
    layout = replace(layout, title=shown, lays=(lay, *layout.lays[1:]), warnings=(shown,))
    table = PageTable(shown, (shown, shown), [(shown, shown)], shown)
    tree = parsed(report_page(layout, tables=[table]))
    assert len(list(tree.iter("script"))) == 1
    assert not list(tree.iter("img"))
    assert not any(name.startswith("on") for e in tree.iter() for name in e.attrib)
    whole = "".join(tree.itertext())
    assert whole.count(shown) > 10
    assert "49" not in "".join(e.text or "" for e in tree.iter("h1"))
    assert [e.text for e in tree.iter("h1")] == [shown]


def test_the_total_needs_every_price():
    """Costs are added where all are known, and said to be unknown where one is not."""
    plan, layout = two_gores()
    lay = layout.lays[0]
    two = layout_of(lay, replace(lay, cloth="lining"))
    assert "48.00" in texts(parsed(report_page(two)))
    open_price = replace(lay, cloth="lining", buy=replace(lay.buy, cost=None))
    words = texts(parsed(report_page(layout_of(lay, open_price))))
    assert "All cloths together" not in words
    assert "?" in words
    owned = replace(plan, cloths=(replace(plan.cloths[0], length=5000.0),))
    assert "owned" in texts(parsed(report_page(layout, plan=owned)))


def test_labels_lie_inside_their_pieces():
    """A name is set only where it fits, else only the number; both gores have room for theirs."""
    _, layout = two_gores()
    tree = parsed(report_page(layout))
    labels = [texts(e) for e in by_class(tree, "label")]
    assert [label.split()[0][0] for label in labels] == ["1", "2"]


@pytest.mark.parametrize("units", ["cm", "in"])
def test_rulers_are_in_the_makers_unit(units):
    """The rulers count in centimetres or inches, and the key says which."""
    _, layout = two_gores()
    words = texts(parsed(report_page(replace(layout, units=units))))
    assert f"Rulers in {'centimetres' if units == 'cm' else 'inches'}." in words


def test_folded_cloth_is_shown_as_it_lies():
    """What lies double is shaded, what is folded over is no cloth, and the key says so."""
    lay = everything().lays[0]
    folding = LaidFold("partial", (((0, 500), (300, 500)),), ((0, 320, 300, 500),), 300.0)
    tree = parsed(report_page(layout_of(replace(lay, folding=folding))))
    assert len(by_class(tree, "double")) == len(by_class(tree, "away")) == 1
    assert "shaded: cloth that lies double" in texts(tree)
    assert "folded right side in, its wrong side up; single cloth right side up" in texts(tree)
    flat = parsed(report_page(layout_of(replace(lay, folding=None))))
    assert not by_class(flat, "double")
    assert "lies double" not in texts(flat.find("body/main/section/p[@class='key']"))


def test_the_cost_sheet_has_trims_and_a_total():
    """With the plan, after what to buy: the braid she sews on is in the sum, which stands last."""
    plan, layout = two_gores()
    braid = Trim("braid <wide>", lengths=(500.0,), price=4.0)
    tree = parsed(report_page(layout, plan=replace(plan, trims=(braid,))))
    (sheet,) = (e for e in tree.iter("section") if e.get("id") == "cost1")
    words = texts(sheet)
    assert "braid <wide>" in words
    (foot,) = sheet.iter("tfoot")
    assert [texts(cell) for cell in next(foot.iter("tr")) if texts(cell)] == ["Total", "26.00"]
    assert "#cost1" in {e.get("href") for e in tree.iter("a")}
    assert "cost1" not in {e.get("id") for e in parsed(report_page(layout)).iter("section")}


def test_a_pieced_piece_is_drawn_whole_with_its_joins():
    """A gore joined along y = 250: two lettered parts, where each lies, and the join drawn.

    Worked by hand: the gore's sides meet y = 250 at x = 50 and 270.
    """
    plan, layout = two_gores()
    first, second = layout.lays[0].placements
    parts = (replace(first, piece="gore, main part"), replace(second, piece="gore, wedge"))
    joining = Joining("gore", ("gore, main part", "gore, wedge"), ((150.0, 100.0), (150.0, 400.0)),
                      (((0.0, 250.0), (10.0, 250.0)),), 10.0)  # fmt: skip
    pieced = replace(
        layout, lays=(replace(layout.lays[0], placements=parts),), joinings=(joining,)
    )
    tree = parsed(report_page(pieced, plan=plan))
    (section,) = (e for e in tree.iter("section") if e.get("id") == "joins")
    words = texts(section)
    assert "gore, wedge: number 2 on damask" in words
    assert "one join; 1.0 cm is added on both sides" in words
    (join,) = (e for e in section.iter() if e.get("class") == "join")
    ends = {tuple(map(float, pair.split(","))) for pair in join.get("d")[1:].split("L")}
    assert ends == {(50.0, -250.0), (270.0, -250.0)}
    bare = parsed(report_page(pieced))
    assert not [e for e in bare.iter() if e.get("class") == "join"]


def test_the_page_lists_the_joins_to_sew():
    """What the cutting list has of joins stands on the page too, to tick; else nothing of it."""
    plan = plan_of(gore(), width=540.0, nap="one-way")
    pieced = lay_plan(plan, stop=Stop(iterations=3))
    (cutting,) = by_class(parsed(report_page(pieced, plan=plan)), "cutting")
    (wanted,) = (found.sew for found in cutting_lists(pieced, plan))
    assert len(wanted) == 2  # one join of each hand
    told = [texts(item) for item in cutting.iter("li")]
    assert all(told.count(line) == 1 for line in wanted)
    assert SEW in [texts(heading) for heading in cutting.iter("h3")]
    assert texts(cutting).count("stitching line") == 4  # both sides of both
    _, whole = two_gores()
    assert SEW not in texts(parsed(report_page(whole)))


def test_a_half_is_drawn_whole():
    """Reflected about its fold: twice as wide (worked by hand)."""
    half = pattern("half", [(0, 0), (100, 0), (100, 300), (0, 300)], mirror=((0, 0), (0, 300)))
    piece = PlanPiece("half", half, "damask", 1, 0)
    plan, layout = two_gores()
    joining = Joining("half", ("a", "b"), ((0.0, 50.0), (0.0, 200.0)),
                      (((0.0, 100.0), (1.0, 100.0)),), 10.0)  # fmt: skip
    (joined,) = joined_pieces(replace(layout, joinings=(joining,)), replace(plan, pieces=(piece,)))
    ends = [tuple(map(float, end.split(","))) for end in joined.drawing.joins[0][1:].split("L")]
    assert sorted(x for x, _ in ends) == pytest.approx([-100, 100], abs=0.2)


def test_a_train_is_told_with_its_chart():
    """Sentences and a picture inside the file; a study without a chart is told all the same."""
    _, layout = two_gores()
    study = TrainStudy("gore", "damask", 1000.0, 200.0, (TrainCase("whole", 500.0),), (), ())
    trained = replace(layout, trains=(study, replace(study, piece="sweep")))
    tree = parsed(report_page(trained, charts=(b"<svg/>",)))
    pictures = [e.get("src") for e in tree.iter("img")]
    assert pictures == ["data:image/svg+xml;base64,PHN2Zy8+"]
    words = texts(tree)
    assert "gore forces the length: without it damask would take 20.0 cm, 30.0 cm less" in words
    assert "The train: sweep" in words
