"""`list`, `schema`, `example`, `--help` and `--version`."""

import csv
import json
import tomllib
from importlib.resources import files

import pytest

import energysim
from energysim.cli.app import COMMANDS, application
from energysim.scenario.model import Scenario
from energysim.scenario.table import fields_by_key
from energysim.unit_table import DIMENSIONS

DATA = files("energysim") / "data"


def names_in(answer):
    """Return the first word of every row below the header that begins one."""
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    header = next(i for i, line in enumerate(lines) if line.startswith(("name", "dimension")))
    return [line.split()[0] for line in lines[header + 1 :] if line[:1].strip()]


def stories(run):
    return names_in_example(run("example"))


def names_in_example(answer):
    assert (answer.code, answer.err) == (0, "")
    return [line.split(maxsplit=1)[0] for line in answer.out.splitlines()]


@pytest.mark.parametrize("flag", ["--help", "-h"])
def test_help_leads_with_two_examples(run, flag):
    answer = run(flag)
    assert (answer.code, answer.err) == (0, "")
    before_the_lists = answer.out.split("Options")[0]
    assert before_the_lists.count("\n energysim ") == 2
    assert "energysim example estuary --into my-day    copy an invented day" in before_the_lists
    assert "energysim day my-day/estuary.toml" in before_the_lists
    assert max(len(line) for line in answer.out.splitlines()) <= 80


def test_every_command_has_a_help_with_an_example(run):
    commands = ("day", "check", "new", "example", "list", "schema")
    overview = run("--help").out
    for command in commands:
        assert command in overview
        answer = run(command, "--help")
        assert answer.code == 0
        assert "Usage: energysim" in answer.out


def test_every_module_brings_the_commands_it_is_listed_for_in_the_order_of_the_help():
    def brought(*words):
        return [command.name for command in application(words).registered_commands]

    assert brought("--help") == list(COMMANDS)
    assert brought("dya") == list(COMMANDS)
    for command, module in COMMANDS.items():
        own = [name for name, other in COMMANDS.items() if other == module]
        assert brought(command, "--help") == own


def test_the_version_is_the_packages_own(run):
    assert run("--version").out == f"energysim {energysim.__version__}\n"


def test_the_list_of_batteries_is_the_table_of_the_data(run):
    with (DATA / "batteries.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    answer = run("list", "batteries", "--units", "metric")
    assert names_in(answer)[: len(rows)] == [row["name"] for row in rows]
    line = next(line for line in answer.out.splitlines() if line.startswith("gc2-flooded"))
    row = next(row for row in rows if row["name"] == "gc2-flooded")
    for column in ("voltage_v", "capacity_ah", "mass_kg"):
        assert f"{float(row[column]):g}" in line.split()


def test_the_lists_are_in_the_units_asked_for_and_say_what_the_names_are(run):
    us, metric = (run("list", "batteries", "--units", one).out for one in ("us", "metric"))
    assert run("list", "batteries").out == us
    line = next(line for line in us.splitlines() if line.startswith("24-agm "))
    # 23.8 kg; 260 x 173 x 225 mm.
    assert line.split()[3:] == ["52", "10.2", "x", "6.8", "x", "8.9", "in"]
    assert "mm" not in us.replace("comm", "")
    assert "24m a 24 with marine posts" in us
    assert " lb" not in metric
    for what, unit in (("cases", "lb"), ("chemistries", "degF")):
        assert unit in run("list", what).out
        assert unit not in run("list", what, "--units", "metric").out
    assert {run("list", what, "--units", "metric").code
            for what in ("hulls", "units", "uncertainty", "charts")} == {0}  # fmt: skip


def test_the_list_of_hulls_is_the_table_of_the_data(run):
    types = tomllib.loads((DATA / "hulls.toml").read_text(encoding="utf-8"))["types"]
    assert names_in(run("list", "hulls")) == list(types)


def test_the_list_of_chemistries_is_the_table_of_the_data(run):
    tables = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))
    assert names_in(run("list", "chemistries"))[: len(tables)] == list(tables)


def test_the_list_of_chemistries_shows_numbers_and_their_spread_side_by_side(run):
    tables = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))
    lines = run("list", "chemistries").out.splitlines()
    assert max(len(line.rstrip()) for line in lines) <= 80
    assert "…" not in "".join(lines)  # nothing is cut off

    def row(label):
        place = next(i for i, line in enumerate(lines) if line.startswith(label))
        return lines[place].removeprefix(label).split(), lines[place + 1].split()

    exponents, spreads = row("Peukert's exponent")
    given = [table["peukert_exponent"] for table in tables.values()]
    assert [float(cell) for cell in exponents] == [entry["value"] for entry in given]
    assert spreads == [f"{entry['low']:g}-{entry['high']:g}" for entry in given]
    half_deep, between = row("days 50% deep until 80% left")
    assert half_deep == ["600", "600", "800", "5000"]
    assert between == ["450-1000", "420-860", "560-1100", "3000-11000"]
    # 8 % a month: ln 0.5 / ln 0.92 = 8.3 months.
    assert row("months from full to half")[0][0] == "8"
    assert row("charged down to")[0] == ["any", "any", "any", "32", "degF"]


def test_the_list_of_chemistries_says_what_is_refused_and_why(run):
    text = " ".join(run("list", "chemistries").out.split())
    assert "Refused: starting, a starting (cranking) battery. It is made to crank" in text
    assert "Take a deep-cycle block" in text


def test_every_number_of_a_chemistry_is_printed_with_its_source(run):
    answer = run("list", "chemistries", "--sources")
    assert max(len(line.rstrip()) for line in answer.out.splitlines()) <= 80
    text = " ".join(answer.out.split())
    for file in ("chemistries.toml", "not_for_propulsion.toml"):
        for table in tomllib.loads((DATA / file).read_text(encoding="utf-8")).values():
            for key, entry in table.get("numbers", table).items():
                if isinstance(entry, dict):
                    assert f"{key} = " in text
                    assert " ".join(entry["source"].split()) in text
    assert "peukert_exponent = 1.22 (1.15 to 1.4)" in text
    assert "(low 800, 450, 220; high 1900, 1000, 500)" in text


def test_the_list_of_units_has_every_dimension(run):
    assert names_in(run("list", "units"))[: len(DIMENSIONS)] == list(DIMENSIONS)


@pytest.mark.parametrize("what", ["batteries", "hulls", "chemistries"])
def test_the_sources_say_where_numbers_come_from(run, what):
    plain, sourced = run("list", what), run("list", what, "--sources")
    assert sourced.code == 0
    assert len(sourced.out) > len(plain.out)
    assert "no source" in sourced.out or "estimate" in sourced.out


def test_the_schema_is_json_with_every_table_of_a_scenario(run):
    answer = run("schema")
    assert (answer.code, answer.err) == (0, "")
    found = json.loads(answer.out)
    assert found["$schema"].startswith("https://json-schema.org/")
    assert set(found["properties"]) == set(fields_by_key(Scenario))


def test_every_example_can_be_copied_checked_and_run(run, folder):
    names = stories(run)
    assert names
    for name in names:
        assert run("example", name, "--into", name).code == 0
        assert run("check", f"{name}/{name}.toml").code == 0
        answer = run("day", f"{name}/{name}.toml", "--json")
        assert (answer.code, answer.err) == (0, "")
        assert json.loads(answer.out)["title"]
        assert not [path for path in (folder / name).iterdir() if path.suffix == ".part"]


def test_an_example_on_stdout_is_the_file_itself(run, folder):
    name = stories(run)[0]
    run("example", name, "--into", "copy")
    printed = run("example", name)
    assert printed.code == 0
    assert printed.out == (folder / "copy" / f"{name}.toml").read_text(encoding="utf-8")


def test_a_printed_example_names_the_files_it_needs(run, folder):
    run("example", "estuary", "--into", "copy")
    beside = [path.name for path in (folder / "copy").iterdir() if path.suffix != ".toml"]
    printed = run("example", "estuary")
    assert {"wind.csv", "currents.csv", "log.csv"} <= set(beside)
    for name in beside:  # the log is for `learn`; the day does not read it
        assert (name in printed.err) == (name in printed.out)


def test_an_example_is_not_copied_over_a_changed_one(run, folder):
    run("example", "estuary", "--into", "mine")
    changed = folder / "mine" / "estuary.toml"
    changed.write_text("mine", encoding="utf-8")
    answer = run("example", "estuary", "--into", "mine")
    assert answer.code == 4
    assert "already exists (use --force to replace it)" in answer.err
    assert changed.read_text(encoding="utf-8") == "mine"
    assert run("example", "estuary", "--into", "mine", "--force").code == 0
    assert changed.read_text(encoding="utf-8") != "mine"


@pytest.mark.parametrize("name", ["nonesuch", "../estuary", ""])
def test_an_example_there_is_not_names_those_there_are(run, folder, name):
    answer = run("example", name, "--into", "mine")
    assert (answer.code, answer.out) == (4, "")
    assert "no such example; there are" in answer.err
    assert "estuary" in answer.err
    assert list(folder.iterdir()) == []


def test_an_example_does_not_go_where_a_file_stands(run, folder):
    (folder / "mine").write_text("a file", encoding="utf-8")
    answer = run("example", "estuary", "--into", "mine")
    assert answer.code == 4
    assert "mine: cannot be made" in answer.err
    assert (folder / "mine").read_text(encoding="utf-8") == "a file"


def test_the_list_of_cases_has_every_case_and_block_with_its_range(run):
    answer = run("list", "cases", "--units", "metric")
    us = run("list", "cases").out.splitlines()
    assert (answer.code, answer.err) == (0, "")
    lines = answer.out.splitlines()
    assert max(len(line) for line in lines) <= 80
    with (DATA / "case_sizes.csv").open(encoding="utf-8", newline="") as stream:
        sizes = [row["case"] for row in csv.DictReader(stream)]
    with (DATA / "case_ranges.csv").open(encoding="utf-8", newline="") as stream:
        names = [row["name"] for row in csv.DictReader(stream)]
    heads = [line.split()[0] for line in lines if line.endswith(" mm")]
    assert heads == sizes
    blocks = [line.split()[0] for line in lines if line[:2] == "  " and line[2:3].strip()]
    assert sorted(blocks[1:]) == sorted(names)
    # 13 x 6.8 x 9.4 in is 330 x 173 x 240 mm; 60 to 76 lb is 27.2 to 34.5 kg.
    assert "31    330 x 173 x 240 mm" in lines
    assert "31    13.0 x 6.8 x 9.4 in" in us
    row = next(line for line in lines if line.startswith("  31-agm "))
    assert row.split() == ["31-agm", "12", "95-125", "-", "27.2-34.5"]
    assert next(line for line in us if line.startswith("  31-agm ")).endswith(" 60-76")


def test_the_list_of_cases_says_where_each_number_comes_from(run):
    plain, sourced = run("list", "cases").out, run("list", "cases", "--sources").out
    assert "  size: " not in plain
    assert max(len(line) for line in sourced.splitlines()) <= 80
    blocks = sum(1 for line in sourced.splitlines() if line.startswith("      mass: "))
    assert (
        blocks == len((DATA / "case_ranges.csv").read_text(encoding="utf-8").splitlines()) - 1
    )
    assert "from memory, not read in it" in " ".join(sourced.split())
