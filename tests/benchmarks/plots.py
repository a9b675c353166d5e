"""The figures of the benchmark report: density over time, and growth with size."""

import hashlib
import io
import math

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import FuncFormatter, NullFormatter
from PIL import Image

from .published import BEST, INSTANCES

COLOURS = ("#c47a1b", "#2f6f73", "#5b3a70", "#8c2f39")
"""One to a time limit, from short to long."""
QUIET = "#6b6b6b"

PANELS = (
    (
        "seconds",
        (
            ("to 85 %", "to_85", 0),
            ("to 80 %", "to_80", 1),
            ("first layout", "preparing", 2),
            ("no-fit polygons", "tables", 3),
        ),
        True,
    ),
    ("memory, MB", (("", "memory", 2),), False),
    ("evaluations per second", (("", "evaluations_per_second", 1),), False),
    ("sweeps per second", (("", "sweeps_per_second", 0),), True),
)
"""Of the figure of growth: axis, its lines as (words, column, colour), and whether logarithmic."""

SETTINGS = {
    "font.family": ["DejaVu Sans"],
    "font.size": 9,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.titlesize": 10,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
}


def density(points, newest, fills):
    """Draw, for each instance, the best density against time, one line per run.

    ``newest`` and ``fills`` give the rows of the commit shown, by (instance, seconds, workers).
    """
    shown = {}
    for (instance, seconds, workers), runs in newest.items():
        key = (runs[-1].commit, instance, seconds, workers)
        lines = {}
        for p in points:
            if (p.commit, p.instance, p.seconds, p.workers) == key:
                lines.setdefault(p.seed, []).append((p.time, p.density))
        if lines:
            shown.setdefault(instance, {})[seconds, workers] = lines
    names = sorted(shown, key=lambda n: (INSTANCES.index(n) if n in INSTANCES else 99, n))
    limits = sorted({limit for by_limit in shown.values() for limit in by_limit})
    colour = {limit: COLOURS[k % len(COLOURS)] for k, limit in enumerate(limits)}
    columns = min(3, len(names))
    rows = math.ceil(len(names) / columns)
    with mpl.rc_context(SETTINGS):
        figure = Figure(figsize=(4.0 * columns + 0.4, 2.9 * rows + 0.8), layout="constrained")
        grid = figure.subplots(rows, columns, squeeze=False).ravel()
        for axes in grid[len(names) :]:
            axes.set_axis_off()
        for axes, name in zip(grid, names, strict=False):
            fill = next((runs[-1].density for key, runs in fills.items() if key[0] == name), None)
            _density_panel(axes, name, shown[name], colour, fill)
        handles = [
            Line2D([], [], color=colour[limit], label=f"{limit[0]:g} s, {limit[1]} workers")
            for limit in limits
        ]
        handles += [
            Line2D([], [], color=QUIET, linestyle="--", label=BEST.label),
            Line2D([], [], color=QUIET, linestyle=":", label="bottom-left fill"),
        ]
        figure.legend(
            handles=handles, loc="outside lower center", ncols=len(handles), frameon=False
        )
        return figure


def _density_panel(axes, name, by_limit, colour, fill):
    longest = max(seconds for seconds, _workers in by_limit)
    values = []
    for (seconds, workers), lines in sorted(by_limit.items()):
        for line in lines.values():
            times = [max(t, 0.05) for t, _d in line]
            densities = [d for _t, d in line]
            ink = colour[seconds, workers]
            if densities[-1] < 100.0 - 1e-4:
                times.append(seconds)
                densities.append(densities[-1])
            else:  # nothing can be better: the run ended there
                axes.plot(times[-1], densities[-1], "o", ms=4, color=ink, clip_on=False)
            values += densities
            axes.step(times, densities, where="post", lw=1.0, alpha=0.8, color=ink)
    best = BEST.values.get(name)
    for level, style in ((best, "--"), (fill, ":")):
        if level is not None:
            values.append(level)
            axes.axhline(level, color=QUIET, lw=1.0, ls=style, zorder=0)
    axes.set_title(name)
    axes.set_xscale("log")
    axes.set_xlim(0.05, longest * 1.1)
    axes.xaxis.set_major_formatter(FuncFormatter(lambda t, _position: f"{t:g}"))
    low, high = min(values), max(values)
    axes.set_ylim(low - 0.06 * (high - low) - 0.2, high + 0.06 * (high - low) + 0.2)
    axes.set_xlabel("seconds")
    axes.set_ylabel("density, %")
    axes.grid(visible=True, color="#e4e4e4", lw=0.6)


def scale(rows):
    """Draw time, memory and speed against pieces (above) and vertices (below)."""
    usual = _usual(rows)
    with mpl.rc_context(SETTINGS):
        figure = Figure(figsize=(14.0, 6.6), layout="constrained")
        grid = figure.subplots(2, len(PANELS))
        for line, (against, fixed) in zip(
            grid, (("pieces", "vertices"), ("vertices", "pieces")), strict=True
        ):
            chosen = sorted(
                (r for r in rows if getattr(r, fixed) == usual[fixed]),
                key=lambda r: getattr(r, against),
            )
            for axes, (label, series, logarithmic) in zip(line, PANELS, strict=True):
                _scale_panel(axes, chosen, against, label, series, logarithmic)
                axes.set_title(f"{usual[fixed]} {fixed}")
        return figure


def _usual(rows):
    """Return the number of pieces and of vertices that most rows share, simplified ones apart."""
    found = {}
    for name in ("pieces", "vertices"):
        values = [getattr(row, name) for row in rows if not row.simplified] or [0]
        found[name] = max(sorted(set(values)), key=values.count)
    return found


def _scale_panel(axes, rows, against, label, series, logarithmic):
    for words, name, colour in series:
        for simplified, marker in ((False, "o"), (True, "s")):
            found = [
                (getattr(r, against), getattr(r, name))
                for r in rows
                if getattr(r, name) is not None and bool(r.simplified) == simplified
            ]
            if found:
                axes.plot(
                    *zip(*found, strict=True), marker=marker, ms=4, lw=1.2, color=COLOURS[colour],
                    label=words if not simplified else None,
                    mfc="white" if simplified else COLOURS[colour],
                )  # fmt: skip
    axes.set_xscale("log")
    values = [getattr(r, name) for r in rows for _w, name, _c in series if getattr(r, name)]
    if logarithmic and values:
        axes.set_yscale("log")
        decades = math.floor(math.log10(min(values))), math.ceil(math.log10(max(values)))
        axes.set_ylim(10.0 ** decades[0], 10.0 ** max(decades[1], decades[0] + 1))
    elif values:
        axes.set_ylim(0.0, 1.15 * max(values))
    ticks = sorted({getattr(row, against) for row in rows})
    axes.set_xticks(ticks, [f"{t:,}" for t in ticks])
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.minorticks_off()
    axes.yaxis.set_major_formatter(
        FuncFormatter(lambda v, _position: f"{v:,.0f}" if v >= 1.0 else f"{v:g}")
    )
    axes.set_xlabel(f"{against} (square: simplified)" if against == "vertices" else against)
    axes.set_ylabel(label)
    axes.grid(visible=True, color="#e4e4e4", lw=0.6)
    if any(words for words, _name, _colour in series):
        axes.legend(frameon=False, fontsize=8)


def digest(rows):
    """Return a short digest of rows, written into a figure to tell what it was drawn from."""
    return hashlib.sha256(repr(rows).encode()).hexdigest()[:16]


def digest_in(path):
    """Return the digest written into a figure, or None."""
    if not path.exists():
        return None
    with Image.open(path) as image:
        return image.info.get("Source")


def png(figure, rows):
    """Return a figure as a PNG file that carries the digest of the rows it was drawn from."""
    stream = io.BytesIO()
    with mpl.rc_context(SETTINGS):
        figure.savefig(stream, format="png", dpi=110, metadata={"Source": digest(rows)})
    return stream.getvalue()
