"""Drafts the whole costume and writes its pattern files.

``python -m sample_pieces.draft [FOLDER]``; run it again after changing a measurement. The files
under ``pieces/`` are what it wrote.
"""

from __future__ import annotations

import logging
import sys
from dataclasses import replace
from pathlib import Path

from .draft_bodice import draft_bodice
from .draft_cape import draft_cape
from .draft_skirt import draft_binding, draft_facing, draft_gores, draft_waistband
from .draft_sleeve import draft_collar, draft_cuff, draft_sleeve
from .garment import Garment
from .measurements import QUEEN, Body
from .write_dxf import write_dxf
from .write_svg import write_svg


def outer_bodice(body: Body = QUEEN) -> tuple[Garment, ...]:
    """Return bodice, sleeves, cuff and collar as cut from the outer cloth."""
    pieces = (*draft_bodice(body), *draft_sleeve(body), draft_cuff(body), draft_collar(body))
    return tuple(replace(piece, material="taffeta") for piece in pieces)


def skirt(body: Body = QUEEN) -> tuple[Garment, ...]:
    """Return gores, waistband and binding as cut from the outer cloth."""
    pieces = (*draft_gores(body).values(), draft_waistband(body), draft_binding())
    return tuple(replace(piece, material="taffeta") for piece in pieces)


def lining(body: Body = QUEEN) -> tuple[Garment, ...]:
    """Return the lining: the bodice again without bones, and the facings of the train's hem."""
    bodice = tuple(
        replace(piece, name=f"{piece.name} lining", internal=piece.internal[: len(piece.drills)])
        for piece in draft_bodice(body)
    )
    gores = draft_gores(body)
    facings = (draft_facing(gores[name]) for name in ("back side gore", "train gore"))
    return (*bodice, *facings)


def write_all(folder: Path) -> None:
    """Write every pattern file of the costume into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    write_dxf(folder / "bodice.dxf", "storm queen bodice", outer_bodice())
    write_dxf(folder / "skirt.dxf", "storm queen skirt", skirt())
    write_svg(folder / "lining.svg", "storm queen lining and facings", lining())
    write_svg(folder / "cape.svg", "storm cape", draft_cape())


if __name__ == "__main__":
    # R12 has no place for units outside the Units text, and says so at every file.
    logging.getLogger("ezdxf").setLevel(logging.ERROR)
    write_all(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent / "pieces")
