"""One lay drawn on one set of axes: cloth, pieces, labels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import shapely
from matplotlib.axes import Axes
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from ..model.layout import Lay
from .cloth import Window, draw_cloth, shown_length
from .design import draw_design
from .fit import Label, lead_out, lead_start
from .flaws import draw_flaws
from .folds import draw_folds
from .grain_marks import grain_distances, grain_labels, told_distances
from .join_marks import Join, draw_joins, join_labels
from .leftover import draw_leftover
from .order_marks import OrderMark, draw_order_mark, order_mark
from .panels import draw_panel
from .pieces import (
    draw_label,
    draw_marks,
    draw_outline,
    key_text,
    label_of,
    number_inside,
    seen_part,
    taken_by_marks,
)
from .style import NUMBER_SIZE, PAPER, tint_of


def draw_marker(
    lay: Lay,
    axes: Axes,
    *,
    units: str = "cm",
    window: tuple[float, float] | None = None,
    steps: Mapping[int, int] | None = None,
    joins: Mapping[int, Sequence[Join]] = MappingProxyType({}),
    wrong_side: bool = False,
) -> Mapping[int, str]:
    """Draw a lay on a matplotlib Axes, x along the cloth, in millimetres.

    Parameters
    ----------
    lay
        What to draw.
    axes
        Its place on the figure decides the scale; labels are fitted to it, so it must not be
        resized afterwards. Limits and aspect are set here.
    units
        The maker's unit, for rulers and lengths.
    window
        Start and end of the stretch along the cloth to draw, millimetres; by default all of it.
    steps
        Of a cutting plan: which step cuts each placement, by its index. Every piece then bears
        its number and, in a circle, its step, and both ends of its grain line their distance
        from the near selvage.
    joins
        Of a cutting plan: the joins of pieced pieces, by the index of the placement.
    wrong_side
        The lay was turned over (``turned_over``), so the near selvage is drawn above.

    Returns
    -------
    Mapping
        The key: pieces too small for their names bear a number, and this tells which they are.
        Numbers count the placements of the lay from 1, so they agree from window to window.
    """
    row = Window(*(window or (0.0, shown_length(lay))))
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    axes.set_xlim(row.start, row.end)
    axes.set_ylim(low, high)
    axes.set_aspect("equal")
    mm_per_point = _scale(axes)
    draw_cloth(lay, axes, row, units, mm_per_point, wrong_side=wrong_side)
    draw_panel(lay, axes, row)
    draw_folds(lay, axes, row, units, mm_per_point, wrong_side=wrong_side)
    leftover = draw_leftover(lay, axes, row, units, mm_per_point)
    tints = tint_of([placement.piece for placement in lay.placements])
    shown = [
        (n, p)
        for n, p in enumerate(lay.placements, start=1)
        if p.outline[:, 0].max() > row.start and p.outline[:, 0].min() < row.end
    ]
    for _, placement in shown:
        draw_outline(placement, axes, tints[placement.piece])
    draw_design(lay, axes, row, mm_per_point)
    for n, placement in shown:
        draw_marks(placement, axes, mm_per_point)
        draw_joins(placement, joins.get(n - 1, ()), axes)
    taken = [] if leftover is None else [leftover.box]
    taken += [label.box for label in draw_flaws(lay, axes, row, mm_per_point)]
    marks = None
    if steps is not None:
        marks = _measure(lay, row, mm_per_point, units=units, wrong_side=wrong_side)
        for n, own in joins.items():
            marks[n + 1] += join_labels(lay.placements[n], own, row, mm_per_point)
    numbers = [n for n, _ in shown]
    return _label_all(
        lay, axes, row, mm_per_point, shown=numbers, tints=tints, taken=taken, marks=marks,
        steps=steps or {},
    )  # fmt: skip


def _measure(
    lay: Lay, row: Window, mm_per_point: float, *, units: str, wrong_side: bool
) -> dict[int, list[Label]]:
    """Return where to write how far the grain lines lie from the near selvage, by number."""
    marks: dict[int, list[Label]] = {}
    for n, placement in enumerate(lay.placements, start=1):
        distances = grain_distances(placement, lay.usable_width, wrong_side=wrong_side)
        told = told_distances(distances, units)
        marks[n] = list(grain_labels(placement, told, row, mm_per_point))
    return marks


def _label_all(
    lay: Lay,
    axes: Axes,
    row: Window,
    mm_per_point: float,
    *,
    shown: Sequence[int],
    tints: Mapping[str, str],
    taken: Sequence[BaseGeometry],
    marks: Mapping[int, list[Label]] | None,
    steps: Mapping[int, int],
) -> dict[int, str]:
    """Write every label, then lead the numbers out of the pieces too small for any.

    With ``marks``, figures to stand beside each grain line, every piece is numbered; where there
    is no room for both, the number counts more. ``steps`` are told in circles, or in brackets
    where a piece has no room for its circle.
    """
    key: dict[int, str] = {}
    small: dict[int, str] = {}
    boxes: list[BaseGeometry] = list(taken)
    for n in shown:
        placement, figures = lay.placements[n - 1], [] if marks is None else marks[n]
        number = None if marks is None else n
        written = shapely.union_all([figure.box for figure in figures])
        label = label_of(placement, row, mm_per_point, number=number, written=written)
        barely, named = _barely_shown(placement.outline, row), label is not None
        if label is None:
            if barely and marks is None:
                continue
            if not barely:
                key[n] = key_text(placement)
            label = number_inside(n, placement, row, mm_per_point, written=written)
            if label is None:
                figures = []
                label = number_inside(n, placement, row, mm_per_point)
            if label is None and not barely:
                small[n] = str(n) if number is None else f"{n} ({steps[n - 1]})"
        if number is not None and label is not None:
            mark = _order(lay, n, row, mm_per_point, step=steps[n - 1], written=[*figures, label])
            if mark is not None:
                boxes.append(mark.box)
                draw_order_mark(mark, axes, mm_per_point)
            elif not barely:
                small[n] = f"({steps[n - 1]})" if named else f"{n} ({steps[n - 1]})"
                label = label if named else None
        for found in (*figures, *([] if label is None else [label])):
            boxes.append(found.box)
            draw_label(found, axes, mm_per_point, tints[placement.piece], None)
    if small:
        _lead_out_all(lay, axes, row, mm_per_point, shown=shown, small=small, boxes=boxes)
    return key


def _order(
    lay: Lay, n: int, row: Window, mm_per_point: float, *, step: int, written: Sequence[Label]
) -> OrderMark | None:
    """Return where a piece bears the step that cuts it, beside its last label, or None."""
    placement, scale = lay.placements[n - 1], 1 / mm_per_point
    seen = seen_part(placement, row, scale)
    free = seen.difference(shapely.union_all([label.box for label in written]))
    for busy in taken_by_marks(placement, scale):
        mark = order_mark(step, free.difference(busy), (written[-1].x, written[-1].y))
        if mark is not None:
            return mark
    return None


def _lead_out_all(
    lay: Lay,
    axes: Axes,
    row: Window,
    mm_per_point: float,
    *,
    shown: Sequence[int],
    small: Mapping[int, str],
    boxes: list[BaseGeometry],
) -> None:
    """Write words beside each piece too small for them, with a lead to it."""
    parts = {n: seen_part(lay.placements[n - 1], row, 1 / mm_per_point) for n in shown}
    # A number keeps off the other small pieces and their leads as it keeps off labels.
    labels = shapely.union_all([*boxes, *(parts[n].buffer(1.0) for n in small)])
    room = affinity.scale(
        shapely.box(row.start, 0.0, row.end, lay.usable_width),
        1 / mm_per_point,
        1 / mm_per_point,
        origin=(0.0, 0.0),
    )
    for n, words in small.items():
        own = parts[n]
        label = lead_out(
            own,
            words,
            NUMBER_SIZE,
            room=room,
            others=shapely.union_all([part for m, part in parts.items() if m != n]),
            labels=labels.difference(own.buffer(1.5)),
        )
        start = lead_start(own)
        lead = shapely.LineString([start, (label.x, label.y)]).buffer(0.5)
        labels = shapely.union_all([labels, label.box, lead])
        draw_label(label, axes, mm_per_point, PAPER, start)


def _barely_shown(outline: npt.NDArray[np.float64], row: Window) -> bool:
    """Tell whether a row shows less than half the length of a piece that goes on elsewhere."""
    x0, x1 = float(outline[:, 0].min()), float(outline[:, 0].max())
    seen = min(x1, row.end) - max(x0, row.start)
    return seen < 0.5 * (x1 - x0)


def _scale(axes: Axes) -> float:
    """Return how many millimetres of cloth one point (1/72 in) of the figure shows."""
    figure = axes.get_figure(root=True)
    if figure is None:
        raise ValueError("the axes must belong to a figure")
    width, height = figure.get_size_inches()
    place = axes.get_position(original=True)
    (x0, x1), (y0, y1) = axes.get_xlim(), axes.get_ylim()
    across, up = (x1 - x0) / (72 * width * place.width), (y1 - y0) / (72 * height * place.height)
    return float(max(across, up))
