"""
Whatever a scenario mixes of labels, laws, unlike blocks, taps, age, panel and house bank.

The day has numbers, within bounds that hold for any bank.
"""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.build import build_day
from energysim.report.document import day_document, document_text
from energysim.runner import run_day
from energysim.scenario.overlay import overlay

labels = st.one_of(
    st.sampled_from([{"battery": name} for name in ("31-agm", "gc2-flooded", "24-lfp")]),
    st.builds(
        lambda kind, extra: {"chemistry": kind, "capacity": "90 Ah", **extra},
        st.sampled_from(["flooded", "agm", "gel", "lfp"]),
        st.sampled_from(
            [
                {},
                {"reserve": "150 min"},
                {"rating": [{"time": "5 h", "capacity": "72 Ah"}]},
                {"peukert_exponent": 1.0},
                {"peukert_exponent": 1.6},
                {
                    "rating": [
                        {"time": "10 h", "capacity": "84 Ah"},
                        {"time": "1 h", "capacity": "52 Ah"},
                    ]
                },
            ]
        ),
    ),
)
ages = st.sampled_from(
    [{}, {"age": "4 yr", "trips_a_year": 60}, {"capacity_fraction": 0.3}, {"stored": "1 yr"}]
)
rows = st.lists(
    st.fixed_dictionaries(
        {
            "string": st.just(1),
            "number": st.just(1),
            "start_soc": st.sampled_from([0.0, 0.5, 1.0]),
        },
        optional={
            "capacity_fraction": st.sampled_from([0.2, 1.0]),
            "temperature": st.sampled_from(["-10 degC", "35 degC"]),
            "resistance": st.sampled_from(["0 ohm", "0.1 ohm"]),
        },
    ),
    max_size=1,
)
taps = st.lists(
    st.fixed_dictionaries(
        {"load": st.sampled_from(["1 W", "90 W", "2 kW"])},
        optional={"string": st.sampled_from([1, 2])},
    ),
    max_size=2,
)
banks = st.builds(
    lambda label, age, more, blocks, tapped: (
        label | age | more | ({"block": blocks} if blocks else {}) | {"tapped": tapped}
    ),
    labels,
    ages,
    st.fixed_dictionaries(
        {"parallel": st.just(2)},
        optional={
            "law": st.sampled_from(["kinetic", "peukert"]),
            "start_soc": st.sampled_from([0.0, 0.02, 0.6]),
            "temperature": st.sampled_from(["-5 degC", "30 degC"]),
            "house_load": st.sampled_from(["30 W", "3 kW"]),
            "resistance": st.sampled_from(["0 ohm", "0.2 ohm"]),
        },
    ),
    rows,
    taps,
)
beside = st.fixed_dictionaries(
    {},
    optional={
        "solar": st.just({"peak": "200 W", "sun_hours": "5 h"}),
        "engine_charging": st.just({"alternator": "60 A"}),
        "house_bank": st.sampled_from(
            [{"battery": "24-agm", "load": "20 W"}, {"battery": "24-lfp", "load": "900 W"}]
        ),
        "charger": st.just({"current": "10 A"}),
    },
)


@settings(max_examples=100, deadline=None)
@given(bank=banks, more=beside, wind_kn=st.sampled_from([0, 12, 28]))
def test_any_bank_makes_a_day_of_numbers_within_its_bounds(
    plain_day, load_raw, bank, more, wind_kn
):
    legs = [
        {"do": "run", "start": "06:00", "for": "30 min"},
        {"do": "hold", "for": "2 h"},
        {"do": "rest", "for": "1 h"},
        {"do": "hold", "for": "3 h"},
    ]
    changes = {"wind.speed": f"{wind_kn} kn", "wind.gust": f"{wind_kn * 1.3} kn", "leg": legs}
    raw = plain_day() | {"bank": bank} | more
    if "house_bank" in more:
        bank.pop("house_load", None)  # two ways of saying where the house hangs
    loaded = load_raw(overlay(raw, changes | {"day.step": "600 s"}))
    result = run_day(loaded, with_changes=False)
    assert all(np.isfinite(values).all() for values in result.series.values())
    document_text(day_document(result))
    assert 0.0 <= result.lowest_soc <= result.end_soc + 1e-9
    assert result.end_soc <= 1.0 + 1e-9
    # A slow draw, or a warm day, may have more than the label from a block: what its wells
    # hold. And a warm block takes more than its label holds, when a panel fills it up.
    built = build_day(loaded, in_full=False).bank
    holds = np.where(built.kinetic, built.wells_total_ah, built.capacity_ah)
    missing = (1.0 - built.start_soc) * built.capacity_ah
    least = float((built.start_soc - (holds - missing) / built.charge_ah).min())
    most = float((built.start_soc + missing / built.charge_ah).max())
    charging = "solar" in more or "engine_charging" in more
    if charging:
        most += 0.01  # strings share what comes in by resistance, a full one a little with them
    else:
        assert result.charge_drawn_ah >= -1e-9
    for block in result.bank.blocks:
        assert least - 1e-9 <= block.charge <= max(most, 1.0) + 1e-9, block
        assert -1e-9 <= block.soc <= 1.0 + 1e-9, block
        assert math.isfinite(block.lowest_voltage_v)
        assert -40.0 < block.highest_degc < 150.0
    if result.house is not None:
        assert 0.0 <= result.house.end_soc <= 1.0
        assert result.house.drawn_ah >= 0.0
