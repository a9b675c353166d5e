"""The best layout so far of a cloth that is folded, or owned in panels, is kept while solving."""

from dataclasses import replace
from time import monotonic, sleep

import numpy as np
import pytest

from nesting.keeping import Keeper
from nesting.model.events import Progress
from nesting.model.problem import Item, PlacementProblem, Shape
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.plan import read_plan
from nesting.verify.check import check_layout

PIECES = """<svg xmlns="http://www.w3.org/2000/svg" width="60cm" height="60cm"
 viewBox="0 0 600 600">
<g id="sleeve"><path id="outline" d="M 0 0 L 310 20 L 240 330 L 60 330 Z"/>
<line id="grain" x1="150" y1="50" x2="150" y2="300"/></g></svg>"""
PLAN = """title = "kept"
units = "cm"
[[cloth]]
name = "silk"
{cloth}
[[piece]]
name = "sleeve"
file = "pieces.svg"
cloth = "silk"
cut = { as_drawn = 6, mirrored = 6 }
"""

SQUARE = Shape(np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]))


def kept_while(tmp_path, cloth):
    """Return plan, layouts kept and final layout of a plan broken off after some steps."""
    (tmp_path / "pieces.svg").write_text(PIECES, encoding="utf-8")
    (tmp_path / "plan.toml").write_text(PLAN.replace("{cloth}", cloth), encoding="utf-8")
    plan, kept = read_plan(tmp_path / "plan.toml"), []
    final = lay_plan(
        plan, stop=Stop(seconds=12.0), keep=kept.append, interrupted=lambda: len(kept) > 0
    )
    return plan, kept, final


@pytest.mark.parametrize(
    ("cloth", "lays"),
    [
        ("width = 114\nfold = 'lengthwise'", 1),
        ("width = 114\nfold = 'best'", 1),
        ("panels = [{ length = 70, width = 114 }, { length = 70, width = 114 }]", 2),
    ],
)
def test_kept_before_the_cloth_is_finished(tmp_path, cloth, lays):
    """Broken off early, a folded cloth and one in panels have been kept, checked.

    Where the cloth must be folded, its lay laid open, only made to compare with, is not kept.
    """
    plan, kept, final = kept_while(tmp_path, cloth)
    assert "kept while" in kept[0].warnings[0]
    assert len(kept[0].lays) == lays
    for layout in (*kept, final):
        assert check_layout(plan, layout) == ()
        assert sum(p.cuts for lay in layout.lays for p in lay.placements) == 12
    assert kept[0].lays[0].fold == ("open" if lays == 2 else final.lays[0].fold)


def test_the_newest_of_every_problem_is_compared(tmp_path):
    """Of lays kept of one cloth the best is handed over, whichever problem it came of."""
    plan, _, final = kept_while(tmp_path, "width = 114")
    handed = []
    with Keeper(handed.append, plan, pause=0.01) as keeper:
        keeper.begin(plan, (), final.solver)
        long = replace(final.lays[0], buy=replace(final.lays[0].buy, length=9e9))
        step = Progress("searching", 0.0, length=1.0)
        problem = PlacementProblem((SQUARE,), (Item("a", (0,)),), 1.0)
        keeper.improved("silk", "one", problem, step, lambda _: (final.lays[0],))
        keeper.improved("silk", "two", problem, step, lambda _: (long,))
        deadline = monotonic() + 30
        while not handed and monotonic() < deadline:
            sleep(0.01)
    assert handed[0].lays == (final.lays[0],)
