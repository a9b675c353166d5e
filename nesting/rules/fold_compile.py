"""The placement problems of folded cloth: the folded stretch, and the one opened out behind it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from ..geometry.rings import bounds
from ..geometry.simplify import simplify_outward
from ..model.problem import Domain, Item, PlacementProblem, Shape
from ..tolerances import SAME_POINT, SIMPLIFY_OUTWARD
from .compile import CompiledLay, LaidPiece, Ticket, item_name
from .fold import Band, Folding, FoldLine
from .fold_pairs import PieceOnFold
from .gap import grow, within_box
from .true_piece import TruePiece


@dataclass(frozen=True, slots=True, eq=False)
class FoldedLay:
    """One way to cut a cloth's pieces from it folded.

    Attributes
    ----------
    whole
        The same pieces on the cloth laid open.
    folded
        The folded stretch. A shape at (x, y) is the piece at (x - ``margin``[0],
        y - ``margin``[1]).
    opened
        The stretch behind it, opened out to a single layer; None where all pieces lie folded.
    """

    whole: CompiledLay
    folding: Folding
    folded: CompiledLay
    margin: tuple[float, float]
    opened: CompiledLay | None

    @property
    def stretches(self) -> tuple[CompiledLay, ...]:
        """The problems to solve, the folded stretch first."""
        return (self.folded,) if self.opened is None else (self.folded, self.opened)


@dataclass(frozen=True, slots=True)
class Share:
    """How many of a piece's copies lie as halves on the fold, and how many pairs lie double."""

    on_fold: int
    double: int


def most_folded(pieces: Sequence[PieceOnFold], *, double_first: bool = False) -> tuple[Share, ...]:
    """Return the shares at which as much as can be is cut folded.

    Halves lie on the fold; with ``double_first`` two of them are cut at one stroke, whole.
    """
    shares = []
    for piece in pieces:
        pairs = len(piece.pairs)
        left = len(piece.copies)
        if piece.on_fold and not (double_first and pairs):
            shares.append(Share(left, 0))
        else:
            rest = left - 2 * pairs
            shares.append(Share(rest if piece.on_fold else 0, pairs))
    return tuple(shares)


def fold_lay(
    whole: CompiledLay,
    folding: Folding,
    pieces: Sequence[PieceOnFold],
    shares: Sequence[Share],
) -> FoldedLay | None:
    """Return the problems of folded cloth with so much of each piece folded.

    Parameters
    ----------
    whole
        The cloth laid open.
    pieces
        What the fold allows, as :func:`nesting.rules.fold_pairs.pieces_on_fold` says.
    shares
        One for each piece; what neither lies on the fold, for want of room too, nor double lies
        single, beside the folded part where there is room, else in the opened stretch.

    Returns
    -------
    FoldedLay or None
        None where nothing is cut folded.
    """
    stretch = _Stretch(whole, folding)
    single: list[int] = []
    for piece, share in zip(pieces, shares, strict=True):
        for first, _ in piece.pairs[: share.double]:
            stretch.add_double(first, piece.double)
        paired = {k for pair in piece.pairs[: share.double] for k in pair}
        left = [k for k in piece.copies if k not in paired]
        lying = [k for k in left[: share.on_fold] if stretch.add_on_fold(k, piece.on_fold)]
        single += [k for k in left if k not in lying]
    if not stretch.tickets:
        return None
    beyond = [k for k in sorted(single) if not stretch.add_beside(k)]
    return FoldedLay(
        whole,
        folding,
        stretch.compiled(),
        stretch.margin,
        restricted(whole, beyond) if beyond else None,
    )


def restricted(whole: CompiledLay, keep: Sequence[int]) -> CompiledLay:
    """Return a compiled lay of some of its tickets, with only the shapes these need."""
    used = sorted({s for k in keep for s in whole.problem.items[k].shapes})
    number = {old: new for new, old in enumerate(used)}
    tickets = tuple(
        replace(
            whole.tickets[k],
            choices={number[s]: laid for s, laid in whole.tickets[k].choices.items()},
        )
        for k in keep
    )
    items = tuple(
        replace(
            whole.problem.items[k], shapes=tuple(number[s] for s in whole.problem.items[k].shapes)
        )
        for k in keep
    )
    shapes = tuple(whole.problem.shapes[s] for s in used)
    problem = replace(whole.problem, shapes=shapes, items=items)
    return replace(whole, problem=problem, tickets=tickets)


class _Stretch:
    """A folded stretch as it gathers: shapes, items with their domains, tickets."""

    def __init__(self, whole: CompiledLay, folding: Folding) -> None:
        self.tickets: list[Ticket] = []
        self._whole = whole
        self._folding = folding
        self._half_gap = whole.cloth.gap / 2
        self._across = folding.width  # what is left of a fold across the cloth
        self._exact = whole.exact
        self._shapes: list[Shape] = []
        self._items: list[Item] = []
        self._known: dict[tuple[int, object], int] = {}
        low_fold = any(line.inward == (0.0, 1.0) for line in folding.lines)
        # Half a gap is kept from a fold, so that a piece and its copy beyond it are a gap apart;
        # a selvage or cut end may be touched.
        self.margin = (
            0.0 if folding.kind == "crosswise" and not folding.cut else self._half_gap,
            0.0 if low_fold else self._half_gap,
        )

    def add_double(self, index: int, laid: Iterable[LaidPiece]) -> None:
        """Add a pair that is cut through both layers."""
        ticket = self._whole.tickets[index]
        choices: list[tuple[int, LaidPiece, Domain | None]] = []
        for way in laid:
            shape = self._shape(way, None)
            choices += [
                (shape, way, domain) for domain in self._bands(way.piece, self._folding.double)
            ]
        self._add(replace(ticket, layers=2), choices)

    def add_on_fold(self, index: int, laid: Sequence[tuple[LaidPiece, FoldLine]]) -> bool:
        """Add a copy that lies as a half on a fold; tell whether there is room for it."""
        if self._folding.kind == "crosswise":
            # All lie side by side across the cloth, their edges on the one fold.
            across = min(way.piece.size[1] for way, _ in laid) + 2 * self._half_gap
            if across > self._across + 2 * self._half_gap + SAME_POINT:
                return False
            self._across -= across
        choices = []
        for way, line in laid:
            shape = self._shape(way, line)
            choices.append((shape, way, _pinned(way.piece, line, self.margin)))
        self._add(replace(self._whole.tickets[index], layers=2, on_fold=True), choices)
        return True

    def add_beside(self, index: int) -> bool:
        """Add a single copy beside the folded part; tell whether there is room for it."""
        band, ticket = self._folding.single, self._whole.tickets[index]
        choices: list[tuple[int, LaidPiece, Domain | None]] = []
        for laid in ticket.choices.values() if band is not None else ():
            domains = self._bands(laid.piece, () if band is None else (band,))
            choices += [(self._shape(laid, None), laid, domain) for domain in domains]
        if choices:
            self._add(ticket, choices)
        return bool(choices)

    def compiled(self) -> CompiledLay:
        """Return the stretch as a placement problem."""
        # The far edge is a fold, unless the fold runs across the cloth.
        far = 1.0 if self._folding.kind == "crosswise" else 0.0
        width = self._folding.width + self.margin[1] + far * self._half_gap
        problem = PlacementProblem(tuple(self._shapes), tuple(self._items), width)
        return CompiledLay(
            self._whole.plan, self._whole.cloth, problem, tuple(self.tickets), self._exact
        )

    def _add(
        self, ticket: Ticket, choices: Sequence[tuple[int, LaidPiece, Domain | None]]
    ) -> None:
        domains = tuple(domain for _, _, domain in choices)
        self.tickets.append(replace(ticket, choices={s: laid for s, laid, _ in choices}))
        self._items.append(
            Item(
                item_name(ticket),
                tuple(shape for shape, _, _ in choices),
                domains if any(domains) else (),
            )
        )

    def _shape(self, laid: LaidPiece, line: FoldLine | None) -> int:
        """Return the index of a laid piece's shape, adding it if it is new."""
        key = (id(laid.piece), line)
        if key not in self._known:
            self._known[key] = len(self._shapes)
            self._shapes.append(self._grown(laid.piece, line))
        return self._known[key]

    def _grown(self, piece: TruePiece, line: FoldLine | None) -> Shape:
        margin = self._half_gap
        x0, y0, x1, y1 = bounds(piece.outline)
        box = [x0 - margin, y0 - margin, x1 + margin, y1 + margin]
        if line is not None:
            # What lies beyond the fold is the other layer.
            side = {(0.0, -1.0): 3, (0.0, 1.0): 1, (1.0, 0.0): 0}[line.inward]
            box[side] = (x0, y0, x1, y1)[side]
        room = (box[0], box[1], box[2], box[3])
        outer, holes = grow(piece.outline, piece.cutouts, margin)
        shape = Shape(within_box(simplify_outward(outer, SIMPLIFY_OUTWARD), room), holes)
        if shape.area > piece.area * (1 + 1e-9):
            self._exact = False
        return shape

    def _bands(self, piece: TruePiece, bands: Sequence[Band]) -> list[Domain | None]:
        """Return where a piece may lie that must stay within one of several bands."""
        found: list[Domain | None] = []
        for low, high in bands:
            spare = high - low - piece.size[1]
            if spare < -SAME_POINT:
                continue
            if (low, high) == (0.0, self._folding.width):
                found.append(None)
            else:
                first = low + self.margin[1]
                found.append(Domain(y=(first, first + max(spare, 0.0))))
        return found


def _pinned(piece: TruePiece, line: FoldLine, margin: tuple[float, float]) -> Domain:
    """Return the only place along one axis where a half's edge is on the fold."""
    if line.inward[0]:
        return Domain(x=(line.at + margin[0], line.at + margin[0]))
    place = line.at + margin[1] - (piece.size[1] if line.inward[1] < 0 else 0.0)
    return Domain(y=(place, place))
