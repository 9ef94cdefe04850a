"""
An SVG that a screen reader reads and a page can hold.

Depends on: nothing of the package.
"""

from __future__ import annotations

import re
from html import escape
from typing import Final

_SCALE_OR_NUMBER: Final = re.compile(r"scale\([^)]*\)|-?\d+\.\d{3,}")
"""A scale multiplies whole outlines: a hundredth off it would show."""


def accessible(svg: str, *, title: str, description: str, prefix: str) -> str:
    """
    Return an SVG as matplotlib writes it, made fit for a page.

    It gets a role, a title and a description; what stands before it and its metadata go; it
    keeps its shape by its view box; the ids get a prefix, so that two charts fit one page.

    Parameters
    ----------
    svg : str
        As matplotlib writes it.
    title, description : str
        Plain text.
    prefix : str
        A word for the ids.
    """
    begin = svg.index("<svg")
    head_end = svg.index(">", begin)
    head, body = svg[begin : head_end + 1], svg[head_end + 1 :]
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    body = re.sub(r"^\s*<title>.*?</title>", "", body, flags=re.DOTALL)
    body = _SCALE_OR_NUMBER.sub(_rounded, body)
    seen: dict[str, int] = {}

    def own_id(found: re.Match[str]) -> str:
        """Return an id of its own; of those that come again only the first is pointed at."""
        count = seen[found[1]] = seen.get(found[1], 0) + 1
        return f'id="{prefix}-{found[1]}{"" if count == 1 else f"-{count}"}"'

    body = re.sub(r'\bid="([^"]+)"', own_id, body)
    body = re.sub(r'(xlink:href|href)="#([^"]+)"', rf'\1="#{prefix}-\2"', body)
    body = re.sub(r"url\(#([^)]+)\)", rf"url(#{prefix}-\1)", body)
    head = re.sub(r'\s(?:width|height|version)="[^"]*"', "", head)
    names = f"{prefix}-title {prefix}-desc"
    head = head[:-1] + f' role="img" aria-labelledby="{names}">'
    told = (
        f'\n <title id="{prefix}-title">{escape(title)}</title>'
        f'\n <desc id="{prefix}-desc">{escape(description)}</desc>'
    )
    return head + told + body


def _rounded(number: re.Match[str]) -> str:
    """Write a coordinate to a hundredth of a point: 4 micrometres on paper."""
    if number[0].startswith("scale"):
        return number[0]
    text = f"{float(number[0]):.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
