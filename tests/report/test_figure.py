"""Drawings that go into a page: what is refused, and how ids are made their own."""

import pytest

from energysim.report.figure import embedded_svg

OPEN = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink">'


def test_every_id_and_all_that_names_one_gets_the_prefix():
    svg = (
        f'{OPEN}<title id="t">A</title><defs><clipPath id="c"><path d="M0 0"/></clipPath>'
        '<path id="m"/></defs><g clip-path="url(#c)" aria-labelledby="t m">'
        '<use xlink:href="#m"/><use href="#m"/></g></svg>'
    )
    body = embedded_svg(svg, prefix="day-")
    for part in (
        'id="day-t"', 'id="day-c"', 'id="day-m"', "url(#day-c)", 'xlink:href="#day-m"',
        ' href="#day-m"', 'aria-labelledby="day-t day-m"',
    ):  # fmt: skip
        assert part in body
    assert body.count("day-") == 8


def test_what_stands_before_the_drawing_is_left_out():
    svg = f'<?xml version="1.0" encoding="utf-8"?>\n<!-- made -->\n{OPEN}</svg>\n'
    assert embedded_svg(svg, prefix="a-") == f"{OPEN}</svg>"


@pytest.mark.parametrize(
    ("inside", "message"),
    [
        ("<script>1</script>", "holds a script"),
        ("<foreignObject/>", "holds a foreignObject"),
        ('<image href="#a"/>', "holds a image"),
        ('<a href="#a"/>', "holds a a"),
        ('<rect onclick="f()"/>', "has onclick= on a rect"),
        ('<use href="https://example.org/a.svg#b"/>', "points outside"),
        ('<use xlink:href="other.svg#b"/>', "points outside"),
        ("<rect fill=\"url('https://example.org/a')\"/>", "points outside"),
        ('<rect style="fill: url(other.svg#a)"/>', "points outside"),
        ("<style>@import 'a.css';</style>", "style points outside"),
    ],
    ids=lambda text: text[:30],
)
def test_a_drawing_that_runs_or_fetches_something_is_refused(inside, message):
    with pytest.raises(ValueError, match=message):
        embedded_svg(f"{OPEN}{inside}</svg>", prefix="a-")


@pytest.mark.parametrize("text", ["", "<svg>", "<html/>", "no drawing", "<svg></svg>"])
def test_what_is_no_drawing_is_refused(text):
    with pytest.raises(ValueError, match="the drawing is not SVG"):
        embedded_svg(text, prefix="a-")
