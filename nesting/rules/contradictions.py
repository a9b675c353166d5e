"""Rules for one piece that contradict each other whatever the lay, refused by name."""

from __future__ import annotations

from collections.abc import Sequence

from ..errors import InputError
from ..model.plan import Axis, Cloth, Plan, PlanPiece
from .motif import axis_of, matches_on


def refuse_contradictions(plan: Plan, cloth: Cloth) -> None:
    """Refuse rules of motif, match and border that cannot hold together on any cloth.

    Raises
    ------
    InputError
        Naming the piece, both rules and a remedy.
    """
    for piece in plan.pieces_on(cloth.name):
        matched = [
            match.axis
            for match in matches_on(plan, cloth)
            if piece.name in {name for name, _ in match.points}
        ]
        said = _said(piece, cloth, matched)
        if said is not None:
            raise InputError(said[0], remedy=said[1], file=plan.path, item=f"piece {piece.name!r}")


def _said(piece: PlanPiece, cloth: Cloth, matched: Sequence[Axis]) -> tuple[str, str] | None:
    """Return what contradicts what for one piece, and a remedy."""
    motif = piece.motif
    axes = [*matched] if motif is None else [axis_of(motif), *matched]
    if piece.border is not None and any(axis != "along" for axis in axes):
        return (
            "its border says where it lies across the cloth, and so does its motif or match",
            'let these say where it lies along only: on = [0, "free"], or axis = "along"',
        )
    if piece.tilt > 0 and (matched or piece.border is not None):
        rule = "a match" if matched else "its border"
        return (
            f"it may lean by {piece.tilt:g} degrees, yet {rule} holds it straight on the design",
            "leave out tilt, or leave the piece free of the design",
        )
    if motif is not None and motif.centred and any(axis != "along" for axis in matched):
        return (
            "its motif leaves open on which axis of the design it lies, and a match holds it "
            "across too",
            "give the place across in motif.on, or leave the match out",
        )
    dropped = cloth.repeat is not None and cloth.repeat.drop == "half"
    if dropped and "both" in axes and len(set(axes)) > 1:
        return (
            "on a half drop one rule places it along and across, another on one axis only",
            'give all of them both axes: on = [0, 0], axis = "both"',
        )
    return None
