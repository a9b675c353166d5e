"""What the maker has to know about the design under her lay, in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from ..model.layout import LaidRepeat
from ..model.plan import Cloth, Plan
from ..units import length_text
from .motif import motif_start


def design_remarks(plan: Plan, cloth: Cloth, laid: LaidRepeat | None) -> Iterator[str]:
    """Yield where the design is taken to lie, for every axis on which that is not known.

    Only where a piece falls on a place along that axis: pieces matched to each other alone may
    lie anywhere on the design.
    """
    repeat = cloth.repeat
    if repeat is None or laid is None:
        return
    motifs = [piece.motif for piece in plan.pieces_on(cloth.name) if piece.motif is not None]
    along, across = (length_text(place, plan.units) for place in laid.offset)
    if repeat.offset[0] is None and any(motif.on[0] is not None for motif in motifs):
        start = motif_start(plan, cloth)
        if start:
            here = f"{along} before one starts" if laid.offset[0] else "where one starts"
            yield (
                f"Square the cut end by the design's repeat, {here}; to reach that place on the "
                f"bolt, one repeat of {length_text(start, plan.units)} is bought besides."
            )
        else:
            yield _supposed(f"{along} from the squared cut end", "along")
    if repeat.offset[1] is None and any(motif.on[1] is not None for motif in motifs):
        yield _supposed(f"{across} from the inner edge of the near selvage", "across")


def _supposed(place: str, axis: str) -> str:
    return (
        f"It is laid as if a repeat of the design started {place}. Measure where one does on your "
        f"cloth, write that as the place {axis} in repeat.offset, and lay again before cutting."
    )
