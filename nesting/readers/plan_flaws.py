"""The ``flaws`` of a cloth in a plan file, judged and put as they lie on the cloth as cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely

from ..geometry.rings import FloatArray, as_points, counter_clockwise
from ..model.plan import Cloth, Flaw, Panel
from ..units import length_text
from .plan_schema import FlawTable
from .plan_values import Item

_FARTHEST: Final = 1_000_000.0  # mm: a kilometre, more than any bolt
_HAIR: Final = 1e-6  # mm; float noise of the units
_MEASURE = (
    "measure along from the squared cut end and across from the inner edge of the near selvage, "
    "before shrinking"
)


def read_flaws(tables: Sequence[FlawTable], cloth: Cloth, item: Item) -> tuple[Flaw, ...]:
    """Return the flaws of a cloth, where they lie once it has shrunk.

    ``cloth`` is all that the rest of the table says, its panels read.

    Raises
    ------
    InputError
        If a flaw has no place, lies outside the cloth or its panel, or names a panel that is not
        there.
    """
    return tuple(
        _flaw(table, cloth, Item(item.file, f"{item.name}: flaw {n}", item.unit))
        for n, table in enumerate(tables, start=1)
    )


def _pair(key: str, value: tuple[float | str, float | str], item: Item) -> tuple[float, float]:
    first, second = (item.length(key, part, low=-_FARTHEST, high=_FARTHEST) for part in value)
    return first, second


def _flaw(table: FlawTable, cloth: Cloth, item: Item) -> Flaw:
    panel = _panel(table, cloth, item)
    ring = _ring(table, item)
    _refuse_outside(ring, cloth, panel, item)
    kept = np.array([1.0 - cloth.shrink_along, 1.0 - cloth.shrink_across])
    return Flaw(as_points(ring * kept), table.panel, table.hide, table.kind.strip())


def _panel(table: FlawTable, cloth: Cloth, item: Item) -> Panel | None:
    """Return the panel a flaw lies on, None on cloth in one piece."""
    if 1 <= table.panel <= max(1, len(cloth.panels)):
        return cloth.panels[table.panel - 1] if cloth.panels else None
    have = f"{len(cloth.panels)} panels" if cloth.panels else "no panels, only one piece"
    raise item.wrong(
        f"there is no panel {table.panel}: the cloth has {have}",
        f"write a number from 1 to {len(cloth.panels)}" if cloth.panels else "leave panel out",
    )


def _ring(table: FlawTable, item: Item) -> FloatArray:
    """Return the outline of a flaw as measured, counter-clockwise."""
    box = (table.along, table.across)
    if table.outline is not None and box == (None, None):
        return _outline(table.outline, item)
    if table.along is None or table.across is None or table.outline is not None:
        raise item.wrong(
            "its place is not said once and whole",
            "write along = [90, 100] and across = [60, 80], or outline with at least three points",
        )
    x0, x1 = _ends("along", table.along, item)
    y0, y1 = _ends("across", table.across, item)
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _ends(key: str, value: tuple[float | str, float | str], item: Item) -> tuple[float, float]:
    low, high = _pair(key, value, item)
    if low >= high:
        shown = ", ".join(part if isinstance(part, str) else f"{part:g}" for part in value)
        raise item.wrong(
            f"{key} = [{shown}] has no extent", "write where it begins, then where it ends"
        )
    return low, high


def _outline(points: Sequence[tuple[float | str, float | str]], item: Item) -> FloatArray:
    if len(points) < 3:
        raise item.wrong(
            f"its outline has {len(points)} points", "give at least three, [along, across] each"
        )
    ring = np.array([_pair("outline", point, item) for point in points])
    shape = shapely.Polygon(ring)
    if not shape.is_valid or shape.area <= _HAIR:
        raise item.wrong(
            "its outline crosses itself or has no area", "give its corners in order round the flaw"
        )
    return counter_clockwise(ring)


def _refuse_outside(ring: FloatArray, cloth: Cloth, panel: Panel | None, item: Item) -> None:
    """Refuse a flaw that reaches over the edge of the cloth or panel as measured."""
    length = cloth.length if panel is None else panel.length
    width = cloth.width if panel is None else panel.width
    shaped = panel is not None and panel.outline is not None
    selvage = 0.0 if shaped else cloth.selvage / (1.0 - cloth.shrink_across)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    where = "the cloth" if panel is None else f"panel {panel.name!r}"
    if x0 < -_HAIR or (length is not None and x1 > length + _HAIR):
        has = "" if length is None else f", which is {length_text(length, item.unit)} long"
        raise item.wrong(
            f"it reaches from {length_text(x0, item.unit)} to {length_text(x1, item.unit)} along, "
            f"outside {where}{has}",
            _MEASURE,
        )
    low, high = -selvage, width - selvage
    if y0 < low - _HAIR or y1 > high + _HAIR:
        usable = length_text(width - 2 * selvage, item.unit)
        raise item.wrong(
            f"it reaches from {length_text(y0, item.unit)} to {length_text(y1, item.unit)} "
            f"across, outside {where}, which is {usable} wide between the selvages",
            _MEASURE,
        )
