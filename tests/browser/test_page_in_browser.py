"""
The pages in a headless browser: widths, console, network, accessibility rules, paper.

The rules are those of axe-core (version in package.json), best practices and all: the success
criteria of WCAG 2.0 to 2.2 a machine can judge, contrast of 4.5 to 1 among them.
"""

import re

import pytest

from .browser import NARROW_PX, PAPERS_IN, WIDE_PX

pytestmark = pytest.mark.slow

REPORTS = ["estuary", "lake", "hard", "options"]
NAMES = [*REPORTS, "sheet"]  # the sheet has no drawing and nothing folded away
CSS_PX_PER_IN = 96.0  # CSS Values and Units, section 6.2
MARGINS_IN = 2.0 * 15.0 / 25.4  # of the page's own @page rule
OPEN_ALL = "document.querySelectorAll('details').forEach(d => { d.open = true; })"
OVERFLOW = """
[...document.querySelectorAll('body *')]
  .filter(e => { const b = e.getBoundingClientRect();
                 return b.width > 1 && (b.right > innerWidth + 0.5 || b.left < -0.5); })
  .filter(e => !e.closest('thead, svg, code'))  // blanks at a fold hang out of a code
  .map(e => e.tagName + ' ' + e.textContent.trim().slice(0, 60))
"""
LETTERS = """
[...document.querySelectorAll('figure svg')].filter(s => s.checkVisibility()).flatMap(
  svg => [...svg.querySelectorAll('g')].flatMap(g => {
    const letters = [...g.querySelectorAll(':scope > use')]
      .filter(u => (u.getAttribute('xlink:href') || u.getAttribute('href')).includes('DejaVu'))
      .map(u => u.getBoundingClientRect()).filter(b => b.width > 0);
    return letters.slice(1).flatMap((b, i) => {
      const a = letters[i];
      // A comma, lower than any letter, may stand under the arm of an r.
      if (Math.min(a.height, b.height) < 0.65 * Math.max(a.height, b.height)) return [];
      const shared = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      return [shared / Math.min(a.width, b.width)];
    });
  }))
"""
RUN_AXE = """
axe.run(document, {resultTypes: ['violations', 'incomplete'], rules: {RULES}}).then(found => ({
  rules: found.passes.length,
  violations: found.violations.map(
    v => v.id + ': ' + v.nodes.map(n => n.target + ' ' + n.failureSummary).join('; ')),
  undecided: found.incomplete.map(v => v.id + ': ' + v.nodes.map(n => n.target).join(', ')),
}))
"""


def axe_says(browser, axe):
    """Run every rule on the page as it stands."""
    browser.value(axe + "\n; 0")
    # Rules that are off unless asked for belong to drafts and to AAA; these two are worth it.
    rules = "{'color-contrast': {enabled: true}, 'target-size': {enabled: true}}"
    return browser.value(RUN_AXE.replace("{RULES}", rules))


@pytest.mark.parametrize("width_px", [320, NARROW_PX, 700, WIDE_PX])
@pytest.mark.parametrize("name", NAMES)
def test_no_page_scrolls_sideways_and_none_complains(browser, pages, tmp_path, name, width_px):
    browser.open(pages[name], width_px=width_px)
    browser.value(OPEN_ALL)
    assert browser.value("innerWidth") == width_px
    assert browser.value("document.documentElement.scrollWidth") <= width_px
    assert browser.value("document.body.scrollWidth") <= width_px
    assert browser.value(OVERFLOW) == []
    assert browser.complaints == []
    if width_px not in {NARROW_PX, WIDE_PX} or name not in {"estuary", "options"}:
        return
    picture = tmp_path / f"{name}-{width_px}.png"
    browser.picture(picture)
    assert picture.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    assert picture.stat().st_size > 50_000


@pytest.mark.parametrize("name", ["options", "sheet"])
def test_what_fits_a_phone_stays_a_table_there_and_what_does_not_is_stacked(
    browser, pages, name
):
    def shown(width_px):
        browser.open(pages[name], width_px=width_px)
        return browser.value(
            "[...document.querySelectorAll('table')].filter(t => t.checkVisibility()).map(t =>"
            " [t.className, getComputedStyle(t.querySelector('tbody tr')).display])"
        )

    assert {display for _, display in shown(WIDE_PX)} == {"table-row"}
    narrow = shown(NARROW_PX)
    assert ["", "grid"] in narrow
    assert {display for looks, display in narrow if looks == ""} == {"grid"}
    if name == "options":  # the course of the charge, what the spread hangs on
        assert narrow.count(["slim", "table-row"]) == 2


def test_every_option_is_told_on_a_phone_with_the_names_of_its_columns(browser, pages):
    browser.open(pages["options"], width_px=NARROW_PX)
    told = browser.value(
        "[...document.querySelectorAll('table')].find(t => t.textContent.includes('Usable'))"
        ".querySelectorAll('tbody tr').length"
    )
    assert told >= 10
    labels = browser.value(
        "[...document.querySelectorAll('td')].filter(d => d.dataset.label === 'Usable')"
        ".map(d => getComputedStyle(d, '::before').content)"
    )
    assert labels == ['"Usable"'] * told


def test_the_check_of_width_can_fail(browser, pages):
    browser.open(pages["lake"], width_px=NARROW_PX)
    browser.value("document.querySelector('h1').style.width = '600px'")
    assert browser.value("document.documentElement.scrollWidth") > NARROW_PX
    assert browser.value(OVERFLOW) != []


def test_the_check_of_complaints_can_fail(browser, pages):
    browser.open(pages["lake"], width_px=NARROW_PX)
    # The page's own policy refuses it, and says so.
    browser.value(
        "new Promise(done => { const i = new Image(); i.onerror = () => done(1);"
        " i.src = 'https://example.invalid/a.png'; })"
    )
    assert any("Content Security Policy" in said for said in browser.complaints)


@pytest.mark.parametrize("name", NAMES)
def test_a_page_asks_for_nothing_but_itself(browser, pages, name):
    browser.open(pages[name], width_px=WIDE_PX)
    assert browser.fetched == [pages[name].resolve().as_uri()]


@pytest.mark.parametrize("width_px", [NARROW_PX, WIDE_PX])
@pytest.mark.parametrize("name", NAMES)
def test_no_rule_of_accessibility_is_broken(browser, axe, pages, name, width_px):
    browser.open(pages[name], width_px=width_px)
    browser.value(OPEN_ALL)
    found = axe_says(browser, axe)
    assert found["violations"] == []
    assert found["undecided"] == []
    assert found["rules"] > 15


def test_somebody_who_likes_the_dark_still_gets_a_page_to_read(browser, axe, pages):
    browser.open(pages["estuary"], width_px=NARROW_PX, **{"prefers-color-scheme": "dark"})
    assert browser.value("matchMedia('(prefers-color-scheme: dark)').matches")
    assert browser.value("getComputedStyle(document.body).backgroundColor") == (
        "rgb(255, 255, 255)"
    )
    assert axe_says(browser, axe)["violations"] == []


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        ("document.querySelector('li').style.color = '#999999'", "color-contrast"),
        ("document.documentElement.removeAttribute('lang')", "html-has-lang"),
        ("document.querySelector('h2').outerHTML = '<h4>x</h4>'", "heading-order"),
        ("document.querySelector('svg').removeAttribute('aria-labelledby');"
         "document.querySelectorAll('svg title').forEach(t => t.remove())", "svg-img-alt"),
    ],
    ids=["contrast", "language", "headings", "drawing"],
)  # fmt: skip
def test_the_check_of_accessibility_can_fail(browser, axe, pages, spoil, rule):
    browser.open(pages["lake"], width_px=WIDE_PX)
    browser.value(f"{spoil}; 0")
    violations = axe_says(browser, axe)["violations"]
    assert any(found.startswith(f"{rule}:") for found in violations)


def test_a_table_stays_a_table_for_a_screen_reader_where_its_rows_are_stacked(browser, pages):
    def roles(width_px):
        browser.open(pages["estuary"], width_px=width_px)
        browser.value(OPEN_ALL)
        nodes = browser.call("Accessibility.getFullAXTree")["nodes"]
        named = [n["role"]["value"] for n in nodes if not n["ignored"]]
        return {role: named.count(role) for role in ("table", "row", "cell", "rowheader",
                                                     "columnheader")}  # fmt: skip

    wide, narrow = roles(WIDE_PX), roles(NARROW_PX)
    assert wide["table"] == narrow["table"] == 3
    assert wide["row"] == narrow["row"]
    assert wide["columnheader"] == narrow["columnheader"] == 7 + 5 + 8
    assert wide["rowheader"] == narrow["rowheader"]
    # An empty cell says nothing in a stack, and is left out there.
    assert 0.7 * wide["cell"] < narrow["cell"] <= wide["cell"]


def test_each_width_shows_its_own_drawing_of_the_day(browser, pages):
    shown = "[...document.querySelectorAll('figure svg')].map(s => s.checkVisibility())"
    browser.open(pages["estuary"], width_px=WIDE_PX)
    assert browser.value(shown) == [True, False, True]
    browser.open(pages["estuary"], width_px=NARROW_PX)
    assert browser.value(shown) == [False, True, True]


@pytest.mark.parametrize("size", sorted(PAPERS_IN))
@pytest.mark.parametrize("name", NAMES)
def test_a_page_prints(browser, pages, tmp_path, name, size):
    browser.open(pages[name], width_px=WIDE_PX)
    # What is wider than the paper's text would be cut off.
    browser.window(int((PAPERS_IN[size][0] - MARGINS_IN) * CSS_PX_PER_IN))
    browser.call("Emulation.setEmulatedMedia", media="print")
    assert browser.value("document.documentElement.scrollWidth <= innerWidth")
    assert browser.value(OVERFLOW) == []
    # The day in numbers is closed on the screen and printed all the same, as a table.
    if name in REPORTS:
        assert browser.value("document.querySelector('details table').offsetHeight") > 100
    assert browser.value("getComputedStyle(document.querySelector('td')).display") == (
        "table-cell"
    )
    paper = tmp_path / f"{name}-{size}.pdf"
    browser.paper(paper, size=size)
    content = paper.read_bytes()
    assert content.startswith(b"%PDF-")
    assert b"/StructTreeRoot" in content  # tagged: a reader of the PDF finds its headings
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", content)
    for box in boxes:
        assert [float(side) / 72.0 for side in box] == pytest.approx(PAPERS_IN[size], abs=0.02)
    assert 2 <= len(boxes) <= 12


@pytest.mark.parametrize("name", REPORTS)
def test_the_letters_of_a_chart_do_not_run_into_one_another(browser, pages, name):
    # Outlined letters are placed one by one; drawn too large they overlap their neighbours.
    browser.open(pages[name], width_px=WIDE_PX)
    overlaps = browser.value(LETTERS)
    assert len(overlaps) > 100
    # Of the narrower letter's width: 0.03 at most in DejaVu Sans as its makers space it.
    assert max(overlaps) < 0.1
