"""From what was drawn to a pattern piece: every mark in its place, or refused by name."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
import shapely

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import FloatArray, Point, as_points, bounds
from ..model.pattern import Annotation, Notch, PatternPiece
from ..model.reading_order import one_form
from .fold_edge import fold_edge
from .outline import clean_cutout, clean_outline

if TYPE_CHECKING:
    from collections.abc import Iterable

    from .drawn import Notes


@dataclass(slots=True)
class RawPiece:
    """A piece as gathered from a drawing, in millimetres, before anything has been judged.

    ``grains`` and ``mirrors`` hold every line drawn as such; ``tops`` are marks at the top of
    the garment. The rest is named as in :class:`~nesting.model.pattern.PatternPiece`.
    """

    name: str
    outline: FloatArray
    cutouts: list[FloatArray] = field(default_factory=list)
    grains: list[FloatArray] = field(default_factory=list)
    mirrors: list[FloatArray] = field(default_factory=list)
    tops: list[Point] = field(default_factory=list)
    sew_lines: list[FloatArray] = field(default_factory=list)
    internal_lines: list[FloatArray] = field(default_factory=list)
    stripe_lines: list[FloatArray] = field(default_factory=list)
    plaid_lines: list[FloatArray] = field(default_factory=list)
    notches: list[Notch] = field(default_factory=list)
    drill_holes: list[Point] = field(default_factory=list)
    annotations: list[Annotation] = field(default_factory=list)
    quantity: tuple[int, int] | None = None
    may_fold: bool = False
    material: str = ""
    system_text: dict[str, str] = field(default_factory=dict)


def finish_piece(raw: RawPiece, notes: Notes) -> PatternPiece:
    """Judge, clean and complete a piece.

    Returns
    -------
    PatternPiece
        With a simple outline running counter-clockwise, cutouts inside it running clockwise, a
        grain line of some length (assumed upright where none is drawn), notches on the outline.

    Raises
    ------
    InputError
        If the outline or a cutout cannot be cut, the grain line has no length, or the fold line
        is no edge of the piece.
    """
    file, name = notes.file, one_form(raw.name)
    cleaned = clean_outline(raw.outline, file=file, item=name)
    outline = cleaned.ring
    repairs = list(cleaned.repairs)
    mirror = None
    drawn_fold = _longest(raw.mirrors, "fold line", raw, notes)
    if drawn_fold is not None:
        edge = fold_edge(outline, far_ends(drawn_fold), file=file, item=name)
        outline, mirror = edge.outline, edge.mirror
        if edge.repairs:
            outline = clean_outline(outline, file=file, item=name).ring
            repairs.extend(edge.repairs)
    cutouts = []
    for drawn in raw.cutouts:
        cutout = clean_cutout(drawn, file=file, item=name)
        repairs.extend(cutout.repairs)
        cutouts.append(cutout.ring)
    _refuse_stray_cutouts(outline, cutouts, file=file, item=name)
    for repair in repairs:
        notes.add("repaired", name, repair)
    return PatternPiece(
        name=name,
        file=file,
        outline=outline,
        cutouts=tuple(cutouts),
        grain=_grain(raw, outline, notes),
        mirror=mirror,
        sew_lines=_paths(raw.sew_lines, "sew line", raw, notes),
        internal_lines=_paths(raw.internal_lines, "internal line", raw, notes),
        stripe_lines=_paths(raw.stripe_lines, "stripe line", raw, notes),
        plaid_lines=_paths(raw.plaid_lines, "plaid line", raw, notes),
        notches=_notches(raw, outline, notes),
        drill_holes=_drill_holes(raw, outline, notes),
        annotations=tuple(raw.annotations),
        quantity=raw.quantity,
        may_fold=raw.may_fold,
        material=raw.material,
        system_text=dict(raw.system_text),
    )


def refuse_same_names(pieces: Iterable[PatternPiece], file: str) -> None:
    """Refuse two pieces of one name.

    Raises
    ------
    InputError
        Naming the name that is used twice.
    """
    seen: set[str] = set()
    for piece in pieces:
        if piece.name in seen:
            raise InputError(
                "two pieces of the file have this name",
                remedy="give each piece a name of its own in the drawing",
                file=file,
                item=piece.name,
            )
        seen.add(piece.name)


def far_ends(path: FloatArray) -> tuple[Point, Point]:
    """Return the two points of a path that lie farthest apart, in the order they are drawn."""
    hull = shapely.get_coordinates(shapely.MultiPoint(path).convex_hull)
    apart = np.hypot(*(hull[:, None, :] - hull[None, :, :]).transpose(2, 0, 1))
    ends = [hull[index] for index in np.unravel_index(np.argmax(apart), apart.shape)]
    first, second = sorted(int(np.argmin(np.hypot(*(path - end).T))) for end in ends)
    (ax, ay), (bx, by) = path[first], path[second]
    return (float(ax), float(ay)), (float(bx), float(by))


def _grain(raw: RawPiece, outline: FloatArray, notes: Notes) -> tuple[Point, Point]:
    drawn = _longest(raw.grains, "grain line", raw, notes)
    left, low, right, high = bounds(outline)
    if drawn is None:
        middle = (left + right) / 2.0
        first, second = (middle, low), (middle, high)
        notes.add(
            "assumed", raw.name, "no grain line is drawn; the grain runs up the page to the top"
        )
    else:
        first, second = far_ends(drawn)
        length = float(np.hypot(second[0] - first[0], second[1] - first[1]))
        if not length > tolerances.ON_OUTLINE:
            raise InputError(
                f"the grain line is {length:.3g} mm long, which points nowhere; "
                f"it must be over {tolerances.ON_OUTLINE:g} mm",
                remedy="draw it again, from the bottom towards the top of the garment",
                file=notes.file,
                item=raw.name,
            )
    for top in raw.tops[:1]:
        along = np.subtract(second, first)
        if np.dot(np.subtract(top, first), along) < 0.5 * np.dot(along, along):
            first, second = second, first
    return first, second


def _longest(paths: list[FloatArray], what: str, raw: RawPiece, notes: Notes) -> FloatArray | None:
    if not paths:
        return None
    _refuse_infinite(paths, what, raw, notes)
    if len(paths) > 1:
        notes.unread(raw.name, f"{len(paths)} {what}s are drawn; the longest is used")
    return max(paths, key=lambda path: float(np.hypot(*np.subtract(*far_ends(path)))))


def _refuse_stray_cutouts(
    outline: FloatArray, cutouts: list[FloatArray], *, file: str, item: str
) -> None:
    piece = shapely.Polygon(outline)
    for index, cutout in enumerate(cutouts):
        hole = shapely.Polygon(cutout)
        x, y = (float(value) for value in cutout[0])
        wrong = ""
        if not piece.covers(hole):
            wrong = "reaches over the outline"
        elif any(hole.intersects(shapely.Polygon(other)) for other in cutouts[:index]):
            wrong = "meets another cutout"
        if wrong:
            raise InputError(
                f"the cutout at ({x:.2f}, {y:.2f}) mm {wrong}",
                remedy="redraw it wholly inside the piece and apart from other cutouts",
                file=file,
                item=item,
            )


def _refuse_infinite(paths: list[FloatArray], what: str, raw: RawPiece, notes: Notes) -> None:
    for path in paths:
        if not np.isfinite(path).all():
            raise InputError(
                f"a coordinate of a {what} is {path[~np.isfinite(path)][0]}, not a finite number",
                remedy="delete the line or draw it again",
                file=notes.file,
                item=raw.name,
            )


def _paths(
    paths: list[FloatArray], what: str, raw: RawPiece, notes: Notes
) -> tuple[FloatArray, ...]:
    _refuse_infinite(paths, what, raw, notes)
    return tuple(as_points(path) for path in paths)


def _notches(raw: RawPiece, outline: FloatArray, notes: Notes) -> tuple[Notch, ...]:
    edge = shapely.LinearRing(outline)
    kept = []
    for notch in raw.notches:
        _refuse_infinite([np.array([notch.at])], "notch", raw, notes)
        x, y = notch.at
        place = edge.interpolate(edge.project(shapely.Point(notch.at)))
        away = float(np.hypot(place.x - x, place.y - y))
        where = f"the notch at ({x:.2f}, {y:.2f}) mm stands {away:.2f} mm off the outline"
        if away > tolerances.ON_OUTLINE:
            notes.unread(raw.name, f"{where}, over the {tolerances.ON_OUTLINE:g} mm allowed")
            continue
        if away > tolerances.JOIN_ENDS:
            notes.add("repaired", raw.name, f"{where}; moved on to it")
        kept.append(Notch((place.x, place.y), notch.angle, notch.depth, notch.width, notch.kind))
    return tuple(kept)


def _drill_holes(raw: RawPiece, outline: FloatArray, notes: Notes) -> tuple[Point, ...]:
    piece = shapely.Polygon(outline)
    kept = []
    for x, y in raw.drill_holes:
        _refuse_infinite([np.array([(x, y)])], "drill hole", raw, notes)
        if piece.distance(shapely.Point(x, y)) > tolerances.JOIN_ENDS:
            notes.unread(raw.name, f"the drill hole at ({x:.2f}, {y:.2f}) mm is off the piece")
        else:
            kept.append((x, y))
    return tuple(kept)
