"""Many outputs on one circuit: the closed form against a plain loop, and worked by hand."""

import math
import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import energysim
from energysim.physics.charge import (
    ChargeLaw,
    charge_input_ah,
    charge_soc_after,
    charge_time_h,
)
from energysim.physics.charge_course import (
    charge_course,
    fed_ah_at,
    hours_to,
    socs_at,
    wall_w_at_start,
    wall_wh_at,
)
from energysim.physics.outputs import Output, fed_block

DATA = Path(energysim.__file__).parent / "data"
CHEMISTRIES = tomllib.loads((DATA / "chemistries.toml").read_text(encoding="utf-8"))
SECOND_H = 1.0 / 3600.0


def shipped(chemistry, **change):
    """A shipped chemistry's law, with some of it changed."""
    row = CHEMISTRIES[chemistry]
    fields = {
        "acceptance_per_h": row["charge_acceptance_per_h"]["value"],
        "acceptance_rise_per_degc": row["acceptance_rise_per_degc"]["value"],
        "band_edges": tuple(row["charge_band_edges"]["value"]),
        "band_efficiency": tuple(row["charge_band_efficiency"]["value"]),
        "full_soc": row["full_soc"]["value"],
        "charge_voltage_v": row["charge_voltage_v"]["value"],
        "voltage_rise_per_degc": row["charge_voltage_rise_per_degc"]["value"],
        "lowest_charge_degc": row.get("lowest_charge_degc", {}).get("value"),
        "largest_charge_rate": row["largest_charge_rate"]["value"],
    }
    return ChargeLaw(**(fields | change))


FLOODED = shipped("flooded")
AGM = shipped("agm")
LFP = shipped("lfp")
PLAIN = shipped("flooded", band_edges=(0.5,), band_efficiency=(1.0, 1.0), full_soc=0.999)


def block(soc, capacity_ah=100.0, temperature_degc=25.0, law=FLOODED):
    return fed_block(soc, capacity_ah=capacity_ah, temperature_degc=temperature_degc, law=law)


def output(current_a, *blocks, count=1, volts=14.6):
    return Output(current_a=current_a, charge_voltage_v=volts, blocks=blocks, count=count)


def course(*outputs, circuit_w=math.inf, efficiency=0.85):
    return charge_course(outputs, circuit_w=circuit_w, charger_efficiency=efficiency)


# The plain loop: nothing of the closed form but the law itself, current by current.


def currents_a(outputs, states, circuit_w, efficiency):
    """What flows into each block, by dividing the circuit's watts over and over."""
    wants = []
    for out, socs in zip(outputs, states, strict=True):
        takes = [
            b.acceptance_a * (1.0 - s) if s < b.law.full_soc else 0.0
            for b, s in zip(out.blocks, socs, strict=True)
        ]
        wants.append((min(out.current_a, sum(takes)), takes))
    watts = [
        w * o.charge_voltage_v / efficiency for o, (w, _) in zip(outputs, wants, strict=True)
    ]
    given_w = [0.0] * len(watts)
    open_places = [place for place, want in enumerate(watts) if want > 0.0]
    left = circuit_w
    while open_places:
        heads = sum(outputs[place].count for place in open_places)
        modest = [p for p in open_places if watts[p] * heads <= left]
        if not modest:
            for place in open_places:
                given_w[place] = left / heads
            break
        for place in modest:
            given_w[place] = watts[place]
            left -= watts[place] * outputs[place].count
            open_places.remove(place)
    flows = []
    for out, (_, takes), power in zip(outputs, wants, given_w, strict=True):
        amps = power * efficiency / out.charge_voltage_v
        whole = sum(takes)
        flows.append([amps * t / whole if whole > 0.0 else 0.0 for t in takes])
    return flows


def kept(b, soc):
    return b.law.band_efficiency[sum(soc >= edge for edge in b.law.band_edges)]


def slopes(outputs, states, bands, circuit_w, efficiency):
    flows = currents_a(outputs, states, circuit_w, efficiency)
    return [
        [share * amps / b.capacity_ah for b, amps, share in zip(o.blocks, f, band, strict=True)]
        for o, f, band in zip(outputs, flows, bands, strict=True)
    ]


def moved(states, rates, step):
    return [
        [s + r * step for s, r in zip(socs, row, strict=True)]
        for socs, row in zip(states, rates, strict=True)
    ]


def looped(outputs, circuit_w, efficiency, time_h, step_h=30.0 * SECOND_H):
    """Heun's steps, short ones where a block comes to an edge of its bands."""
    states = [[b.soc for b in o.blocks] for o in outputs]
    now = 0.0
    while now < time_h - 1e-12:
        bands = [
            [kept(b, s) for b, s in zip(o.blocks, socs, strict=True)]
            for o, socs in zip(outputs, states, strict=True)
        ]
        first = slopes(outputs, states, bands, circuit_w, efficiency)
        step = min(step_h, time_h - now)
        for out, socs, rates in zip(outputs, states, first, strict=True):
            for b, s, rate in zip(out.blocks, socs, rates, strict=True):
                edges = [e for e in (*b.law.band_edges, b.law.full_soc) if e > s]
                if rate > 0.0 and edges:
                    step = min(step, max((min(edges) - s) / rate, 1e-7))
        second = slopes(outputs, moved(states, first, step), bands, circuit_w, efficiency)
        mean = [
            [0.5 * (x + y) for x, y in zip(p, q, strict=True)]
            for p, q in zip(first, second, strict=True)
        ]
        states = moved(states, mean, step)
        now += step
    return states


NIGHTS = {
    "one-output": ((output(10.0, block(0.3)),), math.inf),
    "unlike-outputs": (
        (output(10.0, block(0.3)), output(5.0, block(0.55)), output(25.0, block(0.2))),
        math.inf,
    ),
    "two-blocks-on-one": (
        (output(15.0, block(0.2, 80.0, 10.0), block(0.5, 100.0, 20.0)),),
        math.inf,
    ),
    "starved-circuit": (
        (output(10.0, block(0.3)), output(20.0, block(0.45)), output(5.0, block(0.6))),
        300.0,
    ),
    "all-of-it": (
        (
            output(10.0, block(0.3)),
            output(15.0, block(0.2, 80.0, 10.0), block(0.5, 100.0, 20.0), count=2),
            output(5.0, block(0.6, 90.0, 5.0)),
        ),
        500.0,
    ),
    "lithium": (
        (output(20.0, block(0.1, law=LFP), count=3), output(5.0, block(0.4, law=LFP))),
        700.0,
    ),
}


@pytest.mark.parametrize("time_h", [0.7, 3.3, 7.1, 12.0])
@pytest.mark.parametrize(("outputs", "circuit_w"), NIGHTS.values(), ids=NIGHTS)
def test_the_closed_form_equals_a_plain_step_loop(outputs, circuit_w, time_h):
    closed = socs_at(course(*outputs, circuit_w=circuit_w), time_h)
    for one, other in zip(closed, looped(outputs, circuit_w, 0.85, time_h), strict=True):
        np.testing.assert_allclose(one, other, rtol=0.0, atol=1e-6)


@given(
    start=st.floats(0.0, 0.995),
    amps=st.floats(0.3, 300.0),
    celsius=st.floats(1.0, 40.0),
    time_h=st.floats(0.0, 20.0),
    chemistry=st.sampled_from(sorted(CHEMISTRIES)),
)
@settings(max_examples=100, deadline=None)
def test_one_block_on_one_output_is_the_law_of_a_single_block(
    start, amps, celsius, time_h, chemistry
):
    law = shipped(chemistry)
    alone = {
        "charger_current_a": amps,
        "capacity_ah": 90.0,
        "temperature_degc": celsius,
        "law": law,
    }
    night = course(output(amps, block(start, 90.0, celsius, law)))
    took = charge_time_h(start, target_soc=law.full_soc, **alone)
    assert hours_to(night, law.full_soc)[0][0] == pytest.approx(float(took), rel=1e-9, abs=1e-9)
    after = charge_soc_after(time_h, start_soc=start, **alone)
    assert socs_at(night, time_h)[0][0] == pytest.approx(float(after), abs=1e-9)
    target = max(start, law.full_soc)
    fed = charge_input_ah(start, target_soc=target, capacity_ah=90.0, law=law)
    assert fed_ah_at(night, math.inf)[0] == pytest.approx(float(fed), rel=1e-9, abs=1e-9)


@given(data=st.data(), circuit_w=st.floats(40.0, 2000.0), time_h=st.floats(0.0, 15.0))
@settings(max_examples=60, deadline=None)
def test_no_night_overfills_or_overloads_and_every_mark_is_where_it_says(
    data, circuit_w, time_h
):
    outputs = []
    for _ in range(data.draw(st.integers(1, 3))):
        blocks = [
            block(
                data.draw(st.floats(0.0, 1.0)),
                data.draw(st.floats(20.0, 200.0)),
                data.draw(st.floats(-5.0, 35.0)),
            )
            for _ in range(data.draw(st.integers(1, 3)))
        ]
        outputs.append(output(data.draw(st.floats(1.0, 50.0)), *blocks))
    night = course(*outputs, circuit_w=circuit_w)
    assert wall_w_at_start(night) <= circuit_w * (1.0 + 1e-9)
    for piece in night.pieces:
        assert sum(piece.power_w) <= circuit_w * (1.0 + 1e-9)
        assert piece.length_h >= 0.0
    before = socs_at(night, 0.0)
    for mark in (0.8, 0.9731):
        for number, row in enumerate(hours_to(night, mark)):
            for place, hours in enumerate(row):
                reached = socs_at(night, hours)[number][place]
                assert reached == pytest.approx(max(mark, before[number][place]), abs=1e-9)
    for out, early, late in zip(outputs, before, socs_at(night, time_h), strict=True):
        for b, first, then in zip(out.blocks, early, late, strict=True):
            assert first <= then <= max(first, b.law.full_soc)


def test_two_alike_blocks_on_one_output_take_as_long_as_one_on_half_of_it():
    shared = course(output(10.0, block(0.4), block(0.4)))
    alone = course(output(5.0, block(0.4)))
    (both,), (one,) = hours_to(shared, 0.99), hours_to(alone, 0.99)
    np.testing.assert_allclose(both, [one[0], one[0]], rtol=1e-12)


def test_a_shared_output_gives_the_emptier_block_more_worked_by_hand():
    # No losses, 1 an hour: 60 and 20 Ah missing share 8 A as 6 and 2, so that both shares of
    # the missing charge fall alike. 8 A until 8 Ah are missing together (9 h); 10 % of each is
    # missing then.
    night = course(output(8.0, block(0.4, law=PLAIN), block(0.8, law=PLAIN)))
    np.testing.assert_allclose(socs_at(night, 1.0)[0], [0.46, 0.82], rtol=1e-12)
    np.testing.assert_allclose(socs_at(night, 9.0)[0], [0.94, 0.98], rtol=1e-12)
    np.testing.assert_allclose(hours_to(night, 0.94)[0][0], 9.0, rtol=1e-12)
    # And from there the taper: half of it gone in ln 2 hours.
    np.testing.assert_allclose(hours_to(night, 0.97)[0][0], 9.0 + math.log(2.0), rtol=1e-12)


def test_a_circuit_too_small_gives_its_rest_to_the_slow_ones_worked_by_hand():
    # 14.6 V, no losses: 292 W are 20 A. Outputs of 20 A, 20 A and 4 A: 4 A for the small one,
    # 8 A for each of the others. With a block that misses 1 Ah the small one is in its taper
    # from the start, at 1 A, and leaves more and more: 9.5 A each at first.
    lean = course(
        output(20.0, block(0.2, law=PLAIN), count=2),
        output(4.0, block(0.2, law=PLAIN)),
        circuit_w=292.0,
        efficiency=1.0,
    )
    np.testing.assert_allclose(socs_at(lean, 2.0), [[0.36], [0.28]], rtol=1e-12)
    easing = course(
        output(20.0, block(0.2, law=PLAIN), count=2),
        output(4.0, block(0.99, law=PLAIN)),
        circuit_w=292.0,
        efficiency=1.0,
    )
    # After an hour the small one has had 1 - 1/e Ah of the 20: the others share the rest.
    each = 0.5 * (20.0 - (1.0 - math.exp(-1.0)))
    assert socs_at(easing, 1.0)[0][0] == pytest.approx(0.2 + each / 100.0, rel=1e-12)


def test_the_wall_counts_what_was_fed():
    night = course(output(10.0, block(0.5), count=3), efficiency=0.8)
    fed = float(charge_input_ah(0.5, target_soc=0.99, capacity_ah=100.0, law=FLOODED))
    assert wall_wh_at(night, math.inf) == pytest.approx(3 * fed * 14.6 / 0.8, rel=1e-12)
    assert wall_wh_at(night, 2.0) == pytest.approx(3 * 20.0 * 14.6 / 0.8, rel=1e-12)
    assert wall_w_at_start(night) == pytest.approx(3 * 146.0 / 0.8, rel=1e-12)


def test_a_frozen_lithium_block_takes_nothing_while_its_neighbour_fills():
    night = course(
        output(10.0, block(0.5, temperature_degc=-1.0, law=LFP)),
        output(10.0, block(0.5, law=LFP)),
    )
    frozen, filled = hours_to(night, 0.9)
    assert frozen == (math.inf,)
    assert filled[0] < 5.0
    assert socs_at(night, 50.0)[0] == (0.5,)


def test_a_bank_of_nothing_but_frozen_lithium_never_fills():
    night = course(output(10.0, block(0.5, temperature_degc=-1.0, law=LFP)))
    assert hours_to(night, 0.9) == ((math.inf,),)
    assert hours_to(night, 0.4) == ((0.0,),)


def test_full_blocks_make_a_night_of_nothing():
    night = course(output(10.0, block(1.0)))
    assert night.pieces == ()
    assert hours_to(night, 0.99) == ((0.0,),)
    assert wall_wh_at(night, math.inf) == wall_w_at_start(night) == 0.0


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"circuit_w": 0.0}, r"circuit_w = 0; it must be above 0"),
        ({"circuit_w": math.nan}, "circuit_w = nan"),
        ({"efficiency": 1.2}, r"charger_efficiency = 1\.2"),
    ],
)
def test_a_charger_that_makes_no_sense_is_refused(change, message):
    with pytest.raises(ValueError, match=message):
        course(output(10.0, block(0.5)), **change)


def test_an_output_without_current_and_a_state_beyond_full_are_refused():
    with pytest.raises(ValueError, match="current_a = 0"):
        course(output(0.0, block(0.5)))
    with pytest.raises(ValueError, match=r"soc = 1\.5"):
        block(1.5)
