"""The HTML page: what it says, in which order, and how it is built for who cannot see it."""

import dataclasses
import itertools
import re

import pytest
from jinja2 import UndefinedError
from rich.console import Console

from energysim.report import page as page_module
from energysim.report.sections import Section
from energysim.report.shelf import template
from energysim.report.text import day_page

from .conftest import day, figure, loaded


def printed(result, system):
    """What the text page prints, unfolded: a line a sentence, a line a row."""
    console = Console(width=2000, no_color=True, highlight=False)
    with console.capture() as capture:
        console.print(day_page(result, system=system))
    return [line.strip() for line in capture.get().splitlines() if line.strip()]


@pytest.mark.parametrize("system", ["us", "metric"])
def test_the_page_says_every_word_the_text_page_says(shipped, page, apart, system):
    result, _ = shipped
    found = apart(page(result, system=system)).text()
    lines = printed(result, system)
    assert len(lines) > 40
    for line in lines:
        for part in re.split(r"\s{2,}", line.removeprefix("- ")):
            assert " ".join(part.split()) in found


def test_the_verdict_stands_first_then_why_what_to_do_and_how_sure_it_is(shipped, page, apart):
    result, _ = shipped
    taken = apart(page(result))
    first = taken.all("h1", "p", "dt", "dd")
    assert first[0].name == "h1"
    assert result.title in first[0].text
    assert first[1].text == result.verdict
    assert [dt.text for dt in taken.all("dt")] == ["Why:", "What to do:", "How sure:"]
    why, what, sure = (dd.text for dd in taken.all("dd"))
    assert f"{result.tightest.share:.0%} of the thrust" in why
    best = next(change for change in result.changes if not change.skipped)
    assert best.name in what
    assert f"{result.bracket.harder_end_soc:.0%}" in sure
    assert taken.text().count("How sure:") == 1


def test_sections_come_in_the_order_somebody_in_a_hurry_needs(page, apart):
    titles = [h.text for h in apart(page(day("headland"))).all("h2")]
    assert titles == [
        "What to change", "The day", "Leg by leg", "The bank", "How the boat lies",
        "The tightest hour", "The night at the charger", "The way home on the bow motor alone",
        "Warnings", "Taken for granted, because the scenario does not say", "Cautions",
        "The scenario, as typed",
    ]  # fmt: skip


def test_a_section_new_to_the_day_is_not_lost(page, apart, monkeypatch):
    def longer(result, *, system):
        words = page_module.words_of.day_words(result, system=system)
        more = Section(title="The dog", lines=("It comes along.",))
        return dataclasses.replace(words, sections=(*words.sections, more))

    monkeypatch.setattr(page_module, "day_words", longer)
    titles = [h.text for h in apart(page(day("estuary"))).all("h2")]
    assert titles[titles.index("The dog") + 1] == "The way home on the bow motor alone"


def test_a_day_without_a_charger_or_a_warning_has_no_such_section(page, apart):
    bare = dataclasses.replace(day("headland"), recharge=None, warnings=(), tightest=None)
    titles = {h.text for h in apart(page(bare)).all("h2")}
    assert titles.isdisjoint({"The night at the charger", "Warnings", "The tightest hour"})
    assert {"The day", "Cautions"} <= titles


def test_the_scenario_stands_there_as_it_was_typed(shipped, page, apart):
    result, scenario = shipped
    taken = apart(page(result, text=scenario.source_text))
    assert taken.all("code")[0].text == scenario.source_text.strip("\n")


def test_what_a_user_typed_is_text_and_never_markup(page, apart):
    evil = "<script>alert('x')</script>&amp;\"><img src=x onerror=y>"
    result = day("estuary")
    legs = tuple(dataclasses.replace(leg, name=evil) for leg in result.legs)
    changed = dataclasses.replace(
        result, title=evil, verdict=evil, legs=legs, warnings=(evil,), assumptions=(evil,),
        leg_of_step=(evil,) * len(result.leg_of_step),
    )  # fmt: skip
    taken = apart(
        page(changed, text=evil, figures=[dataclasses.replace(figure(), caption=evil)])
    )
    assert not taken.all("script", "img")
    assert taken.text().count("<script>alert('x')</script>&amp;") > 30


def test_the_page_runs_nothing_and_fetches_nothing(shipped, page, apart):
    html = page(shipped[0])
    taken = apart(html)
    assert not taken.all("script", "link", "img", "iframe", "object", "embed", "form", "base")
    for element in taken.elements:
        assert not [key for key in element.attributes if key.startswith("on")]
        assert "src" not in element.attributes
        assert element.attributes.get("href", "#").startswith("#")
    style = taken.all("style")[0].text
    assert "url(" not in style
    assert "@import" not in style
    addresses = set(re.findall(r"https?://[^\s\"'<>]+", html))
    assert addresses <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}
    policy = next(e for e in taken.all("meta") if "http-equiv" in e.attributes)
    assert policy.attributes["content"].startswith("default-src 'none'")


def test_headings_go_down_one_level_at_a_time_and_there_is_one_title(shipped, page, apart):
    taken = apart(page(shipped[0]))
    levels = [int(h.name[1]) for h in taken.all("h1", "h2", "h3", "h4", "h5", "h6")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(below - above <= 1 for above, below in itertools.pairwise(levels))


def test_every_table_has_a_caption_and_cells_that_know_their_headers(shipped, page, apart):
    taken = apart(page(shipped[0]))
    tables = taken.all("table")
    assert len(tables) == 3
    assert len([c for c in taken.all("caption") if c.text.strip()]) == 3
    assert all(th.attributes["scope"] in {"row", "col"} for th in taken.all("th"))
    columns = {th.text for th in taken.all("th") if th.attributes["scope"] == "col"}
    for cell in taken.all("td"):
        assert cell.attributes["data-label"] in columns
    # HTML-AAM: the roles these elements have; said aloud for layouts that stack them.
    roles = {"table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tfoot": "rowgroup",
             "tr": "row", "td": "cell"}  # fmt: skip
    for name, role in roles.items():
        assert {element.attributes["role"] for element in taken.all(name)} == {role}


def test_every_row_has_a_cell_a_column(shipped, page):
    for table in re.findall(r"<table.*?</table>", page(shipped[0]), re.DOTALL):
        rows = re.findall(r"<tr.*?</tr>", table, re.DOTALL)
        assert len({len(re.findall(r"<t[hd] ", row)) for row in rows}) == 1


def test_a_figure_has_its_words_and_two_drawings_with_ids_of_their_own(page, apart):
    kinds = [figure("day"), figure("night"), figure("legs"), figure("voltage")]
    taken = apart(page(day("estuary"), figures=kinds))
    assert len(taken.all("figure")) == len(taken.all("figcaption")) == 4
    assert len(taken.all("svg")) == 8
    ids = [e.attributes["id"] for e in taken.elements if "id" in e.attributes]
    assert len(ids) == len(set(ids))
    named = [e.attributes["aria-labelledby"] for e in taken.elements
             if "aria-labelledby" in e.attributes]  # fmt: skip
    assert {name for names in named for name in names.split()} <= set(ids)
    links = {e.attributes["href"] for e in taken.all("a")}
    assert {link.removeprefix("#") for link in links} <= set(ids)


def test_a_figure_without_a_wide_drawing_stands_once(page, apart):
    taken = apart(page(day("estuary"), figures=[figure("night", wide=None)]))
    assert len(taken.all("svg")) == 1
    classes = [e.attributes.get("class") for e in taken.all("div") if "figure" in e.parents]
    assert classes == ["column"]


def test_a_figure_of_a_kind_that_has_no_place_is_refused(page):
    with pytest.raises(ValueError, match="'hold' has no place on the page"):
        page(day("estuary"), figures=[figure("hold")])


def test_the_same_day_gives_the_same_bytes(page):
    assert page(day("lake")) == page(day("lake"))


def test_a_template_that_names_what_nobody_gives_is_an_error():
    with pytest.raises(UndefinedError):
        template("page.html.j2").render(version="1")


def test_metric_units_are_printed_when_asked_for(page):
    metric = page(day("estuary"), system="metric", text=loaded("estuary").source_text)
    tables = "".join(re.findall(r"<tbody.*?</tbody>", metric, re.DOTALL))
    assert " N" in tables
    assert "lbf" not in tables
