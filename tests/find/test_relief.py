"""A day on which more wind first relieves, then hurts, relieves again and hurts for good."""

from dataclasses import replace

import numpy as np
import pytest

from energysim.find import QUESTIONS, find
from energysim.find import run as run_module
from energysim.find.changes import wind_times
from energysim.odds import run_odds
from energysim.scenario.whatif import changed

# Wind and stream 165 deg apart, as off a bar on the ebb. Up to 9 kn the wind pushes against the
# stream; from there to 17 kn the boat sheers and lies across both; at 22 kn they nearly cancel;
# beyond that the wind has it. Boat and bank are known well, so that the odds are steep.
OPPOSED = {
    "wind": {"speed": "10 kn", "from": "N", "gust": "10.3 kn"},
    "stream": {"speed": "1.2 kn", "toward": "345 deg"},
    "bank": {
        "chemistry": "agm",
        "capacity": "26 Ah",
        "block_voltage": "12 V",
        "block_mass": "9 kg",
        "start_soc": 0.7,
    },
    "uncertainty": {
        "wind_error": "0.1 kn",
        "wind_bias": "0.1 kn",
        "stream_residual": "0 kn",
        "stream_strength": 0.01,
        "wind_load": 0.02,
        "hull_drag": 0.02,
        "thrust_form": 0.02,
        "motor": 0.03,
        "start_charge": 0.0,
    },
    "leg": [{"name": "the bar", "do": "hold", "start": "06:00", "for": "2 h"}],
}
WANTED, MEMBERS, SEED = 0.8, 64, 3


@pytest.fixture(scope="module")
def opposed(plain_day, load_raw):
    day = plain_day()
    day["day"]["step"] = "600 s"
    return load_raw(day | OPPOSED)


@pytest.mark.slow
def test_the_winds_that_work_have_a_hole_and_forward_runs_agree_with_it(opposed, monkeypatch):
    coarse = replace(QUESTIONS["most-wind"], steps=12, tolerance=0.02)
    monkeypatch.setattr(run_module, "QUESTIONS", {"most-wind": coarse})
    result = find("most-wind", opposed, chance=WANTED, members=MEMBERS, seed=SEED)
    assert result.outcome == "found"
    assert len(result.intervals) == 2
    low, high = result.intervals
    assert (low.low_is_range_end, high.high_is_range_end) == (True, False)
    # The careful answer: the wind up to which everything works.
    assert result.answer == low.high
    for factor in np.arange(0.1, 3.0, 0.2):  # between the values of the grid
        again = changed(opposed, wind_times(opposed, float(factor)))
        chance = run_odds(again, members=MEMBERS, seed=SEED).whole_plan.chance
        inside = any(one.low.value <= factor <= one.high.value for one in result.intervals)
        assert (chance >= WANTED) == inside, f"{factor:.2f} times the wind: {chance}"
