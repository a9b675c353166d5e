"""A lay or a piece drawn at exact size on one page, however large."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from ..model.layout import Lay, Placement
from ..model.pattern import PatternPiece
from ..units import tape_unit
from .cloth import Window, shown_length
from .design import draw_design
from .fit import LEADING, Label, fit_inside
from .flaws import draw_flaws
from .folds import draw_folds
from .fonts import drawing_with, in_reading_order, words_on
from .pieces import draw_marks, draw_outline
from .sheet_grid import Box
from .style import CONTINUED, FAINT, INK, PAPER

MM_PER_POINT = 25.4 / 72.0
"""Millimetres of cloth that a point of the paper shows at exact size."""

_AROUND = 14.0  # mm kept free around a lay, for its ruler and words
_BESIDE = 4.0  # mm kept free around a single piece
_LETTERS = 8.0  # points
_GOOD = 10.0  # points; letters of which words on the cloth are easily read
_ARROW = 3.0  # mm kept free beside a grain arrow
LABEL_SIZES = (48.0, 36.0, 28.0, 20.0, 14.0, 10.0, 8.0)
"""Sizes tried for words on cloth at exact size, points."""


@dataclass(frozen=True, slots=True, eq=False)
class ExactDrawing:
    """What is drawn at exact size.

    Attributes
    ----------
    title
        What its sheets are called.
    box
        Least x and y, greatest x and y of the drawing, millimetres.
    placements
        The pieces, with their words in ``words``: a few ways to write each, fullest first.
    lay
        The lay whose cloth is drawn beneath; None for a single piece.
    units
        The maker's own unit.
    """

    title: str
    box: Box
    placements: tuple[Placement, ...]
    words: tuple[tuple[tuple[str, ...], ...], ...]
    lay: Lay | None
    units: str

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in millimetres."""
        return self.box[2] - self.box[0], self.box[3] - self.box[1]

    def texts(self) -> list[str]:
        """Return the maker's own words on the drawing."""
        lays = [] if self.lay is None else [self.lay]
        return words_on(lays, self.title, *(placement.piece for placement in self.placements))

    def regions(self) -> tuple[Polygon, ...]:
        """Return the pieces as polygons."""
        return tuple(Polygon(p.outline, p.cutouts) for p in self.placements)


def exact_lay(lay: Lay, title: str, units: str) -> ExactDrawing:
    """Return a lay at exact size, each piece with its number, name, copy and hand."""
    low, high = -lay.selvage - _AROUND, lay.usable_width + lay.selvage + _AROUND
    words = []
    for number, placement in enumerate(lay.placements, start=1):
        name = " ".join(placement.piece.split())
        hand = f" {placement.hand}" if placement.hand else ""
        tags = [f"copy {placement.copy}{hand}"]
        if placement.layers > 1:
            tags = ["cut through both layers"]
        if placement.on_fold:
            tags.append("on the fold")
        if placement.mirrored:
            tags.append("face down")
        words.append(_wordings(f"{number}  {name}", tags, str(number)))
    box = (-_AROUND, low, shown_length(lay) + _AROUND, high)
    return ExactDrawing(title, box, lay.placements, tuple(words), lay, units)


def exact_piece(piece: PatternPiece, title: str, units: str) -> ExactDrawing:
    """Return one pattern piece at exact size, with its name and how many to cut."""
    low, high = piece.outline.min(axis=0) - _BESIDE, piece.outline.max(axis=0) + _BESIDE
    as_drawn, mirrored = piece.quantity or (1, 0)
    tags = [f"cut {as_drawn}" if as_drawn else ""]
    if mirrored:
        tags = [f"cut {as_drawn} as drawn" if as_drawn else "", f"{mirrored} mirrored"]
    if piece.mirror is not None:
        tags.append("on the fold")
    name = " ".join(piece.name.split())
    words = _wordings(name, [tag for tag in tags if tag], name)
    grain = piece.grain or ((0.0, 0.0), (0.0, 1.0))
    placement = Placement(
        piece.name, 1, False, 90.0, piece.outline, grain, cutouts=piece.cutouts,
        sew_lines=piece.sew_lines, internal_lines=piece.internal_lines,
        stripe_lines=piece.stripe_lines, plaid_lines=piece.plaid_lines, notches=piece.notches,
        drill_holes=piece.drill_holes,
    )  # fmt: skip
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return ExactDrawing(title, box, (placement,), (words,), None, units)


def exact_pdf(drawing: ExactDrawing, *, labels: bool) -> bytes:
    """Return a PDF of one page just as large as the drawing; without words unless asked for."""
    width, height = drawing.size
    buffer = io.BytesIO()
    with drawing_with(drawing.texts()):
        figure = Figure(figsize=(width / 25.4, height / 25.4))
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_axis_off()
        axes.set_xlim(drawing.box[0], drawing.box[2])
        axes.set_ylim(drawing.box[1], drawing.box[3])
        if drawing.lay is not None:
            _draw_cloth(drawing.lay, axes, drawing.units)
        for placement in drawing.placements:
            draw_outline(placement, axes, PAPER)
        for placement in drawing.placements:
            draw_marks(placement, axes, MM_PER_POINT)
        if drawing.lay is not None:
            window = Window(0.0, shown_length(drawing.lay))
            draw_folds(drawing.lay, axes, window, drawing.units, MM_PER_POINT)
            draw_design(drawing.lay, axes, window, MM_PER_POINT)
            list(draw_flaws(drawing.lay, axes, window, MM_PER_POINT))
        if labels:
            for placement, region, wordings in zip(
                drawing.placements, drawing.regions(), drawing.words, strict=True
            ):
                write_label(axes, label_in(placement, region, wordings, LABEL_SIZES))
        in_reading_order(figure).savefig(buffer, format="pdf", metadata={"CreationDate": None})
    return buffer.getvalue()


def label_in(
    placement: Placement,
    region: BaseGeometry,
    wordings: Sequence[Sequence[str]],
    sizes: Sequence[float],
) -> Label | None:
    """Return where the words of a piece fit into a part of it (mm); the label is in points.

    Clear of its lines where there is room for letters of a good size, else clear of its grain
    arrow, else anywhere inside.
    """
    arrow = shapely.LineString(placement.grain).buffer(_ARROW)
    lines = [*placement.sew_lines, *placement.internal_lines]
    inner = shapely.MultiLineString([shapely.LineString(line) for line in lines]).buffer(1.5)
    large = [size for size in sizes if size >= _GOOD]
    for busy, tried in ((shapely.union(arrow, inner), large), (arrow, sizes), (None, sizes)):
        free = region if busy is None else region.difference(busy)
        scaled = affinity.scale(free, 1 / MM_PER_POINT, 1 / MM_PER_POINT, origin=(0.0, 0.0))
        label = fit_inside(scaled, wordings, tried)
        if label is not None:
            return label
    return None


def write_label(axes: Axes, label: Label | None, colour: str = INK) -> None:
    """Write a label on axes that measure in millimetres at exact size."""
    if label is None:
        return
    axes.text(
        label.x * MM_PER_POINT, label.y * MM_PER_POINT, "\n".join(label.lines),
        fontsize=label.size, rotation=label.angle, rotation_mode="anchor", ha="center",
        va="center", linespacing=LEADING, color=colour, parse_math=False, zorder=5,
    )  # fmt: skip


def _wordings(name: str, tags: Sequence[str], least: str) -> tuple[tuple[str, ...], ...]:
    tail = ", ".join(tags)
    full = (name, tail) if tail else (name,)
    return full, (name, *tags), (f"{name}, {tail}" if tail else name,), (least,)


def _draw_cloth(lay: Lay, axes: Axes, units: str) -> None:
    """Draw edges, selvages, both ends, and a ruler along the near edge."""
    low, high = -lay.selvage, lay.usable_width + lay.selvage
    length = shown_length(lay)
    for y, colour, width in ((low, INK, 1.2), (high, INK, 1.2)):
        axes.plot([0.0, length], [y, y], color=colour, lw=width)
    if lay.selvage > 0.0:
        for y in (0.0, lay.usable_width):
            axes.plot([0.0, length], [y, y], color=FAINT, lw=0.6, ls=CONTINUED)
    axes.add_patch(Rectangle((-1.0, low), 1.0, high - low, fc=INK, ec="none"))
    axes.plot([length, length], [low, high], color=INK, lw=1.2, ls=CONTINUED)
    if lay.panel_outline is not None:
        edge = np.vstack([lay.panel_outline, lay.panel_outline[:1]])
        axes.plot(*edge.T, color=INK, lw=1.2, gid="edge of the panel")
    named = "selvage" if lay.selvage > 0.0 else "edge"
    for x in np.arange(100.0, length, 400.0):
        for y, near, side in ((low, "near", "bottom"), (high, "far", "bottom")):
            at = y - 12.0 if near == "near" else y + 2.0
            axes.text(x, at, f"{near} {named}", fontsize=_LETTERS, va=side, color=FAINT)
    for y in np.arange(100.0, lay.usable_width, 400.0):
        for x, words in ((-4.0, "squared cut end"), (length + 4.0, "end of the lay")):
            axes.text(x, y, words, fontsize=_LETTERS, rotation=90, ha="center", color=FAINT)
    _ruler(axes, length, low, tape_unit(units))


def _ruler(axes: Axes, length: float, y: float, unit: str) -> None:
    """Draw marks below an edge: half centimetres, or eighths of an inch."""
    apart, per_number = (25.4 / 8, 8) if unit == "in" else (5.0, 2)
    marks = np.arange(int(length / apart) + 1)
    depth = np.where(
        marks % per_number == 0, 4.0, np.where(marks % (per_number / 2) == 0, 2.5, 1.5)
    )
    lines = [[(k * apart, y), (k * apart, y - d)] for k, d in zip(marks, depth, strict=True)]
    axes.add_collection(LineCollection(lines, colors=INK, linewidths=0.4))
    for k in marks[::per_number]:
        told = k // per_number
        words = f"{told} {unit}" if told % 10 == 0 else f"{told}"
        axes.text(k * apart + 0.6, y - 1.8, words, fontsize=5.5, va="top", ha="left")
