"""Every drawing and paper of a layout, by the ending of its file and what is asked of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Literal

from .atomic import write_atomic
from .errors import InputError
from .model.layout import Lay, Layout
from .model.pattern import PatternPiece
from .model.plan import Plan
from .plot.cutting_list import cutting_list_pdf
from .plot.dxf import dxf_of
from .plot.exact_page import ExactDrawing, exact_lay, exact_piece
from .plot.full_size import full_size_long, full_size_sheets
from .plot.hpgl import hpgl_of
from .plot.marker import write_marker
from .plot.outlines import cloth_lines
from .plot.paper import LONG, paper_of
from .plot.patterns import as_laid, one_of_each, side_by_side
from .plot.plan_pages import CuttingPlan, plan_pdf
from .plot.plan_scale import FIT, parse_scale
from .plot.svg_exact import svg_of
from .report.chalk_sheet import chalk_csv, chalk_text
from .report.cutting_list import cutting_lists
from .report.cutting_list_text import lists_text
from .report.cutting_order import step_numbers
from .report.join_words import sewn_to
from .report.page import report_page
from .units import tape_unit

WORDED: Final = {"html": "report page", "txt": "cutting list", "csv": "chalk coordinates"}
"""What a file of words holds, by its ending, unless other words are asked for."""
_ENDINGS: Final = {
    "report page": ("html",), "cutting list": ("pdf", "txt"), "chalk coordinates": ("txt", "csv"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class DrawingOptions:
    """What is asked of a drawing.

    Attributes
    ----------
    cloth
        The one cloth to draw; None for all of them.
    panel
        The one owned piece of cloth to draw, by its number; None for all of them.
    full_size
        At exact size, rather than reduced. DXF and HP-GL always are.
    each
        The pieces by themselves, one of each, rather than the lay.
    pieces
        Only these, by their names; implies ``each``.
    scale
        Of a cutting plan as PDF: ``1:10``, ``1:20``, another, or ``fit`` for one page.
    side
        Which side of the cloth is up on a cutting plan.
    paper
        Of PDF pages: a name, a size such as ``610 x 914 mm``, or, full size, ``long`` for one.
    landscape
        Sheets with the long side at the foot; else, at full size, whichever takes fewer.
    high_contrast
        White and thick on black, for projectors; exact SVG only.
    words
        The cutting list (pdf or txt) or the chalk coordinates (txt or csv), rather than a drawing.
    plan
        Of the layout: adds to report page and cutting list what a layout does not carry.
    """

    cloth: str | None = None
    panel: int | None = None
    full_size: bool = False
    each: bool = False
    pieces: tuple[str, ...] = ()
    side: Literal["right", "wrong"] = "right"
    high_contrast: bool = False
    words: Literal["", "cutting list", "chalk coordinates"] = ""
    plan: Plan | None = None
    scale: str = FIT
    paper: str | None = None
    landscape: bool = False


def write_drawing(
    layout: Layout, path: str | Path, options: DrawingOptions = DrawingOptions()
) -> Path:
    """Draw a layout to a file; its ending says how: png, svg, pdf, dxf, plt, html, txt or csv.

    Returns
    -------
    Path
        The file written; it appears whole or not at all.

    Raises
    ------
    InputError
        If the ending is not known, or what is asked cannot be drawn so.
    InputFileError
        If the file cannot be written.
    """
    target = Path(path)
    ending = target.suffix.lower().removeprefix(".")
    lays = _chosen(layout, options)
    by_itself = options.each or bool(options.pieces)
    if options.words or ending in WORDED:
        return write_atomic(target, _worded(layout, lays, target, options))
    if ending in {"dxf", "plt"} or (ending == "svg" and (options.full_size or by_itself)):
        return write_atomic(target, _exact(layout, _only(lays, target), ending, options))
    if ending == "pdf":
        full = options.full_size or by_itself
        make = _full_size if full else _cutting_plan
        return write_atomic(target, make(layout, lays, options))
    return write_marker(replace(layout, lays=tuple(lays)), target)


def _worded(layout: Layout, lays: list[Lay], file: Path, options: DrawingOptions) -> bytes:
    """Return a paper of words for the table: report page, cutting list or chalk coordinates."""
    ending = file.suffix.lower().removeprefix(".")
    asked = options.words or WORDED.get(ending, "")
    if ending not in _ENDINGS[asked]:
        raise InputError(
            f"{asked} cannot be written to such a file",
            remedy=f"end the name in {' or '.join(_ENDINGS[asked])}",
            file=file,
        )
    if asked == "report page":
        text = report_page(replace(layout, lays=tuple(lays)), plan=options.plan)
    elif asked == "cutting list":
        cut = [lay for lay in layout.lays if lay.placements]
        lists = cutting_lists(layout, options.plan)
        chosen = [found for lay, found in zip(cut, lists, strict=True) if lay in lays]
        if ending == "pdf":
            paper = paper_of(options.paper or default_paper(layout.units))
            return cutting_list_pdf(
                chosen, paper.lying if options.landscape else paper, layout.title
            )
        text = lists_text(chosen)
    elif ending == "csv":
        text = chalk_csv(_only(lays, file), layout.units)
    else:
        text = "\n".join(chalk_text(lay, layout.units, title=layout.title) for lay in lays)
    return text.encode("utf-8")


def _exact(layout: Layout, lay: Lay, ending: str, options: DrawingOptions) -> bytes:
    """Return a file at exact size that machines read."""
    pieces: tuple[PatternPiece, ...]
    if options.each or options.pieces:
        pieces, cloth = side_by_side(one_of_each(lay, options.pieces)), []
    else:
        pieces, cloth = as_laid(lay), list(cloth_lines(lay))
    title = " - ".join(part for part in (layout.title, lay.cloth) if part)
    if ending == "dxf":
        return dxf_of(pieces, title)
    if ending == "plt":
        return hpgl_of(pieces, cloth)
    return svg_of(pieces, title, cloth=cloth, high_contrast=options.high_contrast)


def _full_size(layout: Layout, lays: list[Lay], options: DrawingOptions) -> bytes:
    """Return a PDF at exact size, on sheets or on long pages."""
    drawings: list[ExactDrawing] = []
    for lay in lays:
        if options.each or options.pieces:
            drawings += [
                exact_piece(piece, f"{piece.name}  \N{MIDDLE DOT}  {lay.cloth}", layout.units)
                for piece in one_of_each(lay, options.pieces)
            ]
        else:
            drawings.append(exact_lay(lay, lay_name(lay), layout.units))
    name = options.paper or default_paper(layout.units)
    if name.strip().lower() == LONG:
        return full_size_long(drawings, layout.title)
    paper = paper_of(name)
    papers = [paper.lying] if options.landscape else [paper, paper.lying]
    return full_size_sheets(drawings, papers, layout.title)


def _cutting_plan(layout: Layout, lays: list[Lay], options: DrawingOptions) -> bytes:
    """Return a PDF of the lays reduced; A4 or Letter lies unless the paper is named."""
    times = parse_scale(options.scale)
    plans = [
        CuttingPlan(
            lay,
            layout.title,
            layout.units,
            step_numbers(lay),
            times,
            options.side == "wrong",
            sewn_to(layout, layout.lays.index(lay)),
        )
        for lay in lays
    ]
    paper = paper_of(options.paper or default_paper(layout.units))
    lying = options.landscape or options.paper is None
    return plan_pdf(plans, paper.lying if lying else paper, layout.title)


def default_paper(units: str) -> str:
    """Return the paper most likely in the printer of a maker who works in these units."""
    return "Letter" if tape_unit(units) == "in" else "A4"


def lay_name(lay: Lay) -> str:
    """Return the name of the cloth, and of the piece of it where there are several."""
    return lay.cloth if lay.panel is None else f"{lay.cloth}, {lay.panel_name or lay.panel}"


def _chosen(layout: Layout, options: DrawingOptions) -> list[Lay]:
    """Return the lays to draw, all with pieces."""
    lays = [
        lay
        for lay in layout.lays
        if options.cloth in {None, lay.cloth} and options.panel in {None, lay.panel}
    ]
    if not lays:
        asked = "no cloth" if options.cloth is None else f"no cloth {options.cloth!r}"
        if options.panel is not None:
            asked += f" with a panel {options.panel}"
        raise InputError(f"the layout has {asked}", remedy=f"it has {_names(layout.lays)}")
    laid = [lay for lay in lays if lay.placements]
    if not laid:
        raise InputError("no piece is laid, so there is nothing to draw", item=layout.title)
    return laid


def _only(lays: list[Lay], file: Path) -> Lay:
    if len(lays) > 1:
        raise InputError(
            f"the layout has {len(lays)} lays and such a file holds one",
            remedy=f"choose one of {_names(lays)} with --cloth and --panel",
            file=file,
        )
    return lays[0]


def _names(lays: Iterable[Lay]) -> str:
    def name(lay: Lay) -> str:
        return repr(lay.cloth) if lay.panel is None else f"{lay.cloth!r} panel {lay.panel}"

    return ", ".join(dict.fromkeys(map(name, lays)))
