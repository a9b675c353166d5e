"""The chart of a train: the length a lay takes against the usable width of the cloth."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..model.train import TrainStudy, WidthLength
from ..units import MM_PER, tape_unit
from .fonts import drawing_with, in_reading_order
from .style import FAINT, INK, SMALL, TITLE_SIZE

_SIZE = (7.2, 4.2)  # inches
_LABEL = 0.1  # room that a label takes, as a share of the greatest width


def train_chart(study: TrainStudy, units: str) -> Figure:
    """Return the chart of one study; lengths in the tape's unit of the maker.

    The train whole is drawn solid, with its joins dashed; the cloth of the plan is a dotted line,
    and every jump is marked with its width.
    """
    unit = tape_unit(units)
    per = MM_PER[unit]
    with drawing_with([study.piece, study.cloth]):
        figure = Figure(figsize=_SIZE, layout="constrained")
        axes = figure.add_subplot()
        _curve(axes, study.chart, "whole", per, {"color": INK, "linestyle": "solid"})
        _curve(axes, study.chart, "pieced", per, {"color": INK, "linestyle": (0, (5, 2))})
        axes.axvline(study.width / per, color=FAINT, linestyle="dotted", linewidth=1.0)
        _mark_jumps(axes, study, per, unit)
        axes.set_xlabel(f"usable width of the cloth, {unit}")
        axes.set_ylabel(f"length the lay takes, {unit}")
        axes.set_title(f"{study.piece}: length against width", loc="left", fontsize=TITLE_SIZE)
        axes.set_ylim(bottom=0)
        axes.set_xlim(study.chart[0].width / per, study.chart[-1].width / per)
        axes.annotate(
            f"{study.cloth}, {study.width / per:g} {unit}",
            (study.width / per, 0.02),
            xycoords=("data", "axes fraction"),
            xytext=(4, 0),
            textcoords="offset points",
            fontsize=SMALL,
            color=FAINT,
        )
        axes.spines[["top", "right"]].set_visible(False)
        axes.legend(frameon=False, fontsize=SMALL + 1, loc="upper right")
    return figure


def write_train_chart(study: TrainStudy, units: str, path: Path) -> Path:
    """Write the chart as PNG, SVG or PDF, by the ending of the path."""
    path.write_bytes(draw_train(study, units, path.suffix[1:].lower()))
    return path


def draw_train(study: TrainStudy, units: str, kind: str) -> bytes:
    """Return the chart as the bytes of a ``png``, ``svg`` or ``pdf`` file, without its date."""
    dates: dict[str, Any] = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}
    stream = io.BytesIO()
    with drawing_with([study.piece, study.cloth]):
        figure = in_reading_order(train_chart(study, units))
        figure.savefig(stream, format=kind, dpi=150, metadata=dates.get(kind))
    return stream.getvalue()


def _curve(
    axes: Axes, chart: tuple[WidthLength, ...], which: str, per: float, look: dict[str, Any]
) -> None:
    points = [(p.width / per, getattr(p, which)) for p in chart if getattr(p, which) is not None]
    if points:
        widths, lengths = zip(*((w, length / per) for w, length in points), strict=True)
        name = "train whole" if which == "whole" else "train pieced"
        axes.plot(widths, lengths, drawstyle="steps-post", label=name, linewidth=1.4, **look)


def _mark_jumps(axes: Axes, study: TrainStudy, per: float, unit: str) -> None:
    """Write the width beside every jump, above the curve."""
    for step in study.steps:
        if not step.jumps:
            continue
        axes.plot([step.width / per], [step.after / per], marker="o", markersize=3.5, color=INK)
        # Below and to the left of a falling curve there is room; beside the axis, above it.
        beside = step.width - study.chart[0].width < _LABEL * study.chart[-1].width
        axes.annotate(
            f"{step.width / per:g} {unit}: {step.after / per:.1f}",
            (step.width / per, step.after / per),
            xytext=(4, 4) if beside else (-4, -10),
            textcoords="offset points",
            horizontalalignment="left" if beside else "right",
            fontsize=SMALL,
        )
