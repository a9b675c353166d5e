"""The layout file: ``yardage-layout/1``, JSON, millimetres."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any, Final

from ..atomic import write_atomic
from ..model.layout import Buy, Joining, LaidFlaw, LaidFold, LaidRepeat, Lay, Layout, Placement
from ..model.pattern import Notch
from ..model.resume import Resume

SCHEMA: Final = "yardage-layout/1"

# Line ends never occur inside a JSON string, so only layout between brackets is touched.
_PAIR = re.compile(r"\[\n\s*(-?[\d.eE+-]+),\n\s*(-?[\d.eE+-]+)\n\s*\]")


def layout_to_dict(layout: Layout) -> dict[str, Any]:
    """Return a layout as plain data, ready for JSON.

    Lengths are in millimetres, angles in degrees. ``units`` is therefore always ``"mm"``;
    ``read_back_in`` is the maker's own unit. Reading it again gives an equal layout.
    """
    return {
        "schema": SCHEMA,
        "title": layout.title,
        "units": "mm",
        "read_back_in": layout.units,
        "lays": [_lay(lay) for lay in layout.lays],
        "joinings": [_joining(joining) for joining in layout.joinings],
        "remarks": list(layout.remarks),
        "trains": [asdict(study) for study in layout.trains],
        "warnings": list(layout.warnings),
        "resume": None if layout.resume is None else _resume(layout.resume),
        "solver": {
            "seconds": layout.solver.seconds,
            "seed": layout.solver.seed,
            "version": layout.solver.version,
        },
    }


def layout_json(layout: Layout) -> str:
    """Return the text of a layout file; the same layout always gives the same text.

    Raises
    ------
    ValueError
        If a number is not finite.
    """
    text = json.dumps(layout_to_dict(layout), indent=1, ensure_ascii=False, allow_nan=False)
    return _PAIR.sub(r"[\1, \2]", text) + "\n"


def write_layout(layout: Layout, path: str | Path) -> Path:
    """Write a layout file, whole or not at all, and return its path.

    Raises
    ------
    InputFileError
        If the file cannot be written.
    """
    return write_atomic(path, layout_json(layout).encode("utf-8"))


def _resume(resume: Resume) -> dict[str, Any]:
    return {
        "plan": resume.plan,
        "starts": [
            {
                "problem": start.problem,
                "length": start.length,
                "shapes": [position.shape for position in start.positions],
                "at": [[position.x, position.y] for position in start.positions],
            }
            for start in resume.starts
        ],
    }


def _joining(joining: Joining) -> dict[str, Any]:
    return {
        "piece": joining.piece,
        "parts": list(joining.parts),
        "inside": _points(joining.inside),
        "lines": [_points(line) for line in joining.lines],
        "allowance": joining.allowance,
    }


def _lay(lay: Lay) -> dict[str, Any]:
    return {
        "cloth": lay.cloth,
        "panel": lay.panel,
        "panel_name": lay.panel_name,
        "panel_outline": None if lay.panel_outline is None else _points(lay.panel_outline),
        "fold": lay.fold,
        "layers": lay.layers,
        "folding": None if lay.folding is None else _fold(lay.folding),
        "cloth_width": lay.cloth_width,
        "selvage": lay.selvage,
        "nap": lay.nap,
        "usable_width": lay.usable_width,
        "length": lay.length,
        "status": lay.status,
        "reason": lay.reason,
        "proven_minimum": lay.proven_minimum,
        "utilisation": lay.utilisation,
        "repeat": None if lay.repeat is None else _repeat(lay.repeat),
        "flaws": [_flaw(flaw) for flaw in lay.flaws],
        "without": dict(lay.without),
        "remarks": list(lay.remarks),
        "leftover": None if lay.leftover is None else list(lay.leftover),
        "buy": _buy(lay.buy),
        "placements": [_placement(placement) for placement in lay.placements],
    }


def _buy(buy: Buy) -> dict[str, Any]:
    return {
        "length": buy.length,
        "text": buy.text,
        "cost": buy.cost,
        "made_of": dict(buy.made_of),
    }


def _repeat(repeat: LaidRepeat) -> dict[str, Any]:
    return {
        "along": repeat.along,
        "across": repeat.across,
        "drop": repeat.drop,
        "offset": _point(repeat.offset),
    }


def _fold(fold: LaidFold) -> dict[str, Any]:
    return {
        "kind": fold.kind,
        "edges": [_points(edge) for edge in fold.edges],
        "double": [list(rectangle) for rectangle in fold.double],
        "end": fold.end,
    }


def _flaw(flaw: LaidFlaw) -> dict[str, Any]:
    return {"outline": _points(flaw.outline), "kind": flaw.kind, "hide": flaw.hide}


def _placement(placement: Placement) -> dict[str, Any]:
    return {
        "piece": placement.piece,
        "copy": placement.copy,
        "hand": placement.hand,
        "mirrored": placement.mirrored,
        "turned": placement.turned,
        "layers": placement.layers,
        "on_fold": placement.on_fold,
        "outline": _points(placement.outline),
        "cutouts": [_points(ring) for ring in placement.cutouts],
        "grain": _points(placement.grain),
        "points": {name: _point(at) for name, at in placement.points.items()},
        "held": list(placement.held),
        "sew_lines": [_points(path) for path in placement.sew_lines],
        "internal_lines": [_points(path) for path in placement.internal_lines],
        "stripe_lines": [_points(path) for path in placement.stripe_lines],
        "plaid_lines": [_points(path) for path in placement.plaid_lines],
        "notches": [_notch(notch) for notch in placement.notches],
        "drill_holes": _points(placement.drill_holes),
    }


def _notch(notch: Notch) -> dict[str, Any]:
    return {
        "at": _point(notch.at),
        "angle": notch.angle,
        "depth": notch.depth,
        "width": notch.width,
        "kind": notch.kind,
    }


def _points(points: Iterable[Iterable[float]]) -> list[list[float]]:
    return [_point(point) for point in points]


def _point(point: Iterable[float]) -> list[float]:
    x, y = point
    return [float(x), float(y)]
