"""Shapes on a strip of cloth as a small SVG picture, for notebooks."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

import shapely

from ..geometry.rings import FloatArray

_LETTER: Final = 0.6  # width of a letter over its height, at most


@dataclass(frozen=True, slots=True)
class StripShape:
    """A shape where it lies: outer ring and holes, its name, and the words written on it.

    ``labels`` are tried in turn; the first that fits across the widest place is written.
    """

    rings: Sequence[FloatArray]
    name: str
    labels: Sequence[str] = ()


def strip_svg(length: float, width: float, shapes: Iterable[StripShape]) -> str:
    """Return an SVG picture of shapes on a strip, x to the right and y upwards, 800 px wide.

    Every name and label is escaped. Nothing is loaded from anywhere.
    """
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {length:.6g} {width:.6g}" '
        f'width="800"><rect width="{length:.6g}" height="{width:.6g}" fill="white" '
        f'stroke="black" vector-effect="non-scaling-stroke"/>'
    ]
    for shape in shapes:
        rings = " ".join(
            "M" + " L".join(f"{x:.6g},{width - y:.6g}" for x, y in ring) + "Z"
            for ring in shape.rings
        )
        parts.append(
            f'<path d="{rings}" fill="#e8e4da" fill-rule="evenodd" stroke="black" '
            f'vector-effect="non-scaling-stroke"><title>{escape(shape.name)}</title></path>'
        )
        if shape.labels:
            parts.append(_label(shape, length, width))
    return "".join([*parts, "</svg>"])


def _label(shape: StripShape, length: float, width: float) -> str:
    region = shapely.make_valid(shapely.Polygon(shape.rings[0], shape.rings[1:]))
    circle = shapely.maximum_inscribed_circle(region)
    (x, y), radius = circle.coords[0], float(circle.length)
    size = max(length, width) / 55  # about 14 px on a picture of 800
    fits = (words for words in shape.labels if _LETTER * size * len(words) <= 2 * radius)
    words = next(fits, shape.labels[-1])
    size = min(size, 1.8 * radius / (_LETTER * len(words)))
    return (
        f'<text x="{x:.6g}" y="{width - y + 0.35 * size:.6g}" font-size="{size:.6g}" '
        f'font-family="sans-serif" fill="black" text-anchor="middle">{escape(words)}</text>'
    )
