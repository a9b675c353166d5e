"""The flaws of a cloth: measured before shrinking, kept as they lie when it is cut."""

import pytest

from nesting.readers.plan import read_plan

from .test_plan_refusals import folder, refused, with_cloth

__all__ = ["folder"]


def flaws_of(folder, line):
    """Return the flaws of the plan's cloth with a line more in it."""
    path = folder / "plan.toml"
    path.write_text(with_cloth(line), encoding="utf-8")
    return read_plan(path).cloths[0].flaws


def test_a_box_is_given_by_where_it_begins_and_ends(folder):
    """Along first, across second; bare numbers in the plan's unit."""
    (flaw,) = flaws_of(
        folder, 'flaws = [{ along = [9, "10 cm"], across = [6, 8], kind = "hole" }]'
    )
    assert flaw.outline.tolist() == [[90, 60], [100, 60], [100, 80], [90, 80]]
    assert (flaw.kind, flaw.hide, flaw.panel) == ("hole", "no", 1)


def test_an_outline_is_turned_to_run_counter_clockwise(folder):
    """The corners may be given either way round."""
    (flaw,) = flaws_of(
        folder, 'flaws = [{ outline = [[0, 0], [0, 5], [5, 5]], hide = "allowance" }]'
    )
    assert flaw.outline.tolist() == [[50, 50], [0, 50], [0, 0]]
    assert flaw.hide == "allowance"


def test_a_flaw_shrinks_with_its_cloth(folder):
    """Measured at the shop, it lies nearer once the cloth has been washed."""
    (flaw,) = flaws_of(
        folder,
        "shrink = { along = 10, across = 5 }\nflaws = [{ along = [90, 100], across = [60, 80] }]",
    )
    assert flaw.outline.min(axis=0) == pytest.approx([810, 570])
    assert flaw.outline.max(axis=0) == pytest.approx([900, 760])


BOX = "along = [1, 2], across = [1, 2]"


@pytest.mark.parametrize(
    ("line", "parts"),
    [
        ("flaws = [{ along = [1, 2] }]", ["flaw 1", "not said once", "across = [60, 80]"]),
        (f"flaws = [{{ {BOX}, outline = [[0, 0], [1, 0], [1, 1]] }}]", ["not said once"]),
        (f"flaws = [{{ {BOX} }}, {{ along = [2, 1], across = [1, 2] }}]",
         ["flaw 2", "along = [2, 1] has no extent", "begins"]),
        ("flaws = [{ outline = [[0, 0], [1, 0]] }]", ["2 points", "at least three"]),
        ("flaws = [{ outline = [[0, 0], [9, 9], [9, 0], [0, 9]] }]", ["crosses itself"]),
        ("flaws = [{ along = [-3, 2], across = [1, 2] }]", ["from -3.0 cm to 2.0 cm along"]),
        ("length = 40\nflaws = [{ along = [39, 41], across = [1, 2] }]",
         ["cloth 'calico'", "39.0 cm to 41.0 cm along", "40.0 cm long", "squared cut end"]),
        ("flaws = [{ along = [1, 2], across = [90, 113] }]",
         ["90.0 cm to 113.0 cm across", "112.0 cm wide", "inner edge"]),
        ("selvage = 2\nflaws = [{ along = [1, 2], across = [-2.5, 1] }]", ["-2.5 cm to 1.0 cm"]),
        (f"flaws = [{{ {BOX}, panel = 2 }}]", ["there is no panel 2", "only one piece", "leave"]),
        (f"flaws = [{{ {BOX}, panel = 0 }}]", ["there is no panel 0"]),
        (f"flaws = [{{ {BOX}, hide = 'hem' }}]", ["hide", "'allowance'"]),
    ],
)  # fmt: skip
def test_flaws_that_make_no_sense_are_refused(folder, line, parts):
    """Each in one line: which flaw, what is wrong, how to measure."""
    said = refused(folder, with_cloth(line))
    assert all(part in said for part in parts), said


def test_a_flaw_may_reach_into_the_selvage(folder):
    """A torn edge is measured from the inner edge of the selvage, so below zero."""
    (flaw,) = flaws_of(folder, "selvage = 2\nflaws = [{ along = [1, 2], across = [-2, 1] }]")
    assert flaw.outline[:, 1].min() == -20.0
