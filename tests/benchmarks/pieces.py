"""Garment pieces drafted at random, to measure how the engine scales; no real pattern.

Every edge is a little curved, as edges are that follow a body, so that every vertex counts.
"""

import numpy as np

from nesting.model.problem import Item, PlacementProblem, Shape

CLOTH_WIDTH = 1400.0
"""Usable width in mm of a common cloth of 150 cm (common practice)."""


def drafted_lay(pieces, drafted, vertices, seed):
    """Return a problem of ``pieces`` copies of ``drafted`` outlines of ``vertices`` corners.

    Lengths are in mm. Copies are as drawn and mirrored by turns and may be turned end for end.
    The same arguments give the same problem.
    """
    rng = np.random.default_rng([seed, drafted])
    shapes, items = [], []
    for number in range(drafted):
        # Corners and bows are drawn before the edges are divided, so that the same garment
        # comes in every number of vertices.
        corners, bows = _DRAFTS[number % len(_DRAFTS)](rng)
        ring = outline(np.array(corners, dtype=float), np.array(bows), vertices)
        mirrored = ring[::-1] * (1.0, -1.0)
        shapes += [Shape(r) for r in (ring, -ring, mirrored, -mirrored)]
    for copy in range(pieces):
        number, hand = copy % drafted, copy // drafted % 2
        first = 4 * number + 2 * hand
        items.append(Item(f"piece {number + 1}", (first, first + 1)))
    return PlacementProblem(tuple(shapes), tuple(items), CLOTH_WIDTH)


def outline(corners, bows, vertices):
    """Return a ring through all corners, bowed edges divided so that there are ``vertices``.

    ``bows[i]`` is how far the edge from corner i leaves its chord, as a share of the chord, to
    the outer side where positive; each edge is a parabola.
    """
    along = np.roll(corners, -1, axis=0) - corners
    length = np.hypot(*along.T)
    spare = vertices - len(corners)
    if spare < 0:
        raise ValueError(f"{vertices} vertices are too few for {len(corners)} corners")
    share = spare * length / length.sum()
    extra = np.floor(share).astype(int)
    for i in np.argsort(extra - share, kind="stable")[: spare - int(extra.sum())]:
        extra[i] += 1
    points = []
    for start, edge, bow, count in zip(corners, along, bows, extra, strict=True):
        outward = np.array([edge[1], -edge[0]])
        t = np.arange(count + 1)[:, None] / (count + 1)
        points.append(start + t * edge + 4.0 * bow * t * (1.0 - t) * outward)
    return np.concatenate(points)


# Each draft returns corners (x along the grain, counter-clockwise) and the bow of each edge.


def _gore(rng):
    length, hem = rng.uniform(550, 850), rng.uniform(260, 420)
    top = rng.uniform(0.3, 0.5) * hem
    shift = rng.uniform(0.2, 0.8) * (hem - top)
    corners = [(0, 0), (0.98 * length, shift), (length, shift + top), (0, hem)]
    return corners, (0.015, -0.03, -0.012, 0.05)


def _sleeve(rng):
    length, wide = rng.uniform(480, 600), rng.uniform(340, 420)
    cap, wrist = rng.uniform(110, 150), rng.uniform(200, 260)
    edge = 0.5 * (wide - wrist)
    body = length - cap
    corners = [
        (0, edge), (body, 0), (body + 0.45 * cap, 0.17 * wide), (length, 0.5 * wide),
        (body + 0.5 * cap, 0.82 * wide), (body, wide), (0, wide - edge),
    ]  # fmt: skip
    return corners, (-0.01, -0.08, 0.10, 0.12, -0.10, -0.012, 0.015)


def _bodice(rng):
    length, wide = rng.uniform(380, 480), rng.uniform(220, 300)
    neck, shoulder = rng.uniform(70, 100), rng.uniform(100, 130)
    depth = rng.uniform(180, 220)
    corners = [
        (0, 0), (length - 0.8 * neck, 0), (length, neck), (length - 35, neck + shoulder),
        (length - depth, wide), (0, wide - rng.uniform(10, 35)),
    ]  # fmt: skip
    return corners, (0.005, -0.16, -0.02, -0.14, -0.02, 0.02)


def _band(rng):
    length, wide = rng.uniform(300, 700), rng.uniform(50, 90)
    return [(0, 0), (length, 0), (length, wide), (0, wide)], (0.02, 0.03, -0.02, 0.03)


def _collar(rng):
    length, wide = rng.uniform(200, 260), rng.uniform(60, 90)
    corners = [(0, 0), (length, -0.1 * length), (length + 0.5 * wide, wide), (0.1 * wide, wide)]
    return corners, (-0.06, 0.04, 0.05, -0.03)


def _pocket(rng):
    length, wide = rng.uniform(130, 190), rng.uniform(110, 160)
    corners = [
        (0, 0.5 * wide),
        (0.25 * length, 0),
        (length, 0),
        (length, wide),
        (0.25 * length, wide),
    ]
    return corners, (0.04, 0.01, 0.02, 0.01, 0.04)


_DRAFTS = (_gore, _bodice, _sleeve, _band, _collar, _pocket, _gore, _bodice, _pocket, _band)
