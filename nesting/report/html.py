"""The templates of the HTML pages, and their one style sheet."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined, Template
from markupsafe import Markup

from ..model.reading_order import in_order

_TEMPLATES: Final = "templates"


def template(name: str) -> Template:
    """Return a template; whatever is put into it is escaped, and nothing may be missing."""
    return _environment().get_template(name)


def asset(name: str) -> str:
    """Return the text of a file that stands beside the templates."""
    return files(__package__).joinpath(_TEMPLATES, name).read_text("utf-8")


def style() -> Markup:
    """Return the style sheet of all pages, to be put in as it stands."""
    return Markup(asset("page.css"))  # noqa: S704 - a file of this package, nothing read in


def _finished(value: object) -> object:
    """Return what is put into a page, words that run right to left kept in their place."""
    return in_order(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader(__package__, _TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_finished,
        trim_blocks=True,
        lstrip_blocks=True,
    )
