"""The SVG file itself: parsed safely, and the way from its units to millimetres."""

from __future__ import annotations

import math
import re
from contextlib import suppress
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element, ParseError

import defusedxml
import numpy as np
from defusedxml.ElementTree import parse
from svgelements import Matrix, Viewbox

from ..errors import InputError, InputFileError
from ..geometry.rings import FloatArray

if TYPE_CHECKING:
    from pathlib import Path

    from .drawn import Notes

MM_PER_PX: Final = 25.4 / 96.0
"""CSS Values and Units, section 6.2: 96 px are one inch."""

_NUMBER: Final = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_LENGTH = re.compile(rf"^\s*({_NUMBER})\s*([a-zA-Z%]*)\s*$")
_PX_PER: Final = {
    "": 1.0, "px": 1.0, "in": 96.0, "cm": 96.0 / 2.54, "mm": 96.0 / 25.4, "q": 96.0 / 101.6,
    "pt": 96.0 / 72.0, "pc": 16.0,
}  # fmt: skip
_ARGUMENTS: Final = {
    "matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,),
    "skewY": (1,),
}  # fmt: skip
_FUNCTION = re.compile(r"\s*([a-zA-Z]+)\s*\(([^()]*)\)[\s,]*")
_BETWEEN = re.compile(r"\s*,\s*|\s+")


def open_svg(path: Path) -> Element:
    """Parse an SVG file and return its root.

    Entities are not expanded and nothing outside the file is fetched.

    Raises
    ------
    InputFileError
        If it is no XML, breaks off, declares entities, or is not SVG.
    """
    try:
        root: Element = parse(path).getroot()
    except defusedxml.DefusedXmlException:
        raise InputFileError(
            "it declares XML entities, which are not expanded for safety",
            remedy="save it as plain SVG",
            file=path,
        ) from None
    except (ParseError, ValueError, LookupError) as error:
        raise InputFileError(
            f"it is not whole XML ({error})", remedy="save it again as plain SVG", file=path
        ) from None
    if local_name(root) != "svg":
        raise InputFileError(
            f"its first element is <{local_name(root)}>, not <svg>",
            remedy="save it as plain SVG",
            file=path,
        )
    return root


def local_name(element: Element) -> str:
    """Return an element's name without its namespace; empty for comments and the like."""
    return element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""


def numbers(text: str) -> list[float] | None:
    """Return the numbers of an attribute, parted by blanks or commas; None if any is not one."""
    parts = [part for part in _BETWEEN.split(text.strip()) if part]
    if not all(re.fullmatch(_NUMBER, part) for part in parts):
        return None
    found = [float(part) for part in parts]
    return found if all(math.isfinite(value) for value in found) else None


def pixels(text: str, *, file: str, item: str) -> float:
    """Return a length in px, 96 to the inch.

    Raises
    ------
    InputError
        If it is no length, or depends on the font or the window.
    """
    match = _LENGTH.match(text)
    if match is None or match[2].lower() not in _PX_PER or not math.isfinite(float(match[1])):
        raise InputError(
            f"{text!r} is not a length of fixed size",
            remedy="write it in mm, cm, in, pt or px",
            file=file,
            item=item,
        )
    return float(match[1]) * _PX_PER[match[2].lower()]


def transform_of(text: str, *, file: str, item: str) -> FloatArray:
    """Return a ``transform`` attribute as a 3 by 3 matrix for column vectors.

    Raises
    ------
    InputError
        If it is not a list of SVG transform functions, or shrinks everything to nothing.
    """
    if text.strip() in {"", "none"}:
        return np.eye(3)
    place, known = 0, True
    while known and place < len(text):
        match = _FUNCTION.match(text, place)
        known = match is not None and match[1] in _ARGUMENTS
        if match is not None and known:
            values = numbers(match[2])
            known = values is not None and len(values) in _ARGUMENTS[match[1]]
            place = match.end()
    found = np.zeros((3, 3))
    if known:
        with suppress(ArithmeticError, ValueError):  # an angle beyond all bounds
            found = as_array(Matrix(text))
    with np.errstate(over="ignore", invalid="ignore"):
        size = abs(np.linalg.det(found))
    if size < 1e-12:
        raise InputError(
            f"the transform {text!r} is not one that can be undone",
            remedy="correct it, or remove it in the drawing program",
            file=file,
            item=item,
        )
    return found


def as_array(matrix: Matrix) -> FloatArray:
    """Return an svgelements matrix as a 3 by 3 array for column vectors."""
    rows = [[matrix.a, matrix.c, matrix.e], [matrix.b, matrix.d, matrix.f], [0.0, 0.0, 1.0]]
    return np.array(rows, dtype=np.float64)


def page_to_mm(root: Element, notes: Notes) -> FloatArray:
    """Return the 3 by 3 matrix from the root's user units to millimetres, y up.

    The origin is the upper left corner of the page, so that on the page y is negative.

    Raises
    ------
    InputError
        If width, height or viewBox are nonsense.
    """
    sizes = {name: root.get(name) for name in ("width", "height")}
    if not any(
        text and re.search(r"(?i)\d\s*(mm|cm|in|pt|pc|q)\s*$", text) for text in sizes.values()
    ):
        notes.add("assumed", "", "width and height carry no unit; 96 px are taken as one inch")
    return np.diag([MM_PER_PX, -MM_PER_PX, 1.0]) @ viewport(root, notes)


def viewport(svg: Element, notes: Notes) -> FloatArray:
    """Return the 3 by 3 matrix from inside an ``<svg>`` element to px outside it.

    Raises
    ------
    InputError
        If width, height or viewBox are nonsense.
    """
    box = svg.get("viewBox")
    if box is None:
        return np.eye(3)
    values = numbers(box)
    if values is None or len(values) != 4 or min(values[2:]) <= 0.0:
        raise InputError(
            f"viewBox is {box!r}",
            remedy="it must be four numbers, the last two above zero",
            file=notes.file,
            item="<svg>",
        )
    x, y, across, down = values
    width, height = (_side(svg, name, notes) for name in ("width", "height"))
    if width is None:
        width = across if height is None else across * height / down
    if height is None:
        height = down * width / across
    stretch = (width / across) / (height / down)
    fit = svg.get("preserveAspectRatio")
    if fit is None and abs(stretch - 1.0) > 1e-3:
        notes.add(
            "assumed",
            "<svg>",
            f"width and height stretch the viewBox unevenly (by {stretch:.4f}); the smaller "
            "scale is used both ways",
        )
    return as_array(
        Matrix(Viewbox.viewbox_transform(0.0, 0.0, width, height, x, y, across, down, fit))
    )


def _side(svg: Element, name: str, notes: Notes) -> float | None:
    text = svg.get(name)
    if text is None or text.strip().endswith("%") or text.strip() == "auto":
        return None
    side = pixels(text, file=notes.file, item=f"<svg> {name}")
    if not side > 0.0:
        raise InputError(
            f"{name} is {text!r}",
            remedy="it must be above zero",
            file=notes.file,
            item="<svg>",
        )
    return side
