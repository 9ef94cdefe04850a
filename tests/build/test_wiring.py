"""Which output feeds which block, and what wiring is refused."""

import pytest
from pydantic import ValidationError

from energysim.build.wiring import wire_up
from energysim.errors import ScenarioError
from energysim.scenario.charger import Charger


def wired(series, parallel, **table):
    return wire_up(Charger.model_validate(table), series=series, parallel=parallel)


def test_an_output_to_each_block_string_by_string():
    outputs = wired(2, 2, current="10 A")
    assert [output.places for output in outputs] == [
        ((1, 1),), ((1, 2),), ((2, 1),), ((2, 2),),
    ]  # fmt: skip
    assert {output.current_a for output in outputs} == {10.0}


def test_outputs_that_differ_are_taken_in_their_order_and_spare_ones_stay_idle():
    outputs = wired(2, 1, outputs=["10 A", "5 A", "20 A"])
    assert outputs == ((10.0, ((1, 1),)), (5.0, ((1, 2),)))


@pytest.mark.parametrize(
    ("series", "parallel", "feeds", "places"),
    [
        (2, 2, ["1.1 + 2.1", "1.2+2.2"], [((1, 1), (2, 1)), ((1, 2), (2, 2))]),
        (1, 2, ["1 + 2"], [((1, 1), (2, 1))]),
        (3, 1, ["2", "1", "3"], [((1, 2),), ((1, 1),), ((1, 3),)]),
    ],
    ids=["both-numbers", "strings-of-one", "one-string"],
)
def test_one_output_may_be_shared_where_it_is_said_so(series, parallel, feeds, places):
    outputs = wired(series, parallel, current="10 A", feeds=feeds)
    assert [output.places for output in outputs] == places


@pytest.mark.parametrize(
    ("series", "parallel", "table", "message"),
    [
        (2, 2, {"current": "10 A", "outputs": 3}, "fewer than the bank's 4 blocks"),
        (3, 1, {"outputs": ["10 A", "10 A"]}, "fewer than the bank's 3 blocks"),
        (2, 1, {"current": "10 A", "feeds": ["1 + 2"]}, "would short one of them"),
        (2, 2, {"current": "10 A", "feeds": ["1 + 2"]}, "is not a block, written string.block"),
        (2, 1, {"current": "10 A", "feeds": ["1", "3"]}, "the bank has no block 3"),
        (2, 1, {"current": "10 A", "feeds": ["1", "x"]}, "'x' is not a block"),
        (2, 1, {"current": "10 A", "feeds": ["1"]}, "leaves out block 1.2"),
        (2, 1, {"current": "10 A", "feeds": ["1", "2", "1"]}, "feeds block 1.1 twice"),
    ],
    ids=[
        "too-few", "short-list", "across-a-string", "ambiguous", "no-such-block", "no-block",
        "left-out", "twice",
    ],
)  # fmt: skip
def test_wiring_that_does_not_serve_the_bank_is_refused(series, parallel, table, message):
    with pytest.raises(ScenarioError, match=message):
        wired(series, parallel, **table)


@pytest.mark.parametrize(
    ("table", "message"),
    [
        ({}, "does not say how much it gives"),
        ({"current": "10 A", "outputs": ["10 A"]}, "cannot stand beside a list of 'outputs'"),
        ({"outputs": ["10 A", "5"]}, "output 2: '5' has no unit"),
        ({"outputs": []}, "does not tell the outputs"),
        ({"current": "10 A", "outputs": 0}, "0 outputs"),
        ({"current": "10 A", "circuit": "900 W", "breaker": "15 A"}, "beside 'circuit'"),
        ({"current": "10 A", "circuit": "20 VA"}, "not a circuit's volt-amperes"),
        ({"current": "10 A", "mains_voltage": "230 V"}, "means nothing without 'breaker'"),
        ({"current": "10 A", "outputs": 1, "feeds": ["1", "2"]}, "names 2 outputs"),
    ],
)
def test_a_charger_table_that_contradicts_itself_is_refused(table, message):
    with pytest.raises(ValidationError, match=message):
        Charger.model_validate(table)


@pytest.mark.parametrize(
    ("text", "watts", "volt_amperes"),
    [("1440 W", 1440.0, None), ("1.2 kW", 1200.0, None), ("0.9 kVA", None, 900.0)],
)
def test_a_circuit_is_told_in_watts_or_in_volt_amperes(text, watts, volt_amperes):
    circuit = Charger.model_validate({"current": "10 A", "circuit": text}).circuit
    assert (circuit.power_w, circuit.apparent_va) == (watts, volt_amperes)
