"""The tables that say how the boat is rigged."""

import pytest

from energysim.errors import ScenarioError
from energysim.scenario.load import validate
from energysim.scenario.overlay import overlay


@pytest.fixture
def rigged(plain_day):
    """The plain day with keys laid over it, read."""

    def read(changes):
        return validate(overlay(plain_day(), changes))

    return read


def test_everything_may_be_left_out(rigged):
    scenario = rigged({})
    for table in ("wiring", "breaker", "plug", "cord", "vent", "mounting"):
        assert getattr(scenario, table) is None
    empty = rigged({"wiring": {}, "breaker": {}, "plug": {}, "vent": {}, "mounting": {}})
    assert empty.breaker.rating_a is None
    assert empty.wiring.insulation_degc is None


@pytest.mark.parametrize(
    ("typed", "rating"),
    [("105 degC", 105.0), ("221 degF", 105.0), ("140 degF", 60.0), ("75 °C", 75.0)],
)
def test_insulation_is_read_in_either_degree(rigged, typed, rating):
    assert rigged({"wiring": {"insulation": typed}}).wiring.insulation_degc == rating


def test_small_lengths_areas_and_pulls_are_read_with_their_units(rigged):
    scenario = rigged(
        {
            "breaker": {"distance": "7 in", "interrupting": "20000 A"},
            "vent": {"opening": "50 cm2"},
            "mounting": {"pull_tested": "90 lbf"},
            "cord": {"gauge": "14 AWG", "length": "50 ft"},
        }
    )
    assert scenario.breaker.distance_m == pytest.approx(0.1778)  # 7 x 25.4 mm
    assert scenario.breaker.interrupting_a == 20000.0
    assert scenario.vent.opening_m2 == pytest.approx(0.005)
    assert scenario.mounting.pull_tested_n == pytest.approx(400.34, abs=0.01)
    assert scenario.cord.gauge.awg == 14


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ({"wiring": {"insulation": "100 degC"}}, "is no rating of the table"),
        ({"wiring": {"insulation": 105}}, "105 has no unit"),
        ({"wiring": {"bundled": 0}}, "at least 1"),
        ({"wiring": {"drop_class": "4 %"}}, "is not one of the choices"),
        ({"wiring": {"tinned": "yes"}}, "wiring.tinned"),
        ({"breaker": {"rating": "60"}}, "no unit"),
        ({"breaker": {"amps": "60 A"}}, "is not a key of this table"),
        ({"cord": {"length": "50 ft"}}, "a length alone tells nothing"),
        ({"vent": {"opening": "2 m2"}}, "is more than the most allowed"),
        ({"mounting": {"pull_tested": "40 kg"}}, "mounting.pull_tested"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_slip_is_refused_in_plain_words(rigged, table, said):
    with pytest.raises(ScenarioError, match=said):
        rigged(table)
