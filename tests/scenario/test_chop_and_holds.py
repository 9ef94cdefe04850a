"""What a scenario may say of chop, of holds with a heading or in bursts, of shaft and gusts."""

import pytest

from energysim.errors import ScenarioError
from energysim.scenario.defaults import defaults_taken
from energysim.scenario.load import validate

HOLD = {"do": "hold", "start": "06:30", "for": "2 h"}
BURST = HOLD | {"style": "burst"}
REACH = {"from": "SW", "length": "3 km"}


def problems(raw):
    """Every problem of a raw scenario, as path and reason with hint."""
    with pytest.raises(ScenarioError) as caught:
        validate(raw)
    return {one.path: f"{one.reason} ({one.hint})" for one in caught.value.problems}


# The chop.


@pytest.mark.parametrize(
    "content",
    [
        pytest.param({"fetch": "2 nmi"}, id="one-fetch"),
        pytest.param({"fetch": "2 nmi", "depth": "12 ft"}, id="with-depth"),
        pytest.param({"reach": [REACH]}, id="one-reach"),
        pytest.param({"reach": [REACH, REACH | {"from": "350 deg"}], "depth": "4 m"}, id="two"),
    ],
)
def test_every_way_of_stating_the_open_water_is_taken(raw_day, content):
    raw_day["chop"] = content
    assert validate(raw_day).chop is not None


def test_its_quantities_arrive_in_metres_and_degrees(raw_day):
    # 1 nmi is 1852 m and 1 ft 0.3048 m, both by definition; south-west is 225 deg.
    raw_day["chop"] = {"reach": [{"from": "SW", "length": "1 nmi"}], "depth": "10 ft"}
    chop = validate(raw_day).chop
    assert chop.reaches[0].from_deg == 225.0
    assert chop.reaches[0].length_m == pytest.approx(1852.0)
    assert chop.depth_m == pytest.approx(3.048)
    assert chop.fetch_m is None


@pytest.mark.parametrize(
    ("content", "path", "message"),
    [
        pytest.param({}, "chop", "fetch; [[chop.reach]]", id="nothing"),
        pytest.param({"depth": "3 m"}, "chop", "fetch; [[chop.reach]]", id="only-a-depth"),
        pytest.param(
            {"fetch": "1 km", "reach": [REACH]}, "chop.reach", "beside 'fetch'", id="both"
        ),
        pytest.param({"reach": []}, "chop.reach", "holds no reaches", id="no-reaches"),
        pytest.param({"fetch": 2000}, "chop.fetch", "2000 has no unit", id="bare"),
        pytest.param({"fetch": "0 m"}, "chop.fetch", "more than 0 m", id="no-room"),
        pytest.param({"fetch": "900 km"}, "chop.fetch", "500 km", id="an-ocean"),
        pytest.param(
            {"fetch": "1 km", "depth": "10 cm"}, "chop.depth", "least allowed", id="a-puddle"
        ),
        pytest.param({"fetch": "2 kn"}, "chop.fetch", "length", id="a-speed"),
        pytest.param(
            {"reach": [{"from": "SW"}]}, "chop.reach[1].length", "missing", id="no-length"
        ),
        pytest.param(
            {"reach": [REACH, {"length": "1 km"}]}, "chop.reach[2].from", "missing", id="no-way"
        ),
        pytest.param(
            {"reach": [REACH | {"from": "370 deg"}]}, "chop.reach[1].from", "360", id="bearing"
        ),
        pytest.param({"reach": REACH}, "chop.reach", "write [[chop.reach]]", id="single"),
        pytest.param({"fetsch": "1 km"}, "chop.fetsch", "did you mean 'fetch'", id="slip"),
    ],
)
def test_open_water_that_makes_no_sense_is_named(raw_day, content, path, message):
    raw_day["chop"] = content
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


# Holds.


@pytest.mark.parametrize(
    ("written", "expected"),
    [("wind", "wind"), ("stream", "stream"), ("045 deg", 45.0), ("NW", 315.0), ("0 deg", 0.0)],
)
def test_a_heading_is_a_word_or_a_bearing(raw_day, written, expected):
    raw_day["leg"] = [HOLD | {"heading": written}]
    assert validate(raw_day).legs[0].heading == expected


@pytest.mark.parametrize("style", ["steady", "burst"])
def test_both_styles_of_holding_are_taken(raw_day, style):
    raw_day["leg"] = [HOLD | {"style": style}]
    assert validate(raw_day).legs[0].style == style


def test_bursts_say_how_long_and_how_wide(raw_day):
    raw_day["leg"] = [BURST | {"duty": 0.25, "watch_circle": "40 ft", "heading": "stream"}]
    (leg,) = validate(raw_day).legs
    assert (leg.duty, leg.watch_circle_m) == (0.25, pytest.approx(12.192))


@pytest.mark.parametrize(
    ("leg", "path", "message"),
    [
        pytest.param(HOLD | {"heading": "tide"}, "heading", "'wind', 'stream' or", id="word"),
        pytest.param(HOLD | {"heading": 45}, "heading", "such as '045 deg'", id="bare-number"),
        pytest.param(HOLD | {"heading": "400 deg"}, "heading", "most allowed, 360", id="400"),
        pytest.param(
            HOLD | {"heading": ["wind"]}, "heading", "'045 deg'", id="a-list"
        ),
        pytest.param(
            HOLD | {"heading": {"a": 1}}, "heading", "'045 deg'", id="a-table"
        ),
        pytest.param(HOLD | {"heading": True}, "heading", "'045 deg'", id="true"),
        pytest.param(HOLD | {"style": "pulse"}, "style", "'steady' or 'burst'", id="style"),
        pytest.param(HOLD | {"duty": 0.5}, "duty", 'add style = "burst"', id="duty-of-steady"),
        pytest.param(
            HOLD | {"watch_circle": "30 ft"}, "watch_circle", "steady hold", id="steady-circle"
        ),
        pytest.param(BURST | {"duty": 0.0}, "duty", "at least 0.05", id="never"),
        pytest.param(BURST | {"duty": 1.1}, "duty", "at most 1", id="more-than-always"),
        pytest.param(BURST | {"duty": "50 %"}, "duty", "0.5", id="per-cent"),
        pytest.param(BURST | {"watch_circle": "1 ft"}, "watch_circle", "1 m", id="no-room"),
        pytest.param(BURST | {"watch_circle": "1 km"}, "watch_circle", "200 m", id="away"),
        pytest.param(
            {"do": "rest", "start": "06:30", "for": "2 h", "style": "burst"},
            "style", "no meaning for 'rest'", id="rest-in-bursts",
        ),
        pytest.param(
            {"do": "creep", "start": "06:30", "for": "2 h", "course": "N", "speed": "1 kn",
             "heading": "wind"},
            "heading", "no meaning for 'creep'", id="creep-with-heading",
        ),
        pytest.param(
            {"do": "drift", "start": "06:30", "for": "2 h", "drift_speed": "1 kn", "duty": 0.5},
            "duty", "no meaning for 'drift'", id="drift-in-bursts",
        ),
    ],
)  # fmt: skip
def test_a_hold_that_makes_no_sense_is_named(raw_day, leg, path, message):
    raw_day["leg"] = [leg]
    assert message in problems(raw_day).get(f"leg[1].{path}", f"only {problems(raw_day)}")


def test_what_a_burst_takes_for_granted_is_said_and_of_a_steady_hold_not(raw_day):
    raw_day["leg"] = [BURST, {"do": "hold", "for": "1 h"}]
    taken = {one.path: one.text for one in defaults_taken(validate(raw_day))}
    assert taken["leg[1].duty"] == "0.5"
    assert taken["leg[1].watch_circle"] == "30 ft"
    assert taken["leg[2].style"] == "steady"
    assert not {"leg[2].duty", "leg[2].watch_circle", "leg[1].style"} & set(taken)


# Shaft, bow and gusts.


@pytest.mark.parametrize(
    ("table", "change", "path", "message"),
    [
        pytest.param("motor", {"shaft_length": "9 in"}, "motor.shaft_length", "40 cm", id="9"),
        pytest.param("motor", {"shaft_length": "12 ft"}, "motor.shaft_length", "3 m", id="12"),
        pytest.param("motor", {"shaft_length": 60}, "motor.shaft_length", "no unit", id="60"),
        pytest.param("boat", {"bow_height": "2 in"}, "boat.bow_height", "0.1 m", id="awash"),
        pytest.param("boat", {"bow_height": "5 m"}, "boat.bow_height", "4 m", id="a-ship"),
        pytest.param("wind", {"exposure": "lake"}, "wind.exposure", "'in-land'", id="place"),
    ],
)  # fmt: skip
def test_a_slip_in_the_new_keys_is_named(raw_day, table, change, path, message):
    raw_day[table] |= change
    assert message in problems(raw_day).get(path, f"only {problems(raw_day)}")


def test_the_usual_exposure_is_the_coast_in_a_wind_off_the_water(raw_day):
    taken = {one.path: one.text for one in defaults_taken(validate(raw_day))}
    assert taken["wind.exposure"] == "off-sea"


@pytest.mark.parametrize("exposure", ["at-sea", "off-sea", "off-land", "in-land"])
def test_the_four_exposures_are_taken(raw_day, exposure):
    raw_day["wind"]["exposure"] = exposure
    assert validate(raw_day).wind.exposure == exposure


def test_a_bow_kept_to_a_stream_that_is_not_there_is_refused_with_the_leg(raw_day):
    raw_day["leg"] = [HOLD, {"do": "hold", "for": "1 h", "heading": "stream"}]
    raw_day.pop("stream", None)
    (told,) = problems(raw_day).items()
    assert told[0] == "leg[2].heading"
    assert "no [stream]" in told[1]
    raw_day["stream"] = {"speed": "1 kn", "toward": "90 deg"}
    assert validate(raw_day).legs[1].heading == "stream"
