"""
The shipped templates and the style sheet of the pages.

Depends on: report/templates, report.sections.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

if TYPE_CHECKING:
    from jinja2 import Template

    from energysim.report.sections import Column, SectionTable

SLIM: Final = 20
"""Of all columns but the first, on a phone. [letters]"""

SHORT: Final = 18
"""Of a cell that is not worth a second line. [letters]"""

HALF_A_PHONE: Final = 17
"""Of a column's title and a cell beside each other. [letters]"""


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
    environment.filters["classes"] = classes
    environment.tests["slim"] = is_slim
    return environment


def is_slim(table: SectionTable) -> bool:
    """Say whether a table fits a phone as it stands; others are stacked there."""
    widths = [
        max(len(word) for cell in cells for word in _unbroken(cell, column))
        for column, cells in _by_column(table)[1:]
    ]
    return sum(widths) <= SLIM


def classes(table: SectionTable) -> list[str]:
    """Return the classes of each column: flush right, unbroken, a whole line of a phone."""
    columns = [
        (column, max(map(len, cells[1:]), default=0)) for column, cells in _by_column(table)
    ]
    too_long = [len(column.title) + most > HALF_A_PHONE for column, most in columns]
    # Pairs stand under one another only where hardly any column breaks their line.
    alone = [sum(too_long[1:]) > 1 or one for one in too_long]
    return [
        " ".join(
            name
            for name, is_so in (
                ("number", column.number),
                ("whole", not column.wraps or most <= SHORT),
                ("long", by_itself),
            )
            if is_so
        )
        for (column, most), by_itself in zip(columns, alone, strict=True)
    ]


def _by_column(table: SectionTable) -> list[tuple[Column, list[str]]]:
    """Return each column with its title and all of its cells."""
    rows = [*table.rows, *([table.total] if table.total else [])]
    return [
        (column, [column.title, *(row[place] for row in rows)])
        for place, column in enumerate(table.columns)
    ]


def _unbroken(cell: str, column: Column) -> list[str]:
    """Return what of a cell stays on one line."""
    return cell.split() if column.wraps or cell == column.title else [cell]


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
