"""The shipped days, run once, and a page taken apart."""

from dataclasses import dataclass, field
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

from energysim.report.figure import Figure
from energysim.report.page import day_report
from energysim.runner import run_day
from energysim.scenario.load import load_scenario

ROOT = Path(__file__).parents[2]
NAMES = ("estuary", "headland", "lake")
# HTML Living Standard, section 13.1.2: the elements that have no end tag.
VOID = {"meta", "link", "br", "hr", "img", "input", "wbr", "col", "source", "area", "base"}

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 500 300" role="img" '
    'aria-labelledby="t d"><title id="t">The day</title><desc id="d">A stand-in.</desc>'
    '<rect width="500" height="300" fill="#eeeeee"/></svg>'
)


@dataclass
class Element:
    """One element of a page."""

    name: str
    attributes: dict[str, str]
    parents: tuple[str, ...]
    text: str = ""


@dataclass
class Taken:
    """A page taken apart: its elements in order, each with the text inside it."""

    elements: list[Element] = field(default_factory=list)

    def all(self, *names: str) -> list[Element]:
        """Return the elements of these names, in order."""
        return [element for element in self.elements if element.name in names]

    def text(self) -> str:
        """Return everything that is read, with single blanks."""
        return " ".join(self.all("html")[0].text.split())


class Reader(HTMLParser):
    """Take a page apart, and refuse one whose tags do not match."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.taken = Taken()
        self.open: list[Element] = []

    def handle_starttag(self, tag, attrs):
        names = [name for name, _ in attrs]
        assert len(names) == len(set(names)), f"{tag} says something twice: {names}"
        parents = tuple(element.name for element in self.open)
        element = Element(tag, {name: value or "" for name, value in attrs}, parents)
        self.taken.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open, f"</{tag}> ends nothing"
        assert self.open[-1].name == tag, f"</{tag}> ends a {self.open[-1].name}"
        self.open.pop()

    def handle_data(self, data):
        if self.open and self.open[-1].name == "style":
            self.open[-1].text += data
            return
        for element in self.open:
            element.text += data


@cache
def loaded(name):
    """A shipped scenario."""
    return load_scenario(ROOT / "scenarios" / name / f"{name}.toml")


@cache
def day(name):
    """A shipped day, run."""
    return run_day(loaded(name))


def figure(kind="day", svg=DRAWING, wide=DRAWING):
    """A chart's stand-in."""
    return Figure(kind=kind, caption="A stand-in.", narrow_svg=svg, wide_svg=wide)


def taken_apart(html):
    """Return the page as elements."""
    reader = Reader()
    reader.feed(html)
    reader.close()
    assert not reader.open
    return reader.taken


@pytest.fixture(params=NAMES)
def shipped(request):
    """Each shipped day in turn: its result and its scenario."""
    return day(request.param), loaded(request.param)


def make_page(result, *, system="us", text="title = 'x'\n", figures=None, **more):
    """Return a page of a result, with a drawing unless told otherwise."""
    return day_report(
        result,
        system=system,
        scenario_name="day.toml",
        scenario_text=text,
        version="1.2.3",
        figures=[figure()] if figures is None else figures,
        **more,
    )


@pytest.fixture
def page():
    """Make a page."""
    return make_page


@pytest.fixture(scope="module")
def module_page():
    """Make a page, for what is made once for all tests of a file."""
    return make_page


@pytest.fixture
def apart():
    """Take a page apart."""
    return taken_apart
