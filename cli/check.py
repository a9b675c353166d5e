"""``yardage check``: reads everything a plan names and says what it found; solves nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nesting.units import length_text

from .console import print_table, show
from .options import PlanFile, Quiet, Units

if TYPE_CHECKING:
    from nesting.model.plan import Cloth, Plan
    from nesting.rules.compile import CompiledLay

_COLUMNS = ("piece", "cloth", "cut", "R", "L", "along", "across", "grain")


def check(plan: PlanFile, *, units: Units = None, quiet: Quiet = False) -> None:
    """Read a plan and its pattern files; list pieces, counts, sizes and what is odd.

    Sizes are of the cut line, allowances included, as the piece lies on its cloth: along the
    warp and across it. R are cut as drawn, L mirrored. A piece that is wider than its cloth and
    may be pieced is shown in parts. With --quiet, only errors are shown.

    Example: **yardage check gown.toml**
    """
    from nesting.joining import divided_to_fit  # noqa: PLC0415 - help must not wait for these
    from nesting.readers.plan import read_plan  # noqa: PLC0415
    from nesting.rules.compile import compile_lay  # noqa: PLC0415

    read, pieced = divided_to_fit(read_plan(plan, units=units))
    lays = [compile_lay(read, cloth) for cloth in read.cloths if read.pieces_on(cloth.name)]
    if quiet:
        return
    show(read.title)
    print_table(
        _COLUMNS,
        [row for lay in lays for row in _rows(read, lay)],
        right=("cut", "R", "L", "along", "across"),
    )
    for lay in lays:
        show(_cloth_line(read, lay))
    odd = [str(note) for note in read.notes] + _unused(read)
    odd += [
        f"piece {name!r}: it is wider than its cloth, and shown in parts that its piecing allows; "
        "yardage lay compares where to join"
        for name in pieced
    ]
    show("\nTo look at:" if odd else "\nNothing odd was found.")
    for line in odd:
        show(f"  {line}")


def _rows(plan: Plan, lay: CompiledLay) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for piece in plan.pieces_on(lay.cloth.name):
        ticket = next(ticket for ticket in lay.tickets if ticket.piece is piece)
        along, across = next(iter(ticket.choices.values())).piece.size
        name = f"{piece.name} (whole, from a half)" if piece.pattern.mirror else piece.name
        rows.append(
            (
                name,
                piece.cloth,
                str(piece.copies),
                str(piece.as_drawn or "-"),
                str(piece.mirrored or "-"),
                length_text(along, plan.units),
                length_text(across, plan.units),
                piece.grain,
            )
        )
    return rows


def _cloth_line(plan: Plan, lay: CompiledLay) -> str:
    cloth = lay.cloth
    area = sum(next(iter(ticket.choices.values())).piece.area for ticket in lay.tickets)
    width = length_text(cloth.usable_width, plan.units)
    least = length_text(area / cloth.usable_width, plan.units)
    return (
        f"{cloth.name}: {len(lay.tickets)} to cut on {width} of usable width{_ways(cloth)}; "
        f"by area alone no layout can be shorter than {least}"
    )


_FOLDS = {
    "lengthwise": "folded lengthwise",
    "crosswise": "folded crosswise",
    "partial": "one selvage folded in",
    "middle": "both selvages folded to the middle",
    "best": "folded as serves best",
}


def _ways(cloth: Cloth) -> str:
    words = []
    if cloth.nap == "one-way":
        words.append("one-way")
    if cloth.sides == "alike":
        words.append("both sides alike")
    if cloth.fold != "open":
        words.append(_FOLDS[cloth.fold])
    return f" ({', '.join(words)})" if words else ""


def _unused(plan: Plan) -> list[str]:
    alternatives = {name for layer in plan.layers for name in layer.cloths}
    return [
        f"cloth {cloth.name!r}: no piece is cut from it"
        for cloth in plan.cloths
        if not plan.pieces_on(cloth.name) and cloth.name not in alternatives
    ]
