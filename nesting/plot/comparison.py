"""Length and cost against the width of the cloth, for every candidate of a comparison."""

from __future__ import annotations

import io
import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from ..errors import InputError
from ..model.comparison import ComparedRow, Comparison
from ..units import MM_PER
from .fonts import drawing_with, in_reading_order
from .style import FAINT, INK, SMALL, TITLE_SIZE

FORMATS: Final = ("png", "svg", "pdf")

_WIDTH, _ROW, _HEAD = 10.5, 3.3, 0.9  # inches: of the picture, of each layer, of the title
_MARKS: Final = ("o", "s", "^", "D", "v", "P", "X", "*")
_LINES: Final = ("-", "--", "-.", (0, (1, 1)), (0, (6, 2, 1, 2, 1, 2)))
_MOST_STEPS = 40  # purchase steps drawn as lines; more would only grey the paper
_NOTE = 120  # letters in a line of what is said below
_LEAST_SPAN = 0.25
_FOR_WORDS = 0.12  # of the axis, kept below the cheapest for saying so
_NEAR_SIDE = 0.2  # of the axis; words of a point so near its end stand on the inner side
_DPI = 150


@dataclass(frozen=True, slots=True)
class _Point:
    """One width of one cloth: what the lay takes, what is bought and what that costs."""

    width: float
    lay: float
    buy: float
    cost: float | None
    candidate: bool


def comparison_figure(comparison: Comparison) -> Figure:
    """Return the picture of a comparison: a row for each layer, length on the left, cost right.

    Layers of which only one candidate fits are left out, and named below. Each cloth has its own
    mark and kind of line. What is bought is drawn as steps, the lay as small dashes below it;
    faint lines across are the steps in which the shop sells.

    Raises
    ------
    InputError
        If no layer has more than one candidate that fits, so that there is nothing to draw.
    """
    layers = comparison.layers_to_plot()
    if not layers:
        raise InputError(
            "no layer has two candidates that fit, so there is nothing to draw",
            remedy="give further widths or cloths",
            item=comparison.title,
        )
    with drawing_with(words_of(comparison)):
        height = _HEAD + _ROW * len(layers)
        figure = Figure(figsize=(_WIDTH, height), layout="constrained")
        FigureCanvasAgg(figure)
        figure.suptitle(f"{comparison.title}: length and cost by width", fontsize=TITLE_SIZE)
        panels = figure.subplots(len(layers), 2, squeeze=False)
        for (left, right), layer in zip(panels, layers, strict=True):
            _draw_layer(left, right, comparison, layer)
        single = [layer for layer in comparison.layers if layer not in layers]
        if single:
            said = f"Not drawn, having one candidate or none: {', '.join(single)}"
            figure.supxlabel(textwrap.fill(said, _NOTE), fontsize=SMALL + 1, color=FAINT)
    return figure


def draw_comparison(comparison: Comparison, ending: str) -> bytes:
    """Return the picture as a file of one of ``FORMATS``, always the same for a comparison.

    Raises
    ------
    InputError
        If there is nothing to draw.
    """
    figure = comparison_figure(comparison)
    stream = io.BytesIO()
    undated: dict[str, Any] = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(
        ending, {}
    )
    with drawing_with(words_of(comparison)):
        in_reading_order(figure).savefig(stream, format=ending, dpi=_DPI, metadata=undated)
    return stream.getvalue()


def words_of(comparison: Comparison) -> list[str]:
    """Return the maker's own words in the picture."""
    return [comparison.title, *comparison.layers, *(row.cloth for row in comparison.rows)]


def _fitting(comparison: Comparison, layer: str) -> list[ComparedRow]:
    return [row for row in comparison.rows_of(layer) if row.fits]


def _draw_layer(left: Axes, right: Axes, comparison: Comparison, layer: str) -> None:
    rows = _fitting(comparison, layer)
    wide, long = _units(comparison.units)
    names = list(dict.fromkeys(row.cloth for row in sorted(rows, key=lambda row: row.number)))
    for index, name in enumerate(names):
        points = _points([row for row in rows if row.cloth == name])
        look = {"marker": _MARKS[index % len(_MARKS)], "linestyle": _LINES[index % len(_LINES)]}
        _steps(left, points, [point.buy / MM_PER[long] for point in points], wide, name, look)
        left.plot(
            [point.width / MM_PER[wide] for point in points],
            [point.lay / MM_PER[long] for point in points],
            marker="_", markersize=7, linestyle="none", color=FAINT,
            label="the lay alone" if index == len(names) - 1 else None,
        )  # fmt: skip
        priced = [point for point in points if point.cost is not None]
        if priced:
            _steps(right, priced, [point.cost or 0.0 for point in priced], wide, name, look)
    _finish(left, f"{layer}: length to buy", wide, f"length [{long}]")
    currency = next((row.currency for row in rows if row.currency), "")
    _finish(right, f"{layer}: cost", wide, f"cost [{currency}]" if currency else "cost")
    for axes in (left, right):
        _widen(axes)
    _shop_steps(left, rows, long)
    _mark_cheapest(right, rows, wide)
    left.legend(fontsize=SMALL, frameon=False, loc="best")


def _units(units: str) -> tuple[str, str]:
    return ("in", "yd") if units in {"in", "yd"} else ("cm", "m")


def _points(rows: Sequence[ComparedRow]) -> list[_Point]:
    """Return the points of one cloth, narrowest first, those 2 cm narrower among them."""
    points = {
        round(row.width, 2): _Point(
            row.width, row.length, row.buy_length, _number(row.cost), candidate=True
        )
        for row in rows
    }
    for row in rows:
        less, width = row.narrower, row.width - 20.0
        if less is not None and less.length is not None and less.buy_length is not None:
            point = _Point(width, less.length, less.buy_length, _number(less.cost), False)
            points.setdefault(round(width, 2), point)
    return sorted(points.values(), key=lambda point: point.width)


def _number(cost: object) -> float | None:
    return None if cost is None else float(str(cost))


def _steps(
    axes: Axes,
    points: Sequence[_Point],
    values: Sequence[float],
    wide: str,
    name: str,
    look: dict[str, Any],
) -> None:
    """Draw one cloth: a length holds from its width up to the next, so it is a step."""
    widths = [point.width / MM_PER[wide] for point in points]
    axes.plot(
        widths, values, color=INK, linewidth=1.1, markersize=5.5, markerfacecolor="white",
        drawstyle="steps-post",
        markevery=[k for k, point in enumerate(points) if point.candidate], label=name, **look,
    )  # fmt: skip


def _finish(axes: Axes, title: str, wide: str, label: str) -> None:
    axes.set_title(title, fontsize=TITLE_SIZE - 2, loc="left")
    axes.set_xlabel(f"width, edge to edge [{wide}]", fontsize=SMALL + 1)
    axes.set_ylabel(label, fontsize=SMALL + 1)
    axes.tick_params(labelsize=SMALL + 0.5)
    axes.margins(x=0.08, y=0.15)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _widen(axes: Axes) -> None:
    """Let the axis span a quarter of its greatest value at least: small steps must look small."""
    low, high = axes.get_ylim()
    span = max(high - low, _LEAST_SPAN * high)
    middle = (low + high) / 2
    axes.set_ylim(max(0.0, middle - span / 2), middle + span / 2)


def _shop_steps(axes: Axes, rows: Sequence[ComparedRow], long: str) -> None:
    """Draw the steps in which the shop sells, where all cloths share one and they are few."""
    steps = {round(row.step, 3) for row in rows if not row.owned}
    if len(steps) != 1 or 0.0 in steps:
        return
    (step,) = steps
    low, high = axes.get_ylim()
    if math.ceil((high - low) * MM_PER[long] / step) <= _MOST_STEPS:
        axes.yaxis.remove_overlapping_locs = False  # a step under a tick is drawn too
        axes.yaxis.set_minor_locator(MultipleLocator(step / MM_PER[long]))
        axes.grid(which="minor", axis="y", color=FAINT, linewidth=0.25, alpha=0.6)


def _mark_cheapest(axes: Axes, rows: Sequence[ComparedRow], wide: str) -> None:
    """Say in words which is the cheapest."""
    priced = [row for row in rows if row.cost is not None]
    if not priced:
        axes.text(
            0.5, 0.5, "no price is given", transform=axes.transAxes, ha="center", color=FAINT
        )
        return
    best = min(priced, key=lambda row: (row.cost or 0, row.number))
    cost, width = float(best.cost or 0), best.width / MM_PER[wide]
    low, high = axes.get_ylim()
    # Nothing is drawn below the cheapest, so that the words have room there, but for a gift.
    below = cost > 0
    if below:
        axes.set_ylim(min(low, cost - _FOR_WORDS * (high - low)), high)
    left, right = axes.get_xlim()
    place = (width - left) / (right - left)
    side = "left" if place < _NEAR_SIDE else "right" if place > 1 - _NEAR_SIDE else "center"
    axes.annotate(
        f"cheapest: {best.cost:.2f}", (width, cost), xytext=(0, -7 if below else 7),
        textcoords="offset points", ha=side, va="top" if below else "bottom", fontsize=SMALL + 1,
    )  # fmt: skip
