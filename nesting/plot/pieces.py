"""One placed piece on the marker: cut line, marks, grain arrow and its words."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import FancyArrowPatch, PathPatch
from matplotlib.path import Path
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from ..model.layout import Placement
from .cloth import Window
from .fit import LEADING, Label, fit_inside
from .notches import notch_lines
from .style import (
    CUT_WIDTH,
    INK,
    INTERNAL,
    LABEL_SIZES,
    NUMBER_SIZE,
    PAPER,
    SEW,
)

_HEAD = 7.0  # points
_MARK = 4.0  # points round a named point that words keep clear


def element_id(placement: Placement) -> str:
    """Return the id of a piece in the drawing, no two of a lay alike."""
    hand = f" {placement.hand}" if placement.hand else ""
    return f"{placement.piece} copy {placement.copy}{hand}"


def draw_outline(placement: Placement, axes: Axes, tint: str) -> None:
    """Draw the cut line and the cutouts."""
    rings = [placement.outline, *placement.cutouts]
    path = Path.make_compound_path(*(Path(np.vstack([r, r[:1]]), closed=True) for r in rings))
    axes.add_patch(
        PathPatch(
            path,
            fc=tint,
            ec=INK,
            lw=CUT_WIDTH,
            zorder=2,
            joinstyle="miter",
            gid=element_id(placement),
        )
    )


def draw_marks(placement: Placement, axes: Axes, mm_per_point: float) -> None:
    """Draw sew lines, internal lines, notches, drill holes, named points and the grain arrow."""
    for paths, style, width in (
        (placement.sew_lines, SEW, 0.55),
        (placement.internal_lines, INTERNAL, 0.7),
        (placement.stripe_lines, "-.", 0.4),
        (placement.plaid_lines, "-.", 0.4),
    ):
        for path in paths:
            axes.plot(*path.T, color=INK, lw=width, ls=style, zorder=3)
    for notch in placement.notches:
        for line in notch_lines(notch, placement.outline, mm_per_point):
            axes.plot(*line.T, color=INK, lw=0.8, zorder=3.2, solid_capstyle="butt")
    for x, y in placement.drill_holes:
        axes.plot([x], [y], "o", color=INK, mfc="none", ms=3.6, mew=0.5, zorder=3.2)
        axes.plot([x], [y], "+", color=INK, ms=5.4, mew=0.4, zorder=3.2)
    for x, y in placement.points.values():
        axes.plot([x], [y], "x", color=INK, ms=3.6, mew=0.6, zorder=3.2)
    axes.add_patch(
        FancyArrowPatch(
            *placement.grain, arrowstyle="-|>", mutation_scale=_head(placement, mm_per_point),
            color=INK, lw=0.6, shrinkA=0, shrinkB=0, zorder=3.4,
            gid=f"grain of {element_id(placement)}",
        )
    )  # fmt: skip


def label_of(
    placement: Placement,
    window: Window,
    mm_per_point: float,
    *,
    number: int | None = None,
    written: BaseGeometry | None = None,
) -> Label | None:
    """Return the words of a piece where they fit inside what a row shows of it, or None.

    The label is in points, measured from the origin of the cloth. It begins with the piece's
    ``number`` where one is given, and keeps off what is already ``written``.
    """
    scale = 1.0 / mm_per_point
    seen = seen_part(placement, window, scale)
    wordings = list(_wordings(placement, number))
    if written is not None and not written.is_empty:
        seen = seen.difference(written)
    for busy, sizes in zip(
        taken_by_marks(placement, scale), (LABEL_SIZES[:3], LABEL_SIZES, LABEL_SIZES), strict=True
    ):
        label = fit_inside(seen.difference(busy), wordings, sizes)
        if label is not None:
            return label
    return None


def taken_by_marks(placement: Placement, scale: float) -> Iterator[BaseGeometry]:
    """Yield what words on a piece should keep off, in points; the best first, then ever less."""
    lines = _scaled(
        MultiLineString(
            [LineString(p) for p in (*placement.sew_lines, *placement.internal_lines)]
        ),
        scale,
    )
    arrow = _scaled(LineString(placement.grain), scale)
    head = shapely.Point(arrow.coords[-1]).buffer(_HEAD)
    points = _scaled(shapely.MultiPoint(list(placement.points.values())), scale).buffer(_MARK)
    yield shapely.union_all([arrow.buffer(2.5), lines.buffer(1.0), head, points])
    yield shapely.union_all([arrow.buffer(1.5), head, points])
    yield head


def number_inside(
    number: int,
    placement: Placement,
    window: Window,
    mm_per_point: float,
    written: BaseGeometry | None = None,
) -> Label | None:
    """Return where a piece without room for its words bears its number, or None.

    It keeps off what is already ``written``.
    """
    seen = seen_part(placement, window, 1.0 / mm_per_point)
    if written is not None and not written.is_empty:
        seen = seen.difference(written)
    return fit_inside(seen, [[str(number)]], [NUMBER_SIZE])


def draw_label(
    label: Label, axes: Axes, mm_per_point: float, tint: str, start: tuple[float, float] | None
) -> None:
    """Write a label, with a lead to ``start`` (points) where one is given."""
    x, y = label.x * mm_per_point, label.y * mm_per_point
    if start is not None:
        axes.plot(
            [x, start[0] * mm_per_point], [y, start[1] * mm_per_point],
            color=INK, lw=0.5, zorder=4, marker="o", markevery=[1], ms=1.8,
        )  # fmt: skip
    axes.text(
        x, y, "\n".join(label.lines), fontsize=label.size, rotation=label.angle,
        ha="center", va="center", rotation_mode="anchor", linespacing=LEADING, zorder=5,
        color=INK, clip_on=True, parse_math=False,
        bbox={"fc": PAPER if start else tint, "ec": "none", "pad": 0.4},
    )  # fmt: skip


def key_text(placement: Placement) -> str:
    """Return what the key says of a piece that only bears a number."""
    return f"{placement.piece}, {', '.join(_tags(placement))}"


def seen_part(placement: Placement, window: Window, scale: float) -> BaseGeometry:
    """Return what a row shows of a piece; ``scale`` in points to the millimetre."""
    region = Polygon(placement.outline, placement.cutouts)
    x0, y0, x1, y1 = region.bounds
    part = region.intersection(
        shapely.box(max(x0, window.start), y0, max(min(x1, window.end), window.start), y1)
    )
    return _scaled(part, scale)


def _scaled(shape: BaseGeometry, scale: float) -> BaseGeometry:
    return affinity.scale(shape, scale, scale, origin=(0.0, 0.0))


def _tags(placement: Placement) -> list[str]:
    hand = f" {placement.hand}" if placement.hand else ""
    tags = [f"copy {placement.copy}{hand}"]
    if placement.on_fold:
        tags.append("on the fold")
    elif placement.layers > 1:
        tags = ["cut double, R and L" if placement.hand else "cut double"]
    return [*tags, "face down"] if placement.mirrored else tags


def _wordings(placement: Placement, number: int | None = None) -> Iterator[list[str]]:
    """Yield the ways to write the label, fullest on the fewest lines first."""
    tags = _tags(placement)
    name = placement.piece.replace("\n", " ")
    if number is not None:
        name = f"{number}. {name}"
    yield [name, ", ".join(tags)]
    words = name.split()
    seen: set[tuple[str, ...]] = set()
    for room in range(len(name) - 1, max(map(len, words), default=1) - 1, -1):
        wrapped = textwrap.wrap(name, room, break_long_words=False) or [name]
        if tuple(wrapped) not in seen:
            seen.add(tuple(wrapped))
            yield [*wrapped, ", ".join(tags)]
            yield [*wrapped, *tags]
    yield [f"{name}, {', '.join(tags)}"]


def _head(placement: Placement, mm_per_point: float) -> float:
    length = math.dist(*placement.grain) / mm_per_point
    return max(2.5, min(_HEAD, 0.35 * length))
