"""`energysim report`: where the page goes, what is refused, and what it is made of."""

import pytest


@pytest.mark.usefixtures("day")
def test_the_page_goes_beside_you_under_the_scenarios_name(run, folder):
    answer = run("report", "day.toml")
    assert (answer.code, answer.out, answer.err) == (0, "", "wrote day.html\n")
    page = (folder / "day.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>\n")
    assert page.endswith("</html>\n")
    assert "Off the old pier (invented), Saturday 16 May 2026" in page
    # The day as wide as paper and as a phone, and the night once.
    assert page.count("<svg ") == 3


def test_the_page_may_go_elsewhere_and_holds_the_scenario_as_typed(run, folder, day):
    (folder / "pages").mkdir()
    answer = run("report", "day.toml", "--out", "pages/saturday.html", "--units", "metric")
    assert answer.code == 0
    page = (folder / "pages" / "saturday.html").read_text(encoding="utf-8")
    scenario = page[page.index("<code>") + 6 : page.index("</code>")]
    assert scenario.replace("&#34;", '"') == day.strip("\n")
    assert " lbf" not in page[: page.index("<code>")]


def test_a_dash_reads_stdin_and_writes_stdout(run, folder, day):
    answer = run("report", "-", stdin=day)
    assert answer.code == 0
    assert answer.err == ""
    assert answer.out.startswith("<!DOCTYPE html>")
    assert "the scenario typed in" in answer.out
    assert [part.name for part in folder.iterdir()] == ["day.toml"]
    assert run("report", "day.toml", "--out", "-").out.startswith("<!DOCTYPE html>")


@pytest.mark.usefixtures("day")
def test_a_page_that_exists_is_kept_unless_told_otherwise(run, folder):
    kept = folder / "day.html"
    kept.write_text("mine", encoding="utf-8")
    answer = run("report", "day.toml")
    assert answer.code == 4
    assert "day.html: already exists (use --force to replace it)" in answer.err
    assert kept.read_text(encoding="utf-8") == "mine"
    assert run("report", "day.toml", "--force").code == 0
    assert kept.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_a_scenario_that_is_not_valid_leaves_no_page(run, folder, day):
    (folder / "day.toml").write_text(day.replace("12 kn", "12"), encoding="utf-8")
    answer = run("report", "day.toml")
    assert answer.code == 3
    assert "wind.speed" in answer.err
    assert not (folder / "day.html").exists()


def test_a_day_without_a_charger_has_no_night(run, folder, day):
    bare = day.replace('[charger]\ncurrent = "10 A"\n', "")
    (folder / "day.toml").write_text(bare, encoding="utf-8")
    assert run("report", "day.toml").code == 0
    page = (folder / "day.html").read_text(encoding="utf-8")
    assert "The night at the charger" not in page
    assert page.count("<svg ") == 2


def test_a_bank_that_will_not_charge_still_has_its_page(run, folder, day):
    frozen = day.replace('battery = "31-agm"', 'battery = "31-lfp"\ntemperature = "-5 degC"')
    (folder / "day.toml").write_text(frozen, encoding="utf-8")
    answer = run("report", "day.toml")
    assert (answer.code, answer.err) == (0, "wrote day.html\n")
    page = (folder / "day.html").read_text(encoding="utf-8")
    assert "It will not charge" in page


def section(page, title):
    """The part of a page under one heading."""
    begin = page.index(f">{title}</h2>")
    return page[begin : page.index("</section>", begin)]


@pytest.mark.usefixtures("day")
def test_odds_are_told_when_they_are_asked_for_with_their_chart(run):
    page = run("report", "day.toml", "--out", "-", "--odds", "--members", "50").out
    odds = section(page, "The odds")
    assert "50 days were run" in odds
    assert "How the charge may go" in odds
    assert odds.count("<svg ") == 1
    assert "<dt>The odds:</dt>" in page
    assert "The odds" not in run("report", "day.toml", "--out", "-").out


def test_a_scenario_with_uncertainty_has_odds_unless_they_are_not_wanted(run, folder, day):
    text = day + "\n[uncertainty]\nmembers = 40\nseed = 5\n"
    (folder / "day.toml").write_text(text, encoding="utf-8")
    assert "40 days were run, each with weather, tide, boat and bank drawn" in section(
        run("report", "day.toml", "--out", "-").out, "The odds"
    )
    assert ">The odds</h2>" not in run("report", "day.toml", "--no-odds", "--out", "-").out


@pytest.mark.usefixtures("day")
def test_days_for_odds_that_are_not_wanted_are_usage(run, folder):
    answer = run("report", "day.toml", "--no-odds", "--members", "50")
    assert answer.code == 2
    assert "says nothing beside --no-odds" in answer.err
    assert not (folder / "day.html").exists()


def test_a_scenario_with_options_has_them_compared(run, folder, day):
    more = """
[[locker]]
name = "bow"
length = "30 in"
width = "14 in"
height = "9 in"
place = "bow"

[options]
cases = [24, 27]
chemistries = ["agm", "lfp"]
strings = [1, 2, 3]

[[option]]
name = "wrong volts"
bank.battery = "31m-lfp-36v"
"""
    (folder / "day.toml").write_text(day + more, encoding="utf-8")
    page = run("report", "day.toml", "--out", "-", "--units", "metric").out
    told = section(page, "The options")
    assert "stands first by this rule" in told
    assert "wrong volts: makes a bank of 38.4 V for a motor of 24 V" in told
    # Ten of thirteen, and the one the others are held against wherever it stands.
    rows = told[: told.index("In the boat")].count('<th role="rowheader"')
    assert rows in {10, 11}
    assert f"{13 - rows} more options; energysim compare tells them all." in told
    assert ". as it is</th>" in told
    assert " cm too low" in told
    assert "The order is by the rule that is printed" in section(page, "Cautions")
    assert "<dt>The options:</dt>" in page


def test_the_same_scenario_gives_the_same_bytes(run, folder, day):
    assert run("report", "day.toml", "--out", "a.html").code == 0
    assert run("report", "day.toml", "--out", "b.html").code == 0
    assert (folder / "a.html").read_bytes() == (folder / "b.html").read_bytes()
    assert day.splitlines()[0].split('"')[1] in (folder / "a.html").read_text(encoding="utf-8")
