"""`energysim season`: calendar, CSV, and what is refused before any work."""

import json

import pytest

from .tides import TIDE

DATES = ("--from", "2026-05-16", "--to", "2026-05-17", "--members", "4", "--workers", "1")


@pytest.fixture
def tidal(day, folder):
    """The day with harmonic constants in place of its table."""
    head, _, rest = day.partition("[stream]")
    legs = rest[rest.index("[[leg]]") :]
    (folder / "day.toml").write_text(head + TIDE + legs, encoding="utf-8")
    return folder


def test_the_calendar_is_printed_and_the_csv_written_once(run, tidal):
    answer = run("season", "day.toml", *DATES, "--csv", "season.csv")
    assert (answer.code, answer.err) == (0, "wrote season.csv\n")
    assert "May 2026" in answer.out
    assert "16 Sat" in answer.out
    assert "--climate gives" in answer.out
    assert max(map(len, answer.out.splitlines())) <= 80
    assert len((tidal / "season.csv").read_text().splitlines()) == 3
    again = run("season", "day.toml", *DATES, "--csv", "season.csv")
    assert again.code == 4
    assert "--force" in again.err


def test_the_calendar_is_drawn_where_it_is_asked_for_and_refused_before_any_work(run, tidal):
    answer = run("season", "day.toml", *DATES, "--chart", "may.svg", "--width", "single")
    assert (answer.code, answer.err) == (0, "wrote may.svg\n")
    svg = (tidal / "may.svg").read_text(encoding="utf-8")
    assert "A calendar from 16 May 2026 to 17 May 2026" in svg
    assert 'viewBox="0 0 252 ' in svg
    assert run("season", "day.toml", *DATES, "--chart", "may.svg").code == 4
    for wrong in (("--chart", "may.jpg"), ("--chart", "x.svg", "--width", "1 in")):
        assert run("season", "day.toml", *DATES, *wrong).code == 2


@pytest.mark.usefixtures("tidal")
def test_a_history_of_hours_will_do_for_a_climate_and_the_document_names_it(run, folder):
    rows = "".join(
        f"2025-05-{day:02d} {hour:02d}:00,{day},225\n"
        for day in range(3, 6)
        for hour in range(24)
    )
    (folder / "hours.csv").write_text("time [LST_LDT],speed [kn],from [deg]\n" + rows)
    answer = run("season", "day.toml", *DATES, "--climate", "hours.csv", "--json")
    assert answer.code == 0, answer.err
    document = json.loads(answer.out)
    assert (document["wind"], document["climate"]) == ("history", "hours.csv")
    assert len(document["dates"]) == 2


@pytest.mark.usefixtures("day")
def test_a_printed_table_is_refused_at_its_line_and_a_bad_date_as_an_option(run):
    answer = run("season", "day.toml", *DATES)
    assert answer.code == 3
    assert "day.toml:" in answer.err
    assert "harmonic constants" in answer.err
    wrong = run("season", "day.toml", "--from", "May", "--to", "2026-05-17")
    assert wrong.code == 2
    assert "2026-05-01" in wrong.err
