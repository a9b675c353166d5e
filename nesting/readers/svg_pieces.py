"""Which groups and outlines of an SVG page are pieces, and what belongs to each."""

from __future__ import annotations

from dataclasses import dataclass, field

from .. import tolerances
from ..errors import InputError
from ..geometry.rings import bounds, signed_area
from ..model.pattern import Annotation
from .containment import Owners, nests, refuse_drawn_twice
from .drawn import DrawnPath, DrawnText, Notes, join_chains
from .marks import add_path
from .outline import is_straight, open_outline_error
from .piece import RawPiece
from .svg_tree import Names, SvgGroup


@dataclass(slots=True)
class _Gathered:
    """What belongs to one group: lines without a role, lines with one, texts, inner pieces."""

    lines: list[DrawnPath] = field(default_factory=list)
    marks: list[DrawnPath] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)
    pieces: list[SvgGroup] = field(default_factory=list)
    names: dict[int, Names] = field(default_factory=dict)

    def outlines(self) -> list[DrawnPath]:
        """Return the closed outlines without a role, ends joined."""
        chains = join_chains(self.lines, tolerances.JOIN_ENDS)
        return [path for path in chains if path.closed]

    def absorb(self, other: _Gathered) -> None:
        """Take over all that belongs to a group which is no piece by itself."""
        self.lines.extend(other.lines)
        self.marks.extend(other.marks)
        self.texts.extend(other.texts)
        self.pieces.extend(other.pieces)
        self.names.update(other.names)


def page_pieces(page: SvgGroup, notes: Notes) -> list[RawPiece]:
    """Return the pieces of a page: its named groups, however deep, then its loose outlines.

    A named group that holds pieces in groups of their own is a folder, not a piece. So is a
    layer of the drawing program with several outlines lying apart.

    Raises
    ------
    InputError
        If an outline is open or drawn twice, or one path holds several outlines.
    """
    raws: list[RawPiece] = []
    loose = _Gathered()
    _collect(page, loose, raws, notes)
    _add_loose(loose, raws, notes)
    return raws


def _gather(group: SvgGroup, role_word: str = "") -> _Gathered:
    found = _Gathered(texts=list(group.texts))
    for shape in group.shapes:
        for path in shape.paths:
            word = path.layer or role_word
            (found.marks if word else found.lines).append(path._replace(layer=word))
            found.names[path.shape] = shape.names
    for inner in group.groups:
        word = inner.names.role_word or role_word
        below = _gather(inner, word)
        if not word and inner.names.best and below.outlines():
            found.pieces.append(inner)
        else:
            found.absorb(below)
    return found


def _collect(group: SvgGroup, loose: _Gathered, raws: list[RawPiece], notes: Notes) -> None:
    """Make a group a piece, or leave its shapes to the page and look at the groups inside."""
    found = _gather(group)
    outlines = found.outlines() if group.names.best else []
    if group.is_layer and len(nests([path.points for path in outlines])) > 1:
        outlines = []
    if outlines and not found.pieces:
        raws.append(_group_piece(group, found, outlines, notes))
        return
    own = SvgGroup(group.names, shapes=group.shapes, texts=group.texts)
    loose.absorb(_gather(own, group.names.role_word))
    for inner in group.groups:
        _collect(inner, loose, raws, notes)


def _group_piece(
    group: SvgGroup, found: _Gathered, outlines: list[DrawnPath], notes: Notes
) -> RawPiece:
    refuse_drawn_twice(
        [path.points for path in outlines], [path.entity for path in outlines], file=notes.file
    )
    outline = max(outlines, key=lambda path: abs(signed_area(path.points)))
    name = group.names.best
    if group.is_layer:
        own = found.names[outline.shape]
        name = own.label or own.title or name
    piece = RawPiece(name, outline.points)
    for path in outlines:
        if path is outline:
            continue
        if path.shape == outline.shape:
            _add_hole(piece, path, notes)
        else:
            notes.unread(name, f"{path.entity} is closed but its name tells no role")
    joined = join_chains(found.lines, tolerances.JOIN_ENDS)
    for path in joined:
        if not path.closed:
            notes.unread(name, f"{path.entity} is open and its name tells no role")
    for path in found.marks:
        add_path(piece, path, notes)
    piece.annotations.extend(Annotation(text.at, text.text) for text in found.texts)
    return piece


def _add_hole(piece: RawPiece, path: DrawnPath, notes: Notes) -> None:
    piece.cutouts.append(path.points)
    notes.add("assumed", piece.name, "the inner lines of its path are cutouts")


def _add_loose(loose: _Gathered, raws: list[RawPiece], notes: Notes) -> None:
    """Add every named closed outline in no group as a piece, with the marks drawn on it."""
    pieces = _loose_outlines(loose, notes)
    owners = Owners([piece.outline for piece in pieces])
    late: list[RawPiece] = []
    for mark in loose.marks:
        owner = owners.of_path(mark.points)
        if owner is not None:
            add_path(pieces[owner], mark, notes)
        elif mark.closed and _is_large(mark):
            name = loose.names[mark.shape].best
            notes.add("assumed", name, f"it lies in no other piece, so it is one, not a {name!r}")
            late.append(RawPiece(name, mark.points))
        else:
            notes.unread(mark.entity, "it lies in no piece")
    for path in join_chains(loose.lines, tolerances.JOIN_ENDS):
        if path.closed:
            continue
        owner = owners.of_path(path.points)
        if owner is not None:
            notes.unread(pieces[owner].name, f"{path.entity} is open and its name tells no role")
        elif is_straight(path.points):
            notes.unread(path.entity, "a straight line in no piece")
        else:
            raise open_outline_error(path.points, file=notes.file, item=path.entity)
    for text in loose.texts:
        owner = owners.of_point(text.at)
        if owner is not None:
            pieces[owner].annotations.append(Annotation(text.at, text.text))
        else:
            notes.unread("<text>", f"{text.text[:40]!r} is written in no piece")
    raws.extend([*pieces, *late])


def _loose_outlines(loose: _Gathered, notes: Notes) -> list[RawPiece]:
    by_shape: dict[int, list[DrawnPath]] = {}
    for path in loose.outlines():
        by_shape.setdefault(path.shape, []).append(path)
    everything = [path for paths in by_shape.values() for path in paths]
    refuse_drawn_twice(
        [path.points for path in everything],
        [path.entity for path in everything],
        file=notes.file,
    )
    pieces = []
    for shape, paths in by_shape.items():
        name, entity = loose.names[shape].best, paths[0].entity
        if not name:
            notes.unread(entity, "a closed outline without a name (id or label)")
            continue
        found = nests([path.points for path in paths])
        if len(found) > 1:
            raise InputError(
                f"one path holds {len(found)} outlines lying apart",
                remedy="break the path apart and name each piece",
                file=notes.file,
                item=entity,
            )
        piece = RawPiece(name, paths[found[0].outer].points)
        for index in found[0].inner:
            _add_hole(piece, paths[index], notes)
        pieces.append(piece)
    return pieces


def _is_large(path: DrawnPath) -> bool:
    left, low, right, high = bounds(path.points)
    return max(right - left, high - low) >= tolerances.SMALLEST_PIECE
