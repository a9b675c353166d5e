"""Edges that hardly are there, coordinates far out, and lays as long as a hall."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.errors import InputError
from nesting.model.stop import Stop
from nesting.planning import lay_plan
from nesting.readers.outline import clean_outline
from nesting.readers.pattern import read_pattern

from ..rules.garments import as_points, piece, plan_of, rectangle, star_outlines
from .test_exact_fits import laid

BRIEF = Stop(iterations=40, without_gain=20)


def drawn(ring, folder, at=(0.0, 0.0)):
    """Return the outline of a ring written to an SVG, far from its origin, and read from it."""
    x0, y0 = at
    points = " ".join(f"{x0 + x!r},{y0 - y!r}" for x, y in np.asarray(ring).tolist())
    path = folder / "far.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100000mm" height="100000mm" '
        'viewBox="0 0 100000 100000">' + f'<polygon id="p" points="{points}"/></svg>',
        "utf-8",
    )
    (found,) = read_pattern(path).pieces
    return found.outline


@settings(max_examples=60, deadline=None)
@given(
    ring=star_outlines(), seed=st.integers(0, 2**32 - 1),
    kinds=st.sets(st.sampled_from(["twice", "middle", "step", "spike", "bend"]), min_size=1),
)  # fmt: skip
def test_what_hardly_is_there_changes_nothing(ring, seed, kinds):
    """Doubled points, points in an edge, steps of 0.001 mm, spikes of 1e-7 and hardly bent edges.

    The outline is read, and moves nowhere by more than what was added to it.
    """
    chance = np.random.default_rng(seed)
    odd = []
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        along = (end - start) / np.hypot(*(end - start))
        across = np.array([-along[1], along[0]])
        odd.append(start)
        for kind in sorted(kinds):
            if chance.random() < 0.5:
                continue
            middle = start + (end - start) * chance.uniform(0.2, 0.8)
            odd += {
                "twice": [start, start + 1e-9],
                "middle": [(start + end) / 2] * 2,
                "step": [start + 0.001 * along],
                "spike": [middle, middle + 1e-7 * across, middle],
                "bend": [(start + end) / 2 + 8.7e-7 * np.hypot(*(end - start)) / 2 * across],
            }[kind]
            break
    clean = clean_outline(as_points(odd), file="a.svg", item="a").ring
    assert shapely.hausdorff_distance(shapely.LinearRing(clean), shapely.LinearRing(ring)) < 0.002
    assert len(clean) <= 2 * len(ring) + 1


@pytest.mark.parametrize("width", [1e-7, 1e-4, 0.02, 0.3])
@pytest.mark.parametrize("way", ["in", "out"])
def test_hairline_slits_and_hairs_are_told_or_laid(width, way):
    """A slit or a hair, 50 mm long: cut off and told, refused, or laid as it is."""
    tip = 250.0 if way == "in" else 350.0
    top = [(100 + width, 300), (100, tip), (100 - width, 300)]
    ring = [(0, 0), (200, 0), (200, 300), *top, (0, 300)]
    try:
        clean = clean_outline(as_points(ring), file="a.svg", item="a")
    except InputError as error:
        assert "itself" in str(error)  # noqa: PT017 - both ends are right
        return
    if len(clean.ring) == 4:
        assert clean.repairs
        return
    (lay,) = lay_plan(
        plan_of(piece(clean.ring, as_drawn=2), width=600.0), stop=BRIEF, workers=1
    ).lays
    assert lay.length <= 2 * (350.0 if way == "out" else 300.0)


@settings(max_examples=8, deadline=None)
@given(ring=star_outlines(), seed=st.integers(0, 1000))
def test_nearly_straight_pieces_are_laid(ring, seed):
    """Edges of 0.001 mm and corners of 179.9999 degrees all round: laid, and the check agrees."""
    chance = np.random.default_rng(seed)
    odd = []
    for start, end in zip(ring, np.roll(ring, -1, axis=0), strict=True):
        length = np.hypot(*(end - start))
        across = np.array([start[1] - end[1], end[0] - start[0]]) / length
        bent = start + (end - start) * 0.5 + across * length / 4 * math.radians(0.0001)
        odd += [start, start + (end - start) / length * 0.001, bent]
        if chance.random() < 0.5:
            odd.append(bent + (end - start) / length * 0.001)
    plan = plan_of(piece(clean_outline(as_points(odd), file="a", item="a").ring, as_drawn=2))
    (lay,) = lay_plan(plan, stop=BRIEF, workers=1).lays
    assert lay.status != "does not fit"


@settings(max_examples=25, deadline=None)
@given(ring=star_outlines(), x=st.floats(-8e4, 8e4), y=st.floats(-8e4, 8e4))
def test_a_piece_drawn_far_from_the_origin_is_the_same_piece(tmp_path_factory, ring, x, y):
    """Up to 80 m off on both axes: the same outline to the millionth of a millimetre."""
    folder = tmp_path_factory.mktemp("far")
    far = drawn(ring, folder, (x, y))
    near = drawn(ring, folder)
    moved = far - far.min(axis=0) - (near - near.min(axis=0))
    assert len(far) == len(near)
    assert np.abs(moved).max() < 2e-6


@pytest.mark.parametrize("width", [30, 95])
def test_a_lay_of_a_hundred_metres(tmp_path, width):
    """Five ribbon strips of 20 m one behind the other, or three abreast: the closed form."""
    lay = laid(tmp_path, f'width = "{width} mm"', (30, 20_000, 5))
    rows = math.ceil(5 / (width // 30))
    assert lay.length == pytest.approx(20_000.0 * rows, abs=0.01)
    assert lay.status == "proven best"


def test_small_with_large(tmp_path):
    """A strip of 20 m and patches of 6 mm on one cloth: the patches cost no length."""
    lay = laid(tmp_path, "width = 10", (90, 20_000, 1), (6, 6, 20), (10, 5, 10))
    assert lay.length == pytest.approx(20_000.0, abs=0.01)
    assert len(lay.placements) == 31


def test_more_cloth_than_any_bolt_is_laid(tmp_path):
    """Forty strips of 20 m in a row: 800 m, laid like any other."""
    lay = laid(tmp_path, 'width = "40 mm"', (30, 20_000, 40))
    assert lay.length == pytest.approx(800_000.0, abs=0.01)


def test_a_piece_over_twenty_metres_is_refused(tmp_path):
    """The limit is told with the size found."""
    with pytest.raises(InputError, match="over the 20 m allowed"):
        drawn(rectangle(30, 20_001), tmp_path)
