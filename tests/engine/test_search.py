"""One worker's search: lines of layouts that stall are left for new ones."""

import dataclasses

import numpy as np
import shapely

from nesting.engine import lines
from nesting.engine.search import Search
from nesting.model.stop import Stop
from tests.engine.proofs import Parts
from tests.shapes import end_for_end, star


def started(iterations=20):
    """Return parts of a run, and a worker, on six stars that may lie end for end."""
    rng = np.random.default_rng(5)
    stars = [(1, star(rng, 7, 2_000, 10_000)) for _ in range(6)]
    parts = Parts(end_for_end(30_000, *stars), Stop(iterations=iterations))
    return parts, Search(parts.scaled, parts.tables, parts.parts, parts.board, 0, 0)


def depth(parts, found):
    """Return the greatest area two items share, by shapely, as a share of the strip's width."""
    scaled = parts.scaled
    polygons = [
        shapely.affinity.translate(shapely.Polygon(scaled.shapes[s].rings[0]), x, y)
        for s, x, y in zip(found.shape, found.x, found.y, strict=True)
    ]
    shared = [a.intersection(b).area for k, a in enumerate(polygons) for b in polygons[:k]]
    return max(shared) / scaled.width**2


def test_a_new_line_begins_with_another_layout_free_of_overlap():
    """It is no longer than the room it was given, and the best layout stays what it was."""
    parts, search = started()
    best = parts.board.best
    assert search._begin_anew()
    assert search.home is not best
    assert not np.allclose(search.home.x, best.x)
    assert search.home.length <= lines.ROOM * best.length
    assert depth(parts, search.home) < 1e-9
    assert parts.board.best is best


def test_a_line_is_left_only_once_it_stalls(monkeypatch):
    """With no patience each line is left at once, and with the usual one a short run keeps to one.

    The best layout never worsens on the way, and towards the end the worker is back on it.
    """
    begun = []
    usual = Search._begin_anew
    monkeypatch.setattr(Search, "_begin_anew", lambda s: begun.append(s.home) or usual(s))
    started()[1].run()
    assert not begun
    monkeypatch.setattr(lines, "STAY", -1_000)
    parts, search = started(iterations=40)
    search.run()
    assert len(begun) >= 2
    lengths = [length for _time, length in parts.board.history]
    assert lengths == sorted(lengths, reverse=True)
    assert parts.board.best.length <= min(found.length for found in begun)
    assert search.home is parts.board.best


def test_lines_begun_anew_repeat_themselves(monkeypatch):
    """The same seed and number of attempts give the same layout, however many lines were begun."""
    monkeypatch.setattr(lines, "STAY", -1_000)
    lengths = []
    for _run in range(2):
        parts, search = started(iterations=20)
        search.run()
        lengths.append(parts.board.best.length)
    assert lengths[0] == lengths[1]


def test_a_better_layout_of_another_worker_is_taken_over_by_who_shares_it():
    """A worker on a line of its own keeps to it until the end of the run is near."""
    parts, search = started(iterations=20)
    own = search.home
    shorter = dataclasses.replace(own, length=0.999 * own.length)
    parts.board.offer(shorter, "searching")
    search.line.joined = False
    assert not search._follow()
    assert search.home is own
    search.line.joined = True
    assert search._follow()
    assert search.home is shorter
    search.home, search.line.joined = own, False
    for _attempt in range(19):
        parts.board.count()
    assert search._follow()
    assert search.home is shorter
