"""
Whatever a scenario mixes of gusts, chop, headings, bursts and shafts, the day has numbers.

Bounds that hold whatever the model: nobody is off station longer than the day, no bank is above
full or below empty, nothing is not a number.
"""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.report.document import day_document, document_text
from energysim.runner import run_day
from energysim.scenario.overlay import overlay

bearing = st.integers(0, 360).map(lambda number: f"{number} deg")
burst = st.fixed_dictionaries(
    {"style": st.just("burst"), "duty": st.sampled_from([0.05, 0.3, 0.9, 1.0])}
)
held = st.one_of(st.sampled_from(["wind", "stream"]), bearing)
hold = st.builds(
    lambda extra, heading: {"do": "hold", **extra, **heading},
    st.one_of(st.just({}), burst),
    st.one_of(
        st.just({}),
        st.fixed_dictionaries(
            {"heading": st.one_of(st.sampled_from(["wind", "stream"]), bearing)}
        ),
    ),
)
other = st.sampled_from(
    [
        {"do": "creep", "course": "80 deg", "speed": "1 kn"},
        {"do": "creep", "course": "350 deg", "speed": "1 kn", "over": "water"},
        {"do": "drift", "drift_speed": "0.4 kn"},
        {"do": "rest"},
        {"do": "run"},
    ]
)
leg = st.builds(
    lambda what, length: {**what, "for": length},
    st.one_of(hold, hold, other),
    st.sampled_from(["30 s", "7 min", "1 h", "2 h"]),
)
reaches = st.lists(st.integers(0, 359), min_size=1, max_size=4, unique=True).map(
    lambda ways: {
        "reach": [
            {"from": f"{way} deg", "length": f"{10 ** (1 + place)} m"}
            for place, way in enumerate(ways)
        ]
    }
)
chop = st.builds(
    lambda water, depth: {**water, **depth},
    st.one_of(reaches, st.sampled_from([{"fetch": "20 m"}, {"fetch": "400 km"}])),
    st.sampled_from([{}, {"depth": "0.3 m"}, {"depth": "10 m"}]),
)
changes = st.fixed_dictionaries(
    {
        "wind.from": bearing,
        "wind.exposure": st.sampled_from(["at-sea", "off-sea", "off-land", "in-land"]),
        "bank.start_soc": st.sampled_from([0.4, 1.0]),
        "stream": st.builds(
            lambda speed, toward: {"speed": f"{speed} kn", "toward": toward},
            st.sampled_from([0, 0.3, 1, 4]),
            bearing,
        ),
    },
    optional={
        "chop": chop,
        "motor.shaft_length": st.sampled_from(["40 cm", "36 in", "60 in", "3 m"]),
        "motor.control": st.just("stepped"),
        "motor.current_limit": st.just("12 A"),
    },
)


@settings(max_examples=60, deadline=None)
@given(
    changes=changes,
    legs=st.lists(leg, min_size=1, max_size=4),
    wind_kn=st.sampled_from([0, 2, 8, 15, 25, 45]),
    gustier=st.sampled_from([1.0, 1.3, 2.5]),
)
def test_any_mixture_is_a_day_of_numbers_within_its_bounds(
    plain_day, load_raw, changes, legs, wind_kn, gustier
):
    legs = [{**legs[0], "start": "06:00"}, *legs[1:]]
    changes |= {"wind.speed": f"{wind_kn} kn", "wind.gust": f"{wind_kn * gustier} kn"}
    loaded = load_raw(overlay(plain_day(), {**changes, "leg": legs}))
    result = run_day(loaded, with_changes=False)
    assert all(np.isfinite(values).all() for values in result.series.values())
    document_text(day_document(result))
    assert 0.0 <= result.lowest_soc <= result.end_soc <= 1.0
    for read in result.legs:
        seconds = (read.end - read.start).total_seconds()
        assert 0.0 <= read.gust_short_s <= read.off_station_s + 1e-9 <= seconds + 1e-6
        assert read.mean_wave_height_m >= 0.0
        assert bool(read.cause) == (read.off_station_s > 0.0)
    # A motor at its end takes what the sagging bank leaves it, so only short of that does a
    # harder push always cost more.
    if result.bracket.harder_off_station_s == 0.0:
        assert result.bracket.harder_end_soc <= result.end_soc + 1e-9
    if result.off_station_s == 0.0:
        assert result.bracket.easier_end_soc >= result.end_soc - 1e-9
