"""HP-GL read back by a parser written from the language's words, not from the writer."""

import re
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LinearRing, LineString, MultiLineString

from nesting.model.plan import Cloth, PlanPiece
from nesting.plot.hpgl import frames_of, hpgl_of
from nesting.plot.outlines import cloth_lines
from nesting.plot.patterns import as_laid

from ..handmade import lay_on, pattern, put, rectangle, two_gores

RANGE = 32767  # plotter units; common practice of old machines
UNIT = 0.025  # mm, HP-GL's plotter unit (memory)


def plotted(content):
    """Return for every page its strokes by pen, in units, and its labels with their places."""
    pages, pen, here, pages_text = [], 0, None, content.decode("ascii")
    page = {"strokes": [], "labels": []}
    pattern_ = re.compile(r"LB([^\x03]*)\x03|([A-Z]{2})([^;A-Z]*);?\s*")
    at = 0
    while at < len(pages_text):
        match = pattern_.match(pages_text, at)
        if match is None:
            assert pages_text[at].isspace(), pages_text[at : at + 20]
            at += 1
            continue
        at = match.end()
        if match[1] is not None:
            page["labels"].append((match[1], here))
            continue
        word, numbers = match[2], [float(n) for n in match[3].split(",") if n.strip()]
        if word == "SP":
            pen = int(numbers[0])
        elif word in {"PU", "PD"}:
            points = [tuple(map(int, numbers[k : k + 2])) for k in range(0, len(numbers), 2)]
            if word == "PD":
                page["strokes"].append((pen, [here, *points]))
            here = points[-1]
        elif word == "PG":
            pages.append(page)
            page = {"strokes": [], "labels": []}
        else:
            assert word in {"IN", "SI", "DI"}, word
    return [*pages, page]


def long_lay(width=1400.0):
    """Return five and a half metres of cloth with gores all along it."""
    long = PlanPiece("train", pattern("train", rectangle(500, 1800)), "silk", 6)
    cloth = Cloth("silk", width, 10.0)
    return lay_on(
        cloth,
        [put(long, n + 1, 0.0, (1850.0 * (n // 2), 520.0 + 600 * (n % 2))) for n in range(6)],
    )


def test_a_short_lay_is_one_frame_at_exact_size():
    """Every cut line comes back where it lies, to the plotter's unit."""
    _, layout = two_gores()
    (lay,) = layout.lays
    (page,) = plotted(hpgl_of(as_laid(lay)))
    low = np.vstack([p.outline for p in lay.placements]).min(axis=0)
    cut = [np.array(points) * UNIT + low for pen, points in page["strokes"] if pen == 1]
    for placement in lay.placements:
        ring = LinearRing(placement.outline)
        assert min(ring.hausdorff_distance(LineString(path)) for path in cut) < 0.02
    assert {words for words, _ in page["labels"]} == {"1 gore, copy 1 R", "2 gore, copy 2 L"}


@pytest.mark.parametrize("width", [700.0, 1400.0, 3100.0])
def test_long_lays_come_in_frames_within_the_old_range(width):
    """Each coordinate lies within 32767 units; put together again, the frames are the lay."""
    lay = long_lay(max(width, 1150.0)) if width > 700 else belt()
    lines = list(cloth_lines(lay))
    pages = plotted(hpgl_of(as_laid(lay), lines))
    assert len(pages) > 1
    points = np.vstack([path for _, path in lines])
    frames = frames_of((*points.min(axis=0), *points.max(axis=0)))
    assert len(frames) == len(pages)
    parts = []
    for frame, page in zip(frames, pages, strict=True):
        assert f"frame {frame.number} of {len(frames)}" in {words for words, _ in page["labels"]}
        for pen, stroke in page["strokes"]:
            assert np.abs(stroke).max() <= RANGE
            if pen == 1:
                parts.append(LineString(np.array(stroke) * UNIT + frame.origin))
        for _, place in page["labels"]:
            assert np.abs(place).max() <= RANGE
    drawn = MultiLineString(parts)
    wanted = MultiLineString([LinearRing(p.outline) for p in lay.placements])
    assert drawn.hausdorff_distance(wanted) < 0.05
    # A line just on the seam of two frames is drawn in both; no line is drawn where none is.
    assert drawn.buffer(0.1).covers(wanted)
    assert wanted.buffer(0.1).covers(drawn)


def belt():
    """Return narrow cloth, three metres of it."""
    strip = PlanPiece("strip", pattern("strip", rectangle(400, 1500)), "tape", 2)
    return lay_on(Cloth("tape", 700.0), [put(strip, n + 1, 0, (1500 * n, 450)) for n in range(2)])


def test_labels_are_plain_and_cannot_end_early():
    """Accents fall off, control characters and other scripts too; the number remains."""
    _, layout = two_gores()
    (lay,) = layout.lays
    odd = [replace(p, piece=name) for p, name in zip(lay.placements, ("manchón\x03;PA", "絹"))]  # noqa: B905
    (page,) = plotted(hpgl_of(as_laid(replace(lay, placements=tuple(odd)))))
    assert [words for words, _ in page["labels"]] == ["1 manchon;PA, copy 1 R", "2 , copy 2 L"]
