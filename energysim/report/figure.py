"""
A drawing made ready to stand inside a page: looked through, and its ids made its own.

Depends on: nothing of the package.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final
from xml.etree import ElementTree as ET

SVG: Final = "{http://www.w3.org/2000/svg}"
ACTIVE: Final = {"script", "foreignObject", "iframe", "image", "audio", "video", "a"}
_IDS: Final = re.compile(r'(\sid=")([^"]+)(")')
_LINKS: Final = re.compile(r'((?:xlink:)?href="#|url\(#)([^")]+)')
_NAMED: Final = re.compile(r'(\saria-(?:labelledby|describedby)=")([^"]+)(")')


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A drawing with its words; without a wide one, the narrow one stands everywhere."""

    kind: str  # of chart: where on the page it belongs
    caption: str
    narrow_svg: str  # a print column, which is a phone's width
    wide_svg: str | None = None  # a page's width, for desks and paper


def embedded_svg(svg: str, *, prefix: str) -> str:
    """
    Return a drawing that may stand in a page beside others.

    Parameters
    ----------
    svg : str
        A whole SVG file.
    prefix : str
        Put before every id, so that no two drawings of a page share one.

    Returns
    -------
    str
        The `svg` element alone.

    Raises
    ------
    ValueError
        It is not SVG, or it holds what runs or what would be fetched.

    Examples
    --------
    >>> drawing = '<svg xmlns="http://www.w3.org/2000/svg"><path id="a"/></svg>'
    >>> embedded_svg(drawing, prefix="day-")
    '<svg xmlns="http://www.w3.org/2000/svg"><path id="day-a"/></svg>'
    """
    try:
        root = ET.fromstring(svg)
    except ET.ParseError as error:
        raise ValueError(f"the drawing is not SVG: {error}") from None
    if root.tag != f"{SVG}svg":
        raise ValueError(f"the drawing is not SVG: its root is {root.tag}")
    for element in root.iter():
        _refuse_active(element)
    body = svg[svg.index("<svg") :].rstrip()
    body = _IDS.sub(rf"\g<1>{prefix}\2\3", body)
    body = _LINKS.sub(rf"\g<1>{prefix}\2", body)

    def prefixed(found: re.Match[str]) -> str:
        names = " ".join(prefix + name for name in found[2].split())
        return f"{found[1]}{names}{found[3]}"

    return _NAMED.sub(prefixed, body)


def _refuse_active(element: ET.Element) -> None:
    """Raise where an element runs something or points outside of the drawing."""
    name = str(element.tag).removeprefix(SVG)
    inside = True
    for key, value in element.attrib.items():
        local = key.rpartition("}")[2]
        if local.lower().startswith("on"):
            raise ValueError(f"the drawing has {local}= on a {name}")
        if local == "href":
            inside = value.startswith("#")
        if not inside or re.search(r"url\(\s*['\"]?[^#'\"\s]", value):
            raise ValueError(f"the drawing points outside: {local}={value[:60]!r}")
    if name in ACTIVE:
        raise ValueError(f"the drawing holds a {name}")
    if name == "style" and re.search(r"@import|url\(", element.text or ""):
        raise ValueError("the drawing's style points outside")
