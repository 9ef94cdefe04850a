"""What a battery loses by standing."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from energysim.physics.storage import (
    DAYS_PER_MONTH,
    days_until_soc,
    self_discharge_per_month,
    soc_after_storage,
)

FLOODED = {"per_month": 0.08, "temperature_degc": 20.0}


def test_two_months_at_8_per_cent_by_hand():
    # 0.92 of what was left, twice: 0.92 x 0.92 = 0.8464.
    left = soc_after_storage(1.0, days=2.0 * DAYS_PER_MONTH, **FLOODED)
    assert float(left) == pytest.approx(0.8464, abs=1e-12)


def test_half_is_left_after_the_logarithm_by_hand():
    # ln 0.5 / ln 0.92 = 8.313 months.
    days = days_until_soc(0.5, soc=1.0, **FLOODED)
    assert float(days) == pytest.approx(8.313 * DAYS_PER_MONTH, rel=1e-4)


def test_ten_degrees_double_the_pace():
    # The rule of the trade for lead-acid (from memory).
    cold, usual, warm = self_discharge_per_month([10.0, 20.0, 30.0], per_month=0.08)
    assert usual == pytest.approx(2.0 * cold)
    assert warm == pytest.approx(2.0 * usual)


def test_a_warm_month_is_two_usual_ones():
    warm = soc_after_storage(0.9, days=DAYS_PER_MONTH, per_month=0.08, temperature_degc=30.0)
    usual = soc_after_storage(0.9, days=2.0 * DAYS_PER_MONTH, **FLOODED)
    assert float(warm) == pytest.approx(float(usual))


def test_a_battery_that_loses_nothing_keeps_everything_for_ever():
    idle = {"per_month": 0.0, "temperature_degc": 20.0}
    assert float(soc_after_storage(0.7, days=1000.0, **idle)) == 0.7
    assert float(days_until_soc(0.5, soc=0.7, **idle)) == np.inf
    assert float(days_until_soc(0.8, soc=0.7, **idle)) == 0.0


@settings(max_examples=60, deadline=None)
@given(
    soc=st.floats(0.0, 1.0),
    first=st.floats(0.0, 400.0),
    second=st.floats(0.0, 400.0),
    per_month=st.floats(0.0, 0.5),
    degc=st.floats(-20.0, 50.0),
)
def test_standing_twice_is_standing_once_for_as_long(soc, first, second, per_month, degc):
    kept = {"per_month": per_month, "temperature_degc": degc}
    once = soc_after_storage(soc, days=first + second, **kept)
    twice = soc_after_storage(soc_after_storage(soc, days=first, **kept), days=second, **kept)
    assert 0.0 <= float(once) <= soc
    assert float(twice) == pytest.approx(float(once), abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(
    start=st.floats(0.2, 1.0),
    share=st.floats(0.05, 1.0),
    per_month=st.floats(0.005, 0.3),
    degc=st.floats(0.0, 40.0),
)
def test_the_days_to_a_state_lead_to_that_state(start, share, per_month, degc):
    kept = {"per_month": per_month, "temperature_degc": degc}
    days = days_until_soc(share * start, soc=start, **kept)
    assert float(soc_after_storage(start, days=days, **kept)) == pytest.approx(share * start)


def test_an_array_gives_what_its_numbers_give():
    days = np.array([[0.0], [40.0], [200.0]])
    rates = np.array([0.0, 0.03, 0.15])
    table = soc_after_storage(0.8, days=days, per_month=rates, temperature_degc=12.0)
    assert table.shape == (3, 3)
    for row, day in enumerate(days[:, 0]):
        for column, rate in enumerate(rates):
            alone = soc_after_storage(0.8, days=day, per_month=rate, temperature_degc=12.0)
            assert table[row, column] == float(alone)
    until = days_until_soc(0.5, soc=0.8, per_month=rates, temperature_degc=days / 10.0)
    assert until.shape == (3, 3)
    assert np.all(np.isinf(until[:, 0]))


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"days": -1.0}, "days = -1"),
        ({"soc": 1.2}, "soc = 1.2"),
        ({"per_month": 1.0}, "per_month = 1"),
        ({"temperature_degc": 70.0}, "temperature_degc = 70"),
        ({"doubling_degc": 0.0}, "doubling_degc = 0"),
        ({"days": np.nan}, "days = nan"),
    ],
    ids=["time", "state", "pace", "heat", "doubling", "nan"],
)
def test_what_cannot_be_is_refused(change, message):
    given = {"soc": 0.9, "days": 10.0, **FLOODED} | change
    with pytest.raises(ValueError, match=message):
        soc_after_storage(given.pop("soc"), **given)


def test_an_empty_battery_cannot_be_waited_for():
    with pytest.raises(ValueError, match="target_soc = 0; it must be finite and above 0"):
        days_until_soc(0.0, soc=1.0, **FLOODED)
