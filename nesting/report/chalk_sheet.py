"""Chalk coordinates as a table for a spreadsheet and as a sheet of text for the table."""

from __future__ import annotations

import csv
import io
import math
import textwrap
from collections.abc import Iterator

from ..model.facing import side_up
from ..model.layout import Lay
from ..model.reading_order import in_order
from ..units import tape_number, tape_step, tape_unit
from .chalk import WITHIN, ChalkedPiece, ChalkPoint, chalk
from .csv_cells import plain_cell
from .cutting_order import lies_double, step_numbers
from .cutting_words import lay_title, measured_from, placement_title

_WIDTH = 88


def chalk_csv(lay: Lay, units: str = "cm", *, within: float = WITHIN) -> str:
    """Return the chalk coordinates of a lay as comma-separated values, one row to a point.

    Columns: ``cut`` (step of the cutting list), ``plan`` (number among the lay's placements),
    ``piece``, ``copy``, ``point``, ``kind`` (corner, curve, cutout, notch, drill hole, named
    point, grain), ``name`` (of a named point), ``along`` and ``across`` as read on the tape,
    their unit in the heading, ``along mm`` and ``across mm`` to a hundredth, and ``diagonal
    to`` and ``diagonal``: the point to measure to, and that distance, where there is one.

    Parameters
    ----------
    lay
        Any lay; without placements only the headings are returned.
    units
        The maker's unit: tapes in inches, to the 1/16, for in and yd; else in centimetres, to
        the millimetre. Rounded to the nearest mark.
    within
        See :func:`nesting.report.chalk.chalk`.

    Returns
    -------
    str
        Lines end in CR LF after RFC 4180. A name that a spreadsheet would take for a formula
        has an apostrophe before it.
    """
    unit = tape_unit(units)
    buffer = io.StringIO()
    out = csv.writer(buffer)
    out.writerow(
        ["cut", "plan", "piece", "copy", "point", "kind", "name", f"along {unit}",
         f"across {unit}", "along mm", "across mm", "diagonal to", f"diagonal {unit}"]
    )  # fmt: skip
    steps = step_numbers(lay)
    for piece in chalk(lay, within=within):
        placement = lay.placements[piece.index]
        diagonals = {diagonal.start: diagonal for diagonal in piece.diagonals}
        for point in piece.points:
            check = diagonals.get(point.number)
            out.writerow(
                [
                    steps[piece.index],
                    piece.index + 1,
                    plain_cell(placement_title(placement)),
                    placement.copy,
                    point.number,
                    point.kind,
                    plain_cell(point.name),
                    tape_number(point.along, units),
                    tape_number(point.across, units),
                    f"{point.along:.2f}",
                    f"{point.across:.2f}",
                    check.end if check else "",
                    tape_number(check.length, units) if check else "",
                ]
            )
    return buffer.getvalue()


def chalk_text(lay: Lay, units: str = "cm", *, within: float = WITHIN, title: str = "") -> str:
    """Return the chalk coordinates of a lay as a sheet to tick off, lines of at most 88 letters.

    Parameters are those of :func:`chalk_csv`; ``title`` is that of the plan.
    """
    heading = " · ".join(part for part in ("Chalk coordinates", title, lay_title(lay)) if part)
    blocks = [f"{heading}\n{'=' * len(heading)}", "\n".join(_how_to_read(lay, units, within))]
    steps = step_numbers(lay)
    blocks += [
        "\n".join(_block(steps[piece.index], piece, lay, units))
        for piece in chalk(lay, within=within)
    ]
    return in_order("\n\n".join(blocks)) + "\n"


def _how_to_read(lay: Lay, units: str, within: float) -> Iterator[str]:
    unit, step = tape_unit(units), tape_step(units)
    tape, mark = ("inches", "1/16 in") if unit == "in" else ("centimetres", "millimetre")
    rounding = math.sqrt(0.5) * step
    lines = [
        "Along is measured from the squared end, across from the inner edge of the near selvage"
        + (f", {tape_number(lay.selvage, units)} {unit} inside the edge." if lay.selvage else ".")
        + (f" Cloth {side_up(lay)}." if lay.folding else " Right side of the cloth up."),
        f"All in {tape}, rounded to the nearest {mark}. Joined by straight lines, the points keep "
        f"within {within:g} mm of the cut line; rounding moves a point by at most "
        f"{rounding:.1f} mm more.",
        "Mark every point of a piece, measure its diagonals, and only then join the points.",
    ]
    for line in lines:
        yield textwrap.fill(line, _WIDTH)


def _block(step: int, piece: ChalkedPiece, lay: Lay, units: str) -> Iterator[str]:
    placement = lay.placements[piece.index]
    title = f"[ ] {step}. {placement_title(placement)} (number {piece.index + 1} on the plan)"
    yield textwrap.fill(title, _WIDTH, subsequent_indent="    ")
    if lay.folding is not None:
        double = lies_double(placement)
        along, across = measured_from(lay, double=double)
        lies = "folded" if double else "opened out"
        yield f"    {lies}; along from {along}, across from {across}"
    unit = tape_unit(units)
    yield f"    {'point':>5}  {f'along {unit}':>12}  {f'across {unit}':>12}"
    for point in piece.points:
        along, across = tape_number(point.along, units), tape_number(point.across, units)
        yield f"    {point.number:>5}  {along:>12}  {across:>12}  {_said(point)}"
    for diagonal in piece.diagonals:
        length = f"{tape_number(diagonal.length, units)} {unit}"
        yield f"    diagonal from {diagonal.start} to {diagonal.end}: {length}"


def _said(point: ChalkPoint) -> str:
    return f"{point.kind}: {point.name}" if point.name else point.kind
