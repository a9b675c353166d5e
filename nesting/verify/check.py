"""The independent check of a layout against its plan, and of positions on a strip."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from shapely import affinity
from shapely.geometry import Polygon

from ..model.layout import Lay, Layout
from ..model.plan import Cloth, Plan, PlanPiece
from ..model.problem import PlacementProblem, Position
from ..tolerances import EDGE_SLACK, OVERLAP_DEPTH
from .apart import overlaps, too_near
from .border import check_border
from .breadths import check_breadths
from .buying import check_cloth
from .congruence import ring_polygon
from .design import check_design, start_on_design
from .findings import Finding
from .flaws import check_flaws
from .hands import HandLaid, check_hands, copy_numbers, hand_laid, is_own_reflection
from .leftover import check_leftover
from .panels import check_panel, cloth_under, usable_region
from .piecing import with_parts
from .placements import check_placement, placed_region
from .places import check_domains, check_obstacles
from .recompute import CutPiece, cut_piece
from .turns import check_turn
from .unfold import unfold


def check_layout(plan: Plan, layout: Layout) -> tuple[Finding, ...]:
    """Return everything wrong with a layout; an empty tuple means it may be cut.

    Every placed outline is worked out afresh from the plan's pattern pieces, by another way than
    the one that made the layout, and must be congruent to the outline in the layout with the hand
    and direction it declares. Folded cloth is spread out flat again, and lefts, rights and wholes
    are told by their outlines there. Grain, nap, counts, cloth, width, overlap, gap, marks,
    length, yardage and cost are checked against the plan, and so is where the design lets each
    piece lie; no piece may cover a flaw, or enter what is said to be left over. A lay that "does
    not fit" may leave pieces out and be longer than the cloth owned, but must give its reason;
    all else holds for it too.

    Tolerances are those of :mod:`nesting.tolerances`; all lengths in millimetres.
    """
    true = {piece.name: cut_piece(piece) for piece in plan.pieces}
    cloths = {cloth.name: cloth for cloth in plan.cloths}
    parted, true, findings = with_parts(plan, layout, true)
    pieces = {piece.name: piece for piece in parted.pieces}
    hands: dict[str, list[tuple[HandLaid, bool]]] = {name: [] for name in pieces}
    for lay in layout.lays:
        if lay.cloth not in cloths:
            findings.append(Finding("cloth", "the plan has no such cloth", lay.cloth))
            continue
        findings += _check_lay(lay, cloths[lay.cloth], pieces, true, hands)
        findings += check_design(lay, cloths[lay.cloth], pieces, parted.matches)
    findings += check_breadths(plan)
    findings += _counts(parted, layout, hands)
    return tuple(findings)


def check_result(
    problem: PlacementProblem, layout: Sequence[Position], length: float, *, tolerance: float
) -> tuple[Finding, ...]:
    """Return everything wrong with positions found for a placement problem.

    Every item must lie, in one of its own shapes, inside ``0 <= y <= width`` and ``0 <= x``; no
    two may overlap deeper than ``tolerance``, holes being free; ``length`` must be the greatest x
    reached. Each lies in its domain and on its lattice, those of one phase with one offset, and
    covers no obstacle that binds it. ``tolerance`` and ``length`` are in the problem's own unit.
    """
    if len(layout) != len(problem.items):
        text = f"{len(problem.items)} items to place but {len(layout)} positions"
        return (Finding("count", text),)
    findings: list[Finding] = []
    placed: list[Polygon] = []
    for item, position in zip(problem.items, layout, strict=True):
        if not (math.isfinite(position.x) and math.isfinite(position.y)):
            return (Finding("edge", f"it lies at ({position.x}, {position.y})", piece=item.name),)
        if position.shape not in item.shapes:
            text = f"it takes shape {position.shape}, which is none of its own {item.shapes}"
            return (Finding("outline", text, piece=item.name),)
        shape = problem.shapes[position.shape]
        region = affinity.translate(ring_polygon(shape.outer, shape.holes), position.x, position.y)
        placed.append(region)
        x0, y0, _, y1 = region.bounds
        over = max(-x0, -y0, y1 - problem.width)
        if not over <= tolerance:
            text = f"it stands {over:.4g} over the edge of the strip"
            findings.append(Finding("edge", text, piece=item.name))
    for i, j, depth in overlaps(placed, tolerance):
        text = f"it overlaps item {j} ({problem.items[j].name}) by {depth:.4g}"
        findings.append(Finding("overlap", text, piece=problem.items[i].name, copy=i))
    end = max(region.bounds[2] for region in placed)
    if not abs(end - length) <= tolerance:
        findings.append(Finding("length", f"length is given as {length!r} but is {end!r}"))
    findings += check_domains(problem, layout, tolerance)
    findings += check_obstacles(problem, layout, tolerance)
    return tuple(findings)


def _check_lay(
    lay: Lay,
    whole: Cloth,
    pieces: dict[str, PlanPiece],
    true: dict[str, CutPiece],
    hands: dict[str, list[tuple[HandLaid, bool]]],
) -> Iterator[Finding]:
    """Yield what is wrong with one lay; ``hands`` gathers what every cut piece came out as."""
    cloth = cloth_under(lay, whole)
    if isinstance(cloth, Finding):
        yield cloth
        return
    for placement in lay.placements:
        piece = pieces.get(placement.piece)
        if piece is None:
            text = "the plan has no such piece"
            yield Finding("count", text, lay.cloth, placement.piece, placement.copy)
        elif cloth.name not in _may_be_cut_from(piece):
            text = f"the plan cuts it from {' or '.join(_may_be_cut_from(piece))}"
            yield Finding("cloth", text, lay.cloth, placement.piece, placement.copy)
        else:
            yield from check_placement(placement, lay, cloth, piece, true[piece.name])
            yield from check_border(placement, lay, piece, true[piece.name])
    flat, faults = unfold(lay, cloth)
    for at, text in faults:
        name = ("", None) if at is None else (at.piece, at.copy)
        yield Finding("fold", text, lay.cloth, *name)
    for copy in flat:
        piece = pieces.get(copy.placement.piece)
        if piece is not None:
            hands[piece.name].append((hand_laid(copy, true[piece.name]), copy.mirrored))
            either = copy.placement.layers == 2 and is_own_reflection(true[piece.name])
            for kind, text in check_turn(copy, cloth, piece, either=either):
                yield Finding(kind, text, lay.cloth, piece.name, copy.placement.copy)
    regions = [copy.region for copy in flat]
    names = [(copy.placement.piece, copy.placement.copy) for copy in flat]
    # Where the layers are cut apart at the fold, either may be cut from its very edge.
    cut = cloth.fold_cut and lay.fold == "crosswise"
    layers = [cut and copy.upper for copy in flat]
    yield from _spacing(lay, cloth, regions, names, layers)
    yield from check_cloth(lay, cloth, regions, start_on_design(cloth, pieces))
    yield from check_flaws(lay, cloth.flaws)
    laid = [(p, region) for p in lay.placements if (region := placed_region(p)) is not None]
    placed, copies = [region for _, region in laid], [(p.piece, p.copy) for p, _ in laid]
    usable = usable_region(lay, whole)
    if usable is not None:
        yield from check_panel(lay, usable, placed, copies)
    yield from check_leftover(lay, placed, copies, usable)


def _spacing(
    lay: Lay,
    cloth: Cloth,
    regions: list[Polygon],
    names: list[tuple[str, int]],
    layers: list[bool],
) -> Iterator[Finding]:
    def other(j: int) -> str:
        return f"{names[j][0]} (copy {names[j][1]})"

    for i, j, depth in overlaps(regions, OVERLAP_DEPTH):
        yield Finding("overlap", f"it overlaps {other(j)} by {depth:.3f} mm", lay.cloth, *names[i])
    if cloth.gap > 0:
        for i, j, distance in too_near(regions, cloth.gap - EDGE_SLACK):
            if layers[i] != layers[j]:
                continue
            text = f"it lies {distance:.3f} mm from {other(j)}; the gap asked is {cloth.gap:g} mm"
            yield Finding("gap", text, lay.cloth, *names[i])


def _counts(
    plan: Plan, layout: Layout, hands: dict[str, list[tuple[HandLaid, bool]]]
) -> Iterator[Finding]:
    """Yield cloths laid never or twice, copies missing, too many or numbered twice."""
    laid = Counter((lay.cloth, lay.panel) for lay in layout.lays)
    short = {lay.cloth for lay in layout.lays if lay.status == "does not fit"}
    for lay in layout.lays:
        if lay.status == "does not fit" and not lay.reason:
            yield Finding("cloth", "it does not fit, but no reason is given", lay.cloth)
    for (name, panel), times in laid.items():
        if times > 1:
            what = "it" if panel is None else f"panel {panel}"
            yield Finding("cloth", f"{what} is laid {times} times", name)
    for piece in plan.pieces:
        numbers = [
            placement.copy
            for lay in layout.lays
            for placement in lay.placements
            if placement.piece == piece.name
        ]
        cloth = _cloth_laid(plan, layout, piece)
        may_lack = any(name in short for name in _may_be_cut_from(piece))
        yield from copy_numbers(piece, cloth, numbers)
        yield from check_hands(piece, cloth, hands[piece.name], may_lack=may_lack)


def _cloth_laid(plan: Plan, layout: Layout, piece: PlanPiece) -> Cloth:
    """Return the cloth by whose sides the hands of a piece count: the one it lies on.

    Where it lies on several, it is one whose sides differ.
    """
    laid = {lay.cloth for lay in layout.lays for p in lay.placements if p.piece == piece.name}
    names = laid or {piece.cloth}
    cloths = [cloth for cloth in plan.cloths if cloth.name in names] or plan.cloths
    return min(cloths, key=lambda cloth: cloth.sides == "alike")


def _may_be_cut_from(piece: PlanPiece) -> tuple[str, ...]:
    return piece.cloths or (piece.cloth,)
