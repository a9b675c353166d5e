"""Several owned pieces of a cloth: sizes, drawn edges, and what is refused."""

import numpy as np
import pytest

from nesting.errors import InputFileError, NotBuiltError
from nesting.readers.plan import read_plan

from .test_plan_refusals import folder, refused, with_cloth

__all__ = ["folder"]

SCRAPS = """\
<svg xmlns="http://www.w3.org/2000/svg" width="60cm" height="40cm" viewBox="0 0 600 400">
  <g id="scrap"><path d="M 100 100 H 300 L 200 300 H 100 Z"/>
    <path class="cutout" d="M 120 120 h 20 v 20 h -20 z"/>
    <line class="grain" x1="150" y1="250" x2="150" y2="150"/></g>
  <g id="half"><path d="M 400 100 H 500 V 300 H 400 Z"/>
    <line class="fold" x1="400" y1="100" x2="400" y2="300"/></g>
</svg>
"""
PANELS = "panels = [{ length = 198, width = 120 }, { name = 'hall', length = 150, width = 90 }]"


def cloth_of(folder, line):
    """Return the cloth of the plan without its width, with another line instead."""
    (folder / "scraps.svg").write_text(SCRAPS, encoding="utf-8")
    path = folder / "plan.toml"
    path.write_text(with_cloth(line).replace('width = "112 cm"', ""), encoding="utf-8")
    return read_plan(path).cloths[0]


def test_panels_have_sizes_and_names(folder):
    """Without a name they are counted; the cloth is as wide as the widest."""
    cloth = cloth_of(folder, PANELS)
    told = [(panel.name, panel.length, panel.width) for panel in cloth.panels]
    assert told == [("panel 1", 1980, 1200), ("hall", 1500, 900)]
    assert (cloth.width, cloth.extra) == (1200, "none")


def test_a_drawn_edge_lies_with_its_grain_along_the_cloth(folder):
    """Drawn upright with the grain up the page: 200 high, so 200 along, and 200 across.

    What is up on the page lies away from the cut end; a cutout is a hole, where it then lies.
    """
    cloth = cloth_of(
        folder,
        "shrink = { along = 10 }\npanels = [{ name = 'scrap', file = 'scraps.svg', "
        "piece = 'scrap' }]",
    )
    (panel,) = cloth.panels
    assert (panel.length, panel.width) == (pytest.approx(200), pytest.approx(200))
    corners = {tuple(np.round(point, 6)) for point in panel.outline}
    assert corners == {(0, 200), (0, 100), (200, 0), (200, 200)}
    (hole,) = cloth.flaws
    assert (hole.kind, hole.panel) == ("hole", 1)
    assert hole.outline.min(axis=0) == pytest.approx([160 * 0.9, 160])
    assert hole.outline.max(axis=0) == pytest.approx([180 * 0.9, 180])


@pytest.mark.parametrize(
    ("line", "parts"),
    [
        ("panels = []", ["panels is empty"]),
        (f"length = 3\n{PANELS}", ["both length and panels"]),
        ("extra = 'buy'", ['extra = "buy"', "list the panels"]),
        (f"{PANELS}\nextra = 'sell'", ["'buy'"]),
        ("panels = [{ name = 'a', length = 9, width = 9 }, { name = 'a', length = 9, width = 9 }]",
         ["cloth 'calico': a", "two panels have this name"]),
        ("panels = [{ width = 3 }]", ["panel 1", "'length' is missing"]),
        ("panels = [{ length = 30, width = 30, file = 'scraps.svg' }]", ["a file and a size"]),
        ("panels = [{ file = 'scraps.svg' }]", ["draws 2 outlines: scrap, half", "piece = "]),
        ("panels = [{ file = 'scraps.svg', piece = 'scrp' }]", ["mean 'scrap'"]),
        ("panels = [{ file = 'scraps.svg', piece = 'half' }]", ["drawn as a half"]),
        (f"selvage = 50\n{PANELS}", ["cloth 'calico': hall", "selvages", "leave nothing"]),
        (f"{PANELS}\nextra = 'buy'\nprice = 3\nprice_per = 'piece'", ["off the bolt"]),
        (f"{PANELS}\nflaws = [{{ along = [1, 2], across = [1, 2], panel = 3 }}]",
         ["flaw 1", "no panel 3", "2 panels", "1 to 2"]),
        (f"{PANELS}\nflaws = [{{ along = [140, 151], across = [1, 2], panel = 2 }}]",
         ["outside panel 'hall', which is 150.0 cm long"]),
    ],
)  # fmt: skip
def test_panels_that_make_no_sense_are_refused(folder, line, parts):
    """Each in one line, naming cloth and panel."""
    (folder / "scraps.svg").write_text(SCRAPS, encoding="utf-8")
    said = refused(folder, with_cloth(line))
    assert [part for part in parts if part not in said] == [], said


def test_a_file_that_is_not_there_is_refused(folder):
    """As for a piece."""
    said = refused(folder, with_cloth("panels = [{ file = 'none.svg' }]"), InputFileError)
    assert "panel 1: file 'none.svg' does not exist" in said


def test_new_cloth_needs_a_width(folder):
    """Panels have their own widths; what is bought to match has not."""
    text = with_cloth(f"{PANELS}\nextra = 'buy'").replace('width = "112 cm"', "")
    assert "'width' of the cloth that is bought to match is missing" in refused(folder, text)


@pytest.mark.parametrize("line", ['fold = "lengthwise"', 'repeat = { along = "32 cm" }'])
def test_panels_lie_open_and_plain(folder, line):
    """Folding them, and motifs on them, is refused by name."""
    assert "not built yet" in refused(folder, with_cloth(f"{PANELS}\n{line}"), NotBuiltError)
