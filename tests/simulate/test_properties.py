"""
Whatever is asked of whatever bank: numbers, nothing given away, books that close.

The outside here is conservation (charge, energy) and order (more never gives less).
"""

from dataclasses import fields, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from energysim.simulate import CARRIED, EMPTY, BlockFlows, Flows, read_books, simulate

from .making import MOTOR, bank, demand

STEPS, MEMBERS = 12, 30


def spread(shares, low, high):
    return low * (high / low) ** shares


def any_bank(rng, strings, blocks):
    """Members of any law and age; blocks of any kind, some with boards, taps or heat."""
    shape = (strings, blocks, MEMBERS)
    some = lambda share, *size: rng.random(size or MEMBERS) < share  # noqa: E731
    capacity = spread(rng.random(shape), 1.0, 1e3)
    held = bank(
        MEMBERS,
        rows=[[{} for _ in range(blocks)] for _ in range(strings)],
        kinetic=some(0.6),
        memory_s=7200.0 * rng.random(MEMBERS) * some(0.8),
        cable_ohm=rng.random(MEMBERS) ** 4 * some(0.8),
        cutoff_voltage_v=30.0 * rng.random(MEMBERS),
        house_load_w=2e4 * rng.random(MEMBERS) ** 6 * some(0.5),
        current_limit_a=spread(rng.random(MEMBERS), 1.0, 500.0),
        lowest_voltage_v=30.0 * rng.random(MEMBERS),
        surrounds_degc=40.0 * rng.random(MEMBERS) - 10.0,
    )
    count = rng.integers(0 if strings > 1 else 1, 4, (strings, MEMBERS)).astype(float)
    count[0] = np.maximum(count[0], 1.0)
    series = rng.integers(0 if blocks > 1 else 1, 3, shape).astype(float)
    series[:, 0] = np.maximum(series[:, 0], 1.0)
    return replace(
        held,
        string_count=count,
        block_count=series,
        capacity_ah=capacity,
        charge_ah=capacity * (1.0 + 0.5 * rng.random(shape)),
        wells_total_ah=capacity * (1.0 + 0.5 * rng.random(shape)),
        wells_share=0.05 + 0.95 * rng.random(shape),
        wells_rate_per_h=spread(rng.random(shape), 0.01, 5.0),
        exponent=1.0 + 0.6 * rng.random(shape),
        start_soc=rng.random(shape) * (rng.random(shape) > 0.1),
        resistance_full_ohm=1e-4 + rng.random(shape) ** 4 * some(0.8, *shape),
        resistance_fall_per_k=0.03 * rng.random(shape) * some(0.5, *shape),
        heat_capacity_j_per_k=np.where(
            some(0.7, *shape), spread(rng.random(shape), 1e2, 1e5), np.inf
        ),
        heat_loss_w_per_k=rng.random(shape) * 5.0,
        start_degc=40.0 * rng.random(shape) - 10.0,
        block_cutoff_v=np.where(some(0.3, *shape), 12.0 * rng.random(shape), -np.inf),
        tapped_w=30.0 * rng.random(shape) * some(0.3, *shape),
        acceptance_of_empty_a=capacity * rng.random(shape),
        charge_efficiency=np.broadcast_to(0.5 + 0.5 * rng.random(MEMBERS), shape).copy(),
    )


@settings(max_examples=120, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    strings=st.integers(1, 3),
    blocks=st.integers(1, 3),
    supplied=st.booleans(),
)
def test_whatever_is_asked_the_answer_is_a_number_and_gives_nothing_away(
    seed, strings, blocks, supplied
):
    # A generator seeded by hypothesis: hundreds of numbers a case, drawn one by one, are slow.
    rng = np.random.default_rng(seed)
    asked = demand(
        spread(rng.random((STEPS, MEMBERS)), 1.0, 2e4) * (rng.random((STEPS, 1)) > 0.2),
        inflow_mps=4.0 * rng.random(MEMBERS),
        step_s=600.0 * rng.random((STEPS, 1)),
    )
    if supplied:
        offered = 300.0 * rng.random((STEPS, MEMBERS)) * (rng.random((STEPS, 1)) > 0.3)
        asked = replace(asked, supply_w=offered)
    held = any_bank(rng, strings, blocks)
    flows = simulate(asked, held, MOTOR)
    books = read_books(flows, held, asked.step_s)
    signed = {"current_a", "drawn_ah", "drawn_wh", "degc", "blocks"}
    for field in fields(Flows):
        values = getattr(flows, field.name)
        if field.name == "blocks":
            continue
        assert np.isfinite(values).all(), field.name
        if field.name not in signed:
            assert (values >= 0.0).all(), field.name
    for values in books:
        assert np.isfinite(values).all()
    for values in (flows.level, books.soc, books.block_soc, books.block_level):
        assert (values >= 0.0).all()
        assert (values <= 1.0 + 1e-9).all()
    real = (held.block_count > 0.0) & (held.string_count > 0.0)[:, None, :]
    assert (books.block_left_ah[:, real] >= -1e-9).all()
    full = np.where(
        held.kinetic, held.wells_total_ah, np.maximum(held.charge_ah, held.capacity_ah)
    )
    assert (books.block_left_ah <= full * (1.0 + 1e-9)).all()
    if not supplied:
        assert (flows.current_a >= 0.0).all()
        assert (np.diff(flows.drawn_ah, axis=0) >= 0.0).all()
        peukert = ~held.kinetic
        assert (np.diff(books.soc[:, peukert], axis=0) <= 1e-12).all()
    assert (flows.thrust_n <= asked.thrust_n).all()
    assert (flows.carried_share <= 1.0).all()
    assert (flows.motor_current_a <= held.current_limit_a * (1.0 + 1e-9)).all()
    deepest = np.minimum(held.cutoff_voltage_v, flows.emf_v)
    assert (flows.bank_voltage_v >= deepest * (1.0 - 1e-9)).all()
    dead = (flows.level[:-1] == 0.0) & (asked.power_w > 0.0)
    assert (flows.limit[dead] == EMPTY).all()
    assert (flows.current_a[flows.level[:-1] == 0.0] == 0.0).all()
    assert (flows.limit[asked.power_w == 0.0] == CARRIED).all()
    if flows.blocks is not None:
        assert_blocks_are_sane(flows, held, asked, supplied)


def assert_blocks_are_sane(flows, held, asked, supplied):
    """Numbers only; the strings together carry what the terminals give; a dead one nothing."""
    blocks = flows.blocks
    for field in fields(BlockFlows):
        if field.name != "string_end_s":
            assert np.isfinite(getattr(blocks, field.name)).all(), field.name
    edges = np.concatenate([np.zeros((1, MEMBERS)), np.cumsum(asked.step_s, axis=0)])[:-1]
    over = edges[:, None] >= blocks.string_end_s
    assert (np.abs(blocks.current_a).max(axis=2)[over] == 0.0).all()
    if held.tapped_w.any():
        return
    string_a = blocks.current_a[:, :, 0]
    hours = asked.step_s / 3600.0
    out_ah = np.cumsum((held.string_count * string_a).sum(axis=1) * hours, axis=0)
    if not supplied:
        assert_allclose(flows.drawn_ah[1:], out_ah, rtol=1e-9, atol=1e-9)


@pytest.mark.parametrize("kinetic", [False, True], ids=["peukert", "kinetic"])
@settings(max_examples=30, deadline=None)
@given(
    thrusts=st.lists(st.floats(0.0, 340.0), min_size=12, max_size=12),
    capacity_ah=st.floats(10.0, 200.0),
    more=st.floats(1.001, 3.0),
    start_soc=st.floats(0.2, 1.0),
    exponent=st.floats(1.0, 1.4),
)
def test_more_capacity_never_ends_the_day_sooner_or_lower(
    kinetic, thrusts, capacity_ah, more, start_soc, exponent
):
    # Same mass, same resistance, and a bus stiff enough that the thrust is the same.
    asked = demand(np.repeat(thrusts, 30)[:, None] * np.ones(2), step_s=120.0)
    sizes = np.array([capacity_ah, capacity_ah * more])
    held = bank(
        2,
        kinetic=kinetic,
        capacity_ah=sizes,
        wells_total_ah=1.1489 * sizes,
        charge_ah=sizes,
        start_soc=start_soc,
        exponent=exponent,
        resistance_full_ohm=0.0005,
        resistance_rise=1.0,
        cutoff_voltage_v=5.0,
        lowest_voltage_v=5.0,
        emf_tables_v=np.array([[13.5, 13.6, 13.8]]),
        current_limit_a=500.0,
    )
    flows = simulate(asked, held, MOTOR)
    less, larger = flows.level.T
    assert (larger >= less - 1e-12).all()
    assert (flows.thrust_n[:, 1] >= flows.thrust_n[:, 0]).all()
    less_s, more_s = (flows.carried_share * asked.step_s).sum(axis=0)
    assert more_s >= less_s
