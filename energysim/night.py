"""
The night at the charger: from the ledger at the day's end to a full bank, or not.

Depends on: charge_plan, results.recharge, clock, physics.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from energysim.clock import clock_after, seconds_between
from energysim.physics.charge_course import (
    Course,
    charge_course,
    fed_ah_at,
    hours_to,
    socs_at,
    wall_w_at_start,
    wall_wh_at,
)
from energysim.physics.charger import apparent_power_va, energy_cost, even_share_w
from energysim.physics.outputs import FedBlock, Output, fed_block
from energysim.results.recharge import BlockNight, OutputNight, Recharge

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from energysim.charge_plan import ChargePlan, KindCharge, Place

SECONDS_PER_HOUR = 3600.0


class Night(NamedTuple):
    """A night worked out, and where each block of the plan stands in it."""

    course: Course
    seats: tuple[tuple[int, int], ...]  # output of the course and place on it, for each block


def night_at_the_charger(plan: ChargePlan, charges: Sequence[KindCharge]) -> Recharge:
    """
    Work out the night from what the ledger says is left in each block.

    Parameters
    ----------
    plan : ChargePlan
        The charger, its wiring and its hours.
    charges : sequence of KindCharge
        Share of the full charge left at the day's end, with the blocks it is true of; every
        block of the plan once. [1]

    Returns
    -------
    Recharge
        Hours from plug-in to 80 %, 95 % and full; what the bank holds when it is wanted.

    Raises
    ------
    ValueError
        A block is missing, told twice, or not of this bank.
    """
    night = _night(plan, charges)
    course, full_soc = night.course, plan.law.full_soc
    time_h = max(0.0, seconds_between(plan.plugged_in_at, plan.ready_by) / SECONDS_PER_HOUR)
    hours = {mark: _of_blocks(night, hours_to(course, mark)) for mark in (0.8, 0.95, full_soc)}
    when_ready = _of_blocks(night, socs_at(course, time_h))
    full_h = _known(max(hours[full_soc]))
    spent_wh = wall_wh_at(course, time_h)
    start_w = wall_w_at_start(course)
    first = plan.outputs[0]
    return Recharge(
        plugged_in_at=plan.plugged_in_at,
        ready_by=plan.ready_by,
        output_current_a=min(_limited_currents_a(plan)),
        to_80_h=_known(max(hours[0.8])),
        to_95_h=_known(max(hours[0.95])),
        full_h=full_h,
        full_at=None
        if full_h is None
        else clock_after(plan.plugged_in_at, full_h * SECONDS_PER_HOUR),
        full_soc=full_soc,
        soc_when_ready=min(when_ready),
        slowest=_slowest(plan, hours[full_soc]),
        charge_put_in_ah=_fed_ah(course),
        wall_energy_wh=wall_wh_at(course, math.inf),
        wall_energy_by_ready_wh=spent_wh,
        wall_power_w=start_w,
        apparent_power_va=float(apparent_power_va(start_w, power_factor=plan.power_factor)),
        cost=None
        if plan.energy_price is None
        else float(energy_cost(spent_wh, price_per_kwh=plan.energy_price)),
        currency=plan.currency,
        charge_voltage_v=first.charge_voltage_v,
        charge_voltage_25_v=plan.charge_voltage_25_v,
        temperature_degc=plan.blocks[first.blocks[0]].temperature_degc,
        outputs=_output_rows(plan, hours, when_ready),
        blocks=_block_rows(plan, charges, hours[full_soc], when_ready),
        note=plan.note,
    )


def charges_after(
    plan: ChargePlan, charges: Sequence[KindCharge], time_h: float
) -> dict[Place, float]:
    """Return the charge of every block, by its place, after so many hours on the charger."""
    night = _night(plan, charges)
    socs = _of_blocks(night, socs_at(night.course, max(0.0, time_h)))
    return {block.place: soc for block, soc in zip(plan.blocks, socs, strict=True)}


def charge_by_place(charges: Sequence[KindCharge]) -> dict[Place, float]:
    """Return the ledger's charge of every block by its place, within 0 to 1."""
    by_place: dict[Place, float] = {}
    for kind in charges:
        for place in kind.places:
            if place in by_place:
                raise ValueError(f"charges tell of the block at {place} twice")
            by_place[place] = min(max(kind.charge, 0.0), 1.0)
    return by_place


def _night(plan: ChargePlan, charges: Sequence[KindCharge]) -> Night:
    """Count alike outputs together and let the night run."""
    left = charge_by_place(charges)
    known = {block.place for block in plan.blocks}
    if left.keys() != known:
        wrong = sorted(left.keys() ^ known)
        raise ValueError(f"charges tell of other blocks than the charger feeds: {wrong}")
    fed: dict[int, FedBlock] = {}
    for place, block in enumerate(plan.blocks):
        fed[place] = fed_block(
            left[block.place],
            capacity_ah=block.capacity_ah,
            temperature_degc=block.temperature_degc,
            law=plan.law,
        )
    kinds: dict[tuple[object, ...], int] = {}
    outputs: list[Output] = []
    seats: dict[int, tuple[int, int]] = {}
    for output in plan.outputs:
        blocks = tuple(fed[place] for place in output.blocks)
        states = tuple((b.soc, b.capacity_ah, b.acceptance_a) for b in blocks)
        kind = (output.current_a, output.charge_voltage_v, states)
        number = kinds.setdefault(kind, len(outputs))
        if number == len(outputs):
            outputs.append(
                Output(
                    current_a=output.current_a,
                    charge_voltage_v=output.charge_voltage_v,
                    blocks=blocks,
                    count=1,
                )
            )
        else:
            same = outputs[number]
            outputs[number] = Output(
                current_a=same.current_a,
                charge_voltage_v=same.charge_voltage_v,
                blocks=same.blocks,
                count=same.count + 1,
            )
        seats.update({place: (number, seat) for seat, place in enumerate(output.blocks)})
    course = charge_course(
        outputs,
        circuit_w=math.inf if plan.circuit_w is None else plan.circuit_w,
        charger_efficiency=plan.efficiency,
    )
    return Night(course, tuple(seats[place] for place in range(len(plan.blocks))))


def _of_blocks(night: Night, values: Sequence[Sequence[float]]) -> tuple[float, ...]:
    """Return what is told by output and place, block by block of the plan."""
    return tuple(values[number][seat] for number, seat in night.seats)


def _limited_currents_a(plan: ChargePlan) -> tuple[float, ...]:
    """Return what the circuit leaves each output with all of them at work."""
    rated = tuple(output.current_a for output in plan.outputs)
    if plan.circuit_w is None:
        return rated
    watts = [output.charge_voltage_v / plan.efficiency for output in plan.outputs]
    given = even_share_w(
        [current * ampere_w for current, ampere_w in zip(rated, watts, strict=True)],
        counts=[1] * len(rated),
        circuit_power_w=plan.circuit_w,
    )
    return tuple(
        min(current, power / ampere_w)
        for current, power, ampere_w in zip(rated, given.tolist(), watts, strict=True)
    )


def _fed_ah(course: Course) -> float:
    """Return the charge given to full, all outputs."""
    fed = fed_ah_at(course, math.inf)
    return sum(out.count * each for out, each in zip(course.feed.outputs, fed, strict=True))


def _known(hours: float) -> float | None:
    """Return hours, or None where they never come."""
    return hours if hours < math.inf else None


def _slowest(plan: ChargePlan, full_h: Sequence[float]) -> str:
    """Name the block that is full last, where it is not all of them."""
    last = max(full_h)
    late = [place for place, hours in enumerate(full_h) if hours == last]
    if len(late) == len(full_h):
        return ""
    return " and ".join(plan.blocks[place].name for place in late)


def _output_rows(
    plan: ChargePlan, hours: Mapping[float, Sequence[float]], when_ready: Sequence[float]
) -> tuple[OutputNight, ...]:
    """Tell the night output by output."""
    rows = []
    for output, current in zip(plan.outputs, _limited_currents_a(plan), strict=True):
        last = {
            mark: _known(max(times[place] for place in output.blocks))
            for mark, times in hours.items()
        }
        rows.append(
            OutputNight(
                blocks=" and ".join(plan.blocks[place].name for place in output.blocks),
                current_a=current,
                rated_current_a=output.current_a,
                to_80_h=last[0.8],
                to_95_h=last[0.95],
                full_h=last[plan.law.full_soc],
                soc_when_ready=min(when_ready[place] for place in output.blocks),
            )
        )
    return tuple(rows)


def _block_rows(
    plan: ChargePlan,
    charges: Sequence[KindCharge],
    full_h: Sequence[float],
    when_ready: Sequence[float],
) -> tuple[BlockNight, ...]:
    """Tell the night block by block."""
    left = charge_by_place(charges)
    return tuple(
        BlockNight(
            name=block.name,
            string=block.place[0],
            number=block.place[1],
            soc_at_plug=left[block.place],
            soc_when_ready=soc,
            full_h=_known(hours),
        )
        for block, hours, soc in zip(plan.blocks, full_h, when_ready, strict=True)
    )
