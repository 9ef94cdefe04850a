"""
The shipped templates and the style sheet of the pages.

Depends on: report/templates.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

if TYPE_CHECKING:
    from jinja2 import Template


@cache
def template(name: str) -> Template:
    """Return a template; what it names and nobody gives is an error."""
    return _environment().get_template(name)


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("energysim.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters["slug"] = slug
    return environment


@cache
def css() -> Markup:
    """Return the style sheet, which holds nothing from a scenario."""
    folder = files("energysim.report") / "templates"
    return Markup((folder / "page.css").read_text(encoding="utf-8"))


def slug(title: str) -> str:
    """
    Return a title as an id of the page.

    Examples
    --------
    >>> slug("The way home, on the bow motor")
    'the-way-home-on-the-bow-motor'
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
