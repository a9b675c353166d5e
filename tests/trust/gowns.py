"""Plans and layouts whose pieces have names in any script."""

import json
from dataclasses import replace

from nesting.model.reading_order import one_form

from ..handmade import two_gores

NAMES = (
    "\u03c0\u03bf\u03b4\u03b9\u03ac",  # Greek: apron
    "\u0440\u0443\u043a\u0430\u0432",  # Russian: sleeve
    "\u7d79\u306e\u8896",  # Japanese: sleeve of silk
    "\u0641\u0633\u062a\u0627\u0646",  # Arabic: gown
    "\u05d7\u05e6\u05d0\u05d9\u05ea",  # Hebrew: skirt
    "cafe\u0301 noir",  # an accent by itself
    "rev\u202eers \u2067x",  # controls that would turn round all that follows
    "\U0001faa1 tape",  # beyond the first 65536 letters
)
"""Names of pieces in any script."""
DXF_NAMES = [one_form(name).replace("\U0001faa1", "\N{REPLACEMENT CHARACTER}") for name in NAMES]
"""As a DXF file of the R12 kind can hold them."""


def quoted(text):
    """Return a text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False)


def plan_in(folder, names=NAMES, file="pieces.svg", written=None, title="Gown"):
    """Write a plan of one cloth with a piece of each name, and its pattern file; return it."""
    folder.mkdir(parents=True, exist_ok=True)
    groups = [
        f'<g><title>{name}</title><path d="M {120 * n} 0 h 100 v 200 h -100 Z"/>'
        f'<line class="grain" x1="{120 * n + 50}" y1="150" x2="{120 * n + 50}" y2="50"/></g>'
        for n, name in enumerate(names)
    ]
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="400mm"'
    text = f'{head} viewBox="0 0 2000 400">{"".join(groups)}</svg>'
    (folder / file).write_bytes(text.encode())
    cloth = f'[[cloth]]\nname = "{names[0]} {names[-1]}"\nwidth = "90,5 cm"\n'
    pieces = [
        f"[[piece]]\nname = {quoted(name)}\nfile = {quoted(written or file)}\n"
        f'cloth = "{names[0]} {names[-1]}"\ncut = 1\n'
        for name in names
    ]
    path = folder / "gown.toml"
    path.write_bytes(f'title = "{title}"\nunits = "cm"\n{cloth}{"".join(pieces)}'.encode())
    return path


def layout_named(names):
    """Return a right layout whose pieces have these names, whose cloth has the first."""
    _, layout = two_gores()
    (lay,) = layout.lays
    placed = [lay.placements[n % len(lay.placements)] for n in range(len(names))]
    placed = [replace(one, piece=name, copy=1) for one, name in zip(placed, names, strict=True)]
    lay = replace(lay, cloth=names[0], placements=tuple(placed))
    return replace(layout, title=names[0], lays=(lay,))
