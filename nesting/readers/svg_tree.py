"""The groups and shapes of an SVG page, placed, named and with their roles told."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, NamedTuple
from xml.etree.ElementTree import Element

import numpy as np

from ..errors import InputError
from ..geometry.rings import FloatArray
from .drawn import DrawnPath, DrawnText, Notes
from .roles import Role, role_of
from .svg_page import local_name, pixels, transform_of, viewport
from .svg_shapes import SHAPES, shape_paths

_INKSCAPE: Final = "{http://www.inkscape.org/namespaces/inkscape}"
_HREF: Final = ("href", "{http://www.w3.org/1999/xlink}href")
_GROUPS: Final = frozenset({"g", "a", "switch"})
_NOT_DRAWN: Final = frozenset({
    "", "defs", "title", "desc", "metadata", "namedview", "clipPath", "mask", "marker", "pattern",
    "symbol", "linearGradient", "radialGradient", "filter", "script", "style",
})  # fmt: skip
_DEEPEST: Final = 50
_MOST_ELEMENTS: Final = 30_000
_FARTHEST: Final = 1e15  # mm, or mm to a unit: no page is so large


class Names(NamedTuple):
    """What an element is called: empty strings where it is silent."""

    id: str = ""
    label: str = ""
    title: str = ""
    css_class: str = ""

    @property
    def best(self) -> str:
        """The name a maker sees: the label, else the title, else the id."""
        return self.label or self.title or self.id

    @property
    def role(self) -> Role | None:
        """The role told by the first word of id, label, title or class."""
        return role_of(self.id, self.label, self.title, self.css_class)

    @property
    def role_word(self) -> str:
        """The name that tells the role; empty where none does."""
        return next((name for name in self if role_of(name)), "")


@dataclass(slots=True)
class SvgShape:
    """A shape on the page: its subpaths in millimetres, y up, and what it is called.

    ``layer`` of the paths is the name that tells the role, its own or that of a group around it;
    empty where none does.
    """

    names: Names
    paths: list[DrawnPath]


@dataclass(slots=True)
class SvgGroup:
    """A group on the page and all that is directly in it."""

    names: Names
    is_layer: bool = False
    shapes: list[SvgShape] = field(default_factory=list)
    groups: list[SvgGroup] = field(default_factory=list)
    texts: list[DrawnText] = field(default_factory=list)


class TreeReader:
    """Reads one SVG page.

    Parameters
    ----------
    root
        The ``<svg>`` element.
    notes
        Told of everything that is not read; names the file.
    """

    def __init__(self, root: Element, notes: Notes) -> None:
        self.root = root
        self.notes = notes
        self.file = notes.file
        self._by_id = {element.get("id"): element for element in root.iter() if element.get("id")}
        self._count = 0

    def read(self, to_mm: FloatArray) -> SvgGroup:
        """Return the page as a group without a name.

        Parameters
        ----------
        to_mm
            3 by 3, from the user units inside the root to millimetres, y up.

        Raises
        ------
        InputError
            If a shape, a transform or a reference is not what SVG allows.
        """
        for style in self.root.iter():
            if local_name(style) == "style" and _moves_or_hides(style.text or ""):
                self.notes.unread(
                    "<style>", "the style sheet hides or moves elements; that is not followed"
                )
        page = SvgGroup(Names())
        self._read_children(self.root, page, to_mm, 0)
        return page

    def _read_children(
        self, parent: Element, group: SvgGroup, matrix: FloatArray, depth: int
    ) -> None:
        for element in parent:
            self._read_element(element, group, matrix, depth, None)

    def _read_element(
        self,
        element: Element,
        group: SvgGroup,
        matrix: FloatArray,
        depth: int,
        called: Names | None,
    ) -> None:
        tag = local_name(element)
        if tag in _NOT_DRAWN:
            return
        names = called or _names(element)
        # What has no name of its own goes by that of its group.
        item = f"<{tag}> {names.best or group.names.best}".strip()
        self._count += 1
        if self._count > _MOST_ELEMENTS or depth > _DEEPEST:
            raise InputError(
                f"its elements refer to each other over {_DEEPEST} deep or unfold to more than "
                f"{_MOST_ELEMENTS}",
                remedy="unlink the clones in the drawing program and save it again",
                file=self.file,
                item=item,
            )
        if _hidden(element):
            self.notes.unread(item, "it is hidden")
            return
        if element.get("clip-path", "none") != "none" or element.get("mask", "none") != "none":
            self.notes.unread(item, "its clipping or mask; it is read whole")
        matrix = self._within(item, matrix, self._transform(element, item))
        if tag in SHAPES:
            paths = shape_paths(element, matrix, file=self.file, item=item, layer=names.role_word)
            if paths:
                paths = [path._replace(shape=self._count) for path in paths]
                group.shapes.append(SvgShape(names, paths))
            else:
                self.notes.unread(item, "nothing is drawn by it")
        elif tag in _GROUPS:
            inner = SvgGroup(names, element.get(f"{_INKSCAPE}groupmode") == "layer")
            group.groups.append(inner)
            self._read_children(element, inner, matrix, depth + 1)
        elif tag == "use":
            self._read_use(element, group, matrix, depth, names)
        elif tag == "svg":
            x, y = (self._length(element, name) for name in ("x", "y"))
            placed = self._within(item, matrix, _shifted(x, y), viewport(element, self.notes))
            self._read_children(element, group, placed, depth + 1)
        elif tag == "text":
            self._read_text(element, group, matrix)
        else:
            self.notes.unread(item, f"<{tag}> is not a kind of element that is cut or drawn")

    def _within(self, item: str, *matrices: FloatArray) -> FloatArray:
        """Return the product of matrices, refused where it places things beyond all bounds."""
        with np.errstate(over="ignore", invalid="ignore"):
            product: FloatArray = np.linalg.multi_dot(matrices)
        if not np.abs(product).max() <= _FARTHEST:  # nor where it is no number
            raise InputError(
                "the transforms around it place it beyond all bounds",
                remedy="correct them, or remove them in the drawing program",
                file=self.file,
                item=item,
            )
        return product

    def _read_use(
        self, use: Element, group: SvgGroup, matrix: FloatArray, depth: int, names: Names
    ) -> None:
        link = next((use.get(name) for name in _HREF if use.get(name)), "") or ""
        target = self._by_id.get(link[1:]) if link.startswith("#") else None
        item = f"<use> {names.best}".strip()
        if target is None:
            self.notes.unread(item, f"{link!r} is not in this file, and nothing else is fetched")
            return
        shift = _shifted(self._length(use, "x"), self._length(use, "y"))
        placed = self._within(item, matrix, shift)
        if local_name(target) != "symbol":
            # A clone goes by its own name, where it has one.
            called = names if names.best else None
            self._read_element(target, group, placed, depth + 1, called)
        elif target.get("viewBox"):
            self.notes.unread(item, "a symbol with a viewBox")
        else:
            inner = SvgGroup(names if names.best else _names(target))
            group.groups.append(inner)
            self._read_children(target, inner, placed, depth + 1)

    def _read_text(self, element: Element, group: SvgGroup, matrix: FloatArray) -> None:
        words = " ".join("".join(element.itertext()).split())
        if not words:
            return
        first = next((e for e in element.iter() if e.get("x") or e.get("y")), element)
        place = [(first.get(name) or "0").replace(",", " ").split() or ["0"] for name in "xy"]
        x, y = (pixels(at[0], file=self.file, item=f"<text> {words[:20]}") for at in place)
        on_page = matrix @ np.array([x, y, 1.0])
        group.texts.append(DrawnText((float(on_page[0]), float(on_page[1])), words, ""))

    def _transform(self, element: Element, item: str) -> FloatArray:
        style = element.get("style") or ""
        if "transform" in style or element.get("transform-origin"):
            raise InputError(
                "it is moved by its style, which is not followed",
                remedy="save it as plain SVG with the transform attribute instead",
                file=self.file,
                item=item,
            )
        return transform_of(element.get("transform") or "", file=self.file, item=item)

    def _length(self, element: Element, name: str) -> float:
        return pixels(element.get(name) or "0", file=self.file, item=f"<{local_name(element)}>")


def _names(element: Element) -> Names:
    title = next((child for child in element if local_name(child) == "title"), None)
    label = (
        element.get(f"{_INKSCAPE}label")
        or element.get("data-name")
        or element.get("aria-label")
        or ""
    )
    return Names(
        (element.get("id") or "").strip(),
        label.strip(),
        " ".join("".join(title.itertext()).split()) if title is not None else "",
        (element.get("class") or "").strip(),
    )


def _hidden(element: Element) -> bool:
    style = (element.get("style") or "").replace(" ", "")
    shown = element.get("display") != "none" and "display:none" not in style
    seen = element.get("visibility") != "hidden" and "visibility:hidden" not in style
    return not (shown and seen)


def _moves_or_hides(style_sheet: str) -> bool:
    return any(word in style_sheet for word in ("display", "visibility", "transform"))


def _shifted(x: float, y: float) -> FloatArray:
    shift = np.eye(3)
    shift[:2, 2] = x, y
    return shift
