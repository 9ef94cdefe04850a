"""Days by hand on banks that are tapped, unlike, stored or second: from keys to the answer."""

import pytest

from energysim.runner import run_day
from energysim.scenario.overlay import overlay

ASHORE = {"leg": [{"do": "rest", "start": "06:00", "for": "8 h"}]}
IDEAL = {"chemistry": "flooded", "capacity": "100 Ah", "temperature": "25 degC"}


@pytest.fixture
def ran(plain_day, load_raw):
    """From keys laid over a day of rest to its answer."""

    def run(changes):
        whole = {key: value for key, value in changes.items() if isinstance(value, dict)}
        raw = {key: table for key, table in plain_day().items() if key not in whole}
        return run_day(load_raw(overlay(raw, ASHORE | changes)), with_changes=False)

    return run


def blocks(result):
    return {block.name: block for block in result.bank.blocks}


def test_a_load_on_one_block_drains_that_block_and_no_other(ran):
    # 37 W for 8 h at 12.1 to 12.7 V: 296 Wh are 24 Ah, near enough three amperes all day.
    tapped = [{"name": "pump", "load": "37 W", "number": 2}]
    found = blocks(ran({"bank": IDEAL | {"tapped": tapped}}))
    assert found["block 1"].charge == pytest.approx(1.0)
    assert found["block 2 (pump)"].charge == pytest.approx(
        1.0 - 296.0 / 12.4 / 100.0, abs=0.006
    )


def test_loads_on_one_block_add_up_and_on_two_blocks_do_not(ran):
    twice = [{"load": "10 W", "number": 1}, {"load": "10 W", "number": 1}]
    once = [{"load": "20 W", "number": 1}]
    apart = [{"load": "10 W", "number": 1}, {"load": "10 W", "number": 2}]

    def least(tapped):
        return min(
            block.charge for block in ran({"bank": IDEAL | {"tapped": tapped}}).bank.blocks
        )

    assert least(twice) == pytest.approx(least(once), abs=1e-12)
    assert least(apart) == pytest.approx(1.0 - (1.0 - least(once)) / 2.0, abs=2e-3)


def test_the_house_drains_its_own_bank_and_leaves_the_bow_motors_alone(ran):
    result = ran({"bank": IDEAL, "house_bank": IDEAL | {"load": "30 W"}})
    # 240 Wh at 12.3 to 12.7 V.
    assert result.house.drawn_ah == pytest.approx(240.0 / 12.5, rel=0.02)
    assert result.house.end_charge == pytest.approx(1.0 - result.house.drawn_ah / 100.0)
    assert result.charge_drawn_ah == 0.0
    assert result.end_soc == pytest.approx(1.0)


def test_rows_that_say_of_every_block_what_the_bank_says_change_nothing(ran):
    day = {"leg": [{"do": "hold", "start": "06:00", "for": "3 h"}], "wind.speed": "16 kn"}
    day |= {"wind.gust": "20 kn"}
    rows = [{"number": n, "capacity_fraction": 0.8, "start_soc": 0.9} for n in (1, 2)]
    said_once = ran(day | {"bank": IDEAL | {"capacity_fraction": 0.8, "start_soc": 0.9}})
    said_twice = ran(day | {"bank": IDEAL | {"block": rows}})
    assert said_twice.end_soc == pytest.approx(said_once.end_soc, abs=1e-12)


def test_a_weak_block_ends_a_day_sooner_than_any_even_bank_and_is_named(ran):
    day = {"leg": [{"do": "hold", "start": "06:00", "for": "12 h"}], "wind.speed": "28 kn"}
    day |= {"wind.gust": "32 kn"}
    even = ran(day | {"bank": IDEAL})
    weak = [{"number": 2, "capacity_fraction": 0.9}]
    result = ran(day | {"bank": IDEAL | {"block": weak}})
    assert even.limit_reached_at is not None
    assert result.limit_reached_at < even.limit_reached_at
    assert result.bank.uneven.weakest == "block 2"


@pytest.mark.parametrize(
    "worse",
    [
        {"age": "4 yr"},
        {"capacity_fraction": 0.8},
        {"stored": "2 month"},
        {"temperature": "5 degC"},
    ],
    ids=lambda keys: next(iter(keys)),
)
@pytest.mark.parametrize("law", ["kinetic", "peukert"])
def test_what_is_worse_for_a_bank_leaves_less_by_either_law(ran, law, worse):
    day = {"leg": [{"do": "hold", "start": "06:00", "for": "4 h"}], "wind.speed": "22 kn"}
    day |= {"wind.gust": "26 kn"}
    good = ran(day | {"bank": IDEAL | {"law": law}})
    bad = ran(day | {"bank": IDEAL | {"law": law} | worse})
    assert bad.end_soc < good.end_soc - 0.02
