"""Pages: titles, rows of cloth, keys, one below the other, and the files made of them."""

from __future__ import annotations

import io
import math
import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure

from ..model.layout import Lay, Layout
from ..model.seams import seam_sides
from ..units import length_text, yards_text
from .cloth import shown_length
from .drawing import draw_marker
from .fit import extent
from .fonts import drawing_with, in_reading_order, words_on
from .join_marks import Join
from .style import FAINT, KEY_SIZE, SMALL, TITLE_SIZE
from .svg_exact import NOT_XML

PAGE: tuple[float, float] = (297 / 25.4, 210 / 25.4)
"""A4 lying, inches (ISO 216)."""

_LEFT, _RIGHT, _TOP, _BOTTOM = 0.72, 0.76, 0.35, 0.35
_TITLE, _ABOVE, _BELOW, _LEGEND = 0.48, 0.38, 0.50, 0.36  # inches of a page's parts
_TALLEST = 5.8  # inches of cloth width on a page
_LOWEST = 1.0  # inches of cloth width that narrow cloth keeps
_SMALLEST = 0.0045  # inches to the millimetre: the scale that long narrow lays keep, about 1:9
_BETWEEN = 0.16  # inches after the key of a lay
_NARROWEST = 9.4  # inches that titles and legend take
_DPI = 180
_JOIN_SIGN = "heavy dashed: join, along which parts of a piece are sewn together"
_APART = "    "  # between two signs of the legend


@dataclass(slots=True)
class _Row:
    """One row of a lay: its axes, and its place in inches from the page's left top."""

    axes: Axes
    top: float
    width: float
    height: float


def render(layout: Layout, lays: Sequence[Lay], ending: str) -> bytes:
    """Return the file that shows these lays, ``png``, ``svg`` or ``pdf``."""
    buffer = io.BytesIO()
    with drawing_with(words_on(lays, layout.title)):
        if ending == "pdf":
            with PdfPages(buffer, metadata={"CreationDate": None, "Title": layout.title}) as pdf:
                for lay in lays:
                    for windows in _pages(lay):
                        pdf.savefig(in_reading_order(_figure(layout, [(lay, windows)], PAGE)))
        else:
            figure = _figure(
                layout, [(lay, _windows(lay)) for lay in lays], (_picture_width(lays), 0.0)
            )
            metadata = {"Date": None} if ending == "svg" else {}
            in_reading_order(figure).savefig(buffer, format=ending, dpi=_DPI, metadata=metadata)
    content = buffer.getvalue()
    if ending == "svg":  # matplotlib writes the words beside their letters as they are
        content = NOT_XML.sub("\N{REPLACEMENT CHARACTER}", content.decode("utf-8")).encode("utf-8")
    return content


def scale_of(lay: Lay) -> float:
    """Return the inches of paper to a millimetre of cloth.

    As large as the width of the cloth allows, but no larger than shows a short lay in one row;
    narrow cloth keeps a scale at which pieces can be read, in several rows.
    """
    by_width = _TALLEST / lay.cloth_width
    by_length = _room() / shown_length(lay)
    readable = max(_SMALLEST, _LOWEST / lay.cloth_width)
    return min(by_width, max(by_length, readable))


def _room() -> float:
    return PAGE[0] - _LEFT - _RIGHT


def _windows(lay: Lay) -> list[tuple[float, float]]:
    """Return the stretches of cloth, equally long, one to a row."""
    scale = scale_of(lay)
    rows = max(1, math.ceil(shown_length(lay) * scale / _room() - 1e-9))
    step = shown_length(lay) / rows
    return [(n * step, (n + 1) * step) for n in range(rows)]


def _picture_width(lays: Sequence[Lay]) -> float:
    """Return the inches a picture needs for its longest row, and for the words."""
    longest = max((end - start) * scale_of(lay) for lay in lays for start, end in _windows(lay))
    return max(_LEFT + longest + _RIGHT, _NARROWEST)


def _pages(lay: Lay) -> Iterator[list[tuple[float, float]]]:
    """Yield the rows of each page of a PDF: as many as fit."""
    row = lay.cloth_width * scale_of(lay) + _ABOVE + _BELOW
    free = PAGE[1] - _TOP - _BOTTOM - _TITLE - _LEGEND
    fit = max(1, int(free / row))
    windows = _windows(lay)
    for first in range(0, len(windows), fit):
        yield windows[first : first + fit]


def _figure(
    layout: Layout,
    parts: Sequence[tuple[Lay, list[tuple[float, float]]]],
    least: tuple[float, float],
) -> Figure:
    """Return a page with titles, rows and keys; as high as it needs, at least ``least``."""
    width = least[0]
    # Labels are fitted at the final scale, so the height may be set once everything is known.
    figure = Figure(figsize=(width, 10.0))
    texts: list[tuple[float, str, float, str]] = []
    rows: list[_Row] = []
    top = _TOP
    for lay, windows in parts:
        texts += [
            (top, _title(lay), TITLE_SIZE, "black"),
            (top + 0.22, _subtitle(layout, lay, windows), SMALL + 0.5, FAINT),
        ]
        top += _TITLE
        key: dict[int, str] = {}
        joins = _joins_of(layout, lay)
        for window in windows:
            top += _ABOVE
            row = _add_row(figure, lay, window, top, width)
            rows.append(row)
            key |= draw_marker(lay, row.axes, units=layout.units, window=window, joins=joins)
            top += row.height + _BELOW
        for line in _key_lines(key):
            texts.append((top, line, KEY_SIZE, "black"))
            top += 0.145
        top += _BETWEEN
    signs = legend_of([lay for lay, _ in parts])
    if any(_joins_of(layout, lay) for lay, _ in parts):
        signs += f"{_APART}{_JOIN_SIGN}"
    legend = _wrapped(signs, width - _LEFT - _RIGHT / 2)
    texts.append((top, legend, SMALL, FAINT))
    height = max(least[1], top + _LEGEND + _BOTTOM / 2)
    figure.set_size_inches(width, height)
    for row in rows:
        row.axes.set_position(
            (
                _LEFT / width,
                1 - (row.top + row.height) / height,
                row.width / width,
                row.height / height,
            )
        )
    for y, words, size, colour in texts:
        figure.text(
            _LEFT / width, 1 - y / height, words, fontsize=size, color=colour, va="top",
            ha="left", parse_math=False,
        )  # fmt: skip
    return figure


def _joins_of(layout: Layout, lay: Lay) -> dict[int, tuple[Join, ...]]:
    """Return the names of the joins of a lay by the index of the placement, without words."""
    found: dict[int, tuple[Join, ...]] = {}
    for side in seam_sides(layout):
        if layout.lays[side.lay] is lay:
            found[side.placement] = (*found.get(side.placement, ()), (side.join, ""))
    return found


def _add_row(
    figure: Figure, lay: Lay, window: tuple[float, float], top: float, width: float
) -> _Row:
    scale = scale_of(lay)
    wide, high = (window[1] - window[0]) * scale, lay.cloth_width * scale
    page = float(figure.get_size_inches()[1])
    axes = figure.add_axes((_LEFT / width, 0.0, wide / width, high / page))
    return _Row(axes, top, wide, high)


def _title(lay: Lay) -> str:
    told = (
        lay.buy.text if "yd" in lay.buy.text else f"{lay.buy.text} ({yards_text(lay.buy.length)})"
    )
    if lay.panel is not None:
        return f"{lay.cloth}, {lay.panel_name or f'panel {lay.panel}'}: {told} of it used"
    # Only cloth that is owned already costs nothing.
    return f"{lay.cloth}: {told} to {'take' if lay.buy.cost == 0 else 'buy'}"


def _subtitle(layout: Layout, lay: Lay, windows: list[tuple[float, float]]) -> str:
    whole = _windows(lay)
    parts = [
        layout.title,
        f"lay {length_text(lay.length, layout.units)}",
        f"{100 * lay.utilisation:.1f} % of the cloth used",
        f"{sum(placement.cuts for placement in lay.placements)} pieces",
        f"usable width {length_text(lay.usable_width, layout.units)}",
    ]
    if len(windows) < len(whole):
        first = whole.index(windows[0]) + 1
        last = first + len(windows) - 1
        which = f"row {first}" if first == last else f"rows {first} to {last}"
        parts.append(f"{which} of {len(whole)}")
    return "  ·  ".join(part for part in parts if part)


def _key_lines(key: dict[int, str]) -> list[str]:
    if not key:
        return []
    entries = [
        f"{n}\N{NO-BREAK SPACE}=\N{NO-BREAK SPACE}{text}" for n, text in sorted(key.items())
    ]
    return textwrap.wrap("Key:  " + ";   ".join(entries), 180, break_long_words=False)


def legend_of(lays: Sequence[Lay]) -> str:
    """Return what the signs mean that occur in these lays."""
    placements = [placement for lay in lays for placement in lay.placements]
    signs = {
        "solid: cut line": True,
        "dashed: sew line": any(p.sew_lines for p in placements),
        "dotted: internal line": any(p.internal_lines for p in placements),
        "dash-dot: stripe or plaid line": any(p.stripe_lines or p.plaid_lines for p in placements),
        "cross-hatched: flaw, to be kept clear": any(lay.flaws for lay in lays),
        "short mark: notch": any(p.notches for p in placements),
        "\N{CIRCLED PLUS} drill hole": any(p.drill_holes for p in placements),
        "\N{MULTIPLICATION SIGN} named point": any(p.points for p in placements),
        "\N{CIRCLED TIMES} point placed on the design": any(p.held for p in placements),
        "pale lines: where the design repeats": any(lay.repeat for lay in lays),
        "arrow: grain, its head to the top": True,
        "thick dash-dot: fold": any(lay.folding and lay.folding.edges for lay in lays),
        "grey: lies double": any(lay.folding for lay in lays),
        "R as drawn, L mirrored": any(p.hand for p in placements),
        "face down: lay the pattern face down": any(p.mirrored for p in placements),
    }
    return _APART.join(sign for sign, occurs in signs.items() if occurs)


def _wrapped(legend: str, inches: float) -> str:
    """Return a legend on as many lines as it needs to be no wider than that."""
    first, *rest = legend.split(_APART)
    lines = [first]
    for sign in rest:
        longer = f"{lines[-1]}{_APART}{sign}"
        if extent([longer], SMALL)[0] > 72.0 * inches:
            lines.append(sign)
        else:
            lines[-1] = longer
    return "\n".join(lines)
