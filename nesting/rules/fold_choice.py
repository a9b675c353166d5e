"""The ways to fold a cloth that are worth trying, and why one was taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from ..model.layout import Lay
from ..model.plan import Cloth
from ..tolerances import LENGTH_REPORT
from ..units import length_text
from .compile import CompiledLay
from .fold import FOLD_WORDS, Folding, FoldKind, folds_allowed
from .fold_compile import FoldedLay, Share, fold_lay, most_folded
from .fold_pairs import PieceOnFold, pieces_on_fold

AMONG_EQUALS = ("lengthwise", "crosswise", "open", "partial", "middle")
"""Of lays of one length, the one to take: whole folds halve the cutting, the others have to be
measured all along the cloth."""

_DEPTHS = 4
"""Most depths of a partial fold that are tried."""


def folded_lays(opened: CompiledLay) -> Iterator[FoldedLay]:
    """Yield the ways to cut a cloth's pieces folded that are worth trying, fold by fold.

    As many as can be are cut double or on the fold; then, where there are several pairs of a
    piece, half of them single; then the widest pair single; then halves not on the fold but two
    at one stroke. Nothing is yielded where the plan lays the cloth open, or nothing can be cut
    folded.
    """
    for kind in folds_allowed(opened.cloth):
        for folding in _foldings(opened, kind):
            pieces = pieces_on_fold(opened, folding)
            for shares in _shares(pieces):
                job = fold_lay(opened, folding, pieces, shares)
                if job is not None:
                    yield job


def _foldings(opened: CompiledLay, kind: FoldKind) -> list[Folding]:
    cloth = opened.cloth
    usable = cloth.usable_width
    if kind != "partial":
        cut = kind == "crosswise" and (cloth.fold_cut or cloth.nap == "one-way")
        return [Folding(kind, usable, cut=cut)]
    if cloth.fold_depth is not None:
        return [Folding(kind, usable, cloth.fold_depth)]
    # As deep as some piece on it needs; what is wider then lies single.
    deepest = Folding(kind, usable, usable / 2)
    half_gap = cloth.gap / 2
    needed = set()
    for piece in pieces_on_fold(opened, deepest):
        widths = [laid.piece.size[1] for laid, _ in piece.on_fold]
        widths += [laid.piece.size[1] + half_gap for laid in piece.double if piece.pairs]
        if widths:
            needed.add(min(widths))
    depths = sorted((depth for depth in needed if depth < usable / 2), reverse=True)
    step = max(1, -(-len(depths) // _DEPTHS))
    return [Folding(kind, usable, depth) for depth in depths[::step]]


def _shares(pieces: Sequence[PieceOnFold]) -> list[tuple[Share, ...]]:
    """Return how much of each piece to cut folded, in the order in which it is tried."""
    most = most_folded(pieces)
    found = [most]
    pairs = [share.double for share in most]
    if max(pairs, default=0) > 1:
        found.append(tuple(replace(s, double=(s.double + 1) // 2) for s in most))
    doubled = [k for k, share in enumerate(most) if share.double]
    if len(doubled) > 1:
        widest = max(doubled, key=lambda k: min(way.piece.size[1] for way in pieces[k].double))
        found.append(tuple(replace(s, double=0) if k == widest else s for k, s in enumerate(most)))
    found.append(most_folded(pieces, double_first=True))
    return list(dict.fromkeys(found))


def explained(
    chosen: Lay, lengths: Mapping[str, float], cloth: Cloth, units: str, odd: Sequence[str]
) -> Lay:
    """Return the lay taken, with remarks that tell every length and why it was taken.

    Parameters
    ----------
    chosen
        The lay.
    lengths
        The length reached for each way to fold that was tried, "open" among them, millimetres.
    odd
        Names of the pieces that cannot all lie folded.
    """
    said: list[str] = []
    told = [f"{_WORDS[kind]} {length_text(length, units)}" for kind, length in lengths.items()]
    here = lengths[chosen.fold]
    if len(lengths) == 1:
        said.append(
            "Nothing can be cut on the fold: there is no pair and no half that fits it, so the "
            "cloth lies open."
        )
    elif cloth.fold == "best":
        said.append(f"Lengths found: {', '.join(told)}. {_why(chosen, lengths, units, odd)}")
    elif lengths["open"] >= here - LENGTH_REPORT:
        more = lengths["open"] - here
        than = "just as much" if more <= LENGTH_REPORT else f"{length_text(more, units)} more"
        said.append(f"Laid open, the same pieces take {than}.")
    shorter = chosen.folding is not None and lengths["open"] < here - LENGTH_REPORT
    without = {"the fold": lengths["open"]} if shorter else {}
    return replace(chosen, remarks=(*chosen.remarks, *said), without={**chosen.without, **without})


_WORDS = {**FOLD_WORDS, "open": "open"}


def _why(lay: Lay, lengths: Mapping[str, float], units: str, odd: Sequence[str]) -> str:
    """Say why this way to fold was taken, or none."""
    if lay.fold == "open":
        said = []
        for kind, length in lengths.items():
            more = length - lay.length
            if kind != "open" and more > LENGTH_REPORT:
                said.append(f"{FOLD_WORDS[kind]} it would take {length_text(more, units)} more")
        single = (
            f"; of {', '.join(odd)} an odd copy would lie single behind the fold" if odd else ""
        )
        more_told = f": {', '.join(said)}" if said else ""
        return f"It is laid open, since no fold takes less{more_told}{single}."
    spare = lengths["open"] - lay.length
    if spare <= LENGTH_REPORT:
        return f"It is {FOLD_WORDS[lay.fold]}: no longer than open, with fewer outlines to cut."
    return (
        f"It is {FOLD_WORDS[lay.fold]}, {length_text(spare, units)} shorter than what was found "
        "laid open."
    )


def never_folded(opened: CompiledLay) -> tuple[str, ...]:
    """Return the pieces of which some copy cannot be cut folded, selvage on selvage."""
    pieces = pieces_on_fold(opened, Folding("lengthwise", opened.cloth.usable_width))
    return tuple(
        opened.tickets[piece.copies[0]].piece.name
        for piece in pieces
        if not piece.on_fold and 2 * len(piece.pairs) < len(piece.copies)
    )
