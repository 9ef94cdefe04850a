"""
Both laws of discharge in the loop: closed forms, the label coming back out, orders of a day.

Outside are the two-well model's own equations (J. F. Manwell, J. G. McGowan, Solar Energy 50,
1993, from memory), followed here in steps of a second by their differential form, which no
code of the package does; the reserve-capacity rating (BCI, from memory); and Peukert's law in
closed form (Elektrotechnische Zeitschrift, 1897, from memory).
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from energysim.build import build_day
from energysim.catalogue import batteries
from energysim.scenario.overlay import overlay
from energysim.simulate import read_books, simulate

from .making import MOTOR, bank, flat, power_demand, runtime_h

HOUR = 60  # steps


def wells_by_the_second(powers_a, *, total, share, rate, step_s=1.0):
    """
    Follow the wells' differential equations: (available, bound) at the end, and time of empty.

    Heights h1 = y1 / c and h2 = y2 / (1 - c); k' (h2 - h1) seeps, with k' = k c (1 - c).
    """
    available, bound, clock = share * total, (1.0 - share) * total, 0.0
    seep = rate * share * (1.0 - share)
    for amps, seconds in powers_a:
        for _ in range(round(seconds / step_s)):
            flow = seep * (bound / (1.0 - share) - available / share)
            available += (flow - amps) * step_s / 3600.0
            bound -= flow * step_s / 3600.0
            clock += step_s
            if available <= 0.0:
                return available, bound, clock
    return available, bound, None


def run(watts, *, kinetic, step_s=60.0, **changes):
    held = flat(kinetic=kinetic, **changes)
    asked = power_demand(np.asarray(watts, dtype=float), step_s=step_s)
    flows = simulate(asked, held, MOTOR)
    return flows, read_books(flows, held, asked.step_s), held


# Closed forms.


@pytest.mark.parametrize("amps", [5.0, 10.0, 25.0, 50.0])
def test_a_steady_load_empties_the_wells_when_their_equations_say(amps):
    flows, _, _ = run(np.full(1300, 24.0 * amps), kinetic=True)
    *_, empty_s = wells_by_the_second(
        [(amps, 1300 * 60.0)], total=114.89, share=0.4851, rate=0.3560
    )
    assert runtime_h(flows, 60.0) == pytest.approx(empty_s / 3600.0, rel=3e-4)


@pytest.mark.parametrize("step_s", [60.0, 420.0, 1800.0])
def test_the_moment_the_wells_are_empty_does_not_hang_on_the_step(step_s):
    flows, _, _ = run(np.full(int(30 * 3600 / step_s), 600.0), kinetic=True, step_s=step_s)
    fine, _, _ = run(np.full(3 * 3600, 600.0), kinetic=True, step_s=1.0)
    assert runtime_h(flows, step_s) == pytest.approx(runtime_h(fine, 1.0), rel=1e-9)


def test_what_hard_hours_leave_behind_comes_through_at_rest():
    watts = np.concatenate([np.full(60, 1000.0), np.zeros(600)])
    flows, books, _ = run(watts, kinetic=True)
    assert books.soc[60, 0] < books.soc[-1, 0] < 1.0 - 41.6 / 114.89
    assert flows.level[60, 0] < flows.level[-1, 0]
    # Ten hours on, both wells stand level: what is left over what there was.
    assert flows.level[-1, 0] == pytest.approx(1.0 - flows.drawn_ah[-1, 0] / 114.89, rel=0.02)
    # And the ledger saw none of it.
    assert flows.drawn_ah[60, 0] == flows.drawn_ah[-1, 0]


def test_once_empty_a_bank_stays_so_for_the_day():
    watts = np.concatenate([np.full(200, 1300.0), np.zeros(300), np.full(60, 100.0)])
    flows, books, _ = run(watts, kinetic=True)
    assert books.soc[200, 0] == 0.0
    assert (books.soc[200:, 0] == 0.0).all()
    assert (flows.current_a[201:] == 0.0).all()


# Availability.


@pytest.mark.parametrize("kinetic", [True, False], ids=["kinetic", "peukert"])
def test_under_a_steady_load_availability_is_the_share_of_the_time_that_is_left(kinetic):
    flows, books, _ = run(np.full(400, 600.0), kinetic=kinetic, exponent=1.2)
    lasts = runtime_h(flows, 60.0) * 60.0
    for edge in (0, 20, 60, 120):
        # The mean of the step in which it ran empty is a little below the rest.
        assert books.soc[edge, 0] == pytest.approx(1.0 - edge / lasts, abs=1e-4)


def test_a_bank_that_starts_rested_at_some_charge_is_told_so():
    # Drawn at its rated current, once the wells' lag has settled: 1 h of 20 at 95 %.
    flows, books, _ = run(np.full(60, 24.0 * 5.0), kinetic=True, start_soc=0.6)
    assert books.soc[0, 0] == pytest.approx(0.6, abs=0.002)
    assert books.charge[0, 0] == 0.6
    full, at_full, _ = run(np.full(60, 24.0 * 5.0), kinetic=True)
    assert at_full.soc[0, 0] == 1.0
    assert full.drawn_ah[-1, 0] == flows.drawn_ah[-1, 0]


# The label comes back out.

RATED = [
    pytest.param(row.name, law, id=f"{row.name}-{law}")
    for row in batteries().values()
    if row.reserve_min is not None and row.voltage_v == 12.0
    for law in ("kinetic", "peukert")
]


@pytest.fixture(scope="module")
def one_block(plain_day, load_raw):
    """The bank of a single 12 V block at 25 degC, as built from its label."""

    def make(name, law):
        changes = {
            "bank.battery": name,
            "bank.series": 1,
            "bank.law": law,
            "bank.temperature": "25 degC",
            "bank.memory": "0 s",
            "motor.voltage": "12 V",
        }
        return build_day(load_raw(overlay(plain_day(), changes)), in_full=False)

    return make


@pytest.mark.parametrize(("name", "law"), RATED)
def test_the_label_comes_back_out(one_block, name, law):
    """Discharges at the rated and the reserve current end at 10.5 V when the label says."""
    row = batteries()[name]
    plan = one_block(name, law)
    bare = replace(plan.bank, cable_ohm=np.zeros(1))
    # Of a block under 60 Ah, 25 A is so hard a discharge that its sag meets 10.5 V first: it
    # ends sooner than its label says, which is the careful side.
    short = 0.02 if row.capacity_ah >= 60.0 else 0.05
    for amps, hours in ((row.capacity_ah / 20.0, 20.0), (25.0, row.reserve_min / 60.0)):
        lasted = lasts_to_cutoff_h(bare, amps)
        assert (1.0 - short) * hours <= lasted <= 1.02 * hours, (amps, hours)


def lasts_to_cutoff_h(held, amps):
    """Draw a steady current until the block is at 10.5 V or empty; the hours."""
    steps = round(held.capacity_ah[0, 0, 0] / amps * 60.0 * 1.3)
    watts = np.full(steps, 12.0 * amps)
    for _ in range(6):  # the power that draws the current at the voltage it has then
        flows = simulate(power_demand(watts), without_ends(held), MOTOR)
        watts = amps * np.maximum(flows.bank_voltage_v[:, 0], 5.0)
    ended = (flows.bank_voltage_v[:, 0] <= 10.5) | (flows.carried_share[:, 0] < 1.0)
    assert ended.any()
    return float(np.argmax(ended)) / 60.0


def without_ends(held):
    """A bank whose motor never lets go and has no limit, so that only the bank ends it."""
    one = np.ones(1)
    return replace(
        held, cutoff_voltage_v=0.0 * one, lowest_voltage_v=0.0 * one, current_limit_a=1e3 * one
    )


# Two orders of a day, by hand (wells of 114.89 Ah, c 0.4851, k 0.356 per h; 100 Ah over 20 h,
# exponent 1.2; 24 V that never sag, so that powers are currents).


def test_a_hard_morning_then_rest_leaves_more_by_the_wells():
    # 50 A for 1 h, then 3 h of rest. The sums of the closed form:
    #   after 1 h: e = exp(-0.356) = 0.70047; y0 = 64.89
    #     y1 = 55.733 e + (114.89 k c - 50)(1 - e)/k - 50 c (k - 1 + e)/k
    #        = 39.040 + (19.841 - 50)(0.84136) - 50 x 0.4851 x 0.15864 = 9.817
    #   after 3 h more: e = exp(-1.068) = 0.34370; y1 = 9.817 e + 64.89 c (1 - e) = 24.034
    watts = np.concatenate([np.full(HOUR, 1200.0), np.zeros(3 * HOUR)])
    flows, books, _ = run(watts, kinetic=True)
    full_ah = 0.4851 * 114.89
    assert flows.level[HOUR, 0] * full_ah == pytest.approx(9.817, abs=0.01)
    assert flows.level[-1, 0] * full_ah == pytest.approx(24.034, abs=0.01)
    # At 50 A it lasts 1.2363 h from full, where the same sums come to nought; from (24.034,
    # 64.89) they do so after 0.5305 h: 43 % of that.
    assert books.soc[-1, 0] == pytest.approx(0.5305 / 1.2363, abs=1e-4)
    # Peukert: 1 h of 10 times the rated current, 50 x 10^0.2 = 79.24 Ah gone of 100, for good.
    _, bare, _ = run(watts, kinetic=False)
    assert bare.soc[-1, 0] == pytest.approx(1.0 - 0.50 * 10.0**0.2, abs=1e-9)
    assert books.soc[-1, 0] > bare.soc[-1, 0] + 0.2


def test_an_easy_morning_then_a_hard_afternoon_leaves_less_by_the_wells():
    # 5 A for 12 h, then 50 A. The ledger has 40 Ah at noon, and Peukert, who counts no more at
    # the rated current, says 40 % of 1.2619 h, 0.5048 h, for the afternoon. The wells:
    #   e = exp(-4.272) = 0.013954; y0 = 54.89
    #     y1 = 55.733 e + (114.89 k c - 5)(1 - e)/k - 5 c (4.272 - 1 + e)/k
    #        = 0.778 + (19.841 - 5)(2.76979) - 5 x 0.4851 x 9.23019 = 19.496
    #   at 50 A: 19.496 e + (54.89 k c - 50)(1 - e)/k - 50 c (x - 1 + e)/k with x = 0.4258 k,
    #   e = exp(-x) = 0.85935: 16.754 - 40.521 x 0.39509 - 24.255 x 0.03070 = 0.
    watts = np.concatenate([np.full(12 * HOUR, 120.0), np.full(2 * HOUR, 1200.0)])
    flows, _, _ = run(watts, kinetic=True)
    assert flows.level[12 * HOUR, 0] * 0.4851 * 114.89 == pytest.approx(19.496, abs=0.01)
    wells_h = runtime_h(flows, 60.0) - 12.0
    assert wells_h == pytest.approx(0.4258, abs=1e-4)
    bare, _, _ = run(watts, kinetic=False, memory_s=0.0)
    peukert_h = runtime_h(bare, 60.0) - 12.0
    assert peukert_h == pytest.approx(0.4 * 20.0 * 0.1**1.2, abs=1e-6)
    assert wells_h < peukert_h


# Halving the step.


@pytest.mark.parametrize("kinetic", [True, False], ids=["kinetic", "peukert"])
def test_halving_the_step_of_a_restless_day_moves_its_end_by_less_than_a_tenth_of_a_point(
    kinetic,
):
    rng = np.random.default_rng(4)
    by_ten_min = rng.choice([0.0, 100.0, 250.0, 500.0], 36)
    ends = []
    for per in (10, 20, 40):
        held = bank(kinetic=kinetic)
        asked = power_demand(np.repeat(by_ten_min, per), step_s=600.0 / per)
        flows = simulate(asked, held, MOTOR)
        ends.append(read_books(flows, held, asked.step_s).soc[-1, 0])
    assert 0.02 < ends[0] < 0.7
    assert abs(ends[0] - ends[1]) < 1e-3
    # And it converges: the next halving moves it by about half as much.
    assert abs(ends[1] - ends[2]) < 0.7 * abs(ends[0] - ends[1]) + 1e-9


def test_the_wells_at_full_share_are_a_plain_count_of_ampere_hours():
    watts = np.repeat([300.0, 0.0, 900.0, 100.0], 20)
    flows, books, _ = run(watts, kinetic=True, wells_share=1.0, wells_total_ah=100.0)
    assert_allclose(flows.level, 1.0 - flows.drawn_ah / 100.0, rtol=0.0, atol=1e-12)
    assert_allclose(books.soc, flows.level, rtol=0.0, atol=1e-9)
