"""How a plan folds its cloth, and whether its pieces can be cut so: contradictions refused."""

from __future__ import annotations

from dataclasses import replace

from ..model.plan import Cloth, PlanPiece
from .plan_schema import ClothTable
from .plan_values import Item

_OPEN = 'lay the cloth open: fold = "open"'


def fold_cloth(table: ClothTable, cloth: Cloth, item: Item) -> Cloth:
    """Return a cloth folded as its table says.

    Raises
    ------
    InputError
        If the fold contradicts the nap, or a key of another fold is given.
    NotBuiltError
        If the cloth is folded and has a repeat, panels or flaws.
    """
    depth = table.fold_depth
    if depth is not None and table.fold != "partial":
        raise item.wrong(
            f'fold_depth is given, but fold = "{table.fold}" has no depth',
            'write fold = "partial", or leave fold_depth out',
        )
    if table.fold_cut and table.fold not in {"crosswise", "best"}:
        raise item.wrong(
            f'fold_cut is given, but fold = "{table.fold}" has no layers to turn',
            'write fold = "crosswise" or "best", or leave fold_cut out',
        )
    if table.fold == "crosswise" and cloth.nap == "one-way" and not table.fold_cut:
        raise item.wrong(
            'fold = "crosswise" turns the nap of the upper layer against that of the lower, and '
            'this cloth is nap = "one-way"',
            "add fold_cut = true, so that the layers are cut apart at the fold and the upper one "
            'is turned end for end, or write fold = "lengthwise"',
        )
    _refuse_together(table, item)
    if depth is not None:
        half = cloth.usable_width / 2
        depth = item.length("fold_depth", depth, high=half, above=True)
    return replace(cloth, fold=table.fold, fold_depth=depth, fold_cut=table.fold_cut)


def _refuse_together(table: ClothTable, item: Item) -> None:
    """Refuse what has to be seen in both layers at once."""
    if table.fold == "open":
        return
    if table.repeat is not None:
        raise item.not_built(
            f'fold = "{table.fold}" on cloth with a repeat',
            f"{_OPEN}, so that the design is seen under every piece",
        )
    if table.panels is not None:
        raise item.not_built(f'fold = "{table.fold}" on panels', _OPEN)
    if table.flaws is not None:
        raise item.not_built(
            f'fold = "{table.fold}" on cloth with flaws', f"{_OPEN}, so that no flaw is covered"
        )


def judge_on_fold(piece: PlanPiece, cloth: Cloth, item: Item) -> None:
    """Refuse a piece that contradicts the fold of its cloth.

    Raises
    ------
    InputError
        If a half would have to lie on the bias, or on a fold that is cut apart.
    NotBuiltError
        If it is placed by a design or a border, which two layers would hide.
    """
    if cloth.fold == "open":
        return
    if piece.motif is not None or piece.border is not None:
        what = "motif" if piece.border is None else "border"
        raise item.not_built(f'{what} on cloth with fold = "{cloth.fold}"', _OPEN)
    if piece.pattern.mirror is None or cloth.fold == "best":
        return
    if piece.grain == "bias":
        raise item.wrong(
            f'it is drawn as a half, and grain = "bias" cannot lie on the fold of {cloth.name!r}: '
            "the fold runs along or across the grain",
            'give that cloth fold = "best" or "open", where the piece is cut whole, or cut the '
            "piece on another grain",
        )
    if cloth.fold == "crosswise" and cloth.fold_cut:
        nap = "one-way cloth" if cloth.nap == "one-way" else "cloth"
        raise item.wrong(
            f"it is drawn as a half, but {nap} {cloth.name!r} is folded crosswise with its layers "
            "cut apart (fold_cut), so there is no fold to lie on",
            'give that cloth fold = "lengthwise", "best" or "open"',
        )


def read_tilt(tilt: float, grain: str, item: Item) -> float:
    """Return the degrees a piece may lean off its grain either way.

    Raises
    ------
    InputError
        If it is no angle from 0 to under 45, or the grain leaves nothing to lean from.
    """
    degrees = item.number(
        "tilt", tilt, low=0, below=45, what="write degrees from 0 to under 45; 2 or 3 are usual"
    )
    if degrees and grain == "any":
        raise item.wrong(
            f'tilt = {tilt:g} makes no sense beside grain = "any", which may lie any way',
            "leave one of them out",
        )
    return degrees
