"""What a scenario may say. Conversions are checked in test_units; here, what goes where."""

from zoneinfo import ZoneInfo

import pytest
from pydantic import ValidationError

from energysim.errors import ScenarioError
from energysim.scenario.defaults import defaults_taken
from energysim.scenario.fields import Gauge
from energysim.scenario.load import validate
from energysim.scenario.model import Scenario
from energysim.scenario.schema import scenario_schema
from energysim.scenario.table import fields_by_key, table_of
from energysim.scenario.timeline import leg_times

LABEL = {"chemistry": "agm", "capacity": "105 Ah", "series": 2}
EVENT = {"at": "08:02", "kind": "flood", "speed": "1.9 kn"}
SETS = {"flood_toward": "310 deg", "ebb_toward": "140 deg"}
BENCH = [
    {"thrust": f"{thrust} lbf", "current": f"{current} A", "voltage": "24 V"}
    for thrust, current in ((10, 4), (40, 21), (80, 55))
]


def problems(raw):
    """Every problem of a raw scenario, as path and reason with hint."""
    with pytest.raises(ScenarioError) as caught:
        validate(raw)
    return {one.path: f"{one.reason} ({one.hint})" for one in caught.value.problems}


def without(table, *keys):
    return {key: value for key, value in table.items() if key not in keys}


def all_tables():
    """Every kind of table a scenario has, once."""
    found, waiting = [], [Scenario]
    while waiting:
        table = waiting.pop()
        found.append(table)
        inside = (table_of(field) for _, field in fields_by_key(table).values())
        waiting += [one for one in inside if one is not None and one not in found]
    return found


@pytest.mark.parametrize("table", all_tables(), ids=lambda table: table.__name__)
def test_other_words_for_a_key_lead_to_a_key_and_are_none_themselves(table):
    keys = set(fields_by_key(table))
    assert set(table.also_called.values()) <= keys
    assert not set(table.also_called) & keys


@pytest.mark.parametrize(
    ("table", "written", "key"),
    [
        ("cable", {"size": "6 AWG", "length": "12 ft"}, "gauge"),
        ("charger", {"amps": "10 A"}, "current"),
        ("bank", {"battery": "31-agm", "DoD": 0.5}, "depth_of_discharge"),
        ("house_bank", {"battery": "31-agm", "load": "20 W", "soc": 0.5}, "start_soc"),
    ],
)
def test_a_commonly_guessed_key_is_told_the_right_one(raw_day, table, written, key):
    hints = problems({**raw_day, table: written}).values()
    assert f"is not a key of this table (did you mean {key!r}?)" in hints


def test_a_list_whose_rows_are_all_wrong_is_not_called_empty(raw_day):
    found = problems({**raw_day, "leg": [{"do": "hover", "start": "06:00", "for": "1 h"}]})
    assert set(found) == {"leg[1].do"}
    assert "is an empty list" in problems({**raw_day, "leg": []})["leg"]


def test_quantities_arrive_in_the_units_their_names_say(raw_day):
    scenario = validate(raw_day)
    assert scenario.boat.length_m == pytest.approx(5.334)
    assert scenario.motor.thrust_n == pytest.approx(80 * 4.4482216152605)
    assert scenario.wind.wind_from_deg == 225.0
    assert scenario.bank.rated_time_s == 72000.0
    assert scenario.boat.person_mass_kg == pytest.approx(83.91, abs=0.005)
    assert scenario.day.timezone == ZoneInfo("America/New_York")
    assert scenario.legs[1].speed_mps == pytest.approx(1.5 * 1852 / 3600)


def test_a_scenario_cannot_be_changed(raw_day):
    scenario = validate(raw_day)
    with pytest.raises(ValidationError, match="frozen"):
        scenario.boat.people = 9


def test_every_default_passes_the_checks_of_its_own_key(raw_day):
    raw_day |= {"cable": {"gauge": "6 AWG", "length": "12 ft"}, "charger": {"current": "15 A"}}
    raw_day["home"] = {"distance": "2 nmi"}
    scenario = validate(raw_day)
    for table in (scenario.day, scenario.boat, scenario.motor, scenario.bank, scenario.wind):
        for name, field in type(table).model_fields.items():
            if name.rpartition("_")[2] in {"mps", "kg", "a", "v", "s", "m", "w", "degc", "ohm"}:
                assert not isinstance(getattr(table, name), str), field


def test_every_key_of_every_table_is_explained_and_bears_its_unit():
    quantities = {
        "time": "_s",
        "length": "_m",
        "area": "_m2",
        "mass": "_kg",
        "force": "_n",
        "speed": "_mps",
        "angle": "_deg",
        "voltage": "_v",
        "current": "_a",
        "charge": "_ah",
        "power": "_w",
        "temperature": "_degc",
        "resistance": "_ohm",
        "rate": "_per_h",
    }
    waiting, seen = [Scenario], 0
    while waiting:
        table = waiting.pop()
        for name, field in fields_by_key(table).values():
            seen += 1
            assert field.description, f"{table.__name__}.{name}"
            inner = table_of(field)
            if inner is not None:
                waiting.append(inner)
            for kind in (field, *getattr(field.annotation, "__args__", ())):
                for item in getattr(kind, "metadata", getattr(kind, "__metadata__", ())):
                    if hasattr(item, "dimension"):
                        assert name.endswith(quantities[item.dimension]), name
    assert seen > 80


@pytest.mark.parametrize(
    ("table", "change", "path", "message"),
    [
        pytest.param("boat", {"length": 5.3}, "boat.length", "5.3 has no unit", id="bare"),
        pytest.param(
            "boat", {"length": "175 ft"}, "boat.length", "most allowed, 15 m", id="big"
        ),
        pytest.param("boat", {"people": 0}, "boat.people", "at least 1", id="nobody"),
        pytest.param("boat", {"people": 2.5}, "boat.people", "plain whole number", id="half"),
        pytest.param("boat", {"people": True}, "boat.people", "plain whole number", id="true"),
        pytest.param("boat", {"hull": ""}, "boat.hull", "is empty", id="no-name"),
        pytest.param("boat", {"hull": 5}, "boat.hull", "must be text in quotes", id="number"),
        pytest.param("boat", {"mass": True}, "boat.mass", "bool where a mass is", id="bool"),
        pytest.param(
            "boat", {"drag_factor": 0}, "boat.drag_factor", "more than 0", id="factor"
        ),
        pytest.param(
            "boat", {"lenght": "5 m"}, "boat.lenght", "did you mean 'length'", id="typo"
        ),
        pytest.param("boat", {"gust": "5 kn"}, "boat.gust", "it belongs in [wind]", id="moved"),
        pytest.param(
            "boat", {"colour": "red"}, "boat.colour", "the keys here are", id="strange"
        ),
        pytest.param("bank", {"start_soc": "50 %"}, "bank.start_soc", "as 0.5", id="percent"),
        pytest.param("bank", {"start_soc": "0.5"}, "bank.start_soc", "no quotes", id="quoted"),
        pytest.param("bank", {"start_soc": 1.2}, "bank.start_soc", "at most 1", id="soc"),
        pytest.param(
            "bank", {"start_soc": float("nan")}, "bank.start_soc", "plain number", id="nan"
        ),
        pytest.param(
            "day", {"date": "16 May"}, "day.date", "write it as 2026-05-16", id="date"
        ),
        pytest.param("day", {"date": "2026-02-30"}, "day.date", "does not exist", id="no-date"),
        pytest.param(
            "day", {"timezone": "New York"}, "day.timezone", "'America/New_York'", id="city"
        ),
        pytest.param(
            "day",
            {"timezone": "america/new_york"},
            "day.timezone",
            "America/New_York",
            id="case",
        ),
        pytest.param("day", {"timezone": "America"}, "day.timezone", "not a time", id="folder"),
        pytest.param("day", {"timezone": "../etc"}, "day.timezone", "not a time", id="outside"),
        pytest.param("day", {"water": "sweet"}, "day.water", "'salt', 'brackish'", id="choice"),
        pytest.param("day", {"step": "1 h"}, "day.step", "most allowed, 600 s", id="step"),
        pytest.param("motor", {"blades": 4}, "motor.blades", "choose 2 or 3", id="blades"),
        pytest.param(
            "motor", {"bench": {}}, "motor.bench", "write [[motor.bench]]", id="single"
        ),
        pytest.param(
            "wind", {"from": "370 deg"}, "wind.from", "most allowed, 360", id="bearing"
        ),
        pytest.param(
            "wind", {"gust": "9 kn"}, "wind.gust", "less than the wind", id="weak-gust"
        ),
        pytest.param("wind", {"file": "w.csv"}, "wind.file", "cannot stand beside", id="both"),
        pytest.param("stream", {"mean": "1 kn"}, "stream.mean", "means nothing", id="mean"),
        pytest.param("stream", {"speed": "1 kn"}, "stream.event", "beside 'speed'", id="two"),
        pytest.param(
            "bank", {"capacity": "9 Ah"}, "bank.chemistry", "beside 'batt", id="twice"
        ),
        pytest.param("bank", {"rated_time": "5 h"}, "bank.rated_time", "its own", id="brings"),
    ],
)
def test_a_slip_in_one_key_is_named(raw_day, table, change, path, message):
    raw_day[table] |= change
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


@pytest.mark.parametrize(
    ("table", "content", "path", "message"),
    [
        pytest.param(
            "bank", {"series": 2}, "bank", "give one of: battery; chem", id="no-battery"
        ),
        pytest.param(
            "bank",
            {"chemistry": "agm", "series": 1},
            "bank.capacity",
            "missing",
            id="no-capacity",
        ),
        pytest.param(
            "bank", {"battery": "31-agm", "series": 0}, "bank.series", "at least 1", id="none"
        ),
        pytest.param(
            "motor", {"voltage": "24 V"}, "motor.thrust", "or [[motor.bench]]", id="no-thrust"
        ),
        pytest.param(
            "motor", {"bench": BENCH[:2]}, "motor.bench", "2 of the 3", id="two-points"
        ),
        pytest.param("cable", {"gauge": "6 AWG"}, "cable.length", "missing", id="no-length"),
        pytest.param(
            "cable", {"gauge": "30 AWG", "length": "2 m"}, "cable.gauge", "thinner", id="thin"
        ),
        pytest.param(
            "cable",
            {"gauge": "1600 mm2", "length": "2 m"},
            "cable.gauge",
            "outside",
            id="thick",
        ),
        pytest.param(
            "cable", {"gauge": 6, "length": "2 m"}, "cable.gauge", "'6 AWG'", id="bare"
        ),
        pytest.param("wind", {"speed": "9 kn"}, "wind.from", "missing beside", id="no-from"),
        pytest.param("wind", {"height": "10 m"}, "wind", "[[wind.hour]]; file", id="no-wind"),
        pytest.param("wind", {"hour": []}, "wind.hour", "holds no hours", id="no-hours"),
        pytest.param("stream", {}, "stream", "[[stream.event]]", id="no-stream"),
        pytest.param(
            "stream", {"event": [EVENT] * 2}, "stream.ebb_toward", "sets to", id="sets"
        ),
        pytest.param(
            "stream", SETS | {"event": [EVENT]}, "stream.event", "1 of the 2", id="one"
        ),
        pytest.param(
            "stream",
            SETS | {"event": [EVENT, {"at": "12:00", "kind": "ebb"}]},
            "stream.event[2].speed",
            "maximum (ebb) has a speed",
            id="maximum-without-speed",
        ),
        pytest.param(
            "stream",
            SETS | {"event": [EVENT, {"at": "12:00", "kind": "slack", "speed": "1 kn"}]},
            "stream.event[2].speed",
            "no meaning at a slack",
            id="slack-with-speed",
        ),
        pytest.param(
            "stream", SETS | {"event": [EVENT, EVENT]}, "stream.event[2].at", "twice", id="same"
        ),
        pytest.param(
            "wind",
            {
                "hour": [
                    {"at": clock, "speed": "9 kn", "from": "S"} for clock in ("09:00", "08:00")
                ]
            },
            "wind.hour[2].at",
            "08:00 is earlier than 09:00",
            id="hours-swapped",
        ),
        pytest.param(
            "charger", {"current": "15 A", "outputs": 0}, "charger.outputs", "1", id="0"
        ),
        pytest.param("home", {}, "home.distance", "One way", id="no-distance"),
        pytest.param("home", "2 nmi", "home", "write [home]", id="not-a-table"),
        pytest.param("leg", {"do": "hold"}, "leg", "write [[leg]]", id="single-brackets"),
        pytest.param("leg", [], "leg", "add at least one [[leg]]", id="no-legs"),
        pytest.param("leg", ["hold"], "leg[1]", "plain value where a table", id="not-tables"),
    ],
)
def test_a_table_that_does_not_hang_together_is_named(raw_day, table, content, path, message):
    raw_day[table] = content
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


@pytest.mark.parametrize("table", ["day", "boat", "motor", "bank", "wind", "leg"])
def test_a_missing_table_says_how_to_begin_it(raw_day, table):
    del raw_day[table]
    found = problems(raw_day)
    assert list(found) == [table]
    assert "this table is missing (add [" in found[table]


@pytest.mark.parametrize(
    ("table", "content"),
    [
        pytest.param("bank", {"battery": "31-agm"}, id="as-many-blocks-as-it-takes"),
        pytest.param("bank", LABEL | {"reserve": "195 min", "rated_time": "20 h"}, id="label"),
        pytest.param("bank", {"battery": "31-agm", "series": 1, "reserve": "3 h"}, id="listed"),
        pytest.param("motor", {"bench": BENCH}, id="bench-alone"),
        pytest.param("cable", {"resistance": "6 mohm"}, id="measured-cable"),
        pytest.param("wind", {"file": "wind.csv"}, id="wind-file"),
        pytest.param("stream", {"file": "stream.csv"}, id="stream-file"),
        pytest.param("stream", {"speed": "1 kn", "toward": "NE", "scale": 0.8}, id="steady"),
        pytest.param(
            "stream", {"constants": "c.json", "shift": "-25 min"}, id="constants-file"
        ),
        pytest.param(
            "stream",
            SETS
            | {
                "mean": "-0.2 kn",
                "constituent": [{"name": "M2", "amplitude": "2 kn", "phase": "45 deg"}],
            },
            id="constants-typed-in",
        ),
        pytest.param(
            "stream",
            {
                "point": [
                    {"at": clock, "speed": "1 kn", "toward": "N"}
                    for clock in ("05:00", "06:00")
                ]
            },
            id="series-typed-in",
        ),
        pytest.param("home", {"distance": "3 nmi", "speed": "2 kn"}, id="home"),
        pytest.param(
            "charger", {"current": "15 A", "start": "18:00", "ready_by": "05:00"}, id="charger"
        ),
    ],
)
def test_every_way_of_filling_a_table_is_taken(raw_day, table, content):
    raw_day[table] = content
    assert isinstance(validate(raw_day), Scenario)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("6 AWG", Gauge(awg=6)),
        ("1/0 AWG", Gauge(awg=0)),
        ("4/0 AWG", Gauge(awg=-3)),
        ("16 mm2", Gauge(area_m2=16e-6)),
    ],
)
def test_cable_sizes_follow_the_gauge_numbers_of_astm_b258(raw_day, written, expected):
    # ASTM B258 (from memory): 0000 is number -3, 000 is -2, 00 is -1, 0 is 0.
    raw_day["cable"] = {"gauge": written, "length": "4 m"}
    found = validate(raw_day).cable.gauge
    assert found.awg == expected.awg
    assert found.area_m2 == pytest.approx(expected.area_m2)


HOLD = {"do": "hold", "start": "06:30", "for": "2 h"}


@pytest.mark.parametrize(
    ("legs", "path", "message"),
    [
        pytest.param([without(HOLD, "for")], "leg[1]", "how long it lasts", id="no-length"),
        pytest.param(
            [HOLD | {"until": "8:30"}], "leg[1].until", "beside 'for'", id="two-lengths"
        ),
        pytest.param([without(HOLD, "start")], "leg[1].start", "sets the clock", id="no-start"),
        pytest.param(
            [HOLD, HOLD | {"start": "07:00"}], "leg[2].start", "is before 08:30", id="overlap"
        ),
        pytest.param(
            [HOLD, HOLD | {"start": "05:00"}], "leg[2].start", "earlier than 06:30", id="order"
        ),
        pytest.param(
            [without(HOLD, "for") | {"until": "06:30"}], "leg[1].until", "begins", id="no-time"
        ),
        pytest.param(
            [without(HOLD, "for") | {"until": "06:00"}],
            "leg[1].until",
            "earlier",
            id="backwards",
        ),
        pytest.param(
            [HOLD, {"do": "rest", "for": "24 h"}, {"do": "hold", "for": "20 h"}],
            "leg[3].for",
            "more than 36 h",
            id="a-week",
        ),
        pytest.param([HOLD | {"do": "creep"}], "leg[1].course", "a creep needs it", id="creep"),
        pytest.param([HOLD | {"do": "drift"}], "leg[1].drift_speed", "needs it", id="drift"),
        pytest.param(
            [HOLD | {"course": "N"}], "leg[1].course", "no meaning for 'hold'", id="hold"
        ),
        pytest.param([HOLD | {"for": "-2 h"}], "leg[1].for", "more than 0 s", id="negative"),
        pytest.param([HOLD | {"do": "anchor"}], "leg[1].do", "choose 'run', 'hold'", id="verb"),
    ],
)
def test_legs_that_make_no_day_are_named(raw_day, legs, path, message):
    raw_day["leg"] = legs
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


def test_legs_follow_on_and_cross_midnight(raw_day):
    raw_day["leg"] = [
        {"do": "run", "start": "21:15", "for": "30 min"},
        {"do": "hold", "until": "23:50"},
        {"do": "drift", "drift_speed": "0.5 kn", "until": "01:20"},
        {"do": "run", "start": "02:00", "for": "30 min"},
    ]
    scenario = validate(raw_day)
    times = leg_times(scenario.day, scenario.legs)
    clocks = [(f"{leg.start:%d %H:%M}", f"{leg.end:%d %H:%M}") for leg in times]
    assert clocks == [
        ("16 21:15", "16 21:45"),
        ("16 21:45", "16 23:50"),
        ("16 23:50", "17 01:20"),
        ("17 02:00", "17 02:30"),
    ]


def test_a_length_is_elapsed_time_even_when_the_clocks_change(raw_day):
    # 2026-03-08: 02:00 becomes 03:00 in New York (Energy Policy Act of 2005, section 110).
    raw_day["day"]["date"] = "2026-03-08"
    raw_day["leg"] = [{"do": "hold", "start": "01:00", "for": "3 h"}]
    scenario = validate(raw_day)
    assert f"{leg_times(scenario.day, scenario.legs)[0].end:%H:%M}" == "05:00"


def test_problems_of_keys_values_and_clocks_show_together(raw_day):
    raw_day["boat"]["mass"] = "80 kn"
    raw_day["wind"] |= {"file": "w.csv", "height": "ten"}
    raw_day["stream"]["event"][1]["at"] = "01:30"
    raw_day["leg"][1]["start"] = "07:00"
    del raw_day["motor"]["thrust"]
    assert set(problems(raw_day)) == {
        "boat.mass",
        "wind.file",
        "wind.height",
        "stream.event[2].at",
        "leg[2].start",
        "motor.thrust",
    }


def test_every_key_left_out_is_listed_with_what_is_assumed(raw_day):
    taken = {one.path: one.text for one in defaults_taken(validate(raw_day))}
    assert taken["boat.person_mass"] == "185 lb"
    assert taken["bank.parallel"] == "1"
    assert taken["leg[2].over"] == "ground"
    given = {"boat.length", "wind.speed", "leg[1].for"}
    no_assumption = {"boat.frontal_area", "bank.reserve", "cable", "home"}
    no_meaning = {"bank.block_voltage", "leg[1].over", "stream.mean", "stream.event[1].speed"}
    assert not set(taken) & (given | no_assumption | no_meaning)


def test_a_default_that_is_written_out_is_no_assumption_any_more(raw_day):
    for one in defaults_taken(validate(raw_day)):
        table, _, key = one.path.rpartition(".")
        if "[" not in table and one.text.replace(".", "").isdigit():
            raw_day[table][key] = float(one.text) if "." in one.text else int(one.text)
        elif "[" not in table:
            raw_day[table][key] = one.text
    left = defaults_taken(validate(raw_day))
    assert left
    assert all(one.path.startswith("leg[") for one in left)


def test_the_schema_shows_quantities_as_strings_with_examples():
    schema = scenario_schema()
    boat = schema["$defs"]["Boat"]
    assert boat["properties"]["length"]["type"] == "string"
    assert boat["properties"]["length"]["examples"] == ["17 ft 6 in"]
    assert "length" in boat["required"]
    assert boat["additionalProperties"] is False
    assert schema["$defs"]["Wind"]["properties"]["from"]["type"] == "string"
    assert "null" not in str(schema)
    assert set(schema["properties"]) == set(fields_by_key(Scenario))
