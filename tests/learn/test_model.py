"""
The table a fit reads must give what the days themselves give, and cut a log as it was taken.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.errors import ScenarioError
from energysim.learn.bins import Means, bin_log
from energysim.learn.dropouts import volts_of_the_bank
from energysim.learn.log import DayLog
from energysim.learn.model import computed_amperes, drawn_on, one_day
from energysim.learn.search import tables_of_the_bank
from energysim.learn.table import Axis, Table
from energysim.simulate import simulate

from .trials import bench, fit_one

NOTHING = {"voltage_v": None, "soc": None, "speed_mps": None, "course_deg": None, "notes": ()}


@pytest.mark.parametrize("count", [2, 3, 4, 7])
@pytest.mark.parametrize("power", [0.0, 1.0, -1.0])
def test_shares_of_an_axis_add_up_and_hold_a_line_past_its_ends(count, power):
    axis = Axis(np.linspace(0.7, 1.5, count), power)
    for place in (0.6, 0.7, 0.93, 1.5, 1.6):
        log = place if power == 0.0 else np.log(place) / power
        share, slope = axis.shares(log)
        assert_allclose((share.sum(), slope.sum()), (1.0, 0.0), atol=1e-12)
        assert_allclose(share @ axis.nodes, place, rtol=1e-12)


@pytest.mark.parametrize("count", [4, 7])
def test_a_parabola_is_read_without_error(count):
    axis = Axis(np.linspace(-1.0, 1.0, count), 0.0)
    for place in (-1.1, -0.4, 0.05, 0.99, 1.1):
        share, slope = axis.shares(place)
        assert_allclose(share @ axis.nodes**2, place**2, atol=1e-12)
        assert_allclose(slope @ axis.nodes**2, 2.0 * place, atol=1e-12)


def test_slopes_of_a_table_are_its_differences():
    axes = (
        Axis(np.linspace(-0.5, 0.5, 5), 0.0), Axis(np.linspace(-0.5, 0.5, 6), 0.0),
        Axis(np.linspace(1.0, 2.0, 5), -1.0), Axis(np.array([0.7, 1.5]), 1.0),
    )  # fmt: skip
    table = Table(axes=axes, values=np.random.default_rng(2).random((5, 6, 5, 2, 3)))
    at = np.array([0.11, -0.23, -0.31, 0.17])
    _, slopes = table.read(at)
    for which in range(4):
        step = np.zeros(4)
        step[which] = 1e-6
        rise = (table.read(at + step)[0] - table.read(at - step)[0]) / 2e-6
        assert_allclose(slopes[:, which], rise, rtol=1e-6, atol=1e-8)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["estuary", "lake"])
def test_amperes_between_nodes_are_those_of_the_day_itself(name):
    on = bench(name)
    rng = np.random.default_rng(5)
    for _ in range(4):
        logs = on.before + np.append(rng.uniform(-0.5, 0.5, 2), (0.0, 0.0))
        day = computed_amperes(one_day(on.loaded, logs))
        error = on.amperes.read(logs)[0] - day
        powered = on.plan.wanted.in_use
        # Headings come and go between nodes: most steps are close, and the mean is.
        assert np.quantile(np.abs(error[powered]), 0.9) < 0.02 * day[powered].mean()
        assert abs(error.sum()) < 0.005 * day.sum()


@pytest.mark.slow
def test_volts_between_nodes_are_those_of_the_bank_itself():
    on = bench("estuary")
    for capacity, ohm in ((0.72, 0.9), (0.87, 1.2), (0.98, 1.0)):
        logs = on.before + np.log([1.1, 0.9, capacity, ohm])
        day = one_day(on.loaded, logs)
        current = computed_amperes(day)
        driven = drawn_on(day, current)
        flows = simulate(driven.demand, driven.bank, replace(day.motor, control="stepped"))
        assert_allclose(flows.current_a[:, 0], current, rtol=1e-9, atol=1e-9)
        volts = flows.bank_voltage_v[:, 0]
        log = DayLog(at_s=on.middles_s, current_a=current, **{**NOTHING, "voltage_v": volts})
        binned = bin_log(log, on.plan, on.loaded.scenario.legs)
        table = tables_of_the_bank(on.loaded, on.computed, binned, logs)["voltage"]
        assert_allclose(table.read(logs)[0], binned.voltage.values, atol=1e-3)


@pytest.fixture(scope="module")
def day():
    """The estuary, and a log of two amperes that rise by one an hour, a row a minute."""
    on = bench("estuary")
    at_s = np.arange(0.0, on.plan.edges_s[-1], 60.0) + 30.0
    return on, at_s, 2.0 + at_s / 3600.0


def test_means_are_those_of_five_minutes_within_one_leg(day):
    on, at_s, current = day
    log = DayLog(at_s=at_s, current_a=current, **NOTHING)
    means = bin_log(log, on.plan, on.loaded.scenario.legs).current
    assert isinstance(means, Means)
    assert_allclose(means.values, 2.0 + means.at_s / 3600.0)
    assert_allclose(means.weights.sum(axis=1), 1.0)
    assert (np.bincount(means.leg, minlength=7)[[0, 3, 6]] == 0).all()  # runs and the rest
    for number, leg in enumerate(on.plan.legs):
        begins = (leg.start - on.plan.start).total_seconds()
        own = means.at_s[means.leg == number]
        assert own.size == 0 or own.min() >= begins + 180.0


def test_what_is_computed_is_averaged_over_the_rows_there_are(day):
    on, at_s, current = day
    keep = (at_s // 60) % 7 != 3
    log = DayLog(at_s=at_s[keep], current_a=current[keep], **NOTHING)
    means = bin_log(log, on.plan, on.loaded.scenario.legs).current
    middles = on.middles_s
    assert_allclose(means.weights @ (2.0 + middles / 3600.0), means.values, rtol=1e-3)
    assert_allclose(means.weights @ middles, means.at_s, atol=31.0)


def test_amperes_counted_the_other_way_are_turned_round_and_said(day):
    on, at_s, current = day
    log = DayLog(at_s=at_s, current_a=-current, **NOTHING)
    binned = bin_log(log, on.plan, on.loaded.scenario.legs)
    assert (binned.current.values > 0.0).all()
    assert "turned round" in binned.notes[0]


def test_a_boat_that_was_not_held_is_left_out_of_its_hold(day):
    on, at_s, current = day
    knot = 1852.0 / 3600.0
    speed = np.full(at_s.size, 0.2 * knot)
    away = (at_s > 2 * 3600.0) & (at_s < 2.5 * 3600.0)  # within the first hold
    speed[away] = 3.0 * knot
    log = DayLog(at_s=at_s, current_a=current, **{**NOTHING, "speed_mps": speed})
    binned = bin_log(log, on.plan, on.loaded.scenario.legs)
    held = binned.current.leg == 1
    assert not (
        (binned.current.at_s[held] > 7500.0) & (binned.current.at_s[held] < 8700.0)
    ).any()
    assert "did not do what the leg says" in " ".join(binned.notes)
    # A creep of 1.2 kn was logged at 0.2 kn: none of it is left.
    assert not (binned.current.leg == 2).any()


def test_dropouts_of_the_volts_are_left_out_and_those_of_a_block_counted_up(day):
    on, at_s, current = day
    volts = np.full(at_s.size, 12.4)
    volts[100:130] = 0.0
    log = DayLog(at_s=at_s, current_a=current, **{**NOTHING, "voltage_v": volts})
    whole = volts_of_the_bank(replace(log, of_one_block=True), on.plan, name="log.csv")
    assert np.isnan(whole.voltage_v).sum() == 30
    assert_allclose(np.nanmax(whole.voltage_v), 24.8)
    assert "30 rows of volts not believed, such as 0.0 V" in whole.notes[0]
    with pytest.raises(ScenarioError, match="block voltage"):
        volts_of_the_bank(log, on.plan, name="log.csv")


@pytest.mark.slow
def test_an_hour_of_nonsense_moves_the_answer_little():
    on = bench("estuary")
    true = on.before + np.log([1.15, 0.85, 1.0, 1.0])
    rng = np.random.default_rng(3)
    current = computed_amperes(one_day(on.loaded, true))
    current = current * (1.0 + 0.03 * rng.standard_normal(current.size))
    wild = current.copy()
    wild[60:90] = 45.0  # somebody ran the motor flat out for half an hour
    calm, struck = (fit_one(on, one, None, None).fit for one in (current, wild))
    assert abs(struck.logs[:2] - calm.logs[:2]).max() < 0.03
    assert (~struck.kept[0]).sum() >= 4
