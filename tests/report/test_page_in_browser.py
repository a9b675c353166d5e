"""The report page in a real browser: at phone and desk width, by keyboard, by tap and on paper.

Skipped where playwright or a Chromium is not installed.
"""

from __future__ import annotations

import io
import shutil
from dataclasses import replace

import numpy as np
import pypdf
import pytest
from matplotlib.image import imread

from nesting.report.page import PageTable, report_page

from ..handmade import layout_of, two_gores

playwright = pytest.importorskip(
    "playwright.sync_api", reason="playwright is not installed (pip install '.[browser]')"
)

PHONE, DESK = {"width": 360, "height": 740}, {"width": 1280, "height": 900}


@pytest.fixture(scope="module")
def browser():
    """Return a headless Chromium: the machine's own, or else playwright's."""
    own = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("chrome")
    with playwright.sync_playwright() as driver:
        try:
            started = driver.chromium.launch(executable_path=own, args=["--no-sandbox"])
        except playwright.Error as error:
            pytest.skip(f"no Chromium to be started: {str(error).splitlines()[0]}")
        yield started
        started.close()


@pytest.fixture
def opened(browser, tmp_path):
    """Return a function that opens a page as a file, and the list of whatever went wrong."""
    wrong: list[str] = []
    contexts = []

    def show(html, **settings):
        path = tmp_path / "report.html"
        path.write_text(html, encoding="utf-8")
        settings.setdefault("viewport", DESK)
        context = browser.new_context(reduced_motion="reduce", **settings)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: wrong.append(str(error)))
        page.on("console", lambda message: wrong.append(message.text))
        page.on("dialog", lambda dialog: (wrong.append("dialog"), dialog.dismiss()))
        page.on(
            "request",
            lambda asked: None if asked.url.startswith("file:") else wrong.append(asked.url),
        )
        page.goto(path.as_uri())
        return page

    yield show, wrong
    for context in contexts:
        context.close()


def gores():
    """Return the page of two gores, with a wide table."""
    table = PageTable("Comparison", [f"column {n}" for n in range(9)], [["a cell"] * 9])
    plan, layout = two_gores()
    return report_page(layout, plan=plan, tables=[table])


@pytest.mark.parametrize("viewport", [PHONE, DESK])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_fits_the_screen(opened, viewport, scheme):
    """Nothing runs off to the side, nothing is loaded or goes wrong, and something is shown."""
    show, wrong = opened
    page = show(gores(), viewport=viewport, color_scheme=scheme)
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
    picture = imread(io.BytesIO(page.screenshot()))[..., :3]
    assert bool(np.median(picture) < 0.3) is (scheme == "dark")
    assert picture.std() > 0.03
    assert not wrong


def test_a_tap_on_a_piece_shows_its_facts(opened):
    """On a phone a tap shows where the piece lies, a second one another piece; Close ends it."""
    show, wrong = opened
    page = show(gores(), viewport=PHONE, has_touch=True)
    facts = page.locator(".chosen-piece")
    assert facts.inner_text() == ""
    page.locator("a.piece").nth(0).tap(force=True)
    assert "gore, right" in facts.inner_text()
    assert "0.0 to 50.0 cm along" in facts.inner_text()
    page.locator("a.piece").nth(1).tap(force=True)
    assert "gore, left" in facts.inner_text()
    assert page.locator("a.piece.chosen").count() == 1
    facts.get_by_role("button", name="Close").tap()
    assert facts.inner_text() == ""
    assert not wrong


def test_everything_is_reached_by_keyboard(opened):
    """Tab leads from the skip link over buttons and pieces to the boxes, each seen to have it."""
    show, wrong = opened
    page = show(gores())
    seen = []
    for _ in range(60):
        page.keyboard.press("Tab")
        seen.append(
            page.evaluate(
                """() => {
                    const at = document.activeElement, style = getComputedStyle(at);
                    const cut = at.matches(".piece") ? at.querySelector(".cut") : null;
                    const shown = cut ? parseFloat(getComputedStyle(cut).strokeWidth) > 3
                        : style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
                    return [at.tagName.toLowerCase(), at.getAttribute("class") || "", shown];
                }"""
            )
        )
        if seen[-1][0] == "input":
            break
    assert seen[0][:2] == ["a", "skip"]
    assert [tag for tag, kind, _ in seen if kind.startswith("piece")] == ["a", "a"]
    assert sum(tag == "button" for tag, *_ in seen) >= 3
    assert seen[-1][0] == "input"
    assert all(shown for *_, shown in seen)
    page.keyboard.press("Space")
    assert page.locator("input").first.is_checked()
    assert not wrong


def test_focus_shows_facts_and_escape_hides_them(opened):
    """A piece reached by Tab tells its facts at once; Escape puts them away."""
    show, wrong = opened
    page = show(gores())
    page.locator("button[data-zoom=whole]").focus()
    for _ in range(2):  # the drawing itself, then its first piece
        page.keyboard.press("Tab")
    assert "gore, right" in page.locator(".chosen-piece").inner_text()
    page.keyboard.press("Escape")
    assert page.locator(".chosen-piece").inner_text() == ""
    assert not wrong


def test_the_drawing_can_be_enlarged(opened):
    """Larger and Smaller change its size, Whole shows all of it within the window."""
    show, _ = opened
    page = show(gores(), viewport=PHONE)
    width = "document.querySelector('.cloth-view svg').getBoundingClientRect().width"
    first = page.evaluate(width)
    page.get_by_role("button", name="Larger").click()
    larger = page.evaluate(width)
    assert larger > 1.3 * first
    page.get_by_role("button", name="Smaller").click()
    assert page.evaluate(width) == pytest.approx(first, rel=0.01)
    page.get_by_role("button", name="Whole lay").click()
    assert page.evaluate(width) <= PHONE["width"]


def test_ticks_outlive_a_reload(opened):
    """A phone that falls asleep at the table does not lose what was ticked."""
    show, _ = opened
    page = show(gores())
    page.locator("input").nth(2).check()
    page.wait_for_function("Object.values(localStorage).some(kept => kept.includes('true'))")
    page.reload()
    checked = [page.locator("input").nth(n).is_checked() for n in range(4)]
    assert checked == [False, False, True, False]


def test_without_scripting_all_of_it_can_be_read(opened):
    """A piece's link leads to its facts, and buttons that would do nothing are not shown."""
    show, _ = opened
    page = show(gores(), java_script_enabled=False)
    assert not page.locator("button").first.is_visible()
    page.locator("a.piece").nth(1).click(force=True)
    assert page.url.endswith("#lay1-2")
    assert page.locator("#lay1-2").is_visible()


def test_hostile_names_do_nothing(opened):
    """Names that would run a script or close a tag are shown as words and run nothing."""
    show, wrong = opened
    evil = "</title></style></script><img src=x onerror=alert(1)><script>alert(2)</script>\"'"
    layout = two_gores()[1]
    lay = layout.lays[0]
    lay = replace(
        lay, cloth=evil, placements=tuple(replace(p, piece=evil) for p in lay.placements)
    )
    page = show(report_page(replace(layout_of(lay, warnings=(evil,)), title=evil)))
    page.locator("a.piece").nth(0).click(force=True)
    assert evil in page.locator(".chosen-piece").inner_text()
    assert page.locator("h1").inner_text() == evil
    assert page.locator("img").count() == 0
    assert not wrong


def test_it_prints(opened):
    """On paper there are the drawing, the steps and the slips, and none of the buttons."""
    show, _ = opened
    printed = pypdf.PdfReader(io.BytesIO(show(gores()).pdf(prefer_css_page_size=True)))
    words = " ".join(" ".join(page.extract_text() for page in printed.pages).split())
    assert "Stop. Do not cut yet" in words
    assert "Label slips" in words
    assert "Larger" not in words
    assert len(printed.pages) <= 5
